"""A harness with one thing more known of it: a reading entered or struck out, wires swapped."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial

from plumbrise.wiring.across import SHARED_PLUG
from plumbrise.wiring.harness import Bridged, Harness, Line, Pair, Reading
from plumbrise.wiring.verdict import Swap

Change = Callable[[Line], Line]


def with_reading(harness: Harness, name: str, reading: Reading) -> Harness:
    """A reading entered at a line, or at the shared driver's plug. It takes the place of an earlier
    one between the same contacts at the same place.

    Example:
        >>> first = Reading("board", (1, 2), ohm=2.9)
        >>> made = with_reading(Harness((Line("left"),)), "left", first)
        >>> made = with_reading(made, "left", Reading("board", (2, 1), is_open=True))
        >>> [(r.between, r.is_open) for r in made.lines[0].measured]
        [((2, 1), True)]
    """
    if name == SHARED_PLUG:
        rows = _with(harness.drive.measured, reading)
        return replace(harness, drive=replace(harness.drive, measured=rows))
    return _changed(
        harness, name, lambda line: replace(line, measured=_with(line.measured, reading))
    )


def _with(rows: tuple[Reading, ...], made: Reading) -> tuple[Reading, ...]:
    return (*(one for one in rows if not _same(one, made)), made)


def _same(one: Reading, other: Reading) -> bool:
    if one.at != other.at:
        return False
    turned = one.at != "cable" and one.between == other.between[::-1]
    return turned or one.between == other.between


def without_reading(harness: Harness, name: str, number: int) -> Harness:
    """A reading struck out, the first of a line being 0; bridged contacts count on after readings.
    The same harness where there is none of this number."""

    def struck(rows: tuple[Reading, ...]) -> tuple[Reading, ...]:
        return (*rows[:number], *rows[number + 1 :])

    if name == SHARED_PLUG:
        return replace(
            harness, drive=replace(harness.drive, measured=struck(harness.drive.measured))
        )

    def change(line: Line) -> Line:
        after = number - len(line.measured)
        if after < 0:
            return replace(line, measured=struck(line.measured))
        return replace(line, bridged=(*line.bridged[:after], *line.bridged[after + 1 :]))

    return _changed(harness, name, change)


def with_bridge(harness: Harness, name: str, bridged: Bridged) -> Harness:
    """Two bridged contacts of a line, and the shaft that was stiff then."""

    def change(line: Line) -> Line:
        others = (b for b in line.bridged if set(b.between) != set(bridged.between))
        return replace(line, bridged=(*others, bridged))

    return _changed(harness, name, change)


def with_pairs(harness: Harness, pairs: tuple[Pair, Pair]) -> Harness:
    """The pairs that the board drives, at every line of which nobody said them."""
    return replace(
        harness,
        lines=tuple(
            replace(line, board=replace(line.board, phases=line.board.phases or pairs))
            for line in harness.lines
        ),
    )


def with_swaps(harness: Harness, swaps: Iterable[Swap]) -> Harness:
    """After wires changed places: joins as they are now. What was read through a wire that moved,
    or at a shared plug, holds no longer and is left out.

    Example:
        >>> from plumbrise.wiring.harness import Cable
        >>> read = Reading("board", (1, 2), ohm=3.0), Reading("motor", (1, 3), ohm=2.6)
        >>> line = Line("left", cable=Cable(((1, 1), (2, 3))), measured=read)
        >>> made = with_swaps(Harness((line,)), [Swap("left", "motor", (3, 2))]).lines[0]
        >>> made.cable.joins, [reading.at for reading in made.measured]
        (((1, 1), (2, 2)), ['motor'])
    """
    done = tuple(swaps)
    for swap in done:
        harness = _changed(harness, swap.line, partial(_swapped, swap=swap))
    return replace(harness, drive=replace(harness.drive, measured=())) if done else harness


def _swapped(line: Line, *, swap: Swap) -> Line:
    end = 0 if swap.end == "board" else 1
    places = dict(zip(swap.contacts, swap.contacts[::-1], strict=True))

    def moved(join: Pair) -> Pair:
        now = list(join)
        now[end] = places.get(now[end], now[end])
        return now[0], now[1]

    return replace(
        line,
        cable=replace(line.cable, joins=tuple(moved(join) for join in line.cable.joins)),
        measured=tuple(one for one in line.measured if one.at == "motor"),
        bridged=(),
    )


def _changed(harness: Harness, name: str, change: Change) -> Harness:
    return replace(
        harness,
        lines=tuple(change(line) if line.name == name else line for line in harness.lines),
    )
