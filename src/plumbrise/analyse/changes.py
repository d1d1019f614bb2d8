"""Where readings jump: one change of level, its place with its probability, or a slow drift."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.lines import Array, compared, fit


@dataclass(frozen=True, slots=True)
class ChangeOfMean:
    """One change of mean: `last_before` is the place of the last value before it."""

    last_before: int
    mean_before: float
    mean_after: float
    squares: float


def squares_by_place(values: Sequence[float]) -> Array:
    """Sum of squares about two means, by how many values (1 to n - 1) lie before the change."""
    x = np.asarray(values, dtype=float)
    x = x - x.mean()
    n = len(x)
    k = np.arange(1, n)
    sums = np.cumsum(x)[:-1]
    result: Array = (x @ x) - sums**2 / k - (x.sum() - sums) ** 2 / (n - k)
    return result


def change_of_mean(values: Sequence[float]) -> ChangeOfMean:
    """The place where two means fit values best, by least squares.

    Source:
        The Nile flows, changed after 1898, are its trial (Cobb, Biometrika 65 (1978) 243).

    Example:
        >>> change_of_mean([0, 0, 0, 5, 5]).last_before
        2
    """
    x = np.asarray(values, dtype=float)
    squares = squares_by_place(values)
    k = int(squares.argmin()) + 1
    return ChangeOfMean(k - 1, float(x[:k].mean()), float(x[k:].mean()), float(squares[k - 1]))


def probability_of_place(values: Sequence[float]) -> Array:
    """Probability that the change came after each value but the last, if there was just one.

        p(k) ∝ (k (n - k))^(-1/2) · SS_k^(-(n - 2)/2)

    Normal values of one unknown scatter, two unknown means, all places as likely beforehand.
    """
    squares = squares_by_place(values)
    n = len(values)
    k = np.arange(1, n)
    log_p = -0.5 * np.log(k * (n - k)) - (n - 2) / 2 * np.log(np.maximum(squares, 1e-300))
    p = np.exp(log_p - log_p.max())
    result: Array = p / p.sum()
    return result


@dataclass(frozen=True, slots=True)
class Jump:
    """A change of level from one reading on; `p` is the chance of one as large by scatter alone,
    over all places tried."""

    first: int
    size: float
    u: float
    dof: int
    p: float


def find_jump(
    columns: Sequence[Array], y: Array, *, candidates: Sequence[int], risk: float = 0.01
) -> Jump | None:
    """A jump of all readings from one on, over what the columns explain.

    Every candidate place is tried; the F test of the best is charged with their number
    (Bonferroni), so that sound readings are accused less often than `risk` a run. A drift that
    explains the readings as well is no jump.

    Args:
        columns: what is expected of the readings otherwise.
        y: readings in the order taken.
        candidates: places that may be the first after the jump.
        risk: false alarms a run.
    """
    if not candidates or len(y) < len(columns) + 4:
        return None
    plain = fit(columns, y)
    best: Jump | None = None
    least = 0.0
    order = np.arange(len(y), dtype=float)
    for place in candidates:
        after = (order >= place).astype(float)
        with_jump = fit([*columns, after], y)
        p = min(1.0, compared(plain, with_jump).p * len(candidates))
        if p < risk and (best is None or p < best.p):
            size, u = with_jump.coefficients[-1], with_jump.u[-1]
            best = Jump(int(place), float(size), float(u), with_jump.dof, p)
            least = float(with_jump.residuals @ with_jump.residuals)
    if best is None:
        return None
    drifting = fit([*columns, order - order.mean()], y).residuals
    return None if float(drifting @ drifting) <= 1.1 * least else best


def find_drift(columns: Sequence[Array], y: Array, *, risk: float = 0.01) -> Jump | None:
    """A steady drift over the order of readings, over what the columns explain.

    Returns:
        The drift from first to last in `size`; `first` is 0. None if scatter alone would give it
        more often than `risk`.
    """
    if len(y) < len(columns) + 3:
        return None
    order = np.linspace(-0.5, 0.5, len(y))
    plain, drifting = fit(columns, y), fit([*columns, order], y)
    p = compared(plain, drifting).p
    if p >= risk:
        return None
    return Jump(0, drifting.coefficients[-1], drifting.u[-1], drifting.dof, p)


@dataclass(frozen=True, slots=True)
class LocalJump:
    """A jump between two straight stretches; `first` is the first reading after it."""

    first: int
    size: float
    u: float


def find_local_jump(
    x: Array, y: Array, sd: float, *, steepest: float, limit: float, floor: float
) -> LocalJump | None:
    """A jump between two stretches that are straight and nearly level themselves.

    A bend, a slow rise or the end of a take-up has no such stretches on both sides and is never
    taken for a jump.

    Args:
        x: places, rising.
        y: values.
        sd: scatter of one value.
        steepest: slope up to which a stretch counts as level.
        limit: jumps under so many of their standard uncertainty are scatter.
        floor: and so are jumps under this.
    """
    n = len(y)
    best: LocalJump | None = None
    for first in range(3, n - 2):
        left, right = slice(max(0, first - 5), first), slice(first, min(n, first + 5))
        sides = []
        for side in (left, right):
            here, values = x[side], y[side]
            at = here - (x[first - 1] + x[first]) / 2
            found = fit([np.ones(len(at)), at], values)
            straight = float(found.residuals @ found.residuals) <= 9 * sd**2 * max(found.dof, 1)
            if not straight or abs(found.coefficients[1]) > steepest:
                break
            # with the scatter known the uncertainty needs no estimate from so few values
            spread = float(((at - at.mean()) ** 2).sum())
            u = sd * sqrt(1 / len(at) + float(at.mean()) ** 2 / spread)
            sides.append((found.coefficients[0], u))
        if len(sides) < 2:
            continue
        size = sides[1][0] - sides[0][0]
        u = sqrt(sides[0][1] ** 2 + sides[1][1] ** 2)
        if abs(size) <= max(limit * u, floor):
            continue
        if best is None or abs(size) / u > abs(best.size) / best.u:
            best = LocalJump(first, float(size), u)
    return best


def places_between(n: int, margin: int = 2) -> NDArray[np.intp]:
    """Places that leave so many readings on both sides."""
    return np.arange(margin, n - margin + 1)
