"""From what the engine computes to what may be stated.

The engine believes itself too much: its axis model is not the axis. So every computed probability
goes through a map log odds -> slope · log odds + offset, one for each depth of session, fitted on
simulated machines whose physics the engine does not share and checked on others kept out (the
figures are in `benchmarks/results/explain.json`). Sets follow: each cause of a set
is doubted (or supposed) independently, so that causes remain the sums of their sets.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.priors import CHANCE

Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Map:
    """Slope and offset on the log odds, and the most that is ever stated."""

    slope: float
    offset: float
    most: float = 0.99

    def __call__(self, probability: float) -> float:
        """The probability to state.

        Example:
            >>> round(Map(1.0, 0.0)(0.3), 3)
            0.3
        """
        held = min(max(probability, 1e-4), 1 - 1e-4)
        odds = self.slope * log(held / (1 - held)) + self.offset
        return min(1 / (1 + exp(-odds)), self.most)


MAPS = {
    "full": Map(0.65, -1.7),
    "gantry": Map(0.60, -1.65),
    "short": Map(0.70, -1.3, most=0.8),
}
"""By depth of session. A short one states no cause at 0.9: one loss a side cannot."""
MOST_UNSPLIT = 0.85
MUCH_LEFT = 2.0


def calibrated(
    causes: Sequence[str],
    sets: Mapping[frozenset[str], float],
    seen: frozenset[str],
    depth: str,
    unsplit: frozenset[str] = frozenset(),
    alike: Sequence[tuple[str, ...]] = (),
    misfit: float = 1.0,
) -> tuple[Vector, dict[str, float]]:
    """Probabilities of all sets, and of each cause.

    Args:
        causes: all causes; bit k of a set's place in the result is causes[k].
        sets: computed probabilities.
        seen: causes that the session could show; the others get their prior chance.
        depth: which map.
        unsplit: members of groups that the session cannot tell apart; none is ever stated over
            `MOST_UNSPLIT`, however the shapes of curves seem to speak.
        alike: groups whose members predict the same readings. The map is put on the group, and
            its members share what comes out as they shared what went in.
        misfit: what is left over, over what was expected. Where much is left that no cause
            explains, none of them is sure.

    Returns:
        Probabilities of the 2^n sets (sum 1), and the causes' (each the sum of its sets).
    """
    place = {cause: k for k, cause in enumerate(causes)}
    p = np.zeros(2 ** len(causes))
    for one, share in sets.items():
        p[sum(1 << place[c] for c in one if c in seen)] += share
    p /= p.sum()
    state = MAPS[depth]
    stated: dict[str, float] = {}
    aims = {c: state(float(p.reshape(-1, 2, 1 << k)[:, 1].sum())) for c, k in place.items()}
    for group in alike:
        any_of = of_any(p, causes, group)
        share = state(any_of) / any_of if any_of > 0 else 1.0
        for cause in group:
            k = place[cause]
            aims[cause] = min(1.0, share) * float(p.reshape(-1, 2, 1 << k)[:, 1].sum())
    for cause, k in place.items():
        halves = p.reshape(-1, 2, 1 << k)
        now = float(halves[:, 1].sum())
        aim = aims[cause] if cause in seen else CHANCE
        if cause in unsplit or (cause in seen and misfit > MUCH_LEFT):
            aim = min(aim, MOST_UNSPLIT)
        keep, suppose = _channel(now, aim)
        without, there = halves[:, 0].copy(), halves[:, 1].copy()
        halves[:, 1] = keep * there + suppose * without
        halves[:, 0] = (1 - keep) * there + (1 - suppose) * without
    p /= p.sum()
    for cause, k in place.items():
        stated[cause] = float(p.reshape(-1, 2, 1 << k)[:, 1].sum())
    return p, stated


def _channel(now: float, aim: float) -> tuple[float, float]:
    """How often a cause of a set is kept, and one that is not there supposed."""
    if aim <= now:
        return (aim / now if now > 0 else 0.0), 0.0
    return 1.0, (aim - now) / (1 - now) if now < 1 else 0.0


def of_any(p: Vector, causes: Sequence[str], group: Sequence[str]) -> float:
    """Probability that at least one cause of a group is there."""
    bits = sum(1 << list(causes).index(c) for c in group)
    at = np.arange(len(p))
    return float(p[(at & bits) != 0].sum())


def likeliest(
    p: Vector, causes: Sequence[str], most: int = 12
) -> list[tuple[tuple[str, ...], float]]:
    """The likeliest sets, first the best."""
    order = np.argsort(-p)[:most]
    return [(tuple(c for k, c in enumerate(causes) if int(i) >> k & 1), float(p[i])) for i in order]
