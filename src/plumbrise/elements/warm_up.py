"""Curves of warmth from readings: a drift that dies away, and a coefficient that changes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

from plumbrise.elements.ranges import above_zero, not_below_zero
from plumbrise.errors import InputError


@dataclass(frozen=True, slots=True)
class Curve:
    """Coefficients of a fitted curve, their standard uncertainties, and the scatter about it."""

    coefficients: tuple[float, ...]
    u: tuple[float, ...]
    residual_sum: float
    sd: float


def fit_warm_up(times: Sequence[float], readings: Sequence[float]) -> Curve:
    """Final growth and rate of a warm-up that starts from nothing.

        y = b₁ (1 - exp(-b₂ t))        time constant τ = 1 / b₂

    For every rate the best b₁ is a plain proportion, so the rate is looked for along one line and
    no first guess is asked.

    Args:
        times: from the start of the warming, none below zero.
        readings: growth at these times.

    Returns:
        (b₁, b₂) by least squares, in the units of readings and of one over the times.

    Raises:
        InputError: fewer than three readings, lists of different lengths, no time above zero.

    Source:
        Least squares; uncertainties from the slopes at the best place (GUM H.3).

    Example:
        >>> fit = fit_warm_up([10, 20, 40, 80], [0.0221, 0.0393, 0.0632, 0.0865])
        >>> round(fit.coefficients[0], 3), round(1 / fit.coefficients[1])
        (0.1, 40)
    """
    import numpy as np

    _same_length(times, readings, 3)
    at, read = np.asarray(times, dtype=float), np.asarray(readings, dtype=float)
    not_below_zero(times=float(at.min()))
    above_zero(times=float(at.max()))

    def warming(b: Any, t: Any) -> Any:
        return -b[0] * np.expm1(-b[1] * t)

    rates = np.geomspace(1e-3 / at.max(), 30 / at[at > 0].min(), 400)
    shapes = -np.expm1(-rates[:, None] * at)
    finals = shapes @ read / np.sum(shapes**2, axis=1)
    best = int(np.argmin(np.sum((finals[:, None] * shapes - read) ** 2, axis=1)))
    return _least_squares(warming, times, readings, (finals[best], rates[best]))


def fit_expansion_curve(
    temperatures_k: Sequence[float], coefficients: Sequence[float], *, start: Sequence[float]
) -> Curve:
    """A coefficient of expansion over a wide range of temperature.

        α = (b₁ + b₂ T + b₃ T² + b₄ T³) / (1 + b₅ T + b₆ T² + b₇ T³)

    Args:
        temperatures_k: T, kelvin.
        coefficients: α at these, in any unit.
        start: seven values to begin with, of the right sign and size.

    Returns:
        b₁ to b₇ by least squares, the nearest minimum to the start.

    Raises:
        InputError: fewer than eight pairs, lists of different lengths, or not seven to start with.

    Source:
        The model of NIST StRD Hahn1 (copper from 14 to 852 K).
    """
    _same_length(temperatures_k, coefficients, 8)
    if len(start) != 7:
        raise InputError(
            place="start", value=len(start), allowed="7 values", remedy="Give b₁ to b₇."
        )
    return _least_squares(expansion_on_curve, temperatures_k, coefficients, tuple(start))


def expansion_on_curve(b: Any, temperature_k: Any) -> Any:
    """The coefficient on a curve of `fit_expansion_curve` at a temperature or several."""
    top = b[0] + temperature_k * (b[1] + temperature_k * (b[2] + temperature_k * b[3]))
    return top / (1 + temperature_k * (b[4] + temperature_k * (b[5] + temperature_k * b[6])))


def _least_squares(
    curve: Callable[[Any, Any], Any],
    x: Sequence[float],
    y: Sequence[float],
    start: tuple[float, ...],
) -> Curve:
    """Gauss-Newton with a trust region, then full steps until nothing moves any more."""
    import numpy as np
    from scipy.optimize import least_squares

    _same_length(x, y, len(start) + 1)
    at, read = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    scale = np.abs(np.asarray(start)) + 1e-300  # so that a small rate counts as much as a large end

    def missed(share: Any) -> Any:
        return curve(share * scale, at) - read

    found = least_squares(
        missed, np.asarray(start) / scale, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15
    )
    share = found.x
    jacobian = _jacobian(missed, share)
    for _ in range(6):
        share = share - np.linalg.lstsq(jacobian, missed(share), rcond=None)[0]
        jacobian = _jacobian(missed, share)
    residual_sum = float(np.sum(missed(share) ** 2))
    sd = sqrt(residual_sum / (len(at) - len(start)))
    triangle = np.linalg.inv(np.linalg.qr(jacobian, mode="r"))
    u = sd * np.sqrt(np.sum(triangle**2, axis=1)) * scale
    return Curve(tuple(map(float, share * scale)), tuple(map(float, u)), residual_sum, sd)


def _jacobian(missed: Callable[[Any], Any], share: Any) -> Any:
    """Slopes by central differences of fourth order."""
    import numpy as np

    columns = []
    for index in range(len(share)):
        step = np.zeros_like(share)
        step[index] = 1e-3 * max(abs(share[index]), 1e-3)
        near = missed(share + step) - missed(share - step)
        far = missed(share + 2 * step) - missed(share - 2 * step)
        columns.append((8 * near - far) / (12 * step[index]))
    return np.column_stack(columns)


def _same_length(x: Sequence[float], y: Sequence[float], fewest: int) -> None:
    if len(x) != len(y) or len(x) < fewest:
        raise InputError(
            place="readings",
            value=f"{len(x)} and {len(y)}",
            allowed=f"two lists of one length, {fewest} or more",
            remedy="Give a reading for each.",
        )
