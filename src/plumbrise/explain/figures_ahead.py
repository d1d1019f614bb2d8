"""Figures that a test would show: what a person would take from its readings, each on a scale on
which ratios add.

Tests not read yet are weighed by these rather than by single readings: a slope, what a turn takes
up, how far legs lie apart, how large a wave is whatever its phase, and how ragged the rest is.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

TAKEN_UP_MM = 0.4
"""Way after a turn over which a loss is taken up."""
OWN = 0.1
"""A term is a figure of its own where this share of it is left beside the shape."""
LARGEST_MM = 1.0
"""Spread of a figure of shape, before anything is read."""


def legs_of(way: Vector) -> NDArray[np.int64]:
    """Number of the leg of each reading: a new one begins where the way turns.

    Example:
        >>> legs_of(np.array([0.0, 1.0, 2.0, 1.0, 0.0, 1.0])).tolist()
        [0, 0, 0, 1, 1, 2]
    """
    leg, last, out = 0, 0.0, [0]
    for step in np.diff(way):
        if step and last and (step > 0) != (last > 0):
            leg += 1
        last = float(step) or last
        out.append(leg)
    return np.array(out[: len(way)], dtype=np.int64)


def shape_columns(way: Vector, since_turn_mm: Vector, *, moves: bool) -> Matrix:
    """Columns of shape over a run: slope and bend along the way, how far each later leg lies from
    the first, and what is taken up after a turn, in the first leg and in later ones."""
    size = float(np.ptp(way))
    if size == 0.0:
        return np.zeros((len(way), 0))
    x = (way - way.mean()) / size
    leg = legs_of(way)
    columns = [x, x * x - np.mean(x * x)]
    columns += [(leg == k).astype(float) for k in range(1, min(int(leg.max()), 3) + 1)]
    if moves:
        entered = np.exp(-since_turn_mm / TAKEN_UP_MM)
        columns += [entered * (leg == 0)]
        columns += [entered * np.where(leg % 2, -1.0, 1.0) * (leg > 0)] if leg.max() else []
    return np.stack(columns, axis=1)


def figures(
    scaled: Matrix,
    whiten: Matrix,
    shape: Matrix,
    terms: Matrix,
    causes: Sequence[str],
    spread: Vector,
) -> Matrix:
    """Figures of many outcomes of one test (an outcome a row, a figure a column).

    Args:
        scaled: readings in units of noise, the noise in them, the zero out.
        whiten: what scaled them.
        shape: columns of shape, mm.
        terms, causes, spread: linear terms that some reading shows, the cause of each, and how
            large each is when its cause is there. Those of one cause make one figure, their size.
    """
    own = _not_shape(whiten @ shape, whiten @ terms)
    terms, causes, spread = terms[:, own], [causes[k] for k in own], spread[own]
    columns = whiten @ np.concatenate([shape, terms], axis=1)
    believed = np.concatenate([np.full(shape.shape[1], LARGEST_MM), np.maximum(spread, 1e-9)])
    seen = columns.T @ columns
    inverse = np.linalg.inv(seen + np.diag(believed**-2.0))
    found = scaled @ (inverse @ columns.T).T
    error = np.sqrt(np.maximum(np.diag(inverse @ seen @ inverse), 1e-24))
    rest = np.sqrt(np.mean((scaled - found @ columns.T) ** 2, axis=1))
    z = found / error
    shapes = shape.shape[1]
    size = np.log1p(np.abs(z[:, :shapes]))
    out = [np.sign(z[:, :shapes]) * size, size]
    for cause in dict.fromkeys(causes):
        here = shapes + np.flatnonzero(np.array(causes) == cause)
        out.append(np.log1p(np.sqrt(np.sum(z[:, here] ** 2, axis=1)))[:, None])
    out.append(np.log1p(rest)[:, None])
    made = np.concatenate(out, axis=1)
    made = made - made.mean(axis=0)
    return np.asarray(made / np.maximum(made.std(axis=0), 1e-9))


def _not_shape(shape: Matrix, terms: Matrix) -> list[int]:
    """The terms that no figure of shape shows already, as a slope shows an error of the lead."""
    if not shape.shape[1]:
        return list(range(terms.shape[1]))
    held, *_ = np.linalg.lstsq(shape, terms, rcond=None)
    left = np.linalg.norm(terms - shape @ held, axis=0)
    return [int(k) for k in np.flatnonzero(left > OWN * np.linalg.norm(terms, axis=0))]
