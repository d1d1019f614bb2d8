"""Scores of stated probabilities against what is true: pure functions of numbers."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import comb, log
from random import Random
from statistics import stdev
from typing import TypeVar

T = TypeVar("T")

Stated = Sequence[tuple[float, bool]]
"""Pairs of a stated probability and whether the thing was there."""
LEAST = 1e-3
"""Probabilities are held within this of 0 and 1 before a logarithm is taken."""


def brier(stated: Stated) -> float:
    """Mean square of probability less outcome (Brier 1950); 0 is best."""
    return sum((p - there) ** 2 for p, there in stated) / len(stated)


def log_score(stated: Stated, least: float = LEAST) -> float:
    """Mean of minus the logarithm of the probability given to what was so; 0 is best."""
    held = [(min(max(p, least), 1 - least), there) for p, there in stated]
    return -sum(log(p if there else 1 - p) for p, there in held) / len(held)


@dataclass(frozen=True, slots=True)
class Murphy:
    """Brier = reliability - resolution + uncertainty (Murphy 1973)."""

    reliability: float
    resolution: float
    uncertainty: float


def murphy(stated: Stated) -> Murphy:
    """The three parts of the Brier score, forecasts grouped by equal value."""
    groups: dict[float, list[bool]] = {}
    for p, there in stated:
        groups.setdefault(p, []).append(there)
    n = len(stated)
    base = sum(there for _, there in stated) / n
    reliability = resolution = 0.0
    for p, outcomes in groups.items():
        rate = sum(outcomes) / len(outcomes)
        reliability += len(outcomes) * (p - rate) ** 2 / n
        resolution += len(outcomes) * (rate - base) ** 2 / n
    return Murphy(reliability, resolution, base * (1 - base))


def precision_recall(stated: Stated, at: float = 0.5) -> tuple[float, float]:
    """Share of what is stated that is so, and share of what is so that is stated; nan if none."""
    said = [there for p, there in stated if p >= at]
    so = sum(there for _, there in stated)
    precision = sum(said) / len(said) if said else float("nan")
    return precision, (sum(said) / so if so else float("nan"))


def wrong_of_stated(stated: Stated, at: float = 0.9) -> tuple[int, int]:
    """How many statements at this probability or more are wrong, and of how many."""
    said = [there for p, there in stated if p >= at]
    return len(said) - sum(said), len(said)


def chance_of_as_many_wrong(wrong: int, of: int, rate: float) -> float:
    """Probability of this many wrong or more if each is wrong at `rate` (binomial law)."""
    return sum(comb(of, k) * rate**k * (1 - rate) ** (of - k) for k in range(wrong, of + 1))


@dataclass(frozen=True, slots=True)
class Bin:
    """Statements between two probabilities: how many, the mean stated, and the share that is so."""

    low: float
    high: float
    count: int
    stated: float
    observed: float


def reliability_table(
    stated: Stated, edges: Sequence[float] = (0, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98, 1)
) -> tuple[Bin, ...]:
    """Stated against observed, bin by bin; empty bins are left out."""
    table = []
    for low, high in pairwise(edges):
        last = high == edges[-1]
        inside = [(p, t) for p, t in stated if low <= p < high or (last and p == high)]
        if inside:
            count = len(inside)
            mean = sum(p for p, _ in inside) / count
            table.append(Bin(low, high, count, mean, sum(t for _, t in inside) / count))
    return tuple(table)


def exact_share(
    answers: Iterable[tuple[Collection[str], Collection[str], Collection[str]]],
) -> float:
    """Share of sessions whose stated set is the true one.

    Args:
        answers: per session the stated set, the true set, and doubtful causes, which count as
            right either way.
    """
    right = [set(said) - set(doubt) == set(so) - set(doubt) for said, so, doubt in answers]
    return sum(right) / len(right)


def exact_up_to_groups(
    answers: Iterable[
        tuple[Collection[str], Collection[str], Collection[str], Collection[Collection[str]]]
    ],
) -> float:
    """Share of sessions whose stated set is the true one as far as it can be told.

    A group that readings cannot split, stated and holding a true cause, is right whichever of its
    causes is named; a group stated that holds none is wrong. Causes of no stated group must be
    right themselves.

    Args:
        answers: per session the stated set, the true set, doubtful causes (right either way), and
            the groups stated.
    """
    right = []
    for said, so, doubt, groups in answers:
        free = set(doubt)
        good = True
        for group in groups:
            good = good and bool(set(group) & (set(so) | set(doubt)))
            free |= set(group)
        right.append(good and set(said) - free == set(so) - free)
    return sum(right) / len(right)


def bootstrap(
    score: Callable[[list[T]], float], sessions: Sequence[T], *, times: int = 200, seed: int = 0
) -> float:
    """Standard error of a score by drawing whole sessions anew (Efron 1979): what is stated of
    one session hangs together. nan if the score is nan in most draws."""
    rng = Random(seed)
    values = []
    for _ in range(times):
        value = score([sessions[rng.randrange(len(sessions))] for _ in sessions])
        if value == value:
            values.append(value)
    return stdev(values) if len(values) > times / 2 else float("nan")


def beta_interval(wrong: int, of: int, chance: float = 0.9) -> tuple[float, float]:
    """Between which rates the true one lies with this chance, after `wrong` of `of`: Jeffreys'
    interval (Brown, Cai and DasGupta, Statistical Science 16 (2001) 101, section 3.1)."""
    from scipy.stats import beta

    law = beta(wrong + 0.5, of - wrong + 0.5)
    tail = (1 - chance) / 2
    low = 0.0 if wrong == 0 else float(law.ppf(tail))
    high = 1.0 if wrong == of else float(law.ppf(1 - tail))
    return low, high


def coverage(intervals: Iterable[tuple[float, float, float]]) -> float:
    """Share of (low, high, true) whose interval holds the true value."""
    held = [low <= true <= high for low, high, true in intervals]
    return sum(held) / len(held)


def group_statements(
    groups: Iterable[tuple[Collection[str], float]], there: Mapping[str, bool]
) -> list[tuple[float, bool]]:
    """A group is there if any of its causes is; causes without a label (doubtful) are left out,
    and with them a group whose answer hangs on them."""
    pairs = []
    for causes, probability in groups:
        labels = [there.get(cause) for cause in causes]
        if any(labels):
            pairs.append((probability, True))
        elif None not in labels:
            pairs.append((probability, False))
    return pairs
