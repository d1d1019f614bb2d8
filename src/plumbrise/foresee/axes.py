"""Equally likely axes to print on: from an explanation, after a change, or one known axis."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Parameters, layout_of, vector_of
from plumbrise.explain import Believed
from plumbrise.explain.witness import BREATH

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Whole = NDArray[np.int64]

DRAWS = 200


class DrawnAxes(Protocol):
    """Axes drawn for some other purpose, such as those after a change."""

    @property
    def base(self) -> Parameters:
        """The make of the axis."""

    @property
    def thetas(self) -> Matrix:
        """A vector a draw."""

    @property
    def terms(self) -> Mapping[str, Vector]:
        """Linear terms by name."""


@dataclass(frozen=True, slots=True, eq=False)
class Axes:
    """Equally likely axes. `thetas` are vectors of `base`, a row a draw; `terms` the errors that
    add to heights (thread, motor), a value a draw; `home_sd_mm` by how much homing differs, None
    where nobody read it."""

    base: Parameters
    thetas: Matrix
    terms: Mapping[str, Vector]
    home_sd_mm: Vector | None = None

    @property
    def count(self) -> int:
        """How many draws."""
        return len(self.thetas)


def resampled(weight: Vector, count: int, rng: np.random.Generator) -> Whole:
    """Places of `count` draws of equal weight among draws of these weights (systematic
    resampling): each is taken as often as its weight says, to within one.

    Source:
        G. Kitagawa, J. Comput. Graph. Stat. 5 (1996) 1, stratified and systematic resampling.

    Example:
        >>> rng = np.random.default_rng(0)
        >>> [int(i) for i in resampled(np.array([0.5, 0.25, 0.25]), 4, rng)]
        [0, 0, 1, 2]
    """
    edges = np.cumsum(weight / weight.sum())
    at = np.searchsorted(edges, (np.arange(count) + rng.random()) / count)
    return np.asarray(np.minimum(at, len(weight) - 1), dtype=np.int64)


def axes_of(believed: Believed, rng: np.random.Generator, count: int = DRAWS) -> Axes:
    """Axes of equal weight from what is believed."""
    at = resampled(believed.weight, count, rng)
    return taken_over(
        believed.base, believed.thetas[at], {n: v[at] for n, v in believed.terms.items()}
    )


def same_axes(drawn: DrawnAxes) -> Axes:
    """Axes that were drawn elsewhere with equal weight."""
    return taken_over(drawn.base, drawn.thetas, drawn.terms)


def one_axis(parameters: Parameters) -> Axes:
    """A single axis that is known exactly, its thread errors included."""
    terms: dict[str, Vector] = {}
    for lift in parameters.lifts:
        thread = lift.thread
        terms[f"lead-error:{lift.end}"] = np.array([thread.error_ratio])
        terms[f"screw-bend:{lift.end}:cos"] = np.array([thread.turn_cos_mm])
        terms[f"screw-bend:{lift.end}:sin"] = np.array([thread.turn_sin_mm])
        for wave, value in (("cos", thread.four_steps_cos_mm), ("sin", thread.four_steps_sin_mm)):
            terms[f"microstep-error:{lift.end}:four:{wave}"] = np.array([value])
    return Axes(parameters, vector_of(parameters)[None, :], terms)


def taken_over(base: Parameters, thetas: Matrix, terms: Mapping[str, Vector]) -> Axes:
    """Axes from their numbers; how far homing differs comes from its terms, if it was read."""
    homes = [values for name, values in terms.items() if name.startswith("home-scatter")]
    sd = np.sqrt(np.mean(np.square(homes), axis=0)) if len(homes) >= 2 else None
    return Axes(base, thetas, dict(terms), None if sd is None else np.asarray(sd))


def another_print(axes: Axes, rng: np.random.Generator) -> Axes:
    """The same axes on another day: each guide drags a little more or less."""
    thetas = axes.thetas.copy()
    for place in layout_of(axes.base).of("drag_n"):
        thetas[:, place] *= np.exp(BREATH * rng.standard_normal(axes.count))
    return replace(axes, thetas=thetas)
