"""Heights of a print straight from a staircase that was read, without a model of the axis.

A staircase homes, which leaves the axis in the state of having come down, and then rises. What it
lost after each rise is what a print loses that rises as far from a turn of the same kind.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse import RunAnalysis, analyse
from plumbrise.foresee.heights import PART, Heights, part_weights, told_of
from plumbrise.foresee.model_error import model_error
from plumbrise.foresee.printing import Lift, Print, Start
from plumbrise.machine import Machine, known
from plumbrise.readings import Readings, scale_of
from plumbrise.readings.kinds import STEP_KINDS

Array = NDArray[np.float64]

HAND_MM = 0.002
"""Scatter of a hand-read gauge over its resolution (a guess)."""


@dataclass(frozen=True, slots=True)
class Staircase:
    """What one end lost (mm) after rising so far from home, and the spread of one reading."""

    end: str
    risen_mm: tuple[float, ...]
    lost_mm: tuple[float, ...]
    spread_mm: float


def staircases(machine: Machine, readings: Readings) -> dict[str, Staircase]:
    """The best staircase of each end, by end; none for an end that was not read so."""
    found: dict[str, Staircase] = {}
    scale = scale_of(machine)
    spread = sqrt(scale.resolution_mm**2 / 12 + HAND_MM**2)
    for one in analyse(readings, scale).runs:
        end, run = one.run.station.side, one.run
        if run.kind not in STEP_KINDS or run.axis != "up" or end not in machine.arrangement.ends:
            continue
        if run.station.link_station != run.station.id or not run.follows_command:
            continue
        made = _staircase(one, end, spread)
        if made and (end not in found or len(made.risen_mm) > len(found[end].risen_mm)):
            found[end] = made
    return found


def _staircase(one: RunAnalysis, end: str, spread_mm: float) -> Staircase | None:
    """The rise of a run from its first reading on, up to where it turns."""
    risen, lost = [0.0], [0.0]
    first: tuple[float, float] | None = None
    for reading, value in zip(one.run.readings, one.mended_mm, strict=True):
        if first is not None and reading.approach != "up":
            break
        if value is None:
            continue
        if first is None:
            first = reading.target_mm, value
            continue
        rise = reading.target_mm - first[0]
        if rise > risen[-1]:
            risen.append(rise)
            lost.append(rise - (value - first[1]))
    if len(risen) < 3:
        return None
    return Staircase(end, tuple(risen), tuple(lost), spread_mm)


def heights_from(
    machine: Machine,
    read: Mapping[str, Staircase],
    job: Print,
    rng: np.random.Generator,
    count: int,
) -> Heights:
    """Heights of a print from staircases: at the ends that were read, and at the part's place
    where all were. Beyond its last reading a staircase counts as lost no further.

    Raises:
        InputError: a place outside the guides.
    """
    ends = [end for end in machine.arrangement.ends if end in read]
    made = np.stack([_end(read[end], job, rng, count) for end in ends], axis=2)
    places = tuple(ends)
    if len(ends) == len(machine.arrangement.ends):
        span = float(known(machine, "guide.span_mm").value)
        part = np.einsum("dleb,e->dlb", made, part_weights(len(ends), span, job))
        made = np.concatenate([made, part[:, :, None]], axis=2)
        places = (*places, PART)
    most = max(max(one.lost_mm) for one in read.values())
    taken_up = np.full((count, len(places)), most)
    foretold = made + model_error(told_of(job), taken_up, rng)[..., None]
    return Heights(job, places, foretold, made, made)


def _end(read: Staircase, job: Print, rng: np.random.Generator, count: int) -> Array:
    """(draws, layers, 2): first bead of each layer, and one after a lift."""
    noise = read.spread_mm * rng.standard_normal((count, len(read.lost_mm)))
    lost = np.array(read.lost_mm) + noise - noise[:, :1]
    told = np.array([job.told_mm(k) for k in range(1, job.layers + 1)])

    def after(rise: Array) -> Array:
        return np.stack([np.interp(rise, read.risen_mm, one) for one in lost])

    turned = {Start.DOWN: told[0], Start.UP: 0.0, Start.DIP: job.dip_to_mm}[job.start]
    rising = after(told - turned)
    if job.lift is Lift.NONE:
        return np.repeat((told - rising)[:, :, None], 2, axis=2)
    # what a lift and the way back down leave of the loss; nothing where it is long enough
    left = np.maximum(after(told[-1:]) - after(np.array([job.lift_mm])), 0.0)
    lifted = np.minimum(left, rising) * np.ones_like(rising)
    if job.lift is Lift.EVERY:
        behind = np.concatenate([rising[:, :1], lifted[:, 1:]], axis=1)
        return np.repeat((told - behind)[:, :, None], 2, axis=2)
    step = after(np.array([job.layer_mm]))
    first = np.concatenate([rising[:, :1], np.minimum(lifted[:, 1:] + step, rising[:, 1:])], axis=1)
    return np.stack([told - first, told - lifted], axis=2)
