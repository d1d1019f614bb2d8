"""How far the figures of a sheet may be off for what was assumed, and what its answer hangs on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import exp, hypot, isfinite, log

from plumbrise.elements.asked import Given, Trust
from plumbrise.elements.worked import Input, Sheet, Worked
from plumbrise.errors import InputError, InputErrors

FACTORS = {Trust.HANDBOOK: 1.02, Trust.COMMON_PRACTICE: 1.2, Trust.GUESS: 1.5}
"""How far an assumed value may be off either way, about nineteen times out of twenty, unless the
calculator says otherwise of that input (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Range:
    """From where to where a figure may lie, and the input that moves it most."""

    low: float
    high: float
    mostly: Input


@dataclass(frozen=True, slots=True)
class Doubt:
    """Ranges by the name of the sum, for those that an assumed input moves; and the assumed
    inputs that, off as far as they may be, turn a verdict round."""

    ranges: Mapping[str, Range]
    hangs_on: tuple[Input, ...]


def doubt(sheet: Sheet) -> Doubt:
    """Work the sheet again with each assumed number as far off as it may be, one at a time.

    What they do to a figure is added as the root of the sum of squares, upwards and downwards
    apart. Words and counts are taken as they are; what was given is taken as exact.

    Source:
        GUM (JCGM 100:2008) 5.1.2, with differences in the place of derivatives (5.1.3, note 2).
    """
    found = {
        s.name: s.value
        for s in sheet.worked.sums
        if isinstance(s.value, int | float) and isfinite(s.value)
    }
    seen: dict[str, list[tuple[float, Input]]] = {name: [] for name in found}
    hangs_on = []
    for one in sheet.used:
        turned = False
        for moved in _moved(sheet, one):
            turned |= _answers(moved) != _answers(sheet.worked)
            for line in moved.sums:
                if isinstance(line.value, str) or line.name not in found:
                    continue
                if line.value != found[line.name]:
                    seen[line.name].append((line.value, one))
        if turned:
            hangs_on.append(one)
    ranges = {name: _range(found[name], moved) for name, moved in seen.items() if moved}
    return Doubt(ranges, tuple(hangs_on))


def _range(value: float, moved: list[tuple[float, Input]]) -> Range:
    """From what one input at a time makes of a figure. One that keeps its sign is taken by its
    ratios: a stiffness that may halve or double never comes out below zero."""
    _, mostly = max(moved, key=lambda one: abs(one[0] - value))
    if all(other * value > 0 for other, _ in moved):
        logs = [log(other / value) for other, _ in moved]
        ends = (value * exp(-_root(logs, -1)), value * exp(_root(logs, 1)))
    else:
        steps = [other - value for other, _ in moved]
        ends = (value - _root(steps, -1), value + _root(steps, 1))
    return Range(min(ends), max(ends), mostly)


def _root(steps: list[float], side: int) -> float:
    """Root of the sum of squares of the steps to one side."""
    return hypot(*(step for step in steps if step * side > 0))


def _moved(sheet: Sheet, one: Input) -> Iterator[Worked]:
    """The sheet with an assumed number larger and smaller, as far as its limits go."""
    asked, value = one.asked, one.value
    if one.trust not in FACTORS or asked.whole or not isinstance(value, int | float):
        return
    if asked.name.startswith("allowed_"):  # what is wanted, not what is
        return
    values = {other.asked.name: other.value for other in sheet.inputs}
    factor = asked.factor or FACTORS[one.trust]
    for other in (value * factor, value / factor):
        held = min(max(other, _or(asked.low, other)), _or(asked.high, other))
        try:
            yield sheet.calculator.work(Given({**values, asked.name: held}))
        except (InputError, InputErrors):  # it does not go together with the rest
            continue


def _or(limit: float | None, value: float) -> float:
    return value if limit is None else limit


def _answers(worked: Worked) -> tuple[bool | None, ...]:
    return tuple(verdict.holds for verdict in worked.verdicts)
