"""From heights of the nozzle to layers: gaps, beads, bulges, what bonds and what scrapes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain import Interval
from plumbrise.foresee.bead import area_mm2, widths_mm
from plumbrise.foresee.heights import Heights
from plumbrise.foresee.printing import Print
from plumbrise.foresee.results import Layer, LayerAt

Array = NDArray[np.float64]

LEVEL = 0.9
THICK_SHARE = 1.3
"""Above so many times its told gap a layer bonds poorly (common practice, no source)."""
THIN_SHARE = 0.5
"""Below so many times its told gap the nozzle scrapes what it laid (common practice)."""
SETTLED_SHARE = 0.1


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
    gaps = gaps_mm(heights, rng)
    top = np.cumsum(gaps, axis=1)
    within = np.abs(heights.foretold_mm[..., 1] - heights.foretold_mm[..., 0])
    return tuple(
        Layer(
            number=k + 1,
            told_mm=job.told_mm(k + 1),
            nominal_mm=job.nominal_mm(k + 1),
            at={
                place: _layer_at(job, k + 1, top[:, k, p], gaps[:, k, p], within[:, k, p])
                for p, place in enumerate(heights.places)
            },
        )
        for k in range(job.layers)
    )


def _layer_at(job: Print, number: int, height: Array, gap: Array, within: Array) -> LayerAt:
    nominal = job.nominal_mm(number)
    width = widths_mm(area_mm2(width_mm=job.width_mm, height_mm=nominal), gap)
    bead = bool(np.median(gap) > 0 and np.isfinite(width).mean() > LEVEL)
    beads = width[np.isfinite(width)]
    return LayerAt(
        height_mm=interval(height),
        gap_mm=interval(gap),
        width_mm=interval(beads) if bead else None,
        bulge_mm=interval((beads - job.width_mm) / 2) if bead else None,
        flow=interval(nominal / gap[gap > 0]) if bead else None,
        within_mm=interval(within),
        thin=float(np.mean(gap > THICK_SHARE * nominal)),
        scrapes=float(np.mean(gap < THIN_SHARE * nominal)),
        open_gap=float(np.mean(np.isnan(width))),
    )


def interval(values: Array) -> Interval:
    """Median and central interval of draws."""
    tail = (1 - LEVEL) / 2
    low, middle, high = np.quantile(values, (tail, 0.5, 1 - tail))
    return Interval(float(middle), float(low), float(high), LEVEL)


def settled_from(layers: tuple[Layer, ...]) -> int | None:
    """The first layer from which every gap is within a tenth of what was told, in the median."""
    found = None
    for layer in reversed(layers):
        off = (abs(at.gap_mm.estimate - layer.nominal_mm) for at in layer.at.values())
        if max(off) > SETTLED_SHARE * layer.nominal_mm:
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
