"""A proposal of changes in words, as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from plumbrise.cautions import DEFER, HAZARDS
from plumbrise.drawing.costs import hours_words, money_words
from plumbrise.drawing.sets_shown import steps
from plumbrise.machine import Machine
from plumbrise.redesign import Change, Choice, Line, PartLine, Proposal
from plumbrise.report.layout import columns, folded, hung, plain_line
from plumbrise.report.redesign_said import (
    INTERVALS,
    asked_words,
    assumed_words,
    change_words,
    free_words,
    front_row,
    hazards_of,
    looked_at_words,
    minded,
    part_notes,
    part_words,
    prediction_rows,
    proposed_words,
    stays_words,
    step_said,
    sum_words,
    test_words,
    untold_words,
    worth_words,
)
from plumbrise.report.sizing import sheet_text

__all__ = [
    "changes_text",
    "hours_words",
    "money_words",
    "proposal_text",
    "sums_text",
    "test_words",
    "thinned",
]

ORDER_WORDS = (
    "In which order it is done, and what to measure at each step, says plumbrise build MACHINE "
    "PROPOSAL; save the proposal with --json."
)
MOST_LINES = 8
WIDTH = 78


def proposal_text(machine: Machine, proposal: Proposal) -> str:
    """What to change, what it would give and cost, what else there is, and what to mind."""
    return "\n".join(_lines(machine, proposal)) + "\n"


def _lines(machine: Machine, proposal: Proposal) -> Iterator[str]:
    name = plain_line(machine.name) or machine.arrangement.title
    yield f"What to change on {name}"
    yield ""
    yield from folded(asked_words(proposal), WIDTH)
    for words in untold_words(proposal):
        yield from folded(words, WIDTH)
    chosen = proposal.chosen
    if chosen is None:
        yield from folded(proposal.limited_by, WIDTH)
        return
    yield ""
    yield from _chosen(proposal, chosen)
    yield from _predictions(chosen)
    yield from _front(proposal)
    yield ""
    for words in worth_words(proposal):
        yield from folded(words, WIDTH)
    yield from _notes("What it fixes and frees", chosen.constraints)
    yield from _notes("Mind", minded(chosen))
    yield from _sums(chosen)
    yield from _parts(chosen.parts)
    yield from _cautions(chosen)
    yield ""
    if chosen.changes:
        yield from folded(ORDER_WORDS, WIDTH)
    yield from folded(looked_at_words(proposal), WIDTH)


def _chosen(proposal: Proposal, chosen: Choice) -> Iterator[str]:
    yield from folded(proposed_words(proposal, chosen), WIDTH)
    for number, change in enumerate(chosen.changes, start=1):
        yield from hung(f"  {number}. ", change_words(change, chosen, proposal.currency), WIDTH)
    if proposal.limited_by and chosen.changes:
        yield from folded(proposal.limited_by, WIDTH)


def _predictions(chosen: Choice) -> Iterator[str]:
    yield ""
    head = ("What it would give, mm, 95 %", "now", "then", "meets its target")
    yield from columns([head, *((f"  {a}", *rest) for a, *rest in prediction_rows(chosen))])
    yield from folded(f"{INTERVALS} {stays_words(chosen)}".rstrip(), WIDTH)


def _front(proposal: Proposal) -> Iterator[str]:
    yield ""
    yield "Cost against result: what each set adds and drops against the one before"
    found = steps(proposal)
    heads = columns([front_row(proposal, place) for place, _ in found], right={0, 1, 2})
    for head, (place, step) in zip(heads, found, strict=True):
        yield from hung(f"  {head}  ", step_said(place, step), WIDTH)
    words = free_words(proposal)
    if words:
        yield from folded(words, WIDTH)


def thinned(proposal: Proposal) -> tuple[Line, ...]:
    """The front, with so many lines that a person reads it: the ends, and the largest steps."""
    lines = proposal.front
    if len(lines) <= MOST_LINES:
        return lines
    steps_up = [
        (lines[i].probability - lines[i - 1].probability, i) for i in range(1, len(lines) - 1)
    ]
    kept = {0, len(lines) - 1, *(i for _, i in sorted(steps_up, reverse=True)[: MOST_LINES - 2])}
    return tuple(line for i, line in enumerate(lines) if i in kept)


def _notes(title: str, notes: Sequence[str]) -> Iterator[str]:
    if notes:
        yield ""
        yield title
    for note in notes:
        yield from hung("  - ", note, WIDTH)


def _sums(chosen: Choice) -> Iterator[str]:
    if chosen.sums:
        yield ""
        yield "Sums it rests on, for the axis with the set made (--sums shows each whole)"
    wide = max((len(one.kind) for one in chosen.sums), default=0)
    for one in chosen.sums:
        assumed = assumed_words(one)
        for i, words in enumerate((*sum_words(one), *([assumed] if assumed else []))):
            yield from hung(f"  {'' if i else one.kind:<{wide}}  ", words, WIDTH)


def _parts(parts: Sequence[PartLine]) -> Iterator[str]:
    if parts:
        yield ""
        yield "Parts"
    for number, line in enumerate(parts, start=1):
        head = f"  {number:>2}. "
        yield from hung(head, part_words(line), WIDTH)
        for note in part_notes(line.part):
            yield from hung(" " * len(head), note, WIDTH)


def _cautions(chosen: Choice) -> Iterator[str]:
    ids = hazards_of(chosen)
    if ids:
        yield ""
        yield "Cautions"
        for one in ids:
            yield from hung("  ", f"{HAZARDS[one].title}: {HAZARDS[one].words}", WIDTH)
        yield from hung("  ", DEFER, WIDTH)


def sums_text(proposal: Proposal) -> str:
    """Each sum that the set rests on with its inputs, equations and trust."""
    chosen = proposal.chosen
    sheets = [one.sheet for one in chosen.sums if one.sheet is not None] if chosen else []
    return "\n\n".join(sheet_text(sheet, whole=True) for sheet in sheets)


def changes_text(changes: Iterable[Change], currency: str) -> str:
    """The changes that can be made, one a line with its price and hours."""
    rows = [
        f"{change.id:<20} {change.title}: {money_words(change.cost, currency)}, "
        f"{hours_words(change.hours)}"
        for change in changes
    ]
    return "\n".join(rows)
