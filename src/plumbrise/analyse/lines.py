"""Straight lines and curves through readings: least squares, weights, errors both ways."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, hypot, inf, isfinite, sqrt, tan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.statistics import Tested
from plumbrise.errors import InputError

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Line:
    """y = intercept + slope·x with standard uncertainties; the scatter `sd` has `dof`."""

    intercept: float
    slope: float
    u_intercept: float
    u_slope: float
    covariance: float
    sd: float
    dof: int
    centre: float
    n: int

    def at(self, x: float) -> float:
        """Height of the line."""
        return self.intercept + self.slope * x

    def u_at(self, x: float) -> float:
        """Standard uncertainty of the line at x."""
        wide = self.u_intercept**2 + (x * self.u_slope) ** 2 + 2 * x * self.covariance
        return sqrt(max(0.0, wide))

    def u_of_reading(self, x: float) -> float:
        """Standard uncertainty of one new reading at x."""
        return hypot(self.u_at(x), self.sd)


@dataclass(frozen=True, slots=True)
class Curve:
    """A linear model: coefficients, their standard uncertainties and covariance, scatter."""

    coefficients: tuple[float, ...]
    u: tuple[float, ...]
    covariance: Array
    sd: float
    dof: int
    residuals: Array
    leverage: Array


def fit_line(x: Sequence[float] | Array, y: Sequence[float] | Array) -> Line:
    """Least squares line through at least two places.

    With two readings the scatter is not known: `dof` is 0 and the uncertainties are nan.

    Source:
        NBS Handbook 91 (Natrella), worksheet 5-4.1; GUM H.3.

    Raises:
        InputError: all readings at one place.

    Example:
        >>> fit_line([0, 1, 2], [1, 3, 5]).slope
        2.0
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    n = len(xs)
    centre = float(xs.mean()) if n else 0.0
    spread = float(((xs - centre) ** 2).sum())
    if n < 2 or not spread > 0:
        raise InputError(
            place="line",
            value=n,
            allowed="readings at two places or more",
            remedy="Read at more places.",
        )
    middle = float(ys.mean())
    slope = float((xs - centre) @ (ys - middle)) / spread
    rest = ys - middle - slope * (xs - centre)
    dof = n - 2
    sd = sqrt(float(rest @ rest) / dof) if dof else float("nan")
    return Line(
        intercept=middle - slope * centre,
        slope=slope,
        u_intercept=sd * sqrt(1 / n + centre**2 / spread),
        u_slope=sd / sqrt(spread),
        covariance=-(sd**2) * centre / spread,
        sd=sd,
        dof=dof,
        centre=centre,
        n=n,
    )


def fit(columns: Sequence[Any], y: Sequence[float] | Array) -> Curve:
    """Least squares of y on columns, each scaled before it is solved.

    Source:
        Orthogonal triangular solution (Golub, Numer. Math. 7 (1965) 206).
    """
    ys = np.asarray(y, dtype=float)
    matrix = np.column_stack([np.asarray(column, dtype=float) for column in columns])
    scale = np.sqrt((matrix**2).sum(axis=0))
    scale[scale == 0] = 1.0
    q, r = np.linalg.qr(matrix / scale)
    raw = np.linalg.lstsq(r, q.T @ ys, rcond=None)[0]
    rest = ys - q @ (q.T @ ys)
    dof = len(ys) - matrix.shape[1]
    sd = sqrt(float(rest @ rest) / dof) if dof > 0 else float("nan")
    inverse = np.linalg.pinv(r)
    covariance = sd**2 * (inverse @ inverse.T) / np.outer(scale, scale)
    return Curve(
        coefficients=tuple(float(c) for c in raw / scale),
        u=tuple(float(u) for u in np.sqrt(np.diag(covariance))),
        covariance=covariance,
        sd=sd,
        dof=dof,
        residuals=rest,
        leverage=(q**2).sum(axis=1),
    )


