"""What a handful of readings say: mean, scatter, their uncertainty, and tests between groups."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, isfinite, lgamma, log, sqrt

import numpy as np

from plumbrise.quantity import Measured, Unit, student_factor

FEWEST_FOR_CORRELATION = 8
"""With fewer values the lag-1 correlation says nothing."""


@dataclass(frozen=True, slots=True)
class Sample:
    """Mean and scatter of values taken in order. `lag1` is None where it has no meaning."""

    n: int
    mean: float
    sd: float
    lag1: float | None


@dataclass(frozen=True, slots=True)
class Tested:
    """A test statistic, its degrees of freedom (both if two) and its p-value."""

    statistic: float
    dof: tuple[float, ...]
    p: float


def sample(values: Sequence[float]) -> Sample:
    """Mean, experimental standard deviation and lag-1 autocorrelation.

        s² = Σ (x - x̄)² / (n - 1)        r1 = Σ (x_i - x̄)(x_{i+1} - x̄) / Σ (x_i - x̄)²

    Computed about a provisional mean, so that a large common part costs no digits.

    Source:
        NIST/SEMATECH e-Handbook 1.3.5.1, 1.3.5.6 and 1.3.5.12.

    Example:
        >>> sample([1.0, 2.0, 3.0, 4.0]).mean
        2.5
    """
    x = np.asarray(values, dtype=float)
    n = len(x)
    if n == 0:
        raise ValueError("a sample of nothing")
    shifted = x - x[0]
    mean_shift = float(shifted.mean())
    rest = shifted - mean_shift
    rest -= rest.mean()
    squares = float(rest @ rest)
    lag1 = float(rest[:-1] @ rest[1:]) / squares if squares > 0 and n > 2 else None
    return Sample(n, float(x[0]) + mean_shift, sqrt(squares / (n - 1)) if n > 1 else 0.0, lag1)


def widening(lag1: float | None, n: int) -> float:
    """By how much structure in the order of readings widens the uncertainty of their mean.

        √((1 + |r|) / (1 - |r|))

    1 where the correlation is not significant (|r| under 1.96/√n) or too few values are there.
    For r > 0 this is the limit for a first-order chain; a significant negative r is no plain
    scatter either and is charged alike, on the safe side.

    Source:
        Bayley and Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184, large-n limit.
    """
    if lag1 is None or n < FEWEST_FOR_CORRELATION or abs(lag1) < 1.96 / sqrt(n):
        return 1.0
    size = min(abs(lag1), 0.95)
    return sqrt((1 + size) / (1 - size))


def mean_of(values: Sequence[float], unit: Unit = Unit.MM) -> Measured:
    """Mean with its standard uncertainty s/√n, widened where the order shows structure.

    Raises:
        ValueError: fewer than two values.

    Source:
        GUM (JCGM 100:2008) 4.2.3.
    """
    if len(values) < 2:
        raise ValueError("one value has no scatter")
    found = sample(values)
    wide = widening(found.lag1, found.n)
    dof = max(1.0, found.n / wide**2 - 1)
    return Measured(found.mean, wide * found.sd / sqrt(found.n), unit, dof)


def relative_u_of_sd(n: int) -> float:
    """Relative standard deviation of an experimental standard deviation of n normal values.

        √(1 - c4²) / c4        c4 = √(2/(n-1)) Γ(n/2) / Γ((n-1)/2)

    Source:
        GUM (JCGM 100:2008) table E.1, exact form.

    Example:
        >>> round(relative_u_of_sd(10), 3)
        0.239
    """
    c4 = sqrt(2 / (n - 1)) * exp(lgamma(n / 2) - lgamma((n - 1) / 2))
    return sqrt(1 - c4**2) / c4


_D2 = (1.128, 1.693, 2.059, 2.326, 2.534, 2.704, 2.847, 2.970, 3.078, 3.173, 3.258, 3.336)
_D3 = (0.853, 0.888, 0.880, 0.864, 0.848, 0.833, 0.820, 0.808, 0.797, 0.787, 0.778, 0.770)


def relative_u_of_range(n: int) -> float:
    """Relative standard deviation of the range of n normal values, d3/d2.

    Source:
        Factors d2 and d3 of control charts (ISO 7870-2), n up to 13; beyond, n = 13.
    """
    place = min(n, 13) - 2
    return _D3[place] / _D2[place]


def pooled_sd(groups: Sequence[Sequence[float]]) -> tuple[float, int]:
    """Scatter within groups, and its degrees of freedom; groups of one add nothing."""
    squares, dof = 0.0, 0
    for group in groups:
        if len(group) > 1:
            squares += sample(group).sd ** 2 * (len(group) - 1)
            dof += len(group) - 1
    return (sqrt(squares / dof) if dof else 0.0), dof


def robust_sd(values: Sequence[float]) -> float:
    """Scatter by the median of absolute deviations, scaled to the normal law.

    Source:
        Hampel, J. Am. Stat. Assoc. 69 (1974) 383.
    """
    x = np.asarray(values, dtype=float)
    return float(np.median(np.abs(x - np.median(x)))) * 1.4826 if len(x) else 0.0


def pooled_t(a: Sequence[float], b: Sequence[float]) -> Tested:
    """Do two groups of one scatter differ in mean? Student's t, two-sided.

    Source:
        e-Handbook 1.3.5.3.
    """
    one, two = sample(a), sample(b)
    sd, dof = pooled_sd([a, b])
    t = (one.mean - two.mean) / (sd * sqrt(1 / one.n + 1 / two.n))
    return Tested(t, (float(dof),), _two_sided(t, dof))


def welch_t(a: Sequence[float], b: Sequence[float]) -> Tested:
    """Do two groups of unlike scatter differ in mean? Welch's t, two-sided.

    Source:
        e-Handbook 1.3.5.3; Welch, Biometrika 34 (1947) 28.
    """
    one, two = sample(a), sample(b)
    v1, v2 = one.sd**2 / one.n, two.sd**2 / two.n
    dof = (v1 + v2) ** 2 / (v1**2 / (one.n - 1) + v2**2 / (two.n - 1))
    t = (one.mean - two.mean) / sqrt(v1 + v2)
    return Tested(t, (dof,), _two_sided(t, dof))


def variance_ratio(sd_a: float, n_a: int, sd_b: float, n_b: int) -> Tested:
    """Do two groups differ in scatter? F ratio of the variances, two-sided.

    Source:
        e-Handbook 1.3.5.9.
    """
    from scipy.special import fdtr

    ratio = (sd_a / sd_b) ** 2
    below = float(fdtr(n_a - 1, n_b - 1, ratio))
    return Tested(ratio, (n_a - 1.0, n_b - 1.0), 2 * min(below, 1 - below))


def bartlett(groups: Sequence[Sequence[float]]) -> Tested:
    """Do groups differ in scatter, taken as normal?

    Source:
        e-Handbook 1.3.5.7; Bartlett, Proc. R. Soc. A 160 (1937) 268.
    """
    from scipy.special import chdtrc

    sizes = [len(group) for group in groups]
    pooled, dof = pooled_sd(groups)
    statistic = dof * 2 * log(pooled) - sum(
        (len(group) - 1) * 2 * log(sample(group).sd) for group in groups
    )
    k = len(groups)
    statistic /= 1 + (sum(1 / (n - 1) for n in sizes) - 1 / dof) / (3 * (k - 1))
    return Tested(statistic, (k - 1.0,), float(chdtrc(k - 1, statistic)))


def levene(groups: Sequence[Sequence[float]]) -> Tested:
    """Do groups differ in scatter, whatever their law? Distances from the median are compared.

    Source:
        e-Handbook 1.3.5.10; Brown and Forsythe, J. Am. Stat. Assoc. 69 (1974) 364.
    """
    return one_way([list(np.abs(np.asarray(group) - np.median(group))) for group in groups]).test


@dataclass(frozen=True, slots=True)
class OneWay:
    """Analysis of variance with one factor."""

    test: Tested
    between_squares: float
    within_squares: float
    residual_sd: float


def one_way(groups: Sequence[Sequence[float]]) -> OneWay:
    """Do groups of one scatter differ in mean? One-way analysis of variance.

    Source:
        e-Handbook 1.3.5.4.
    """
    from scipy.special import fdtrc

    start = groups[0][0]
    shifted = [np.asarray(group, dtype=float) - start for group in groups]
    n, k = sum(map(len, shifted)), len(shifted)
    grand = sum(float(g.sum()) for g in shifted) / n
    between = sum(len(g) * (float(g.mean()) - grand) ** 2 for g in shifted)
    within = sum(float(((g - g.mean()) ** 2).sum()) for g in shifted)
    ratio = (between / (k - 1)) / (within / (n - k)) if within > 0 else inf
    p = float(fdtrc(k - 1, n - k, ratio)) if isfinite(ratio) else 0.0
    return OneWay(
        Tested(ratio, (k - 1.0, n - float(k)), p), between, within, sqrt(within / (n - k))
    )


def runs_test(values: Sequence[float]) -> Tested:
    """Is the order of values above and below their median random? Wald and Wolfowitz.

    Returns:
        Z in `statistic`, the number of runs in `dof`, and the two-sided p.

    Source:
        e-Handbook 1.3.5.13.
    """
    from scipy.special import ndtr

    x = np.asarray(values, dtype=float)
    above = x[x != np.median(x)] > np.median(x)
    n1 = int(above.sum())
    n2 = len(above) - n1
    runs = 1 + int((above[1:] != above[:-1]).sum())
    mean, sd = expected_runs(n1, n2)
    z = (runs - mean) / sd if sd > 0 else 0.0
    return Tested(z, (float(runs),), float(2 * ndtr(-abs(z))))


def expected_runs(n1: int, n2: int) -> tuple[float, float]:
    """Mean and standard deviation of the number of runs among n1 and n2 values of two sorts."""
    both, product = n1 + n2, 2 * n1 * n2
    if both < 2:
        return 1.0, 0.0
    return product / both + 1, sqrt(product * (product - both) / (both**2 * (both - 1)))


def grubbs(values: Sequence[float]) -> tuple[int, float]:
    """Which value stands furthest out, and by how many standard deviations.

    Source:
        Grubbs, Technometrics 11 (1969) 1; e-Handbook 1.3.5.17.
    """
    found = sample(values)
    distances = np.abs(np.asarray(values, dtype=float) - found.mean)
    worst = int(distances.argmax())
    return worst, float(distances[worst]) / found.sd if found.sd > 0 else 0.0


def grubbs_limit(n: int, risk: float = 0.05, *, sides: int = 2) -> float:
    """How far out the furthest of n sound values stands, passed with this risk.

    Source:
        e-Handbook 1.3.5.17.

    Example:
        >>> round(grubbs_limit(8), 4), round(grubbs_limit(8, sides=1), 4)
        (2.1266, 2.0317)
    """
    t = student_factor(n - 2, 1 - 2 * risk / (sides * n))
    return (n - 1) / sqrt(n) * sqrt(t**2 / (n - 2 + t**2))


def _two_sided(t: float, dof: float) -> float:
    from scipy.special import stdtr

    return float(2 * stdtr(dof, -abs(t)))
