"""Whether ranks of truths among draws are as even as they must be: pure functions of numbers.

If the truth and the draws come from one law, the rank of the truth is uniform (Talts, Betancourt,
Simpson, Vehtari and Gelman, "Validating Bayesian inference algorithms with simulation-based
calibration", 2018). The bands for the whole curve of ranks are those of Säilynoja, Bürkner and
Vehtari, Statistics and Computing 32 (2022) 32, found by simulation as in their section 2.2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]


def rank(truth: float, draws: Vector, weight: Vector, chance: float) -> float:
    """Where the truth lies among weighted draws, between 0 and 1.

    With L draws of equal weight, k of them below, this is (k + chance) / (L + 1): uniform if
    `chance` is. With unequal weights the truth counts as one draw of their effective number.
    Draws equal to the truth lie below it with their share of `chance`.
    """
    w = weight / weight.sum()
    own = float(w @ w)
    below = float(w[draws < truth].sum())
    level = float(w[draws == truth].sum())
    return (below + chance * (level + own)) / (1 + own)


def counts(ranks: Sequence[float], bins: int) -> NDArray[np.int64]:
    """How many ranks fall in each of `bins` equal bins."""
    at = np.minimum((np.asarray(ranks) * bins).astype(int), bins - 1)
    return np.bincount(at, minlength=bins)


def chi_square(ranks: Sequence[float], bins: int = 10) -> tuple[float, float]:
    """Pearson's chi-square of the binned ranks against an even law, and its p-value."""
    from scipy.stats import chisquare

    made = chisquare(counts(ranks, bins))
    return float(made.statistic), float(made.pvalue)


def bin_band(count: int, bins: int, chance: float = 0.99) -> tuple[int, int]:
    """Between which counts one bin of an even histogram lies with this chance (binomial law)."""
    from scipy.stats import binom

    low, high = binom.interval(chance, count, 1 / bins)
    return int(low), int(high)


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Limits of the empirical distribution of even ranks at places `at`, that all of it keeps
    at once with the chance asked for; `pointwise` is the chance each place alone keeps them."""

    at: Vector
    low: Vector
    high: Vector
    pointwise: float


def ecdf_band(
    count: int, *, chance: float = 0.95, places: int | None = None, tries: int = 4000, seed: int = 0
) -> Band:
    """Simultaneous band for the ECDF of `count` even ranks."""
    from scipy.stats import binom

    places = places or min(count, 100)
    at = np.arange(1, places + 1) / places
    rng = np.random.default_rng(seed)
    least = np.empty(tries)
    for k in range(tries):
        below = np.searchsorted(np.sort(rng.random(count)), at, side="right")
        lower = binom.cdf(below, count, at)
        upper = binom.sf(below - 1, count, at)
        least[k] = 2 * np.min(np.minimum(lower, upper)[:-1]) if places > 1 else 1.0
    outside = float(np.quantile(least, 1 - chance))
    return Band(
        at,
        binom.ppf(outside / 2, count, at) / count,
        binom.ppf(1 - outside / 2, count, at) / count,
        1 - outside,
    )


def ecdf(ranks: Sequence[float], at: Vector) -> Vector:
    """Share of ranks at or below each place."""
    order = np.sort(np.asarray(ranks))
    return np.searchsorted(order, at, side="right") / len(order)


def outside(ranks: Sequence[float], band: Band) -> int:
    """At how many places the ranks leave a band."""
    line = ecdf(ranks, band.at)
    return int(np.sum((line < band.low - 1e-12) | (line > band.high + 1e-12)))


@dataclass(frozen=True, slots=True)
class Shape:
    """What is wrong with ranks: `middle` off 0.5 is a bias (above: figures stated too low),
    `spread` over 1 belief too narrow, under 1 too wide; `within_90` the share between 0.05 and
    0.95."""

    count: int
    middle: float
    spread: float
    within_90: float
    chi_square: float
    p_value: float


def shape(ranks: Sequence[float], bins: int = 10) -> Shape:
    """The shape of ranks."""
    r = np.asarray(ranks)
    chi, p = chi_square(ranks, bins)
    spread = float(np.mean((r - 0.5) ** 2) * 12)
    within = float(np.mean((r >= 0.05) & (r <= 0.95)))
    return Shape(len(r), float(r.mean()), spread, within, chi, p)
