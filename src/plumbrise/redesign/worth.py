"""Whether another test before buying is worth its minutes, in money.

Whoever buys a set that does not do knows only that much more, and buys what is then likeliest to
complete it for the money; what was bought for nothing is lost. The mean of all that over the axes
that are believed is what a choice is expected to cost until the target is reached. Knowing more
lets one choose better: the saving is the value of a test (Raiffa and Schlaifer, Applied Statistical
Decision Theory, 1961, chapter 4).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import predict_all
from plumbrise.explain.ahead import ahead_of
from plumbrise.explain.noise import first_level
from plumbrise.explain.results import Explanation, NextTest
from plumbrise.machine import Machine, known
from plumbrise.measure.setups import candidates
from plumbrise.redesign.axes import Drawn
from plumbrise.redesign.choosing import Weighed, holds
from plumbrise.redesign.figures import Target
from plumbrise.redesign.pricing import Prices
from plumbrise.redesign.prospects import Prospects
from plumbrise.redesign.results import Worth
from plumbrise.redesign.sets import summed

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Whole = NDArray[np.int64]

MOST_CANDIDATES = 16
MOST_ROUTES = 4000
"""Sets that may complete a choice: the cheapest of all that meet the target in some draw."""


def met_by_draw(prospects: Prospects, targets: tuple[Target, ...], at: Whole) -> NDArray[np.bool_]:
    """Which of these sets meet all targets, in which draws: (sets, draws)."""
    met = np.ones((len(at), prospects.draws.count), dtype=bool)
    for target in targets:
        block = prospects.block_of(target.figure.id)
        met &= holds(block.values[target.figure.id][block.rows(prospects.masks[at])], target)
    return met


def spending(
    prospects: Prospects,
    targets: tuple[Target, ...],
    amounts: list[float],
    candidates: Whole,
    routes: Whole,
) -> Matrix:
    """What each candidate costs in each draw until the target is reached: (candidates, draws).

    A candidate that does not do is completed by one route, whichever is cheapest over the draws in
    which the candidate fails; what is there already is not bought again. Where that route fails
    too, it costs as much again as the dearest route.
    """
    met = met_by_draw(prospects, targets, routes)
    masks = prospects.masks
    dearest = float(summed(masks[routes], amounts).max(initial=0.0))
    done = met_by_draw(prospects, targets, candidates)
    out = np.empty((len(candidates), prospects.draws.count))
    for k, candidate in enumerate(candidates):
        own = float(summed(masks[[candidate]], amounts)[0])
        more = summed(masks[routes] & ~masks[candidate], amounts)
        out[k] = own + np.where(done[k], 0.0, completing(more, met, ~done[k], dearest))
    return out


def completing(
    more: Vector, met: NDArray[np.bool_], fails: NDArray[np.bool_], lost: float
) -> Vector:
    """What it costs in each draw to complete a set that failed, by the one route that is cheapest
    over the draws in which it fails.

    Args:
        more: what each route costs beyond the set.
        met: in which draws each route does: (routes, draws).
        fails: in which draws the set fails.
        lost: what is counted where the route fails too.

    Example:
        Nobody knows which of the two draws it is: the route that does in both is taken.

        >>> met = np.array([[True, False], [False, True], [True, True]])
        >>> completing(np.array([1.0, 1.0, 3.0]), met, np.ones(2, dtype=bool), 10.0).tolist()
        [3.0, 3.0]
    """
    missed = np.mean(~met[:, fails], axis=1) if fails.any() else np.zeros(len(more))
    best = int(np.argmin(more + lost * missed))
    return np.asarray(more[best] + lost * ~met[best])


def perfect_saves(cost: Matrix) -> float:
    """What knowing the axis wholly would save, never below 0.

    Args:
        cost: of each choice in each draw.

    Example:
        >>> perfect_saves(np.array([[0.0, 10.0], [6.0, 6.0]]))
        2.0
    """
    return max(0.0, float(np.min(cost.mean(axis=1)) - np.mean(np.min(cost, axis=0))))


def sample_saves(cost: Matrix, likeness: Matrix) -> float:
    """What a test is expected to save, never below 0.

    In each draw the choice is made by what would then be believed, and costs what it costs in that
    draw: so a test that misleads as often as it helps saves nothing.

    Args:
        cost: of each choice in each draw.
        likeness: for each draw, taken as the truth, what is then believed of all draws (rows that
            add up to 1); no row counts the draw itself more than its like.
    """
    choice = np.argmin(likeness @ cost.T, axis=1)
    after = cost[choice, np.arange(cost.shape[1])]
    return max(0.0, float(np.min(cost.mean(axis=1)) - after.mean()))


def likeness_after(
    machine: Machine, draws: Drawn, test: NextTest, rng: np.random.Generator
) -> Matrix | None:
    """What would be believed of all draws after a test, if each in turn were the truth; None for
    a test that this machine's set-ups do not hold, and where only one axis is believed.

    A draw never counts itself nor its copies, so that few draws do not seem to tell more than
    the test does; the truth's own readings scatter as the gauge does.
    """
    found = [
        s for s in candidates(machine, "") if (s.kind.id, s.station.id) == (test.test, test.station)
    ]
    if not found or np.ptp(draws.of) == 0:
        return None
    resolution = float(known(machine, "gauge.resolution_mm").value)
    ahead = ahead_of(draws.base, found[:1], resolution)
    made = predict_all(ahead.session, draws.thetas).reading_mm[:, ahead.seen.rows]
    scaled = ahead.scaled(0, made, first_level(resolution))
    seen = scaled + rng.standard_normal(scaled.shape)
    off = np.sum((seen[:, None, :] - scaled[None, :, :]) ** 2, axis=2)
    off[draws.of[:, None] == draws.of[None, :]] = np.inf
    logs = -0.5 * (off - np.min(off, axis=1, keepdims=True))
    share = np.exp(logs)
    return np.asarray(share / share.sum(axis=1, keepdims=True))


def worths_of(
    prospects: Prospects,
    weighed: Weighed,
    prices: Prices,
    stands: Whole,
    explanation: Explanation | None,
    rng: np.random.Generator,
) -> tuple[tuple[Worth, ...], float]:
    """What each of the next tests would save before buying, best first, and what knowing the
    axis wholly would save."""
    if not weighed.targets:
        return (), 0.0
    some = stands[np.argsort(-weighed.probability[stands])][:MOST_CANDIDATES]
    hopeful = np.flatnonzero(weighed.probability > 0)
    routes = hopeful[np.argsort(prices.total[hopeful], kind="stable")][:MOST_ROUTES]
    if not len(routes):
        return (), 0.0
    cost = spending(prospects, weighed.targets, prices.amounts, some, routes)
    found = []
    for test in explanation.next_tests if explanation is not None else ():
        likeness = likeness_after(prospects.machine, prospects.draws, test, rng)
        if likeness is not None:
            saves = sample_saves(cost, likeness)
            after_time = saves - prices.hour_worth * test.minutes / 60
            found.append(Worth(test.test, test.station, test.minutes, saves, after_time))
    return tuple(sorted(found, key=lambda w: -w.after_time)), perfect_saves(cost)
