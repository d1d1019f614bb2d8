"""A proposal as a section of the report: strings and pictures, nothing worked out."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.cautions import HAZARDS
from plumbrise.drawing.costs import hours_words, money_words
from plumbrise.drawing.sets_shown import steps
from plumbrise.elements.doubt import doubt
from plumbrise.elements.worked import Sheet
from plumbrise.machine import Machine
from plumbrise.quantity import percent
from plumbrise.redesign import CATALOGUE, Choice, PartLine, Proposal
from plumbrise.redesign.results import WorkedFor
from plumbrise.report.hazards import Hazards, hazards
from plumbrise.report.names import as_sentence
from plumbrise.report.pictures import Picture, Pictures
from plumbrise.report.redesign_said import (
    INTERVALS,
    asked_words,
    free_words,
    front_row,
    hazards_of,
    looked_at_words,
    minded,
    part_notes,
    prediction_rows,
    proposed_words,
    stays_words,
    step_said,
    sum_words,
    untold_words,
    worth_words,
)
from plumbrise.report.sizing import amount, between, said
from plumbrise.report.tables import Table


@dataclass(frozen=True, slots=True)
class SumSection:
    """One calculator worked for the set: the answer, each sum with its equation, what went in
    with how far it is trusted. Empty tables where it could not be worked."""

    title: str
    why: str
    answers: tuple[str, ...]
    sums: Table
    inputs: Table
    sources: str
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ChosenSection:
    """The set that is proposed."""

    words: str
    changes: Table
    drawing: Picture | None
    before_after: Picture | None
    figures: Table
    stays: str
    parts: Table
    part_notes: tuple[str, ...]
    sums: tuple[SumSection, ...]
    constraints: tuple[str, ...]
    minded: tuple[str, ...]
    hazards: Hazards | None


@dataclass(frozen=True, slots=True)
class RedesignSection:
    """What to change. `chosen` is None where the readings say nothing of any target."""

    asked: tuple[str, ...]
    limited: str
    chosen: ChosenSection | None
    trade_off: Picture | None
    steps: Table
    free: str
    worths: tuple[str, ...]
    looked_at: str


def redesign_section(machine: Machine, proposal: Proposal, pictures: Pictures) -> RedesignSection:
    """The section for a proposal."""
    chosen = proposal.chosen
    return RedesignSection(
        asked=(asked_words(proposal), *untold_words(proposal)),
        limited=proposal.limited_by if chosen is None or chosen.changes else "",
        chosen=None if chosen is None else _chosen(machine, proposal, chosen, pictures),
        trade_off=None if chosen is None else pictures.trade_off(proposal),
        steps=_steps(proposal) if chosen is not None else Table((), (), ""),
        free=free_words(proposal),
        worths=tuple(worth_words(proposal)) if chosen is not None else (),
        looked_at=looked_at_words(proposal),
    )


def _steps(proposal: Proposal) -> Table:
    return Table(
        ("money", "work", "meets all", "what it adds or drops against the one above"),
        tuple((*front_row(proposal, place), step_said(place, s)) for place, s in steps(proposal)),
        "The sets with a label in the picture",
        words=0,
        last_is_words=True,
    )


def _chosen(
    machine: Machine, proposal: Proposal, chosen: Choice, pictures: Pictures
) -> ChosenSection:
    found = hazards_of(chosen)
    return ChosenSection(
        words=proposed_words(proposal, chosen),
        changes=_changes(proposal, chosen),
        drawing=pictures.changed(machine, chosen),
        before_after=pictures.before_after(chosen, proposal.targets),
        figures=Table(
            ("Figure, mm ± 95 %", "now", "then", "meets its target"),
            tuple((_dashed(title), *rest) for title, *rest in prediction_rows(chosen)),
            "What the set would give",
        ),
        stays=f"{INTERVALS} {stays_words(chosen)}".rstrip(),
        parts=_parts(chosen.parts),
        part_notes=_part_notes(chosen.parts),
        sums=tuple(_sum(one) for one in chosen.sums),
        constraints=chosen.constraints,
        minded=minded(chosen),
        hazards=hazards(HAZARDS[one] for one in found) if found else None,
    )


def _dashed(title: str) -> str:
    """An end under its figure: what a terminal sets further in."""
    return f"– {title.strip()}" if title.startswith(" ") else title


def _changes(proposal: Proposal, chosen: Choice) -> Table:
    rows = []
    for change in chosen.changes:
        without = chosen.alone.get(change.id)
        rows.append(
            (
                change.title,
                money_words(change.cost, proposal.currency).removeprefix("about "),
                hours_words(change.hours).removeprefix("about "),
                "-" if without is None else percent(without),
            )
        )
    return Table(
        ("Change", "money, about", "work, about", "without it"),
        tuple(rows),
        "The changes of the set",
    )


def _parts(parts: tuple[PartLine, ...]) -> Table:
    rows = tuple(
        (
            str(number),
            str(line.count),
            line.part.name,
            line.size,
            _comes(line),
        )
        for number, line in enumerate(parts, start=1)
    )
    return Table(("No.", "pieces", "part", "size", "comes in"), rows, "The list of parts", words=5)


def _comes(line: PartLine) -> str:
    if line.at_hand:
        return "at hand"
    if line.part.printed:
        return "printed first"
    return f"{line.part.lead_days} days" if line.part.lead_days else "at once"


def _part_notes(parts: tuple[PartLine, ...]) -> tuple[str, ...]:
    return tuple(
        f"{number}. {line.part.name}: {' '.join(map(as_sentence, part_notes(line.part)))}"
        for number, line in enumerate(parts, start=1)
        if part_notes(line.part)
    )


def _sum(one: WorkedFor) -> SumSection:
    why = f"For: {CATALOGUE[one.change].title}"
    empty = Table((), (), "")
    if one.sheet is None:
        title = one.kind.replace("-", " ").capitalize()
        return SumSection(title, why, tuple(sum_words(one)), empty, empty, "", ())
    title = one.sheet.calculator.title
    return SumSection(
        title,
        why,
        tuple(as_sentence(words) for words in sum_words(one)),
        _sums(one.sheet, title),
        _inputs(one.sheet, title),
        "; ".join(dict.fromkeys(s.source for s in one.sheet.worked.sums if s.source)),
        one.sheet.worked.warnings,
    )


def _sums(sheet: Sheet, title: str) -> Table:
    doubted = doubt(sheet)
    rows = tuple(
        (one.what, f"{one.symbol} = {one.equation}", amount(one), between(one, doubted))
        for one in sheet.worked.sums
    )
    return Table(
        ("what comes of it", "equation", "value", "may lie between"),
        rows,
        f"{title}: the sums",
        words=2,
    )


def _inputs(sheet: Sheet, title: str) -> Table:
    rows = tuple(
        (one.asked.words, said(one.value, one.asked.unit), str(one.trust))
        for one in sheet.used
        if one.value is not None
    )
    return Table(
        ("what goes in", "value", "trust"),
        rows,
        f"{title}: the inputs",
        words=1,
        last_is_words=True,
    )
