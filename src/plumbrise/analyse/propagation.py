"""From uncertain inputs to an uncertain result: by propagation, by drawing, and intervals."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

Array = NDArray[np.float64]


def u_rectangular(half_width: float) -> float:
    """All values within ±a as likely: a/√3 (GUM 4.3.7)."""
    return half_width / sqrt(3)


def u_triangular(half_width: float) -> float:
    """Values near the middle likelier, ±a: a/√6 (GUM 4.3.9)."""
    return half_width / sqrt(6)


def u_arcsine(half_width: float) -> float:
    """A quantity that swings between ±a: a/√2 (GUM H.1.3.4)."""
    return half_width / sqrt(2)


def u_of_step(step: float) -> float:
    """A display step, or a hysteresis band, of this width: step/√12 (GUM F.2.2.1, F.2.2.2)."""
    return step / sqrt(12)


@dataclass(frozen=True, slots=True)
class Propagated:
    """A result by the law of propagation: value, u, and the share of each input (c_i u_i)."""

    value: float
    u: float
    shares: tuple[float, ...]


def propagate(
    function: Callable[..., float],
    values: Sequence[float],
    u: Sequence[float],
    correlation: Array | None = None,
) -> Propagated:
    """First-order law of propagation, slopes by central differences of u itself.

    Args:
        function: of as many numbers as there are inputs.
        values: best estimates.
        u: their standard uncertainties.
        correlation: correlation matrix; independent if left out.

    Source:
        GUM (JCGM 100:2008) 5.1.2, 5.2.2 and note 2 to 5.1.3.

    Example:
        >>> round(propagate(lambda a, b: a - b, [2, 1], [0.3, 0.4]).u, 6)
        0.5
    """
    shares = np.array(
        [
            (function(*_moved(values, i, step)) - function(*_moved(values, i, -step))) / 2
            for i, step in enumerate(u)
        ]
    )
    matrix = np.eye(len(shares)) if correlation is None else correlation
    variance = float(shares @ matrix @ shares)
    return Propagated(function(*values), sqrt(max(0.0, variance)), tuple(map(float, shares)))


def _moved(values: Sequence[float], place: int, step: float) -> list[float]:
    moved = list(values)
    moved[place] += step
    return moved


@dataclass(frozen=True, slots=True)
class Drawn:
    """A result by drawing: mean, standard uncertainty, and two intervals of one probability."""

    mean: float
    u: float
    shortest: tuple[float, float]
    symmetric: tuple[float, float]


def propagate_by_drawing(
    function: Callable[..., Array],
    inputs: Mapping[str, Callable[[Generator, int], Array]],
    *,
    rng: Generator,
    draws: int = 200_000,
    level: float = 0.95,
) -> Drawn:
    """Propagation of distributions by Monte Carlo.

    Args:
        function: of arrays, by the names of the inputs.
        inputs: for each name how to draw so many values.
        rng: source of chance.
        draws: how many.
        level: probability of the intervals.

    Source:
        JCGM 101:2008, clause 7.
    """
    drawn = function(**{name: draw(rng, draws) for name, draw in inputs.items()})
    return Drawn(
        float(drawn.mean()),
        float(drawn.std(ddof=1)),
        shortest_interval(drawn, level),
        symmetric_interval(drawn, level),
    )


def symmetric_interval(drawn: Array, level: float = 0.95) -> tuple[float, float]:
    """Interval with as much probability left out below as above (JCGM 101, 7.7.2)."""
    low, high = np.quantile(drawn, [(1 - level) / 2, (1 + level) / 2])
    return float(low), float(high)


def shortest_interval(drawn: Array, level: float = 0.95) -> tuple[float, float]:
    """The shortest interval with this probability (JCGM 101, 5.3.4)."""
    ordered = np.sort(drawn)
    count = round(level * len(ordered))
    widths = ordered[count:] - ordered[: len(ordered) - count]
    at = int(widths.argmin())
    return float(ordered[at]), float(ordered[at + count])


def normal(mean: float, sd: float) -> Callable[[Generator, int], Array]:
    """Draws of a normal quantity."""
    return lambda rng, n: rng.normal(mean, sd, n)


def student(mean: float, scale: float, dof: float) -> Callable[[Generator, int], Array]:
    """Draws of a scaled and shifted Student quantity (JCGM 101, 6.4.9)."""
    return lambda rng, n: mean + scale * rng.standard_t(dof, n)


def rectangular(low: float, high: float) -> Callable[[Generator, int], Array]:
    """Draws of a quantity anywhere between two limits (JCGM 101, 6.4.2)."""
    return lambda rng, n: rng.uniform(low, high, n)


def arcsine(low: float, high: float) -> Callable[[Generator, int], Array]:
    """Draws of a quantity that swings between two limits (JCGM 101, 6.4.6)."""
    return lambda rng, n: (low + high) / 2 + (high - low) / 2 * np.sin(rng.uniform(0, 2 * np.pi, n))


def rectangular_with_vague_limits(
    low: float, high: float, blur: float
) -> Callable[[Generator, int], Array]:
    """Draws between two limits that are themselves known to ±blur only (JCGM 101, 6.4.3).

    The middle is kept: curvilinear trapezoid.
    """

    def draw(rng: Generator, n: int) -> Array:
        lower = low - blur + 2 * blur * rng.random(n)
        upper = low + high - lower
        drawn: Array = lower + (upper - lower) * rng.random(n)
        return drawn

    return draw
