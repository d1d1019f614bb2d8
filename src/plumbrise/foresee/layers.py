"""From heights of the nozzle to layers: gaps, beads, bulges, what bonds and what scrapes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain import Interval
from plumbrise.foresee.bead import area_mm2, filling_mm2, widths_mm
from plumbrise.foresee.heights import Heights
from plumbrise.foresee.results import Layer, LayerAt

Array = NDArray[np.float64]

LEVEL = 0.9
PARTS = ((1 - LEVEL) / 2, 0.5, (1 + LEVEL) / 2)
"""Which parts of the draws lie below an interval's low end, its middle and its high end."""
THICK_SHARE = 1.3
"""Above so many times its told gap a layer bonds poorly (common practice, no source)."""
THIN_SHARE = 0.5
"""Below so many times its told gap the nozzle scrapes what it laid (common practice)."""
AS_TOLD_SHARE = 0.1
"""A layer within so much of its told thickness counts as told."""


def gaps_mm(heights: Heights, rng: np.random.Generator, *, usual: bool = False) -> Array:
    """The gap of every layer: (draws, layers, places).

    Layer by layer the gaps add up to the height of the top over the bed. Where some moves lift,
    which state of the axis a bead and the one under it were laid in is drawn for each layer.

    Args:
        heights: as simulated.
        rng: draws the states.
        usual: leave out what differs from print to print.
    """
    above = heights.usual_mm if usual else heights.foretold_mm
    state = rng.integers(2, size=above.shape[:2])
    laid = np.take_along_axis(above, state[:, :, None, None], axis=3)[..., 0]
    return np.diff(laid, axis=1, prepend=0.0)


def layers_of(heights: Heights, rng: np.random.Generator) -> tuple[Layer, ...]:
    """Every layer of the print, at every place."""
    job = heights.job
    at = _layers_at(heights, gaps_mm(heights, rng))
    return tuple(
        Layer(
            number=k + 1,
            told_mm=job.told_mm(k + 1),
            nominal_mm=job.nominal_mm(k + 1),
            at=dict(zip(heights.places, at[k], strict=True)),
        )
        for k in range(job.layers)
    )


def _layers_at(heights: Heights, gap: Array) -> list[list[LayerAt]]:
    """What comes of each layer at each place, all of them worked out at once."""
    job = heights.job
    told = np.array([job.nominal_mm(k + 1) for k in range(job.layers)])[:, None]
    area = np.array([area_mm2(width_mm=job.width_mm, height_mm=float(t)) for t in told[:, 0]])
    width = widths_mm(area[:, None], gap)
    wide = np.where(np.isfinite(width), width, np.nan)
    needed = np.where(np.isfinite(width), filling_mm2(width_mm=job.width_mm, gaps_mm=gap), np.nan)
    within = np.abs(heights.foretold_mm[..., 1] - heights.foretold_mm[..., 0])
    filled = np.isfinite(width).mean(axis=0) > LEVEL
    top, gaps, widths, flows, differ = map(
        intervals, (np.cumsum(gap, axis=1), gap, wide, area[:, None] / needed, within)
    )
    poor = np.mean(gap > THICK_SHARE * told, axis=0)
    scrapes = np.mean(gap < THIN_SHARE * told, axis=0)
    unfilled = np.mean(np.isnan(width), axis=0)
    bead = [
        [bool(filled[k, p]) and g.estimate > 0 for p, g in enumerate(row)]
        for k, row in enumerate(gaps)
    ]
    return [
        [
            LayerAt(
                height_mm=top[k][p],
                gap_mm=gaps[k][p],
                width_mm=widths[k][p] if bead[k][p] else None,
                bulge_mm=_per_side(widths[k][p], job.width_mm) if bead[k][p] else None,
                flow=flows[k][p] if bead[k][p] else None,
                within_mm=differ[k][p],
                bonds_poorly=float(poor[k, p]),
                scrapes=float(scrapes[k, p]),
                open_gap=float(unfilled[k, p]),
            )
            for p in range(len(heights.places))
        ]
        for k in range(job.layers)
    ]


def _per_side(width: Interval, told_mm: float) -> Interval:
    """By how much a bead of this width stands out on each side."""
    return Interval(
        (width.estimate - told_mm) / 2,
        (width.low - told_mm) / 2,
        (width.high - told_mm) / 2,
        width.level,
    )


def intervals(values: Array) -> list[list[Interval]]:
    """Median and central interval of the draws of every layer at every place, those that are nan
    left out: (draws, layers, places) to layers of places. All are sorted once, and read off
    between the two nearest draws.

    Example:
        >>> intervals(np.array([[[3.0]], [[1.0]], [[np.nan]], [[2.0]]]))[0][0].estimate
        2.0
    """
    ordered = np.sort(np.moveaxis(values, 0, -1), axis=-1)
    last = np.maximum(np.isfinite(ordered).sum(axis=-1, keepdims=True) - 1, 0)
    at = last * np.array(PARTS)
    low = np.floor(at).astype(np.int64)
    below = np.take_along_axis(ordered, low, axis=-1)
    above = np.take_along_axis(ordered, np.minimum(low + 1, last), axis=-1)
    read = (below + (above - below) * (at - low)).tolist()
    return [[Interval(middle, least, most, LEVEL) for least, middle, most in row] for row in read]


def interval(values: Array) -> Interval:
    """Median and central interval of draws."""
    return intervals(np.asarray(values)[:, None, None])[0][0]


def settled_from(layers: tuple[Layer, ...]) -> int | None:
    """The first layer from which every gap is within a tenth of what was told, in the median."""
    found = None
    for layer in reversed(layers):
        off = (abs(at.gap_mm.estimate - layer.nominal_mm) for at in layer.at.values())
        if max(off) > AS_TOLD_SHARE * layer.nominal_mm:
            break
        found = layer.number
    return found


def scatter_mm(heights: Heights, *, home_known: bool) -> dict[str, float | None]:
    """Spread of the first gap from print to print, by place; None where homing was not read."""
    off = (heights.print_mm - heights.usual_mm)[:, 0, :, 0]
    return {
        place: float(np.sqrt(np.mean(off[:, p] ** 2))) if home_known and len(off) > 1 else None
        for p, place in enumerate(heights.places)
    }
