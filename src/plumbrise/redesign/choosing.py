"""Choosing among all sets of changes: the front, the cheapest that is likely enough, what limits.

Every set that can be made is looked at. Draws are equally likely, so a set's probability is a
count: per block the draws that hold the targets are bits, a set's are those that all its blocks
share.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.redesign.figures import STAYS_UP, Target
from plumbrise.redesign.prospects import Block, Prospects

Vector = NDArray[np.float64]
Bools = NDArray[np.bool_]

LEAST_STEP = 0.02
"""A dearer set stands on the front only if it is likelier by this."""


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """All sets weighed against targets: `probability` that each meets them all, and `excess`,
    the middle over the draws of the worst figure over its limit (for ties, and where nothing
    reaches the target)."""

    targets: tuple[Target, ...]
    probability: Vector
    excess: Vector


def holds(values: NDArray[np.float64], target: Target) -> Bools:
    """Where a figure holds its target."""
    return values >= 0 if target.figure is STAYS_UP else values <= target.limit


def over(block: Block, target: Target) -> Vector:
    """The middle of a figure over its limit, for each set of a block."""
    figure = target.figure.id
    if target.figure is STAYS_UP:
        return np.where(np.mean(block.values[figure] < 0, axis=1) > 0.5, 2.0, 0.5)
    return np.asarray(block.middles[figure] / target.limit)


def weigh(prospects: Prospects, targets: Sequence[Target]) -> Weighed:
    """The probability of every set that it meets all targets.

    Targets that these readings say nothing of are left out. Where that leaves none, no set is
    known to meet them.
    """
    told = tuple(t for t in targets if t.figure.id not in prospects.untold)
    masks = prospects.masks
    together: NDArray[np.uint64] | None = None
    excess = np.zeros(len(masks))
    for block in prospects.blocks.values():
        here = [t for t in told if t.figure.id in block.values]
        if not here:
            continue
        met = np.logical_and.reduce([holds(block.values[t.figure.id], t) for t in here])
        worst = np.max([over(block, t) for t in here], axis=0)
        rows = block.rows(masks)
        bits = _packed(met)[rows]
        together = bits if together is None else together & bits
        excess = np.maximum(excess, worst[rows])
    if together is None:
        return Weighed(told, np.zeros(len(masks)), excess)
    count = np.bitwise_count(together).sum(axis=1)
    return Weighed(told, count / prospects.draws.count, excess)


def _packed(met: Bools) -> NDArray[np.uint64]:
    """Draws as bits, 64 to a word."""
    pad = -met.shape[1] % 64
    bytes_of = np.packbits(np.pad(met, ((0, 0), (0, pad))), axis=1)
    return np.ascontiguousarray(bytes_of).view(np.uint64)


def front(cost: Vector, weighed: Weighed, open_to: Bools) -> NDArray[np.int64]:
    """Sets on the front, cheapest first: no cheaper set is as likely. Of equal sets the one
    with the smaller excess stands there.

    Example:
        >>> weighed = Weighed((), np.array([0.2, 0.2, 0.9, 0.9]), np.array([2.0, 2.0, 0.8, 0.8]))
        >>> front(np.array([0.0, 5.0, 9.0, 7.0]), weighed, np.ones(4, dtype=bool)).tolist()
        [0, 3]
    """
    at = np.flatnonzero(open_to)
    order = at[np.lexsort((weighed.excess[at], -weighed.probability[at], cost[at]))]
    kept: list[int] = []
    best, lowest = -1.0, np.inf
    hopeless = bool(np.max(weighed.probability[at]) < LEAST_STEP)
    for i in order[_records(weighed, order, hopeless=hopeless)]:
        p, excess = float(weighed.probability[i]), float(weighed.excess[i])
        if p >= best + LEAST_STEP or (hopeless and excess < lowest * (1 - LEAST_STEP)):
            kept.append(int(i))
            best, lowest = max(best, p), min(lowest, excess)
    return np.array(kept, dtype=np.int64)


def _records(weighed: Weighed, order: NDArray[np.int64], *, hopeless: bool) -> Bools:
    """Which of the sets in this order are likelier than all before them: no other can stand on
    the front. Where there is no hope, also those with a smaller excess than all before."""
    p, excess = weighed.probability[order], weighed.excess[order]
    found = np.ones(len(order), dtype=bool)
    found[1:] = p[1:] > np.maximum.accumulate(p)[:-1]
    if hopeless:
        found[1:] |= excess[1:] < np.minimum.accumulate(excess)[:-1]
    return found


def cheapest(cost: Vector, weighed: Weighed, open_to: Bools, probability: float) -> int | None:
    """The cheapest set that meets all targets with this probability, None where there is none.
    Of equally cheap ones the likelier, then the one with the smaller excess."""
    good = np.flatnonzero(open_to & (weighed.probability >= probability))
    if not len(good):
        return None
    order = np.lexsort((weighed.excess[good], -weighed.probability[good], cost[good]))
    return int(good[order[0]])


def likeliest(cost: Vector, weighed: Weighed, open_to: Bools) -> int:
    """The set most likely to meet the targets; where none does, the one that comes nearest. The
    cheapest of those that are as good within `LEAST_STEP`."""
    at = np.flatnonzero(open_to)
    p, excess = weighed.probability[at], weighed.excess[at]
    best = p.max()
    near = at[p >= best - LEAST_STEP] if best >= LEAST_STEP else at[excess <= excess.min() * 1.02]
    return int(near[np.lexsort((weighed.excess[near], cost[near]))[0]])
