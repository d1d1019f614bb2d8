"""A staircase after a home from above: what it loses, how soon, and what is left of a step."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, inf, isfinite, sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.budget import GaugeDoubt, cannot, figure, noise_sd, scatter_part
from plumbrise.analyse.lines import Line, curvature, fit_line
from plumbrise.analyse.proportion import PAST_TAKE_UP_MM, WRONG_BY
from plumbrise.analyse.results import CannotTell, Figure, Part
from plumbrise.analyse.statistics import sample, widening
from plumbrise.quantity import Unit, student_factor

Array = NDArray[np.float64]
Found = list[Figure | CannotTell]

FIRST_STEPS_MM = 0.5
SHORTFALLS_AFTER_MM = (1.0, 2.0)
TAKEN_UP = 0.95
JOINS_AT = 0.995
"""A reading joins the settled part unless it leaves this prediction interval."""
BENT_P = 0.05
"""Nor is a part settled that is bent still, as sure as that."""
GAIN_BAND = 0.1
"""A gain further than this from 1 over the last third is take-up still, no error of a screw."""
FEWEST_SETTLED = 3
FEWEST_TO_SETTLE = 5
"""A line through fewer readings takes in the knee without its scatter showing it."""
FAILURES = 2
"""So many readings in a row that do not join end the settled part; one alone may be chance."""


@dataclass(frozen=True, slots=True)
class Settled:
    """The settled part of a staircase: from which reading on, its line reading = gain·(told - x0),
    and whether the run did settle at all."""

    start: int
    line: Line
    did: bool
    widened: float

    @property
    def lost_mm(self) -> float:
        """x0: where the line meets reading 0."""
        return -self.line.intercept / self.line.slope


def settled_part(told: Array, read: Array, resolution_mm: float) -> Settled | None:
    """Where a staircase has settled; None with fewer than three readings after the first.

    Starting from the last third, readings further down join as long as each lies where the line
    through those after it predicts it, and the gain over the rest stays within its own 95 %
    interval of the gain of the last third. The first reading never joins: it is the zero.

    Args:
        told: told rise, from 0, rising.
        read: rise read, from 0.
        resolution_mm: display step; no scatter is taken to be less than it allows.
    """
    n = len(told)
    third = max(FEWEST_SETTLED, -(-n // 3))
    if n - 1 < third:
        return None
    last = fit_line(told[-third:], read[-third:])
    floor = max(resolution_mm / sqrt(12), noise_sd(read - told, 0.0) * 0.5)
    start = candidate = n - third
    while candidate > 1 and start - candidate < FAILURES:
        candidate -= 1
        if _joins(told[candidate:], read[candidate:], last, floor):
            start = candidate
    line = fit_line(told[start:], read[start:])
    rest = read[start:] - line.intercept - line.slope * told[start:]
    near_one = abs(line.slope - 1) <= GAIN_BAND
    joined = (start < n - third or n - third <= 1) and n - start >= FEWEST_TO_SETTLE
    wide = widening(sample(list(rest)).lag1, len(rest))
    short = told[-1] - told[0] < PAST_TAKE_UP_MM and _still_loses(line, wide)
    return Settled(start, line, joined and near_one and not short, wide)


def _still_loses(line: Line, widened: float) -> bool:
    """Whether the steps come up short by clearly more than a screw or a gauge may err."""
    return line.slope + student_factor(line.dof) * line.u_slope * widened < 1 - WRONG_BY


def _joins(told: Array, read: Array, last: Line, floor: float) -> bool:
    """Whether the first of these readings belongs to one line with all after it."""
    after = fit_line(told[1:], read[1:])
    sd = max(after.sd, floor)
    shape = hypot(after.u_at(told[0]) / after.sd, 1.0) if after.sd > 0 else 1.3
    reach = student_factor(max(after.dof, 4), JOINS_AT) * sd * shape
    if abs(read[0] - after.at(told[0])) > reach:
        return False
    wider = fit_line(told, read)
    least = floor / sqrt(float(((told - wider.centre) ** 2).sum()))
    own = student_factor(wider.dof) * max(wider.u_slope, least)
    if abs(wider.slope - last.slope) > own + student_factor(last.dof) * last.u_slope:
        return False
    bent = curvature(told, read)
    return bent is None or bent.p >= BENT_P or wider.sd <= floor


def staircase(told: Array, lag: Array, gauge: GaugeDoubt, *, gains: bool) -> Found:
    """All figures of a staircase.

    Args:
        told: told rise of each reading, from 0 at the first.
        lag: how far each reading stays behind, 0 at the first.
        gauge: what the gauge adds.
        gains: whether the station follows the command, so that a step gain has a meaning.
    """
    read = told - lag
    part = settled_part(told, read, gauge.resolution_mm)
    noise = _noise(part, gauge)
    found: Found = _shortfalls(told, lag, gauge, noise)
    if part is None:
        why = f"3 readings after the first are wanted, {max(len(told) - 1, 0)} are there."
        need = "Go on with the same steps until the last ones come up in full."
        found += [cannot("lost_motion", why, need), cannot("take_up", why, need)]
        return found + ([cannot("step_gain", why, need, "settled")] if gains else [])
    lost = _lost_motion(told, lag, part, gauge, noise)
    found = [lost, _take_up(told, lag, part, lost, noise), *found]
    return found + (_gains(told, read, part, gauge, noise) if gains else [])


@dataclass(frozen=True, slots=True)
class _Noise:
    sd: float
    dof: float


def _noise(part: Settled | None, gauge: GaugeDoubt) -> _Noise:
    least = gauge.resolution_mm / sqrt(12)
    if part is not None and part.did and part.line.dof > 0 and isfinite(part.line.sd):
        return _Noise(max(part.line.sd, least), part.line.dof)
    return _Noise(max(least, gauge.limits.repeatability_mm / sqrt(3)), inf)


def _zero(noise: _Noise, gauge: GaugeDoubt) -> Part:
    return gauge.one_reading(noise.sd, noise.dof, "scatter of the first reading, the zero")


def _lost_motion(
    told: Array, lag: Array, part: Settled, gauge: GaugeDoubt, noise: _Noise
) -> Figure:
    line = part.line
    if not part.did:
        parts = [
            _zero(noise, gauge),
            gauge.one_reading(noise.sd, noise.dof, "scatter of the last reading"),
            gauge.place(told[-1] - told[0]),
            gauge.stand(),
        ]
        return figure("lost_motion", lag[-1], parts, at_least=True)
    x0, gain = part.lost_mm, line.slope
    tail = abs(x0 - float(lag[part.start :].mean()))
    u_line = line.u_at(x0) / gain * part.widened
    scatter = scatter_part(
        "scatter about the settled line", u_line, max(1.0, line.dof / part.widened**2)
    )
    parts = [
        _zero(noise, gauge),
        *gauge.averaged(scatter, line.sd),
        Part("gain of the line: scale error, or take-up not ended yet", tail / sqrt(3), inf, "B"),
        gauge.place(told[part.start] - told[0]),
        gauge.stand(),
    ]
    return figure("lost_motion", x0, parts)


def _take_up(
    told: Array, lag: Array, part: Settled, lost: Figure, noise: _Noise
) -> Figure | CannotTell:
    if lost.at_least:
        return cannot(
            "take_up",
            "the staircase ended before it settled.",
            "Repeat it with twice the number of steps.",
        )
    if not lost.value.value > lost.value.expanded:
        return cannot(
            "take_up",
            "the loss is within its own uncertainty, so there is no distance to give.",
            "A finer gauge, or finer steps, would tell.",
        )
    clean = told - (told - lag) / part.line.slope
    goal = TAKEN_UP * part.lost_mm
    below = np.nonzero(clean[: part.start + 1] < goal)[0]
    last = int(below[-1]) if len(below) else 0
    if last + 1 >= len(told):
        last = len(told) - 2
    rise = clean[last + 1] - clean[last]
    step = told[last + 1] - told[last]
    share = min(1.0, max(0.0, (goal - clean[last]) / rise)) if rise > 0 else 0.5
    slope = max(rise / step, 1e-9)
    parts = [
        Part("distance between two readings", step / sqrt(12), inf, "B"),
        scatter_part("scatter of the readings there", min(noise.sd / slope, step), noise.dof),
        Part(
            "from the lost motion", min(TAKEN_UP * lost.value.u / slope, step), lost.value.dof, "A"
        ),
    ]
    return figure("take_up", told[last] + share * step, parts)


def _shortfalls(told: Array, lag: Array, gauge: GaugeDoubt, noise: _Noise) -> Found:
    found: Found = []
    for after in SHORTFALLS_AFTER_MM:
        detail = f"after {after:g} mm"
        if len(told) < 2 or told[-1] < after - 1e-6:
            reach = told[-1] if len(told) else 0.0
            found.append(
                cannot(
                    "shortfall",
                    f"the readings end at {reach:g} mm.",
                    f"Go on to {after:g} mm.",
                    detail,
                )
            )
            continue
        value = float(np.interp(after, told, lag))
        found.append(figure("shortfall", value, _two(after, gauge, noise), detail=detail))
    if len(told) > 1:
        rise = float(told[-1])
        parts = _two(rise, gauge, noise)
        found.append(figure("shortfall", lag[-1], parts, detail="end", at_mm=rise))
    return found


def _two(apart: float, gauge: GaugeDoubt, noise: _Noise) -> list[Part]:
    return [
        _zero(noise, gauge),
        gauge.one_reading(noise.sd, noise.dof, "scatter of the reading there"),
        gauge.place(apart),
        gauge.stand(),
    ]


def _gains(told: Array, read: Array, part: Settled, gauge: GaugeDoubt, noise: _Noise) -> Found:
    found: Found = []
    early = np.nonzero((told > 1e-9) & (told <= FIRST_STEPS_MM + 1e-6))[0]
    if len(early):
        end = int(early[-1])
        rise = float(told[end])
        parts = [
            Part(p.words, p.u / rise, p.dof, p.kind)
            for p in (
                _zero(noise, gauge),
                gauge.one_reading(noise.sd, noise.dof, "scatter of the reading there"),
                gauge.place(rise),
            )
        ]
        found.append(
            figure("step_gain", read[end] / rise, parts, unit=Unit.RATIO, detail="first steps")
        )
    else:
        found.append(
            cannot(
                "step_gain",
                "no reading within the first 0.5 mm.",
                "Step by 0.1 mm after a home from above.",
                "first steps",
            )
        )
    line = part.line
    if part.did and line.dof > 0:
        span = float(told[-1] - told[part.start])
        place = gauge.place(span)
        floor = gauge.resolution_mm / sqrt(12) / max(span, 1e-9)
        parts = [
            scatter_part(
                "scatter about the settled line", max(line.u_slope * part.widened, floor), line.dof
            ),
            Part(place.words, place.u / span, place.dof, place.kind),
        ]
        found.append(figure("step_gain", line.slope, parts, unit=Unit.RATIO, detail="settled"))
    else:
        found.append(
            cannot(
                "step_gain",
                "the staircase ended before it settled.",
                "Repeat it with twice the number of steps.",
                "settled",
            )
        )
    return found
