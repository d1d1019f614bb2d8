"""From what the engine computes to what may be stated.

The engine believes itself too much: its axis model is not the axis. So what it computes of each
cause goes through a map fitted on simulated machines whose physics the engine does not share, and
checked on others kept out (`benchmarks/results/explain.json`). A map is a logistic regression on
few signs: the computed log odds, how far the best set with the cause fits better than the best
without it, how far what the cause takes exceeds the threshold, and how much is left over.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import exp, log

from plumbrise.explain.calibration_maps import MAPS, Map
from plumbrise.explain.joint import Channel, Joint, Set, channel
from plumbrise.explain.priors import CHANCE

LEAST = 1e-4
"""Computed probabilities are held within this of 0 and 1."""
MOST_GAP = 40.0
MOST_OVER = 3.0
MOST_MISFIT = 1.5
HALVINGS = 60


@dataclass(frozen=True, slots=True)
class Signs:
    """What the engine computed of one cause (or one group that only stands together).

    `probability` is its share of the draws; `gap` the log evidence of the best set with it over
    the best without; `over` the logarithm of what it takes over the threshold, in the middle
    draw; `misfit` the logarithm of what is left over by what was expected.
    """

    probability: float
    gap: float = 0.0
    over: float = 0.0
    misfit: float = 0.0

    @property
    def held(self) -> tuple[float, float, float, float]:
        """Log odds, gap (its square root, signed), over and misfit, each within its bounds."""
        p = min(max(self.probability, LEAST), 1 - LEAST)
        gap = min(max(self.gap, -MOST_GAP), MOST_GAP)
        root = (1 if gap > 0 else -1) * abs(gap) ** 0.5
        over = min(max(self.over, -MOST_OVER), MOST_OVER)
        return log(p / (1 - p)), root, over, min(max(self.misfit, 0.0), MOST_MISFIT)


def state(one: Map, cause: str, signs: Signs) -> float:
    """The probability to state.

    Example:
        >>> plain = Map(offset=0.0, odds=1.0, gap=0.0, over=0.0, misfit=0.0, doubt=0.0, most=0.99)
        >>> round(state(plain, "racking", Signs(0.3)), 3)
        0.3
    """
    odds, gap, over, misfit = signs.held
    score = one.offset + one.of_cause.get(cause, 0.0)
    score += one.odds * odds + one.gap * gap + one.over * over
    score += one.misfit * misfit - one.doubt * misfit * max(odds, 0.0)
    return min(1 / (1 + exp(-score)), one.most)


def calibrated(
    causes: Sequence[str],
    sets: Mapping[Set, float],
    seen: Collection[str],
    depth: str,
    *,
    signs: Mapping[str, Signs] | None = None,
    alike: Sequence[tuple[str, ...]] = (),
    most: Mapping[str, float] | None = None,
    elsewhere: Mapping[str, float] | None = None,
    maps: Mapping[str, Map] = MAPS,
) -> Joint:
    """Belief to state over sets of causes.

    Args:
        causes: all causes.
        sets: computed probabilities.
        seen: causes that the session could show; the others get their prior chance.
        depth: which map.
        signs: what the engine computed of each cause; left out, its probability alone counts.
        alike: groups whose members predict the same readings. The map is put on the group, and
            its members share what comes out as they shared what went in.
        most: the most that may be stated of a cause, however the shapes of curves seem to speak;
            it holds for members of a group too, and may so lower the group.
        elsewhere: chance that a cause is there at a place where the session could not show it,
            though it could at another.
        maps: by depth.

    Raises:
        KeyError: no map for this depth.
    """
    total = sum(sets.values())
    held: dict[Set, float] = {}
    for one, share in sets.items():
        key = frozenset(c for c in one if c in seen)
        held[key] = held.get(key, 0.0) + share / total
    now = {c: sum(w for one, w in held.items() if c in one) for c in causes}
    known = {c: (signs or {}).get(c, Signs(now[c])) for c in causes}
    aims = {c: state(maps[depth], c, known[c]) for c in causes}
    for group in alike:
        any_of = sum(w for one, w in held.items() if one & set(group))
        leader = max(group, key=lambda c: now[c])
        aim = state(maps[depth], leader, of_group(group, known, any_of))
        aims |= _shared(held, {c: now[c] for c in group}, aim)
    for c, unread in (elsewhere or {}).items():
        aims[c] = 1 - (1 - aims[c]) * (1 - unread)
    channels = {}
    for c in causes:
        aim = min(aims[c], (most or {}).get(c, 1.0))
        channels[c] = channel(now[c], aim) if c in seen else Channel(0.0, CHANCE)
    return Joint(held, channels)


def of_group(group: Collection[str], known: Mapping[str, Signs], any_of: float) -> Signs:
    """The signs of a group, `any_of` the probability that one of it is there: of its likeliest
    member, and the widest gap."""
    best = max((known[c] for c in group), key=lambda s: s.probability)
    return Signs(any_of, max(known[c].gap for c in group), best.over, best.misfit)


def _shared(held: Mapping[Set, float], now: Mapping[str, float], aim: float) -> dict[str, float]:
    """Probabilities of the members of a group, in proportion to what they are `now`, with which
    at least one of them is there with probability `aim`."""
    part = {c: max(p, LEAST) for c, p in now.items()}

    def shares(factor: float) -> dict[str, float]:
        return {c: min(1.0, factor * p) for c, p in part.items()}

    def any_of(factor: float) -> float:
        each = shares(factor)
        return Joint(held, {c: channel(now[c], each[c]) for c in now}).of_any(now)

    low, high = 0.0, 1.0 / min(part.values())
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if any_of(middle) < aim else (low, middle)
    return shares(high)
