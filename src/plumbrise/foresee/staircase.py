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
from plumbrise.explain.noise import first_level
from plumbrise.explain.witness import BREATH
from plumbrise.foresee.heights import PART, Heights, part_weights, told_of, with_part
from plumbrise.foresee.model_error import model_error
from plumbrise.foresee.printing import Lift, Print, Start, fits_under
from plumbrise.machine import Machine, known
from plumbrise.readings import Readings, scale_of
from plumbrise.readings.kinds import STEP_KINDS

Array = NDArray[np.float64]


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
    spread = first_level(scale.resolution_mm).sigma_mm
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
    where all were. Beyond its last reading a staircase counts as lost no further. Guides drag a
    little more or less on the day of the print, and so they did when the staircase was read.

    Raises:
        InputError: a place outside the guides; a print higher than the axis goes.
    """
    fits_under(job, float(known(machine, "travel.height_mm").value))
    ends = [end for end in machine.arrangement.ends if end in read]
    lost = [_lost(read[end], rng, count) for end in ends]
    another = [one * np.exp(sqrt(2) * BREATH * rng.standard_normal((count, 1))) for one in lost]
    usual = np.stack([_end(read[e], one, job) for e, one in zip(ends, lost, strict=True)], axis=2)
    real = np.stack([_end(read[e], one, job) for e, one in zip(ends, another, strict=True)], axis=2)
    places = tuple(ends)
    if len(ends) == len(machine.arrangement.ends):
        span = float(known(machine, "guide.span_mm").value)
        weights = part_weights(len(ends), span, job)
        usual, real = with_part(usual, weights), with_part(real, weights)
        places = (*places, PART)
    most = max(max(one.lost_mm) for one in read.values())
    taken_up = np.full((count, len(places)), most)
    foretold = real + model_error(told_of(job), taken_up, rng)[..., None]
    return Heights(job, places, foretold, real, usual)


def _lost(read: Staircase, rng: np.random.Generator, count: int) -> Array:
    """What may have been lost at each reading, (draws, readings): nothing at the first."""
    noise = read.spread_mm * rng.standard_normal((count, len(read.lost_mm)))
    return np.asarray(np.array(read.lost_mm) + noise - noise[:, :1])


def _end(read: Staircase, lost: Array, job: Print) -> Array:
    """(draws, layers, 2): first bead of each layer, and one after a lift."""
    told = told_of(job)

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
