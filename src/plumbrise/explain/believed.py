"""The axes that are believed after reading, for what follows from an explanation: what a change
would do, what a print would show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Parameters
from plumbrise.explain.draws import Draws
from plumbrise.explain.gain import raked
from plumbrise.explain.joint import Joint
from plumbrise.explain.search import Found

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]


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


def believed(found: Found, draws: Draws, joint: Joint) -> Believed:
    """The draws, weighed so that every cause matters as often as is stated of it."""
    stated = {cause: joint.of(cause) for cause in draws.takes}
    weight = raked(draws.weight, draws.takes, stated)
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
