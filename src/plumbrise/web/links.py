"""What a pressed link or station says: what was read there, what it means, what could be done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from plumbrise.analyse.results import RunAnalysis
from plumbrise.drawing import LedgerRow, ledger, mark
from plumbrise.explain.causes import CAUSES, LINKS
from plumbrise.explain.results import CauseFinding
from plumbrise.files.machine_fields import FIELDS
from plumbrise.files.machine_writing import applies
from plumbrise.machine import STATIONS, Machine, PerSide, stations_of
from plumbrise.measure.mounting import mounting
from plumbrise.readings.kinds import KINDS
from plumbrise.report.amounts import loss_cell
from plumbrise.report.answer import (
    cause_lines,
    chance_words,
    group_sentence,
    next_test_title,
    parameter_words,
)
from plumbrise.report.doubts import open_groups
from plumbrise.report.names import (
    as_sentence,
    cause_title,
    listed,
    side_word,
    station_name,
    test_title,
    with_places,
)
from plumbrise.web import words
from plumbrise.web.bench import Story

ENDS: dict[str, tuple[str, ...]] = {
    "seat": ("motor-shaft",),
    "coupling": ("motor-shaft", "screw"),
    "screw": ("screw", "nut"),
    "nut": ("screw", "nut"),
    "bracket": ("nut", "end"),
    "racking": ("end", "far end"),
    "tie": ("motor-shaft", "screw"),
}
"""Between which stations a link lies; "end" is the moving part's end at its screw."""
PARTS: dict[str, tuple[str, ...]] = {
    "seat": ("bearing", "motor"),
    "coupling": ("coupling",),
    "screw": ("screw",),
    "nut": ("nut",),
    "bracket": ("nut",),
    "racking": ("guide", "gantry"),
    "tie": ("drive",),
}
"""The parts of the description that a link is made of."""
SPEAKS_FROM = 0.3
"""From this probability a cause's remedy stands as one to do, under it as one if it is that."""


@dataclass(frozen=True, slots=True)
class Read:
    """A station beside the link: what a set-up there lost and how many readings say so; a station
    that nobody read has none."""

    station: str
    words: str
    test: str
    lost: str
    readings: int
    read: bool


@dataclass(frozen=True, slots=True)
class LinkCause:
    """A cause that sits in this link."""

    title: str
    probability: str
    said: tuple[str, ...]
    remedy: str
    likely: bool


@dataclass(frozen=True, slots=True)
class LinkSaid:
    """The notes of a pressed link."""

    title: str
    rows: tuple[LedgerRow, ...]
    read: tuple[Read, ...]
    causes: tuple[LinkCause, ...]
    assumed: tuple[str, ...]
    parts: tuple[str, ...]
    next_title: str


def links_of(machine: Machine) -> tuple[str, ...]:
    """The links that this machine's drawing has."""
    found = ["seat", "coupling", "screw", "nut", "bracket", "racking"]
    return tuple(found + (["tie"] if machine.arrangement.tied else []))


def said_of_link(story: Story, link: str) -> LinkSaid:
    """The notes of one link."""
    marking = mark(story.machine, story.readings, story.said, story.analysis)
    shared = {"-".join((row.side, *row.links)): row.links for row in marking.all_rows}
    rows = tuple(row for row in ledger(marking) if link in shared.get(row.key, ()))
    explanation = story.said
    causes = tuple(
        _cause(found)
        for found in (explanation.causes if explanation else ())
        if CAUSES[found.cause].link == link
    )
    first = explanation.next_tests[0] if explanation and explanation.next_tests else None
    parts = PARTS.get(link, ())
    return LinkSaid(
        _title(link, rows, shared),
        rows,
        tuple(one for station in _stations(story.machine, link) for one in _read(story, station)),
        causes,
        _not_given(story.machine, parts),
        parts,
        next_test_title(first) if first else "",
    )


def _not_given(machine: Machine, parts: tuple[str, ...]) -> tuple[str, ...]:
    """What nobody said of the parts that the link is made of, and what stands in for it."""
    found = []
    for field in FIELDS.values():
        if field.part not in parts or field.default is None or not applies(machine, field):
            continue
        part = getattr(machine, field.part)
        described = part.common if isinstance(part, PerSide) else part
        if described is None or getattr(described, field.name) is None:
            found.append(f"{field.words} {field.if_unknown.replace(*words.UNKNOWN_TAKEN)}")
    return tuple(found)


