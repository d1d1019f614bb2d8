"""By how much a foretold height may be off although its axis were known: guides do not drag as
the axis model has it.

    e_k = A_k g_k + s w_k,   A_k = γ · taken up · (f + (1 - f) exp(-d_k / 2 mm))

g is shared by neighbours (correlation exp(-Δz / 1 mm)), w is not; d is the way risen in this
state. Share and shape are those that `explain` expects of the axis model; s is what is left on
machines that drag by other laws.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.noise import DISCREPANCY, FADE_MM, REACH_MM, SETTLED_SHARE

Array = NDArray[np.float64]

STICKS_MM = 0.0025
"""Spread of single heights (adapted to simulators that share nothing with the axis model)."""


def model_error(told_mm: Array, taken_up_mm: Array, rng: np.random.Generator) -> Array:
    """Errors of heights: (draws, layers, places).

    Args:
        told_mm: of the layers, rising.
        taken_up_mm: what the axis takes up in all, (draws, places).
        rng: draws them.
    """
    draws, places = taken_up_mm.shape
    shape = (draws, len(told_mm), places)
    fresh, alone = rng.standard_normal(shape), rng.standard_normal(shape)
    shared = np.empty(shape)
    shared[:, 0] = fresh[:, 0]
    for k in range(1, len(told_mm)):
        keep = np.exp(-abs(told_mm[k] - told_mm[k - 1]) / REACH_MM)
        shared[:, k] = keep * shared[:, k - 1] + np.sqrt(1 - keep**2) * fresh[:, k]
    risen = (told_mm - told_mm[0])[None, :, None]
    part = SETTLED_SHARE + (1 - SETTLED_SHARE) * np.exp(-risen / FADE_MM)
    return np.asarray(
        DISCREPANCY * np.abs(taken_up_mm)[:, None, :] * part * shared + STICKS_MM * alone
    )
