"""What readings scatter by, and how far neighbours scatter together.

Within one run

    C = zero + diag(σ² + misread²) + A_i A_j exp(-|p_i - p_j| / 1 mm)
    A_i = γ · amp · (f + (1 - f) exp(-d_i / 2 mm)) + a0

p is the path travelled, d the path since the last turn, amp the take-up of the run. The second
part stands for what the axis model does not know: it is shared by neighbours and largest just
after a turn. The zero of a run is free; it is taken out exactly, so no reading is compared with
a zero that nobody knows.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.readings import Run
from plumbrise.readings.kinds import DEAD_WEIGHT, REPEAT_HOME

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

SCATTER_MM = 0.002
"""Scatter of a hand-read gauge over its resolution (guess)."""
DISCREPANCY = 0.03
"""Share of the take-up by which the axis model is expected to err (guess, adapted to the rest)."""
LOADED = 0.05
"""The same under hung masses (guess)."""
SETTLED_SHARE = 0.35
"""Share of that which stays however long the axis has moved one way."""
STAND_MM = 0.0018
"""Slow error of stand and contact."""
STILL_MM = 0.0007
"""The same where nothing is commanded."""
REACH_MM, FADE_MM = 1.0, 2.0
LARGEST_TAKE_UP_MM = 0.6
MISREAD_MM = 1.0
SET_ASIDE_MM = 100.0
"""Spread given to a reading that carries no weight."""
PSEUDO_READINGS = 15.0
"""Weight of the noise model against the rest it left, in readings."""


@dataclass(frozen=True, slots=True)
class Level:
    """How much noise: reading scatter, and shares of the take-up by which the model errs where
    the axis moves and where masses hang (springs that harden, loads far from its own weight)."""

    sigma_mm: float
    discrepancy: float
    loaded: float


@dataclass(frozen=True, slots=True)
class RunNoise:
    """`whiten` turns readings of the run into independent ones of unit spread, the free zero
    taken out; `log_det` is ln|C| less what the zero takes."""

    rows: slice
    whiten: Matrix
    log_det: float
    sd: Vector


def first_level(resolution_mm: float) -> Level:
    """Noise before anything was fitted."""
    return Level(sqrt(resolution_mm**2 / 12 + SCATTER_MM**2), DISCREPANCY, LOADED)


def rescaled(
    level: Level,
    moving: tuple[float, float],
    loaded: tuple[float, float],
    resolution_mm: float,
) -> Level:
    """Noise after the fullest model left a misfit (sum of squares) on so many free readings, in
    runs without and with hung masses."""
    factor, heavy = (
        sqrt((misfit + PSEUDO_READINGS) / (max(free, 0.0) + PSEUDO_READINGS))
        for misfit, free in (moving, loaded)
    )
    least = 0.8 * resolution_mm / sqrt(12)
    return Level(
        min(max(level.sigma_mm * factor, least), 0.05),
        min(max(level.discrepancy * factor, 0.015), 0.12),
        min(max(level.loaded * heavy, 0.02), 0.25),
    )


def take_up_mm(off_mm: Vector) -> float:
    """Peak to peak of reading less told, the odd one out left out.

    Example:
        >>> take_up_mm(np.array([0.0, 0.3, 0.3, 0.0])) <= 0.3
        True
    """
    if len(off_mm) < 2:
        return 0.0
    low, high = np.quantile(off_mm, [0.04, 0.96])
    return float(min(high - low, LARGEST_TAKE_UP_MM))


def run_noise(
    run: Run,
    rows: slice,
    *,
    travelled_mm: Vector,
    since_turn_mm: Vector,
    level: Level,
    misread_mm: Vector,
    amplitude_mm: float,
) -> RunNoise:
    """Noise of one run.

    Args:
        run: the run.
        rows: which rows of the session they are.
        travelled_mm: path at each reading.
        since_turn_mm: path since the last turn.
        level: how much noise.
        misread_mm: extra spread of each reading, 0 for a good one.
        amplitude_mm: largest take-up read at the run's station.
    """
    n = len(travelled_mm)
    path = 0.5 * np.arange(n) if run.kind is DEAD_WEIGHT else travelled_mm
    moving = run.kind.moves and run.kind is not REPEAT_HOME
    if moving:
        fade = SETTLED_SHARE + (1 - SETTLED_SHARE) * np.exp(-since_turn_mm / FADE_MM)
        shared = level.discrepancy * amplitude_mm * fade + STAND_MM
    elif run.kind is DEAD_WEIGHT:
        shared = np.full(n, level.loaded * amplitude_mm + STAND_MM)
    else:
        shared = np.full(n, STILL_MM)
    apart = np.abs(path[:, None] - path[None, :]) / REACH_MM
    covariance = shared[:, None] * shared[None, :] * np.exp(-apart)
    covariance[np.diag_indices(n)] += level.sigma_mm**2 + misread_mm**2
    lower = np.linalg.cholesky(covariance)
    whiten = np.linalg.solve(lower, np.eye(n))
    ones = whiten.sum(axis=1)
    size = float(ones @ ones)
    direction = ones / sqrt(size)
    whiten -= np.outer(direction, direction @ whiten)
    log_det = 2.0 * float(np.log(np.diag(lower)).sum()) + log(size)
    return RunNoise(rows, whiten, log_det, np.sqrt(np.diag(covariance)))
