"""The cross-section of a bead: how wide it comes out when the gap differs from the one told."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import NDArray

from plumbrise.errors import InputError

Array = NDArray[np.float64]


def area_mm2(*, width_mm: float, height_mm: float) -> float:
    """Area of a bead: a rectangle with two half discs, the stadium.

        A = (w - h) h + π h² / 4

    Args:
        width_mm: of the whole bead, at least its height.
        height_mm: of the layer.

    Raises:
        InputError: a height not above zero, or a bead narrower than it is high.

    Source:
        Geometry.

    Example:
        >>> round(area_mm2(width_mm=0.45, height_mm=0.2), 7)
        0.0814159
    """
    if not height_mm > 0:
        raise InputError(
            place="layer_mm",
            value=height_mm,
            allowed="a height above 0 mm",
            remedy="Give the layer height that the slicer uses.",
        )
    if not width_mm >= height_mm:
        raise InputError(
            place="width_mm",
            value=width_mm,
            allowed=f"{height_mm:g} mm or more",
            remedy="A bead is at least as wide as its layer is high: give the line width.",
        )
    return float(filling_mm2(width_mm=width_mm, gaps_mm=np.array(height_mm)))


def filling_mm2(*, width_mm: float, gaps_mm: Array) -> Array:
    """Area of beads of one width in these gaps, as far as a bead is no narrower than high:
    (w - t) t + π t² / 4.
    """
    gaps = np.asarray(gaps_mm, dtype=np.float64)
    return np.asarray((width_mm - gaps) * gaps + pi * gaps**2 / 4)


def perimeter_mm(*, width_mm: float, height_mm: float) -> float:
    """Girth of the stadium: 2 (w - h) + π h.

    Example:
        >>> round(perimeter_mm(width_mm=0.45, height_mm=0.2), 7)
        1.1283185
    """
    return 2 * (width_mm - height_mm) + pi * height_mm


def widths_mm(area: float | Array, gaps_mm: Array) -> Array:
    """Widths of beads of one area in these gaps.

        w = A / t + t (1 - π / 4)

    No stadium exists where the gap is higher than the bead would be wide: the bead is too thin
    to fill it, and the width is nan. Where there is no gap nothing comes out: inf.

    Args:
        area: of the bead as fed, mm²; one, or one for each gap.
        gaps_mm: between nozzle and what lies under it.

    Example:
        >>> [float(w) for w in np.round(widths_mm(0.0814159, np.array([0.15, 0.2, 0.4, 0.0])), 3)]
        [0.575, 0.45, nan, inf]
    """
    gaps = np.asarray(gaps_mm, dtype=np.float64)
    open_to = np.where(gaps > 0, gaps, np.nan)
    with np.errstate(invalid="ignore"):
        widths = area / open_to + open_to * (1 - pi / 4)
        filled = np.where(widths >= open_to * (1 - 1e-12), widths, np.nan)
    return np.asarray(np.where(gaps > 0, filled, np.inf))


def width_change_per_gap(*, width_mm: float, height_mm: float) -> float:
    """How much wider a bead gets for each mm of gap that is missing: -dw/dt at the told gap.

        -dw/dt = A / h² - (1 - π / 4)

    Example:
        >>> round(width_change_per_gap(width_mm=0.45, height_mm=0.2), 2)
        1.82
    """
    return area_mm2(width_mm=width_mm, height_mm=height_mm) / height_mm**2 - (1 - pi / 4)
