"""Waves in readings: of a known period, of a free frequency, and which periods cannot be told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, hypot, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.lines import Curve, fit

Array = NDArray[np.float64]
NEAREST_ALIAS = 0.04
"""Closer than this to a whole or half wave a sample, a wave cannot be told from a level."""


@dataclass(frozen=True, slots=True)
class Wave:
    """cosine·cos(2πx/period) + sine·sin(2πx/period) with uncertainties.

    `phase_rad` is where the crest lies, from target 0: the wave is
    amplitude·cos(2πx/period - phase).
    """

    period: float
    cosine: float
    sine: float
    amplitude: float
    phase_rad: float
    u_amplitude: float
    u_phase_rad: float


@dataclass(frozen=True, slots=True)
class Waves:
    """Waves of known periods over a level and a slope."""

    waves: tuple[Wave, ...]
    curve: Curve


def fit_waves(
    x: Sequence[float] | Array,
    y: Sequence[float] | Array,
    periods: Sequence[float],
    *,
    slope: bool = True,
) -> Waves:
    """Least squares fit of waves of known period, with a level and, if wanted, a slope.

    At equal parts of whole turns the coefficients are the Fourier sums (2/N) Σ y cos and
    (2/N) Σ y sin, with variance 2σ²/N each.
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    columns = [np.ones(len(xs))]
    if slope:
        columns.append(xs - xs.mean())
    first = len(columns)
    for period in periods:
        columns += [np.cos(2 * pi * xs / period), np.sin(2 * pi * xs / period)]
    curve = fit(columns, ys)
    return Waves(
        tuple(_wave(curve, first + 2 * i, period) for i, period in enumerate(periods)), curve
    )


def _wave(curve: Curve, place: int, period: float) -> Wave:
    a, b = curve.coefficients[place : place + 2]
    covariance = curve.covariance[place : place + 2, place : place + 2]
    size = hypot(a, b)
    along = np.array([a, b]) / size if size > 0 else np.array([1.0, 0.0])
    across = np.array([-along[1], along[0]])
    u_along = sqrt(max(0.0, float(along @ covariance @ along)))
    u_across = sqrt(max(0.0, float(across @ covariance @ across)))
    u_phase = u_across / size if size > 0 else pi
    return Wave(period, a, b, size, atan2(b, a), u_along, min(u_phase, pi))


@dataclass(frozen=True, slots=True)
class FreeWave:
    """A wave whose frequency was searched: level + sine wave, with uncertainties."""

    frequency: float
    amplitude: float
    level: float
    u_frequency: float
    u_amplitude: float
    u_level: float
    sd: float


def search_wave(y: Sequence[float]) -> FreeWave:
    """The sine wave of free frequency that fits equally spaced readings best of all.

    The squares left over have many valleys, about one a frequency step of 1/n: all frequencies
    up to half a wave a reading are tried eight times finer than that, and the best one refined.

    Source:
        Least squares spectrum; uncertainties from the linearised fit (Gauss-Newton).
    """
    from scipy.optimize import minimize_scalar

    ys = np.asarray(y, dtype=float)
    n = len(ys)
    t = np.arange(1, n + 1, dtype=float)

    def left_over(frequency: float) -> float:
        rest = fit_waves(t, ys, [1 / frequency], slope=False).curve.residuals
        return float(rest @ rest)

    step = 1 / (8 * n)
    grid = np.arange(step * 4, 0.5, step)
    best = float(grid[int(np.argmin([left_over(f) for f in grid]))])
    found = minimize_scalar(
        left_over, bounds=(best - step, best + step), method="bounded", options={"xatol": 1e-10}
    )
    frequency = float(found.x)
    wave = fit_waves(t, ys, [1 / frequency], slope=False)
    a, b = wave.waves[0].cosine, wave.waves[0].sine
    angle = 2 * pi * frequency * t
    along_f = 2 * pi * t * (-a * np.sin(angle) + b * np.cos(angle))
    rest = wave.curve.residuals
    linear = fit([np.ones(n), np.cos(angle), np.sin(angle), along_f], rest)
    sd = sqrt(float(rest @ rest) / (n - 4))
    scale = sd / linear.sd if linear.sd > 0 else 1.0
    along = np.array([a, b]) / hypot(a, b)
    u_amplitude = sqrt(float(along @ linear.covariance[1:3, 1:3] @ along)) * scale
    return FreeWave(
        frequency,
        hypot(a, b),
        wave.curve.coefficients[0],
        linear.u[3] * scale,
        u_amplitude,
        linear.u[0] * scale,
        sd,
    )


def alias(period: float, step: float) -> float:
    """Waves a reading that a wave of this period shows when it is read every `step`.

        |step/period - nearest whole number|

    Source:
        Sampling theorem (Shannon, Proc. IRE 37 (1949) 10).

    Example:
        >>> alias(0.16, 0.2)
        0.25
    """
    ratio = step / period
    return abs(ratio - round(ratio))


def can_be_seen(x: Sequence[float] | Array, period: float) -> bool:
    """Whether places tell a wave of this period from a level and a slope: they meet all its phases.

    True where both quadratures keep a fair share of their size after level and slope are
    taken out.
    """
    xs = np.asarray(x, dtype=float)
    n = len(xs)
    if n < 5:
        return False
    base, _ = np.linalg.qr(np.column_stack([np.ones(n), xs - xs.mean()]))
    both = np.column_stack([np.cos(2 * pi * xs / period), np.sin(2 * pi * xs / period)])
    left = both - base @ (base.T @ both)
    smallest = float(np.linalg.svd(left, compute_uv=False)[-1])
    return smallest**2 > NEAREST_ALIAS * 2 * n