def fit_polynomial(x: Sequence[float], y: Sequence[float], degree: int) -> Curve:
    """Polynomial through readings, lowest power first.

    The powers are taken of x scaled to about one, and the coefficients scaled back: the plain
    powers of a load of 150 000 would cost half the digits.
    """
    xs = np.asarray(x, dtype=float)
    size = float(np.abs(xs).max()) or 1.0
    scaled = fit([(xs / size) ** power for power in range(degree + 1)], y)
    back = np.array([size**-power for power in range(degree + 1)])
    covariance = scaled.covariance * np.outer(back, back)
    return Curve(
        tuple(float(c * b) for c, b in zip(scaled.coefficients, back, strict=True)),
        tuple(float(u) for u in np.sqrt(np.diag(covariance))),
        covariance,
        scaled.sd,
        scaled.dof,
        scaled.residuals,
        scaled.leverage,
    )


@dataclass(frozen=True, slots=True)
class LineBothWays:
    """A line where both readings err: uncertainties from the weights given."""

    intercept: float
    slope: float
    u_intercept: float
    u_slope: float
    misfit: float
    """Reduced chi-squared: about 1 where the weights are right."""


def fit_line_errors_in_both(
    x: Sequence[float],
    y: Sequence[float],
    weight_x: Sequence[float],
    weight_y: Sequence[float],
) -> LineBothWays:
    """The line through readings that err in x and y, independently, with known weights 1/u².

    Source:
        York et al., Am. J. Phys. 72 (2004) 367, eqs. 13, unified solution without correlation.

    Raises:
        InputError: fewer than three readings.
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    wx, wy = np.asarray(weight_x, dtype=float), np.asarray(weight_y, dtype=float)
    if len(xs) < 3:
        raise InputError(
            place="line", value=len(xs), allowed="3 readings or more", remedy="Read at more places."
        )
    slope = fit_line(xs, ys).slope
    for _ in range(200):
        w = wx * wy / (wx + slope**2 * wy)
        x_mean, y_mean = float(w @ xs / w.sum()), float(w @ ys / w.sum())
        u, v = xs - x_mean, ys - y_mean
        beta = w * (u / wy + slope * v / wx)
        before, slope = slope, float((w * beta) @ v / ((w * beta) @ u))
        if abs(slope - before) <= 1e-15 * max(1.0, abs(slope)):
            break
    intercept = y_mean - slope * x_mean
    adjusted = x_mean + beta
    adjusted_mean = float(w @ adjusted / w.sum())
    u_slope = sqrt(1 / float(w @ (adjusted - adjusted_mean) ** 2))
    u_intercept = sqrt(1 / float(w.sum()) + (adjusted_mean * u_slope) ** 2)
    misfit = float(w @ (ys - intercept - slope * xs) ** 2) / (len(xs) - 2)
    return LineBothWays(intercept, slope, u_intercept, u_slope, misfit)


def fit_line_orthogonal(x: Sequence[float], y: Sequence[float]) -> tuple[float, float]:
    """Intercept and slope of the line with the least squares of distances at right angles.

    Source:
        Pearson, Phil. Mag. 2 (1901) 559.

    Example:
        >>> fit_line_orthogonal([0, 1, 2], [0, 1, 2])[1]
        1.0
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    dx, dy = xs - xs.mean(), ys - ys.mean()
    slope = tan(0.5 * atan2(2 * float(dx @ dy), float(dx @ dx - dy @ dy)))
    return float(ys.mean() - slope * xs.mean()), round(slope, 15)


@dataclass(frozen=True, slots=True)
class LineDoubts:
    """What a fitted line hides. `odd` is the reading that alone stands off (None if none does),
    `decides` the reading without which there would be no slope to speak of."""

    curved: bool
    odd: int | None
    decides: int | None