def _title(link: str, rows: tuple[LedgerRow, ...], shared: Mapping[str, tuple[str, ...]]) -> str:
    name = LINKS[link]
    if not rows:
        return words.NOTHING_READ.format(name)
    if len(rows) == 1:
        others = [LINKS[one] for one in shared[rows[0].key]]
        if len(others) == 1:
            return words.LOSES.format(name, rows[0].value)
        names = [others[0], *(one.lower() for one in others[1:])]
        return words.TOGETHER_LOSE.format(listed(names), rows[0].value)
    losses = ", ".join(f"{row.value} {row.name.rpartition(', ')[2]}" for row in rows)
    return words.LOSES.format(name, losses)


def _stations(machine: Machine, link: str) -> tuple[str, ...]:
    """The stations beside a link, on every side that has it."""
    several = len(machine.arrangement.sides) > 1
    found: list[str] = []
    for side in machine.screw_sides if link != "racking" else machine.screw_sides[:1]:
        for end in ENDS.get(link, ()):
            if end == "end":
                found.append(f"{machine.arrangement.body}-{side}")
            elif end == "far end":
                other = "right" if side == "left" else "left"
                found.append(f"{machine.arrangement.body}-{other}")
            else:
                found.append(f"{end}-{side}" if several else end)
    there = {station.id for station in stations_of(machine.arrangement)}
    return tuple(s for s in dict.fromkeys(found) if s in there)


def _read(story: Story, station: str) -> list[Read]:
    runs = [
        run
        for run in (story.analysis.runs if story.analysis else ())
        if run.run.station.id == station
    ]
    words = as_sentence(station_name(station)).rstrip(".")
    if not runs:
        return [Read(station, words, "", "", 0, False)]
    return [
        Read(station, words, run.run.kind.title, lost_in(run), run.run.taken_count, True)
        for run in runs
    ]


def lost_in(run: RunAnalysis) -> str:
    """What a set-up lost, or the nearest figure to it; "" where it gives none."""
    for name in ("lost_motion", "reversal_value", "compliance", "home_range", "drift"):
        figure = run.figure(name)
        if figure is not None:
            return words.AT_LEAST.format(figure.value) if figure.at_least else str(figure.value)
    return ""


def _cause(found: CauseFinding) -> LinkCause:
    return LinkCause(
        cause_title(found.cause),
        chance_words(found),
        cause_lines(found),
        CAUSES[found.cause].remedy,
        found.could_be_seen and found.probability >= SPEAKS_FROM,
    )


@dataclass(frozen=True, slots=True)
class StationSaid:
    """The notes of a pressed station."""

    title: str
    where: str
    seen: str
    runs: tuple[RunAnalysis, ...]
    read: tuple[Read, ...]
    tests: tuple[str, ...]


def said_of_station(story: Story, station_id: str) -> StationSaid:
    """The notes of one station: how the gauge stands, what was read, what is worth it."""
    station = STATIONS[station_id]
    runs = tuple(
        run
        for run in (story.analysis.runs if story.analysis else ())
        if run.run.station.id == station_id
    )
    count = sum(run.run.taken_count for run in runs)
    name = as_sentence(station_name(station_id)).rstrip(".")
    said = f"{count} {words.READINGS_WORD}" if count else words.NOT_READ_YET
    tests = tuple(
        f"{test_title(test.test)}: {as_sentence(test.why)}"
        for test in (story.said.next_tests if story.said else ())
        if test.station == station_id and test.test in KINDS
    )
    return StationSaid(
        f"{name}: {said}",
        mounting(station),
        as_sentence(station.seen),
        runs,
        tuple(_read(story, station_id)) if runs else (),
        tests,
    )


@dataclass(frozen=True, slots=True)
class CauseSaid:
    """The notes of a pressed cause."""

    title: str
    words: str
    losses: tuple[tuple[str, str], ...]
    for_it: tuple[str, ...]
    against_it: tuple[str, ...]
    held: str
    parameters: tuple[str, ...]
    group: str
    remedy: str
    test: str


def said_of_cause(story: Story, found: CauseFinding) -> CauseSaid:
    """What speaks for and against a cause, how much it takes and what to do about it."""
    known = CAUSES[found.cause]
    explanation = story.said
    groups = [
        g for g in (open_groups(explanation) if explanation else ()) if found.cause in g.causes
    ]
    return CauseSaid(
        f"{cause_title(found.cause)}: {chance_words(found)}",
        known.words,
        tuple((side_word(end), loss_cell(loss)) for end, loss in found.loss_mm.items()),
        tuple(as_sentence(with_places(line)) for line in found.for_it),
        tuple(as_sentence(with_places(line)) for line in found.against_it),
        as_sentence(with_places(found.held_at)) if found.held_at else "",
        tuple(parameter_words(key, interval) for key, interval in found.parameters.items()),
        group_sentence(groups[0]) if groups else "",
        known.remedy,
        "" if found.could_be_seen else known.needs,
    )
