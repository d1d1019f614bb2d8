"""From what a station did to what stands in the table: gauge, stand and person."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import pi
from typing import Any

import numpy as np

from plumbrise.demo.draws import Draws
from plumbrise.demo.session import Happened
from plumbrise.demo.true_axis import Axis
from plumbrise.machine import known
from plumbrise.readings import Reading, Readings

Array = np.ndarray[Any, np.dtype[np.float64]]


def dial_path(axis: Axis, done: Happened, number: int, draws: Draws) -> Array:
    """What the dial shows after every move of a run before stand and person, mm.

    The plunger hangs back (a play operator), a tilted gauge scales the way.
    """
    gauge = axis.gauge
    tilt = gauge.tilt * (1.0 + gauge.tilt_differs * float(draws.run[number, 0]))
    shown = np.empty_like(done.path_mm)
    at = done.path_mm[0]
    for i, place in enumerate(done.path_mm):
        at = min(max(at, place - gauge.stick_mm), place + gauge.stick_mm)
        shown[i] = at * (1.0 + tilt)
    return shown


def written_down(axis: Axis, session: Sequence[Happened], draws: Draws) -> Readings:
    """The table of readings that the person at this axis writes."""
    first = 0
    runs = []
    for number, done in enumerate(session):
        count = len(done.run.readings)
        dial = dial_path(axis, done, number, draws)[list(done.read_at)]
        dial = _on_the_stand(axis, dial, done.time_s, number, first, draws)
        values = _by_the_person(axis, dial, number, first, draws)
        readings = tuple(
            _row(reading, value, done, i)
            for i, (reading, value) in enumerate(zip(done.run.readings, values, strict=True))
        )
        runs.append(replace(done.run, readings=readings))
        first += count
    return Readings(tuple(runs))


def _on_the_stand(
    axis: Axis, dial: Array, time_s: Array, number: int, first: int, draws: Draws
) -> Array:
    gauge = axis.gauge
    rows = slice(first, first + len(dial))
    minutes = np.diff(time_s, prepend=time_s[0]) / 60.0
    drift = np.cumsum(gauge.stand_drift_mm_per_sqrt_min * np.sqrt(minutes) * draws.stand[rows])
    zeroed = dial - dial[0] + 0.002 * draws.run[number, 1]
    turn = 2 * pi * (zeroed / gauge.dial_turn_mm) + 2 * pi * draws.run[number, 2]
    shown = zeroed + gauge.dial_error_mm * np.sin(turn) + drift
    return np.asarray(shown + gauge.contact_scatter_mm * draws.contact[rows])


def _by_the_person(
    axis: Axis, dial: Array, number: int, first: int, draws: Draws
) -> list[float | None]:
    person = axis.person
    resolution = float(known(axis.machine, "gauge.resolution_mm").value)
    wrap = axis.machine.gauge.wrap_mm
    rows = slice(first, first + len(dial))
    slant = person.parallax_mm * np.sin(2 * pi * dial + 2 * pi * draws.run[number, 3])
    seen = dial + slant + person.scatter_mm * draws.person[rows]
    bump_at = _bump(axis, len(dial), first, draws)
    if bump_at is not None:
        size = 0.03 + 0.06 * abs(draws.run[number, 5])
        seen[bump_at:] += size if draws.run[number, 5] > 0 else -size
    values: list[float | None] = []
    for i, value in enumerate(seen):
        chance, which, way, skip = draws.slips[first + i]
        rounded = round(value / resolution) * resolution
        if i > 0 and chance < person.misreads:
            rounded = _misread(rounded, which, way)
        if wrap is not None:
            rounded %= wrap
        gone = i > 0 and skip < person.skips
        values.append(None if gone else round(rounded, 6) + 0.0)
    return values


def _bump(axis: Axis, count: int, first: int, draws: Draws) -> int | None:
    """At which reading the gauge is knocked, if it is."""
    if count < 6:
        return None
    chance, place = draws.slips[first, 0], draws.slips[first, 1]
    return 2 + int(place * (count - 3)) if chance < axis.person.bumps else None


def _misread(value: float, which: float, way: float) -> float:
    """A whole turn of the dial, a tenth, or the sign."""
    step = 1.0 if way > 0.5 else -1.0
    if which < 0.5:
        return value + step
    if which < 0.8:
        return value + 0.1 * step
    return -value


def _row(reading: Reading, value: float | None, done: Happened, i: int) -> Reading:
    torque = round(done.torque_nmm[i], 1) if done.torque_nmm else None
    return replace(
        reading,
        reading_mm=None if torque is not None else value,
        torque_nmm=torque,
        time_s=round(float(done.time_s[i]), 0),
        temp_c=round(float(done.temp_c[i]), 1),
    )