def line_doubts(
    x: Sequence[float] | Array, y: Sequence[float] | Array, *, risk: float = 0.01
) -> LineDoubts:
    """Does a straight line tell the truth: is it curved, is one reading odd, does one decide?

    One reading decides where its leverage is nearly 1. One is odd where it stands off the line
    through the others (externally studentized residual) by more than chance at this risk over
    all readings. Curved where a square term counts at this risk with an odd reading set aside.

    Source:
        Belsley, Kuh and Welsch, Regression Diagnostics, Wiley 1980, ch. 2; the four sets of
        Anscombe, Am. Stat. 27 (1973) 17, are its trial.
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    n = len(xs)
    if n < 4 or float(np.ptp(xs)) == 0:
        return LineDoubts(False, None, None)
    found = fit([np.ones(n), xs - xs.mean()], ys)
    top = int(found.leverage.argmax())
    if found.leverage[top] > 0.95:
        return LineDoubts(False, None, top)
    curve = curvature(xs, ys)
    odd = odd_one(found, risk=risk)
    if odd is None:
        return LineDoubts(curve is not None and curve.p < risk, None, None)
    rest = np.delete(np.arange(n), odd)
    without = fit([np.ones(n - 1), xs[rest] - xs.mean()], ys[rest])
    bent = curvature(xs[rest], ys[rest])
    if without.sd > 0 and bent is not None and bent.p < risk and curve is not None:
        return LineDoubts(curve.p < risk, None if curve.p < risk else odd, None)
    return LineDoubts(False, odd, None)


def curvature(x: Array, y: Array) -> Tested | None:
    """Is a square term wanted? F of one and n - 3; None with fewer than five readings or under
    three places."""
    n = len(x)
    if n < 5 or len(np.unique(x)) < 3:
        return None
    z = x - x.mean()
    straight, bent = fit([np.ones(n), z], y), fit([np.ones(n), z, z**2], y)
    return compared(straight, bent)


def compared(plain: Curve, richer: Curve) -> Tested:
    """Is the richer of two nested models wanted? F test of the squares left over."""
    from scipy.special import fdtrc

    squares_plain = float(plain.residuals @ plain.residuals)
    squares_rich = float(richer.residuals @ richer.residuals)
    more = plain.dof - richer.dof
    floor = 1e-24 + 1e-20 * squares_plain
    if richer.dof <= 0 or squares_plain <= floor:
        return Tested(0.0, (more, max(richer.dof, 0)), 1.0)
    if squares_rich <= floor:
        return Tested(inf, (more, richer.dof), 0.0)
    ratio = (squares_plain - squares_rich) / more / (squares_rich / richer.dof)
    return Tested(ratio, (more, richer.dof), float(fdtrc(more, richer.dof, max(ratio, 0.0))))


def studentized(found: Curve) -> Array:
    """Residuals in units of the scatter of all other readings (externally studentized)."""
    left = np.maximum(1 - found.leverage, 1e-12)
    squares = float(found.residuals @ found.residuals)
    others = np.maximum((squares - found.residuals**2 / left) / max(found.dof - 1, 1), 1e-30)
    result: Array = found.residuals / np.sqrt(others * left)
    result[found.leverage > 1 - 1e-9] = 0.0
    return result


def odd_one(found: Curve, *, risk: float, floor: float = 0.0) -> int | None:
    """The reading that stands off the rest beyond chance at this risk over all of them.

    Args:
        found: the fit to all readings.
        risk: how often sound normal readings would be accused, in all.
        floor: residuals up to this size are never odd (what the gauge resolves).
    """
    from scipy.special import stdtrit

    n = len(found.residuals)
    if found.dof < 2:
        return None
    t = np.abs(studentized(found))
    worst = int(t.argmax())
    limit = float(stdtrit(found.dof - 1, 1 - risk / (2 * n)))
    size = abs(float(found.residuals[worst])) / max(1e-12, 1 - float(found.leverage[worst]))
    return worst if isfinite(t[worst]) and t[worst] > limit and size > floor else None
