"""The axes that are believed after reading, for what follows from an explanation: what a change
would do, what a print would show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Parameters
from plumbrise.explain.draws import Draws
from plumbrise.explain.joint import Joint
from plumbrise.explain.search import Found

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

ROUNDS = 60
LEAST_DRAWS = 2
"""A cause is weighed only where so many draws hold it and as many do not."""
MOST_FACTOR = 12.0
"""No draw is weighed up or down by more than this."""


@dataclass(frozen=True, slots=True, eq=False)
class Believed:
    """Axes drawn from what is believed.

    `thetas` are vectors of `base` (one a row), `weight` what each counts (sum 1), `terms` the
    linear terms drawn with them by name (mm or ratio, a value a draw), `takes` for each cause the
    draws in which it matters. The weights are such that causes matter as often as is stated, as
    far as the draws allow. `keep` says of each cause how often it is meant where a draw holds it:
    the rest of the time what that draw lays at this cause has another reason, not known.
    """

    base: Parameters
    thetas: Matrix
    weight: Vector
    terms: Mapping[str, Vector]
    takes: Mapping[str, NDArray[np.bool_]]
    keep: Mapping[str, float]

    @property
    def count(self) -> int:
        """How many draws."""
        return len(self.weight)

    def meant(self, rng: np.random.Generator) -> dict[str, NDArray[np.bool_]]:
        """For each cause the draws in which what is laid at it is meant."""
        return {cause: rng.random(self.count) < keep for cause, keep in self.keep.items()}


def believed(found: Found, draws: Draws, joint: Joint) -> Believed:
    """The draws, weighed so that every cause matters as often as is stated of it."""
    stated = {cause: joint.of(cause) for cause in draws.takes}
    weight = weighed(draws.weight, draws.takes, stated)
    keep = {}
    for cause, takes in draws.takes.items():
        now = float(weight[takes].sum())
        keep[cause] = min(1.0, stated[cause] / now) if now > 0 else 1.0
    seen = found.model.witness
    return Believed(
        base=seen.session.base,
        thetas=draws.thetas,
        weight=weight,
        terms={name: draws.terms[:, k] for k, name in enumerate(seen.names)},
        takes=draws.takes,
        keep=keep,
    )


def weighed(
    weight: Vector, takes: Mapping[str, NDArray[np.bool_]], aims: Mapping[str, float]
) -> Vector:
    """Weights nearest to these (in relative entropy) with which each cause matters as often as
    aimed at, within bounds; a cause that all draws hold, or none, is left.

    Source:
        Iterative proportional fitting (Deming and Stephan, Annals of Mathematical Statistics 11,
        1940, p. 427).

    Example:
        >>> even, first = np.full(4, 0.25), np.array([True, True, False, False])
        >>> weighed(even, {"racking": first}, {"racking": 0.8})
        array([0.4, 0.4, 0.1, 0.1])
    """
    made = weight.copy()
    some = [c for c, t in takes.items() if LEAST_DRAWS <= int(t.sum()) <= len(t) - LEAST_DRAWS]
    for _ in range(ROUNDS):
        for cause in some:
            there = takes[cause]
            now, aim = float(made[there].sum()), float(aims[cause])
            if 0 < now < 1:
                made = np.where(there, made * (aim / now), made * ((1 - aim) / (1 - now)))
                made = np.clip(made, weight / MOST_FACTOR, weight * MOST_FACTOR)
                made /= made.sum()
    return made
