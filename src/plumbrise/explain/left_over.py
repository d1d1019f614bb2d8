"""What no cause explains: how much is left over, where, and in what shape."""

from __future__ import annotations

import numpy as np

from plumbrise.explain.remains import Remains, remains_of
from plumbrise.explain.results import RunFit, Unexplained
from plumbrise.explain.search import Found
from plumbrise.explain.shapes import signs_of
from plumbrise.explain.witness import set_aside

AMOUNT, AMOUNT_OF_RUN = 1.7, 3.0
"""Left over by what was expected, in all and in the worst run: from here on there is something
else."""
AMOUNT_OF_CLAMP = 4.0
"""The same where a clamp sinks in fits and starts."""
FEWEST = 12


def left_over(found: Found) -> tuple[tuple[RunFit, ...], Unexplained]:
    """Read beside computed for every run, and what no cause explains: more than gauge, hand and a
    model that errs by its usual share would leave, or a shape that no cause has."""
    left = remains_of(found)
    return _fits(found, left), judged(left)


def judged(left: Remains) -> Unexplained:
    """The verdict on what is left over."""
    square, allowed, counted = 0.0, 0.0, 0
    worst, worst_size = "", 0.0
    for run, bound in zip(left.runs, left.bounds, strict=True):
        use = left.good[bound]
        if run.station.id.startswith("frame") or not use.any():
            continue
        off = left.rest_mm[bound]
        spread = np.hypot(left.sd_mm[bound], left.uneven_mm[bound])
        square += float(np.sum(off[use] ** 2))
        allowed += float(np.sum(spread[use] ** 2))
        counted += int(use.sum())
        size = float(np.sqrt(np.mean(off[use] ** 2) / np.mean(spread[use] ** 2)))
        if size > worst_size:
            worst_size = size
            place = int(np.argmax(np.abs(off) * use))
            told = left.told_mm[bound][place]
            worst = f"{run.name}, at {told:g} mm: {off[place]:+.3f} mm"
    rms = float(np.sqrt(square / max(counted, 1)))
    aim = float(np.sqrt(allowed / max(counted, 1)))
    if len(left.rest_mm) < FEWEST:
        return Unexplained(rms, aim, "cannot tell", worst)
    signs = signs_of(left)
    much = rms > AMOUNT * aim or worst_size > AMOUNT_OF_RUN
    if left.uneven_mm.any():
        much = rms > AMOUNT_OF_CLAMP * aim
    return Unexplained(rms, aim, "some" if much or signs else "none", worst, signs)


def _fits(found: Found, left: Remains) -> tuple[RunFit, ...]:
    """Read beside computed, run by run."""
    seen = found.model.witness
    aside = set_aside(seen)
    fits = []
    for run, bound, noise in zip(left.runs, left.bounds, seen.noise, strict=True):
        weight = np.where(aside[bound], 0.0, np.where(left.good[bound], 1.0, 0.3))
        computed = left.computed_mm[bound] - left.computed_mm[bound][0]
        sd = np.sqrt(np.maximum(noise.sd**2 - seen.misread_mm[bound] ** 2, 0.0))
        fits.append(
            RunFit(
                run.name,
                run.station.id,
                tuple(map(float, computed + left.rest_mm[bound])),
                tuple(map(float, computed)),
                tuple(map(float, sd)),
                tuple(map(float, weight)),
                tuple(map(int, left.reading[bound])),
            )
        )
    return tuple(fits)
