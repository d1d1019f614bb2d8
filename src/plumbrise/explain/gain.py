"""How much doubt a test is expected to remove, and weights of draws as likely as stated.

The gain is the doubt over classes of draws now, less the mean doubt once the test is read
(Lindley, Annals of Mathematical Statistics 27 (1956) 986).
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.scores import entropy_bits

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Bools = NDArray[np.bool_]

DIRECTIONS = 4
OUTCOMES, LEAST_OUTCOMES = 200, 8
FEW = 8.0
"""Draws from which a class's own spread counts as much as that of all."""
FLOOR = 0.02
"""Share of all weight spread evenly over the draws, so that no set is impossible."""
SWEEPS = 30
DEALT = 3
"""How often draws are dealt to classes at random, to see what that seems to tell."""


def expected_gain_bits(
    outcomes: Matrix, of_class: NDArray[np.int64], weight: Vector, rng: np.random.Generator
) -> float:
    """Doubt over classes that a test is expected to remove.

    What draws dealt to the classes at random would seem to tell is taken off: with few draws
    that is not little.

    Args:
        outcomes: simulated readings scaled to unit noise, one draw a row.
        of_class: class of each draw.
        weight: of each draw.
        rng: for the outcomes over which the mean is taken.
    """
    gain, doubt = _seeming_bits(outcomes, of_class, weight, rng)
    if gain == 0.0:
        return 0.0
    dealt = [
        _seeming_bits(outcomes, of_class[order], weight[order], rng)[0]
        for order in (rng.permutation(len(of_class)) for _ in range(DEALT))
    ]
    nothing = min(float(np.mean(dealt)), 0.999 * doubt)
    return max(gain - nothing, 0.0) / (doubt - nothing) * doubt


def _seeming_bits(
    outcomes: Matrix, of_class: NDArray[np.int64], weight: Vector, rng: np.random.Generator
) -> tuple[float, float]:
    """Gain with the draws taken at their word, and the doubt there is (bits)."""
    classes = np.unique(of_class)
    share = weight / weight.sum()
    chance = np.array([share[of_class == c].sum() for c in classes])
    before = entropy_bits(chance)
    if len(classes) < 2 or outcomes.shape[1] == 0:
        return 0.0, before
    held = np.stack([np.where(of_class == c, share, 0.0) for c in classes])
    held /= held.sum(axis=1, keepdims=True)
    centres = held @ outcomes
    off = outcomes - centres[np.searchsorted(classes, of_class)]
    lower = np.linalg.cholesky(np.eye(outcomes.shape[1]) + (off * share[:, None]).T @ off)
    off = np.asarray(np.linalg.solve(lower, off.T).T, dtype=np.float64)
    centres = np.asarray(np.linalg.solve(lower, (centres - chance @ centres).T).T, dtype=np.float64)
    _, size, ways = np.linalg.svd(centres * np.sqrt(chance)[:, None], full_matrices=False)
    by_chance = _by_chance(off, held, share, chance)
    kept = np.sqrt(np.maximum(size**2 - by_chance, 0.0))[:DIRECTIONS]
    use = kept > 1e-6
    if not use.any():
        return 0.0, before
    way = ways[:DIRECTIONS][use].T
    middles = centres @ way * (kept / np.maximum(size[:DIRECTIONS], 1e-12))[use]
    noise = np.linalg.solve(lower.T, way)
    common = way.T @ ((off * share[:, None]).T @ off) @ way
    bells = []
    for one, middle in zip(held, middles, strict=True):
        count = 1.0 / np.sum(one**2)
        own = ((off @ way) * one[:, None]).T @ (off @ way)
        trust = count / (count + FEW)
        spread = trust * own + (1 - trust) * common + noise.T @ noise
        bells.append((middle, np.linalg.cholesky(spread)))
    after = 0.0
    for p_class, (middle, root) in zip(chance, bells, strict=True):
        number = max(LEAST_OUTCOMES, round(p_class * OUTCOMES))
        seen = middle + rng.standard_normal((number, len(middle))) @ root.T
        logs = np.stack(
            [np.log(p) + _log_bell(seen, *bell) for p, bell in zip(chance, bells, strict=True)], 1
        )
        p = np.exp(logs - logs.max(axis=1, keepdims=True))
        p /= p.sum(axis=1, keepdims=True)
        doubt = -np.sum(p * np.log2(np.maximum(p, 1e-300)), axis=1)
        after += p_class * float(doubt.mean())
    return float(min(max(before - after, 0.0), before)), before


def _by_chance(off: Matrix, held: Matrix, share: Vector, chance: Vector) -> float:
    """Largest square difference between class means that so few draws show where there is none
    (largest eigenvalue of a Wishart matrix: Marchenko and Pastur 1967)."""
    scatter = np.linalg.eigvalsh((off * share[:, None]).T @ off)
    total = float(np.sum(scatter))
    if total < 1e-12:
        return 0.0
    ways = total**2 / float(np.sum(scatter**2))
    most = float(scatter[-1])
    free = max(len(chance) - 1, 1)
    error = float(np.sum(chance * (1 - chance) * np.sum(held**2, axis=1))) * most
    return float(error / free * (np.sqrt(free) + np.sqrt(ways)) ** 2)


def _log_bell(at: Matrix, middle: Vector, lower: Matrix) -> Vector:
    z = np.linalg.solve(lower, (at - middle).T)
    return np.asarray(-0.5 * np.sum(z * z, axis=0) - np.log(np.diag(lower)).sum())


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
