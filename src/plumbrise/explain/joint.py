"""Belief over sets of causes, kept in factors: computed sets with weights, and for each cause how
often it is kept where a set holds it and supposed where it does not.

With k causes there are 2^k sets; kept so, the probability of any set, cause or group is a short
sum, and causes stay the sums of their sets.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Set = frozenset[str]
MOST_LOOKED_AT = 12
"""How many computed sets are looked round for likely ones."""
OPEN = 0.02
"""A cause that changes a set with less than this chance is not tried when likely sets are
looked for."""


@dataclass(frozen=True, slots=True)
class Channel:
    """How often a cause of a set is kept, and one that is not in it supposed."""

    keep: float
    suppose: float

    def there(self, held: bool) -> float:
        """Chance that the cause is there when the computed set holds it or not."""
        return self.keep if held else self.suppose


def channel(now: float, aim: float) -> Channel:
    """The channel that takes a probability from `now` to `aim` and changes least.

    Example:
        >>> channel(0.8, 0.4), channel(0.0, 0.1)
        (Channel(keep=0.5, suppose=0.0), Channel(keep=1.0, suppose=0.1))
    """
    if aim <= now:
        return Channel(aim / now if now > 0 else 0.0, 0.0)
    return Channel(1.0, (aim - now) / (1 - now) if now < 1 else 0.0)


@dataclass(frozen=True, slots=True)
class Joint:
    """Weights (sum 1) of computed sets, and the channel of every cause."""

    sets: Mapping[Set, float]
    channels: Mapping[str, Channel]

    def of(self, cause: str) -> float:
        """Probability of a cause."""
        each = self.channels[cause]
        return sum(w * each.there(cause in one) for one, w in self.sets.items())

    def of_any(self, group: Collection[str]) -> float:
        """Probability that at least one cause of a group is there.

        Example:
            >>> half = Joint({frozenset(): 1.0}, {c: Channel(1.0, 0.5) for c in "ab"})
            >>> half.of_any("ab")
            0.75
        """
        none = 0.0
        for one, weight in self.sets.items():
            for cause in group:
                weight *= 1 - self.channels[cause].there(cause in one)
            none += weight
        return 1 - none

    def of_set(self, causes: Collection[str], among: Sequence[str]) -> float:
        """Probability that of the causes `among` just these are there."""
        return float(self._of_sets((frozenset(causes),), among)[0])

    def likeliest(
        self, among: Sequence[str], most: int = 12
    ) -> list[tuple[tuple[str, ...], float]]:
        """The likeliest sets of the causes `among`, the best first; ties by their names.

        Example:
            >>> one = Joint({frozenset("a"): 1.0}, {"a": Channel(0.75, 0), "b": Channel(1, 0.25)})
            >>> one.likeliest("ab", 2)
            [(('a',), 0.5625), ((), 0.1875)]
        """
        looked_at = sorted(self.sets, key=lambda one: -self.sets[one])[:MOST_LOOKED_AT]
        tried: dict[Set, None] = {}
        for one in looked_at:
            chance = {cause: self.channels[cause].there(cause in one) for cause in among}
            middle = frozenset(cause for cause in among if chance[cause] > 0.5)
            doubted = [c for c in among if OPEN < chance[c] < 1 - OPEN or c in one]
            for size in (0, 1, 2):
                for flip in combinations(doubted, size):
                    tried[middle ^ frozenset(flip)] = None
        chances = self._of_sets(tuple(tried), among)
        found = [
            (tuple(cause for cause in among if cause in one), float(chance))
            for one, chance in zip(tried, chances, strict=True)
        ]
        found.sort(key=lambda pair: (-pair[1], pair[0]))
        return found[:most]

    def _of_sets(self, tried: Sequence[Set], among: Sequence[str]) -> Vector:
        """`of_set` of many sets at once."""
        part = np.tile(np.array(list(self.sets.values())), (len(tried), 1))
        for cause in among:
            each = self.channels[cause]
            there = np.array([each.there(cause in one) for one in self.sets])
            held = np.array([cause in one for one in tried])
            part *= np.where(held[:, None], there, 1 - there)
        return np.asarray(part.sum(axis=1))
