"""Which figures are judged, and the value that a session gives for each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf, sqrt

from plumbrise.analyse import Analysis, Figure
from plumbrise.quantity import Measured, combined
from plumbrise.readings import KINDS

JUDGED = (
    "lost_motion",
    "far_side_lag",
    "side_difference",
    "home_range",
    "once_per_turn",
    "full_step_pattern",
    "compliance",
    "scale_error",
    "drift",
)
"""Figures that a verdict is given for: each says something of its own. Others follow from them."""
HOME_SD = "home_sd"
DAY_SHARE = 0.08
"""By what share of itself a figure that comes from drag differs from one day to another on the
same machine (standard uncertainty; common practice, no source)."""
FROM_DRAG = ("lost_motion", "far_side_lag", "side_difference")
HOME_U_MM = 0.006
"""How far homing differs from one time to the next where nobody read it (standard uncertainty;
common practice, no source). Steps begin at a home, so it is in what they say is lost."""
SETTING_U = 0.0012
"""How a gauge set up anew differs in scale: a tilt of 3° (standard uncertainty, a guess)."""

Key = tuple[str, str, str, str]
"""Kind of test, station, figure, detail."""


@dataclass(frozen=True, slots=True)
class Given:
    """A figure of a session, the mean of the runs that gave it."""

    key: Key
    value: Measured
    runs: tuple[str, ...]


def figures_of(analysis: Analysis) -> dict[Key, Given]:
    """The judged figures of a session by test, station, name and detail.

    Where several runs of one test at one station give a figure, their mean is taken; its
    uncertainty is that of the scatter between them or of the single ones, whichever is more.
    """
    found: dict[Key, list[tuple[str, Measured]]] = {}
    for key, run, figure in _all(analysis):
        if figure.name in (*JUDGED, HOME_SD) and not figure.at_least:
            found.setdefault(key, []).append((run, figure.value))
    return {key: _mean(key, values) for key, values in found.items()}


def _all(analysis: Analysis) -> Iterator[tuple[Key, str, Figure]]:
    for one in analysis.runs:
        for figure in one.figures:
            key = (one.run.kind.id, one.run.station.id, figure.name, figure.detail)
            yield key, one.run.name, figure
    runs = {one.run.name: one.run for one in analysis.runs}
    for both in analysis.between:
        if isinstance(both.figure, Figure):
            kind = runs[both.runs[0]].kind.id
            station = runs[both.runs[-1]].station.id
            yield (kind, station, both.figure.name, both.figure.detail), "", both.figure


def _mean(key: Key, values: list[tuple[str, Measured]]) -> Given:
    names = tuple(name for name, _ in values)
    if len(values) == 1:
        return Given(key, values[0][1], names)
    count = len(values)
    numbers = [v.value for _, v in values]
    mean = sum(numbers) / count
    between = sqrt(sum((x - mean) ** 2 for x in numbers) / (count - 1) / count)
    within, dof = combined([(v.u / count, v.dof) for _, v in values])
    u, free = (between, float(count - 1)) if between > within else (within, dof)
    return Given(key, Measured(mean, u, values[0][1].unit, free), names)


def home_u_mm(figures: Mapping[Key, Given]) -> float:
    """How far one homing differs from another in this session: as read, never less than taken."""
    read = [g.value.value for (_, _, name, _), g in figures.items() if name == HOME_SD]
    return max([HOME_U_MM, *read])


def off(given: Given, home_mm: float) -> Measured:
    """How far a figure is from perfect, with what differs from day to day."""
    kind, _, name, _ = given.key
    value = given.value
    parts = [(value.u, value.dof)]
    if name in FROM_DRAG:
        parts.append((DAY_SHARE * abs(value.value), inf))
        if KINDS[kind].homes:
            parts.append((home_mm / sqrt(len(given.runs)), inf))
    if name == "scale_error":
        parts.append((SETTING_U, inf))
    u, dof = combined(parts)
    return Measured(abs(value.value), u, value.unit, dof)
