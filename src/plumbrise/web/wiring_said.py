"""A judged harness as its sheet shows it: words of the verdict, and the reading it asks for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from plumbrise.report.wiring import (
    MEND,
    NEXT,
    WRONG,
    reading_words,
    wiring_said,
)
from plumbrise.web.wiring_asked import CONTACTS, PAIRINGS
from plumbrise.wiring import PLACES, Harness, Reading, Verdict, WiringVerdict
from plumbrise.wiring.across import SHARED_PLUG, shared_plug
from plumbrise.wiring.harness import FRAME, Bridged

Part = tuple[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Row:
    """A reading in the list: what strikes it out, where it was taken, what it said."""

    strike: str
    place: str
    shown: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """All of a wiring sheet but the drawing.

    `wrong`, `mend`, `next` and `rest` are heads with their lines. `way` is how the next thing is
    found out: "read" (also where nothing is asked), "bridge", "leads", "look-up pairs" or
    "look-up". `chosen` is what stands in the fields of the form.
    """

    head: str
    title: str
    go: bool
    wrong: Part
    mend: Part
    next: Part
    rest: tuple[Part, ...]
    way: str
    chosen: Mapping[str, str]
    lines: tuple[str, ...]
    stiff: tuple[tuple[str, str], ...]
    swaps: bool
    rows: tuple[Row, ...]
    places: tuple[tuple[str, str], ...] = tuple(PLACES.items())
    contacts: tuple[str, ...] = CONTACTS
    pairs: tuple[tuple[str, str], ...] = ()


def said_of(harness: Harness, answer: WiringVerdict, typed: Mapping[str, str]) -> Sheet:
    """The sheet of a verdict.

    Args:
        harness: what was judged.
        answer: the verdict.
        typed: what was typed into the form, where that has to be put right; else empty.
    """
    said = wiring_said(harness, answer)
    asked = answer.next_reading
    way = "read" if asked is None else asked.way
    if asked is not None and way == "look-up" and asked.at == "board":
        way = "look-up pairs"
    lines = tuple(line.name for line in harness.lines)
    if shared_plug(harness) is not None:
        lines += (SHARED_PLUG,)
    chosen = {"line": lines[0], "at": "board", "one": "1", "other": "2", "ohm": "", "leads": ""}
    if asked is not None:
        chosen["line"] = asked.line
        if asked.way == "read" and asked.between is not None:
            chosen["at"] = asked.at
            one, other = asked.between
            chosen |= {"one": str(one), "other": "frame" if other == FRAME else str(other)}
    return Sheet(
        head=said.head,
        title=said.title,
        go=answer.verdict is Verdict.GO,
        wrong=(WRONG, said.part(WRONG)),
        mend=(MEND, said.part(MEND)),
        next=(NEXT, said.part(NEXT)),
        rest=tuple(part for part in said.parts if part[0] not in (WRONG, MEND, NEXT)),
        way=way,
        chosen=chosen | {name: typed[name] for name in chosen if typed.get(name)},
        lines=lines,
        stiff=tuple((str(i), line.name) for i, line in enumerate(harness.lines)),
        swaps=bool(answer.swaps),
        rows=tuple(_rows(harness)),
        pairs=tuple(
            (name, f"{a} and {b}, {c} and {d}") for name, ((a, b), (c, d)) in PAIRINGS.items()
        ),
    )


def _rows(harness: Harness) -> Iterator[Row]:
    several = len(harness.lines) > 1
    for line in harness.lines:
        yield from _of_line(line.name, (*line.measured, *line.bridged), several)
    yield from _of_line(SHARED_PLUG, harness.drive.measured, True)


def _of_line(name: str, readings: tuple[Reading | Bridged, ...], several: bool) -> Iterator[Row]:
    for number, reading in enumerate(readings):
        place, shown = reading_words(reading)
        yield Row(f"{number} {name}", f"{name}: {place}" if several else place, shown)
