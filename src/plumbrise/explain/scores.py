"""How good stated probabilities are: the scores by which explanations are judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike


def brier(forecasts: ArrayLike, happened: ArrayLike) -> float:
    """Mean squared distance of stated probabilities from what was true (0 or 1).

    Source:
        G. W. Brier, Monthly Weather Review 78 (1950) 1, in the half form in common use.

    Example:
        >>> round(brier([0.1, 0.9, 0.8, 0.3], [0, 1, 1, 0]), 4)
        0.0375
    """
    stated, true = np.asarray(forecasts, float), np.asarray(happened, float)
    return float(np.mean((stated - true) ** 2))


def log_score(forecasts: ArrayLike, happened: ArrayLike, floor: float = 0.001) -> float:
    """Mean of -ln(probability given to what was true), probabilities held within `floor` of
    0 and 1 so that one blunder does not hide everything else."""
    stated = np.clip(np.asarray(forecasts, float), floor, 1 - floor)
    true = np.asarray(happened, float)
    return float(-np.mean(true * np.log(stated) + (1 - true) * np.log1p(-stated)))


@dataclass(frozen=True, slots=True)
class BrierParts:
    """Brier score taken apart: `reliability` less `resolution` plus `uncertainty`."""

    reliability: float
    resolution: float
    uncertainty: float


def brier_parts(forecasts: ArrayLike, happened: ArrayLike) -> BrierParts:
    """The three parts of a Brier score, forecasts grouped by equal value.

        Σ n_k (f_k - ō_k)²/N  -  Σ n_k (ō_k - ō)²/N  +  ō (1 - ō)

    Source:
        A. H. Murphy, Journal of Applied Meteorology 12 (1973) 595.
    """
    stated, true = np.asarray(forecasts, float), np.asarray(happened, float)
    values, group = np.unique(stated, return_inverse=True)
    counts = np.bincount(group, minlength=len(values))
    observed = np.bincount(group, weights=true, minlength=len(values)) / counts
    share = counts / counts.sum()
    base = float(true.mean())
    return BrierParts(
        reliability=float(np.sum(share * (values - observed) ** 2)),
        resolution=float(np.sum(share * (observed - base) ** 2)),
        uncertainty=base * (1 - base),
    )


def most_wrong(statements: int, *, promised: float = 0.1, doubt: float = 0.05) -> int:
    """The largest number of wrong statements that still keeps a promise.

    With `promised` chance of being wrong each, more than this many wrong ones happen with a
    probability below `doubt`.

    Source:
        Binomial law, one-sided.

    Example:
        >>> most_wrong(100)
        15
    """
    from scipy.stats import binom

    wrong = np.arange(statements + 1)
    return int(wrong[binom.sf(wrong, statements, promised) < doubt][0])


def strength_of_evidence(log_bayes_factor: float) -> str:
    """How strongly one set is preferred to another, by twice the log Bayes factor.

    Source:
        R. E. Kass and A. E. Raftery, JASA 90 (1995) 773, section 3.2.

    Example:
        >>> strength_of_evidence(4.0)
        'strong'
    """
    twice = 2 * abs(log_bayes_factor)
    for limit, words in ((2.0, "bare mention"), (6.0, "positive"), (10.0, "strong")):
        if twice <= limit:
            return words
    return "very strong"


def entropy_bits(probabilities: ArrayLike) -> float:
    """Doubt in bits: -Σ p log2 p.

    Example:
        >>> entropy_bits([0.5, 0.5])
        1.0
    """
    p = np.asarray(probabilities, float)
    p = p[p > 0]
    return float(-np.sum(p * np.log2(p))) + 0.0


def covered(low: Sequence[float], high: Sequence[float], truth: Sequence[float]) -> float:
    """Share of intervals that hold the truth."""
    inside = [a <= t <= b for a, b, t in zip(low, high, truth, strict=True)]
    return float(np.mean(inside)) if inside else float("nan")
