"""How much a test is expected to tell of each cause, and weights of draws as likely as stated.

Axes are drawn from what is believed, and the figures that a test would show are simulated on each.
What they tell of a cause is found by predicting it on axes from the figures of all the others, and
counting the bits by which that beats the bare chance: the doubt now, less the mean doubt once the
test is read (Lindley, Annals of Mathematical Statistics 27 (1956) 986), or less where the
prediction is not the best there is. What figures do not show is predicted no better than by
chance, however few the axes are, so nothing is told of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

RIDGE = 100.0
"""How firmly a prediction from many figures is held to telling nothing."""
FOLDS = 10
"""Parts into which axes are dealt; each is predicted from all the others."""
FARTHEST = 4.0
"""Predictions beyond so many spreads count as that far."""
LOOSE, STEPS = 1.0, 20
"""How firmly the weights of a prediction are held to telling nothing, and most steps to them."""
SETTLED = 0.01
"""A step that changes the fit by less than this (log likelihood) is the last."""
SURE = 0.003
"""No prediction is taken to be surer than this."""
FLOOR = 0.02
"""Share of all weight spread evenly over the draws, so that no set is impossible."""
SWEEPS = 30


def bits_told(
    features: Sequence[Matrix], there: Mapping[str, Bools], origin: Ints | None = None
) -> dict[str, float]:
    """Bits that tests with these figures tell of each cause, together.

    Args:
        features: of each test, an axis a row, mean 0.
        there: for each cause, the axes that have it.
        origin: which draw an axis was made from, two at least; none is predicted from others of
            its own draw. Left out, each is of its own.

    Example:
        A figure that shows one cause plainly, and not the other:

        >>> rng = np.random.default_rng(1)
        >>> there = {"racking": rng.random(400) < 0.5, "nut-play": rng.random(400) < 0.5}
        >>> shown = 6.0 * there["racking"][:, None] + rng.standard_normal((400, 1))
        >>> bits = bits_told([shown - shown.mean()], there)
        >>> bits["racking"] > 0.8, bits["nut-play"] < 0.03
        (True, True)
    """
    names = list(there)
    if not features or not names:
        return dict.fromkeys(names, 0.0)
    held = np.stack([there[c] for c in names], axis=1).astype(float)
    chance = held.mean(axis=0)
    x = np.concatenate(features, axis=1)
    draw = np.arange(len(x)) if origin is None else np.unique(origin, return_inverse=True)[1]
    fold = draw % FOLDS
    p = _probabilities(_predicted(x, held - chance, fold), held, chance, fold % 2 == 0)
    score = held * np.log2(p) + (1 - held) * np.log2(1 - p)
    sure = np.clip(chance, 1e-6, 1 - 1e-6)
    bare = sure * np.log2(sure) + (1 - sure) * np.log2(1 - sure)
    return {c: float(b) for c, b in zip(names, score.mean(axis=0) - bare, strict=True)}


def _predicted(x: Matrix, off: Matrix, fold: Ints) -> Matrix:
    """Ridge regression of each part on all the others."""
    parts = [fold == k for k in range(FOLDS)]
    square = [x[rows].T @ x[rows] for rows in parts]
    cross = [x[rows].T @ off[rows] for rows in parts]
    whole, all_cross = sum(square) + RIDGE * np.eye(x.shape[1]), sum(cross)
    out = np.empty_like(off)
    for rows, own, own_cross in zip(parts, square, cross, strict=True):
        out[rows] = x[rows] @ np.linalg.solve(whole - own, all_cross - own_cross)
    return out


def _probabilities(predicted: Matrix, held: Matrix, chance: Vector, half: Bools) -> Matrix:
    """Predictions as probabilities, by a logistic regression on the prediction and its square,
    fitted on one half of the parts for the other half; a column for each cause."""
    out = np.empty_like(predicted)
    for judged in (half, ~half):
        learnt = ~judged
        spread = predicted[learnt].std(axis=0) + 1e-9
        z = np.clip((predicted - predicted[learnt].mean(axis=0)) / spread, -FARTHEST, FARTHEST)
        weights = _logistic(z[learnt], held[learnt], chance)
        out[judged] = 1 / (1 + np.exp(-_score(z[judged], weights)))
    return np.clip(out, SURE, 1 - SURE)


def _score(z: Matrix, weights: Matrix) -> Matrix:
    """Log odds from a prediction and its square, a column for each cause."""
    score = weights[0] + z * (weights[1] + z * weights[2]) - weights[2]
    return np.asarray(np.clip(score, -30.0, 30.0))


def _logistic(z: Matrix, held: Matrix, chance: Vector) -> Matrix:
    """Weights of one, z and z² - 1 (a row each), held to the bare chance, by Newton's method; a
    step that would fit worse is taken back and tried shorter, else a plain sign is overshot."""
    bare = np.clip(chance, 1e-3, 1 - 1e-3)
    start = np.zeros((3, len(chance)))
    start[0] = np.log(bare / (1 - bare))
    signs = (np.ones_like(z), z, z * z - 1.0)
    pairs = [(a, b, signs[a] * signs[b]) for a in range(3) for b in range(a, 3)]
    curve = np.empty((len(chance), 3, 3))

    def misfit(weights: Matrix) -> Vector:
        score = _score(z, weights)
        off = np.sum(np.logaddexp(0.0, score) - held * score, axis=0)
        return np.asarray(off + LOOSE / 2 * np.sum((weights - start) ** 2, axis=0))

    weights, now, length = start, misfit(start), np.ones(len(chance))
    for _ in range(STEPS):
        p = 1 / (1 + np.exp(-_score(z, weights)))
        off, sway = held - p, p * (1 - p)
        slope = np.stack([np.sum(off * sign, axis=0) for sign in signs])
        slope -= LOOSE * (weights - start)
        for a, b, product in pairs:
            curve[:, a, b] = curve[:, b, a] = np.sum(sway * product, axis=0) + LOOSE * (a == b)
        tried = weights + length * np.linalg.solve(curve, slope.T[..., None])[..., 0].T
        then = misfit(tried)
        better = then < now + SETTLED
        settled = np.all((np.abs(now - then) < SETTLED) & (length > 0.1))
        weights, now = np.where(better, tried, weights), np.where(better, then, now)
        if settled:
            break
        length = np.where(better, np.minimum(2 * length, 1.0), length / 4)
    return weights


def raked(weight: Vector, there: Mapping[str, Bools], stated: Mapping[str, float]) -> Vector:
    """Weights of draws whose causes are as likely as stated, changed as little as can be
    (iterative proportional fitting: Deming and Stephan, Annals of Mathematical Statistics 11
    (1940) 427). A cause that is in all draws, or in none, is left out.

    Example:
        >>> there = {"racking": np.array([True, False])}
        >>> half = raked(np.array([0.9, 0.1]), there, {"racking": 0.5})
        >>> [round(float(w), 6) for w in half]
        [0.5, 0.5]
    """
    out = np.maximum(weight / weight.sum(), FLOOR / len(weight))
    free = [c for c, yes in there.items() if c in stated and 0 < yes.sum() < len(yes)]
    for _ in range(SWEEPS):
        for cause in free:
            yes = there[cause]
            aim = min(max(stated[cause], 1e-3), 1 - 1e-3)
            now = float(out[yes].sum() / out.sum())
            out = out * np.where(yes, aim / now, (1 - aim) / (1 - now))
            out = np.maximum(out / out.sum(), FLOOR / len(out) / 10)
    return np.asarray(out / out.sum())
