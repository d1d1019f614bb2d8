"""The value that a session gives for every figure, and how far it differs from day to day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf, sqrt
from typing import TypeGuard

from plumbrise.analyse import Figure
from plumbrise.machine import Machine, known
from plumbrise.machine.stations import LINK_STATIONS, STATIONS
from plumbrise.prove.prints import PRINT, print_figures
from plumbrise.prove.repeats import home_sd, homings_mm, repeats_sd, starts_badly
from plumbrise.prove.results import Stage
from plumbrise.quantity import Measured, Unit, combined
from plumbrise.readings import KINDS
from plumbrise.readings.kinds import REPEAT_HOME

HOME_SD = "home_sd"
DAY_SHARE = 0.08
"""By what share of itself a figure that comes from drag differs from one day to another on the
same machine (standard uncertainty; common practice, no source)."""
FROM_DRAG = ("lost_motion", "shortfall", "far_side_lag", "side_difference")
HOME_U_MM = 0.006
"""How far homing differs from one time to the next where nobody read it (standard uncertainty;
common practice, no source). Steps begin at a home, so it is in what they say is lost."""
SETTING_U = 0.0012
"""How a gauge set up anew differs in scale: a tilt of 3° (standard uncertainty, a guess)."""
PRINT_OFF, PRINT_SPREAD = "print_off", "print_spread"

Key = tuple[str, str, str, str]
"""Kind of test, station, figure, detail."""


@dataclass(frozen=True, slots=True)
class Given:
    """A figure of a session, the mean of the runs that gave it. `at_least` where one of them had
    not settled; `sample` is what a scatter was worked out from, where it is at hand; `rise_mm` the
    told rise at which a shortfall was read."""

    key: Key
    value: Measured
    runs: tuple[str, ...]
    at_least: bool = False
    sample: tuple[float, ...] = ()
    rise_mm: float = 0.0


TOO_WIDE_MM = 0.2
"""A loss known no better than this tells nothing of a desktop machine (judgement)."""


def usable(given: Given | None) -> TypeGuard[Given]:
    """Whether a figure is told outright, and not so widely that another source tells it better."""
    if given is None or given.at_least:
        return False
    return given.value.unit is not Unit.MM or given.value.expanded <= TOO_WIDE_MM


def figures_of(stage: Stage, skip_first: bool | None = None) -> dict[Key, Given]:
    """The figures of a session by test, station, name and detail.

    Where several runs of one test at one station give a figure, their mean is taken; its
    uncertainty is that of the scatter between them or of the single ones, whichever is more.

    Args:
        stage: the session.
        skip_first: leave the first cycle of a full-travel test out of its repeats; None decides
            by this session alone.
    """
    found: dict[Key, list[tuple[str, Figure]]] = {}
    for key, run, figure in (*_analysed(stage), *_repeats(stage, skip_first), *_printed(stage)):
        found.setdefault(key, []).append((run, figure))
    given = {key: _mean(key, values) for key, values in found.items()}
    return given | {one.key: one for one in _homings(stage)} | _print_spreads(stage)


def begins_badly(stage: Stage) -> bool:
    """Whether the first cycle of any full-travel test is one of its own."""
    return any(starts_badly(one) for one in stage.analysis.runs)


def place(machine: Machine, station: str) -> str:
    """A station named the same on machines with one screw and with several."""
    if station in LINK_STATIONS and len(machine.screw_sides) == 1:
        return f"{station}-{machine.screw_sides[0]}"
    return station


def _analysed(stage: Stage) -> Iterator[tuple[Key, str, Figure]]:
    analysis, machine = stage.analysis, stage.machine
    for one in analysis.runs:
        station = place(machine, one.run.station.id)
        for figure in one.figures:
            yield (one.run.kind.id, station, figure.name, figure.detail), one.run.name, figure
    runs = {one.run.name: one.run for one in analysis.runs}
    for both in analysis.between:
        if isinstance(both.figure, Figure):
            kind = runs[both.runs[0]].kind.id
            station = place(machine, runs[both.runs[-1]].station.id)
            yield (kind, station, both.figure.name, both.figure.detail), "", both.figure


def _repeats(stage: Stage, skip_first: bool | None) -> Iterator[tuple[Key, str, Figure]]:
    for one in stage.analysis.runs:
        if one.run.kind.id != "full-travel":
            continue
        skip = starts_badly(one) if skip_first is None else skip_first
        value = repeats_sd(one, skip_first=skip, resolution_mm=_resolution_mm(stage))
        if value is not None:
            key = ("full-travel", place(stage.machine, one.run.station.id), "repeats_sd", "")
            yield key, one.run.name, Figure("repeats_sd", value)


def _homings(stage: Stage) -> Iterator[Given]:
    """The spread of homings, all repeat-home tests of one place together."""
    found: dict[str, list[tuple[float, ...]]] = {}
    for one in stage.analysis.runs:
        if one.run.kind is REPEAT_HOME:
            station = place(stage.machine, one.run.station.id)
            found.setdefault(station, []).append(homings_mm(one))
    for station, places in found.items():
        sample = tuple(mm for some in places for mm in some)
        value = home_sd(sample, _resolution_mm(stage))
        if value is not None:
            yield Given((REPEAT_HOME.id, station, HOME_SD, ""), value, (), sample=sample)


def _resolution_mm(stage: Stage) -> float:
    return float(known(stage.machine, "gauge.resolution_mm").value)


def _printed(stage: Stage) -> Iterator[tuple[Key, str, Figure]]:
    for one in print_figures(stage.prints):
        key = (PRINT, one.place, PRINT_OFF, one.what)
        yield key, "", Figure(PRINT_OFF, one.off, one.what)


def _print_spreads(stage: Stage) -> dict[Key, Given]:
    return {
        (PRINT, one.place, PRINT_SPREAD, one.what): Given(
            (PRINT, one.place, PRINT_SPREAD, one.what), one.spread, (), sample=one.errors_mm
        )
        for one in print_figures(stage.prints)
        if one.spread is not None
    }


def _mean(key: Key, values: list[tuple[str, Figure]]) -> Given:
    names = tuple(name for name, _ in values)
    at_least = any(figure.at_least for _, figure in values)
    rise_mm = max(figure.at_mm or 0.0 for _, figure in values)
    measured = [figure.value for _, figure in values]
    if len(measured) == 1:
        return Given(key, measured[0], names, at_least, rise_mm=rise_mm)
    count = len(measured)
    numbers = [v.value for v in measured]
    mean = sum(numbers) / count
    between = sqrt(sum((x - mean) ** 2 for x in numbers) / (count - 1) / count)
    within, dof = combined([(v.u / count, v.dof) for v in measured])
    u, free = (between, float(count - 1)) if between > within else (within, dof)
    value = Measured(mean, u, measured[0].unit, free)
    return Given(key, value, names, at_least, rise_mm=rise_mm)


def homing(*sessions: Mapping[Key, Given]) -> tuple[float, float]:
    """How far one homing differs from another, mm, with its degrees of freedom: the widest that
    was read, else what is usual."""
    read = [
        (given.value.value, given.value.dof)
        for figures in sessions
        for (_, _, name, _), given in figures.items()
        if name == HOME_SD
    ]
    return max(read, default=(HOME_U_MM, inf))


def off(given: Given, home: tuple[float, float]) -> Measured:
    """How far a figure is from perfect, with what differs from day to day. Where the gauge sees
    the told motion, the homing that a test begins with is in it too; in what was short at a told
    rise, and in a scale, how the gauge was set up."""
    kind, station, name, _ = given.key
    value = given.value
    parts = [(value.u, value.dof)]
    if name in FROM_DRAG:
        parts.append((DAY_SHARE * abs(value.value), inf))
        if KINDS[kind].homes and STATIONS[station].follows_command:
            parts.append((home[0] / sqrt(max(len(given.runs), 1)), home[1]))
    if name == "scale_error":
        parts.append((SETTING_U, inf))
    if name == "shortfall":
        parts.append((SETTING_U * given.rise_mm, inf))
    u, dof = combined(parts)
    return Measured(abs(value.value), u, value.unit, dof)


def ends_of_machine(machine: Machine) -> tuple[str, ...]:
    """The stations of all ends of the moving part, read or not.

    Example:
        >>> from plumbrise.machine import blank
        >>> ends_of_machine(blank("three-screw-bed"))
        ('bed-left', 'bed-right', 'bed-back')
    """
    arrangement = machine.arrangement
    return tuple(f"{arrangement.body}-{end}" for end in arrangement.ends)


def ends_of_body(stations: set[str]) -> list[str]:
    """Which of these stations are ends of the moving part."""
    return sorted(
        name
        for name in stations
        if name in STATIONS
        and STATIONS[name].side is not None
        and STATIONS[name].follows_command
        and STATIONS[name].link_station not in LINK_STATIONS
    )
