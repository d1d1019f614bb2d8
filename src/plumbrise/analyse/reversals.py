"""A reversal: how far up and down differ at the same heights, turning zones left out."""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.budget import GaugeDoubt, cannot, figure, noise_sd, scatter_part
from plumbrise.analyse.lines import fit
from plumbrise.analyse.results import CannotTell, Figure, Part
from plumbrise.analyse.statistics import robust_sd, sample, widening
from plumbrise.analyse.used import Used, legs

Array = NDArray[np.float64]
LEVEL_WITHIN = 0.1
LEVEL_SDS = 5.0
TURNING_SDS = 4.0
"""A difference near a turn that is smaller than the rest by so many of their scatter is take-up."""


def differences(data: Used) -> tuple[Array, Array]:
    """Targets read both ways, rising, and mean down less mean up at each."""
    places = np.round(data.told, 6)
    both = sorted(set(places[data.up]) & set(places[~data.up]))
    gaps = []
    for place in both:
        here = places == place
        # lag counts what is behind: up lags more than down, so up less down is down less up read
        gaps.append(data.lag[here & data.up].mean() - data.lag[here & ~data.up].mean())
    return np.array(both, dtype=float), np.array(gaps, dtype=float)


def without_turning_zones(gaps: Array, resolution_mm: float) -> NDArray[np.bool_]:
    """Which differences count: those at both ends that have not grown to the level of the middle
    are left out."""
    keep = np.ones(len(gaps), dtype=bool)
    if len(gaps) < 5:
        return keep
    middle = gaps[len(gaps) // 4 : len(gaps) - len(gaps) // 4]
    level = float(np.median(middle))
    limit = TURNING_SDS * max(robust_sd(list(middle)), resolution_mm / 2)
    for order in (range(len(gaps)), range(len(gaps) - 1, -1, -1)):
        for i in order:
            if abs(i - (len(gaps) - 1) / 2) < len(gaps) / 4 or gaps[i] > level - limit:
                break
            keep[i] = False
    return keep


def far_from_turns(data: Used) -> NDArray[np.bool_]:
    """Readings in the second half of their pass; all of the first pass, which began well away."""
    leg = legs(data.up)
    chosen = leg == 0
    for number in range(1, int(leg[-1]) + 1):
        here = leg == number
        gone = np.abs(data.told - data.told[here][0])
        chosen = np.logical_or(chosen, here & (gone >= gone[here].max() / 2))
    return np.asarray(chosen, dtype=bool)


def is_level(gaps: Array, resolution_mm: float) -> bool:
    """Whether differences have come to a level: over all heights they change by less than a tenth,
    or by no more than their scatter explains."""
    n = len(gaps)
    if n < 4:
        return True
    z = np.linspace(-1, 1, n)
    shape = [np.ones(n), z] + ([z**2] if n >= 6 else [])
    change = float(np.ptp(gaps - fit(shape, gaps).residuals))
    noise = LEVEL_SDS * noise_sd(gaps, resolution_mm / 2)
    return change <= max(LEVEL_WITHIN * abs(float(gaps.mean())), noise)


def reversal(data: Used, gauge: GaugeDoubt) -> list[Figure | CannotTell]:
    """Lost motion of a reversal, and minus that as the mean reversal value.

    The dial is read at the same place both ways, so its error from place to place drops out;
    its retrace does not.
    """
    _, gaps = differences(data)
    if len(gaps) < 2:
        need = "Read the same heights on the way up and on the way down."
        there = f"{len(gaps)} {'is' if len(gaps) == 1 else 'are'} there"
        why = f"2 heights read both ways are wanted, {there}."
        return [cannot("lost_motion", why, need), cannot("reversal_value", why, need, "mean")]
    kept = gaps[without_turning_zones(gaps, gauge.resolution_mm)]
    level = is_level(kept, gauge.resolution_mm)
    if not level:
        _, far = differences(data.only(far_from_turns(data)))
        if len(far) >= 3:
            kept = far[without_turning_zones(far, gauge.resolution_mm)]
            level = is_level(kept, gauge.resolution_mm)
    parts = reversal_parts(kept, gauge)
    value = float(kept.mean())
    return [
        figure("lost_motion", value, parts, at_least=not level),
        figure("reversal_value", -value, parts, detail="mean", at_least=not level),
    ]


def reversal_parts(gaps: Array, gauge: GaugeDoubt) -> list[Part]:
    """Budget of a mean difference down less up."""
    found = sample(list(gaps))
    wide = widening(found.lag1, found.n)
    n = found.n
    scatter = scatter_part(
        "scatter of the differences from height to height",
        wide * found.sd / sqrt(n),
        max(1.0, n / wide**2 - 1),
    )
    coarse = found.sd < 0.5 * gauge.resolution_mm
    rounding = [Part("display step, both ways", gauge.resolution_mm / sqrt(6), inf, "B")]
    return [scatter, *(rounding if coarse else []), gauge.retrace(), gauge.stand()]
