"""A proposal as the redesign sheet shows it: strings for a template, nothing worked out."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from plumbrise.cautions import HAZARDS, Hazard
from plumbrise.drawing.figures import loss_in_a_line, span_of
from plumbrise.drawing.sets_shown import Place, steps
from plumbrise.explain import Interval
from plumbrise.quantity import percent, plain
from plumbrise.redesign import CATALOGUE, LOST_MOTION, Choice, Line, Prediction, Proposal, Target
from plumbrise.redesign.predicting import AXIS
from plumbrise.redesign.results import PartLine
from plumbrise.report.names import as_sentence, listed, lowered, station_name
from plumbrise.report.redesign import hours_words, money_words, test_words
from plumbrise.report.redesign_said import (
    AFTER_FREE,
    looked_at_words,
    nothing_first,
    span_words,
    sure_words,
)
from plumbrise.web import redesign_words as words

FINE_MM = 0.02
"""Smaller lengths are written to a thousandth."""


@dataclass(frozen=True, slots=True)
class ChangeSaid:
    """One change of the set."""

    title: str
    words: str
    cost: str
    hours: str
    without: str


@dataclass(frozen=True, slots=True)
class FigureSaid:
    """One figure before and after, at one place: best guess and interval of each."""

    title: str
    now: str
    then: str
    wanted: str
    holds: str


@dataclass(frozen=True, slots=True)
class LineSaid:
    """One set of cost against result: what it is, and what it adds and drops against the one
    before it; `here` marks the one that is proposed or taken, `ids` are its changes."""

    standing: str
    changes: str
    cost: str
    hours: str
    met: str
    here: bool
    ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TestSaid:
    """A test before buying: whether it pays, and the minutes to plan for it."""

    words: str
    pays: bool
    minutes: int


@dataclass(frozen=True, slots=True)
class PartSaid:
    """A line of the parts list."""

    count: int
    name: str
    size: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Said:
    """All that the sheet says of a proposal; `brief` is the line of the title block, `named` the
    set in a line."""

    title: str
    lead: tuple[str, ...]
    named: str
    brief: str
    free: str
    changes: tuple[ChangeSaid, ...]
    figures: tuple[FigureSaid, ...]
    front: tuple[LineSaid, ...]
    tests: tuple[TestSaid, ...]
    mind: tuple[str, ...]
    constraints: tuple[str, ...]
    parts: tuple[PartSaid, ...]
    cautions: tuple[Hazard, ...]
    foot: str


def said_of(proposal: Proposal) -> Said:
    """What the sheet says of this proposal."""
    chosen = proposal.chosen
    worst = None if chosen is None else _worst(proposal, chosen)
    return Said(
        title=_title(proposal, worst),
        lead=tuple(_lead(proposal, worst)),
        named="" if chosen is None else _named(chosen),
        brief=_brief(proposal, worst),
        free=_free(proposal),
        changes=() if chosen is None else _changes(proposal, chosen),
        figures=() if chosen is None else _figures(proposal, chosen),
        front=tuple(_line(*one) for one in steps(proposal)) if chosen else (),
        tests=_tests(proposal),
        mind=() if chosen is None else _mind(chosen),
        constraints=() if chosen is None else chosen.constraints,
        parts=() if chosen is None else tuple(map(_part, chosen.parts)),
        cautions=() if chosen is None else _cautions(chosen),
        foot=looked_at_words(proposal),
    )


@dataclass(frozen=True, slots=True)
class Worst:
    """The figure that is furthest over its target now, at its worse end."""

    title: str
    target: Target
    now: Interval
    then: Interval

    @property
    def where(self) -> str:
        """Which of several ends it is."""
        return " at the worse end" if self.target.figure is LOST_MOTION else ""

    @property
    def gains(self) -> str:
        """From what to what, in words."""
        now, then = amount(self.now), amount(self.then)
        what = lowered(self.target.figure.title)
        if now == then:
            return f"{what} stays at {then} mm"
        way = "down" if self.then.estimate < self.now.estimate else "up"
        return f"{what} {way} from {now} to {then} mm"


def _worst(proposal: Proposal, chosen: Choice) -> Worst | None:
    limits = {t.figure.id: t for t in proposal.targets if t.figure.unit}
    found = [
        Worst(one.figure.title, limits[one.figure.id], one.worst_before, one.worst)
        for one in chosen.predictions
        if one.figure.id in limits and one.worst_before is not None and one.worst is not None
    ]
    return max(found, key=lambda w: w.now.estimate / w.target.limit, default=None)


def amount(one: Interval) -> str:
    """The middle of an interval, to a hundredth, or finer where it is small."""
    return plain(one.estimate, 2 if one.estimate >= FINE_MM else 3)


def _title(proposal: Proposal, worst: Worst | None) -> str:
    if proposal.chosen is None:
        return words.CANNOT_TELL
    line = proposal.chosen.line
    if proposal.taken and not proposal.reachable:
        return f"Your set is not enough: {percent(line.probability)}"
    if not proposal.reachable:
        return f"Not reachable as asked: {percent(line.probability)} at most"
    if not line.changes:
        return "Nothing needs changing"
    spent = f"{_money(proposal, line)} and {hours_words(line.hours).removeprefix('about ')}"
    if worst is None:
        return f"{spent} meet what is wanted with {percent(line.probability)}"
    return f"{spent} bring {worst.gains}"


def _money(proposal: Proposal, line: Line) -> str:
    if line.cost.high == 0:
        return "No money"
    return f"{line.cost.expected:.0f} {proposal.currency}"


def _lead(proposal: Proposal, worst: Worst | None) -> list[str]:
    chosen = proposal.chosen
    lines = []
    if chosen is not None:
        if worst is not None:
            span = loss_in_a_line(span_of(worst.then))
            lines.append(f"{worst.title}{worst.where}: {span}, with 95 %.")
        lines.append(
            f"All that is wanted is met with {sure_words(proposal, chosen.line)}, "
            f"as it is with {percent(proposal.met_already)}."
        )
    if proposal.limited_by:
        lines.append(proposal.limited_by)
    titles = {t.figure.id: t.figure.title for t in proposal.targets}
    lines += [f"Cannot tell yet: {lowered(titles[f])}, since {why}."
              for f, why in proposal.untold.items()]  # fmt: skip
    return lines


def _named(chosen: Choice) -> str:
    titles = [lowered(one.title) for one in chosen.changes]
    return f"{listed(titles)}." if titles else ""


def _brief(proposal: Proposal, worst: Worst | None) -> str:
    if proposal.chosen is None or not proposal.reachable:
        return words.NOT_REACHABLE if proposal.chosen else words.CANNOT_TELL
    line = proposal.chosen.line
    if not line.changes:
        return words.NOTHING_TO_CHANGE
    gives = percent(line.probability) if worst is None else f"{amount(worst.then)} mm"
    return f"{lowered(_money(proposal, line))} gives {gives}"


def _free(proposal: Proposal) -> str:
    free = proposal.free
    if free is None or not free.changes or proposal.chosen is None:
        return ""
    titles = listed([lowered(CATALOGUE[c].title) for c in free.changes])
    return (
        f"{as_sentence(titles)} Takes {hours_words(free.hours)}, costs nothing, and meets all "
        f"that is wanted with {percent(free.probability)}. {AFTER_FREE}"
    )


def _changes(proposal: Proposal, chosen: Choice) -> tuple[ChangeSaid, ...]:
    return tuple(
        ChangeSaid(
            title=one.title,
            words=one.words,
            cost=money_words(one.cost, proposal.currency).removeprefix("about "),
            hours=hours_words(one.hours).removeprefix("about "),
            without=percent(chosen.alone[one.id]) if one.id in chosen.alone else "",
        )
        for one in chosen.changes
    )


def _figures(proposal: Proposal, chosen: Choice) -> tuple[FigureSaid, ...]:
    limits = {t.figure.id: t.limit for t in proposal.targets}
    rows = []
    for one in chosen.predictions:
        wanted = f"{limits[one.figure.id]:g}" if limits.get(one.figure.id) else ""
        holds = "" if one.chance is None else _holds(one)
        for station, then in one.after.items():
            title = one.figure.title
            if station != AXIS:
                title += f", {lowered(station_name(station))}"
            before = one.before.get(station)
            rows.append(
                FigureSaid(
                    title,
                    "" if before is None else span_words(one, before),
                    span_words(one, then),
                    wanted,
                    holds,
                )
            )
            wanted = holds = ""
    return tuple(rows)


def _holds(one: Prediction) -> str:
    return f"{percent(one.chance or 0.0)}, {words.HOLDS_NOW} {percent(one.chance_before or 0.0)}"


def _line(place: Place, step: str) -> LineSaid:
    line = place.line
    return LineSaid(
        standing=place.standing.value,
        changes=step,
        cost=f"{line.cost.expected:.0f}",
        hours=f"{line.hours.expected:.1f}",
        met=percent(line.probability),
        here=place.main,
        ids=line.changes,
    )


def _tests(proposal: Proposal) -> tuple[TestSaid, ...]:
    if proposal.chosen is None or not proposal.chosen.line.changes:
        return ()
    found = tuple(
        TestSaid(test_words(one, proposal.currency), one.after_time > 0, ceil(one.minutes) + 10)
        for one in proposal.worths[:2]
    )
    if found:
        return (*(TestSaid(words, False, 0) for words in nothing_first(proposal)), *found)
    saves = f"{proposal.perfect_saves:.0f} {proposal.currency}"
    return (TestSaid(f"No. Even knowing everything would save about {saves}.", False, 0),)


def _mind(chosen: Choice) -> tuple[str, ...]:
    sides = (f"{one.title}: {note}" for one in chosen.changes for note in one.side_effects)
    return (*chosen.warnings, *sides)


def _part(line: PartLine) -> PartSaid:
    part = line.part
    days = (words.COMES_IN.format(part.lead_days),) if part.lead_days else ()
    if line.at_hand:
        days = (words.IS_AT_HAND,)
    first = (f"{words.MEASURE_FIRST} {lowered(part.measure_first)}",) if part.measure_first else ()
    printed = (words.PRINTED,) if part.printed else ()
    notes = tuple(as_sentence(n) for n in (*days, *printed, part.note, *first) if n)
    return PartSaid(line.count, part.name, line.size, notes)


def _cautions(chosen: Choice) -> tuple[Hazard, ...]:
    ids = dict.fromkeys(h for one in chosen.changes for h in one.hazards)
    return tuple(HAZARDS[i] for i in ids)
