"""Draws from what is believed after reading, and what each cause takes in them.

A cause is what it takes: put it alone back to sound, simulate the same session, and see how far
the readings of some run change. In each draw a cause either takes a size that matters or not; the
probability of a set is the share of draws in which just its causes do.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.chains import STEPS, moved
from plumbrise.explain.evidence import normalised
from plumbrise.explain.fit import Mode, switches_at
from plumbrise.explain.priors import CHANCE
from plumbrise.explain.search import Found
from plumbrise.explain.side_by_side import side_by_side

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

DRAWS_A_SET = 24
"""Most draws of one set."""
NEAR = 9.0
"""Sets within so many log units of the best are drawn from."""
MOST_SETS, MOST_OPTIONS, LEAST_SHARE = 14, 42, 0.003
"""How many sets, how many of them with linear causes switched, and from what share on."""
OF_ALL = 8
"""A set gets its share of so many times `DRAWS_A_SET`, between a third of these and all."""
MATTERS_MM = 0.02
MATTERS_SHARE = 0.15
LEAST_MM = 0.006
RESOLUTIONS = 1.2
SLIPS_SEEN = 2
SURE_TO_SLIP, FAR_OVER = 0.8, 15.0
"""A clamp that surely slips this many times over what would matter hides the other causes."""
NOT_HIDDEN_BY_SLIP = frozenset({"frame-flex", "microstep-error"})
"""Causes that a slipping clamp does not hide."""
NOT_TRIED = 12.0
"""Gap taken for a cause that the search never dropped, or never tried."""


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """Axes drawn from the likely sets.

    `thetas` are axis vectors (one a row) of weight `weight`, drawn from set `of_set`; `terms`
    the linear terms drawn with them; `takes` maps a cause to the draws in which it matters, `over`
    to what it takes over what would matter.
    """

    thetas: Matrix
    weight: Vector
    of_set: NDArray[np.int64]
    terms: Matrix
    takes: dict[str, NDArray[np.bool_]]
    over: dict[str, Vector]
    modes: tuple[Mode, ...]

    def mean(self, values: Vector) -> float:
        """Weighted mean over the draws."""
        return float(np.sum(self.weight * values))

    def quantiles(self, values: Vector, at: tuple[float, ...]) -> tuple[float, ...]:
        """Weighted quantiles over the draws."""
        order = np.argsort(values)
        below = np.cumsum(self.weight[order]) - 0.5 * self.weight[order]
        return tuple(float(x) for x in np.interp(at, below, values[order]))


def draw(
    found: Found, rng: np.random.Generator, each: int = DRAWS_A_SET, steps: int = STEPS
) -> Draws:
    """Draw axes and linear terms from the likely sets, and see what each cause takes.

    `steps` proposals move each draw from the bell at its mode to what is believed there.
    """
    model = found.model
    choices = _weighted_choices(found)
    thetas, terms, weight, of_set = [], [], [], []
    on: list[frozenset[str]] = []
    modes: list[Mode] = []
    counts = [min(each, max(each // 3, round(OF_ALL * each * share))) for *_, share in choices]

    def chain(number: int) -> tuple[Matrix, Matrix]:
        mode, linear, _ = choices[number]
        own = np.random.default_rng(seeds[number])
        return moved(ones[number], mode, linear, own, counts[number], steps=steps)

    seeds = rng.integers(2**63, size=len(choices))
    ones = [model.apart() for _ in choices]
    chains = side_by_side(chain, range(len(choices)))
    for one in ones:
        model.count.add(one.count)
    for (mode, linear, share), count, (u, b) in zip(choices, counts, chains, strict=True):
        if mode not in modes:
            modes.append(mode)
        thetas.append(model.space.thetas(mode.belief, u))
        terms.append(b)
        weight += [share / count] * count
        of_set += [modes.index(mode)] * count
        on += [linear] * count
    stacked, linear_terms = np.concatenate(thetas), np.concatenate(terms)
    takes, over = _takes(found, stacked, linear_terms, on)
    return Draws(
        stacked, np.array(weight), np.array(of_set), linear_terms, takes, over, tuple(modes)
    )


def _weighted_choices(found: Found) -> list[tuple[Mode, frozenset[str], float]]:
    """(mode, linear causes, probability) of the likeliest, every switch tried. The likelihood
    is raised to the same power as within a set, so that sets are believed no more than intervals
    are."""
    power = found.model.power
    seen = found.model.witness
    chance = np.log(CHANCE / (1 - CHANCE))
    best = found.nodes[0].score
    near = [n.mode for n in found.nodes if n.score > best - NEAR / power][:MOST_SETS]
    options: list[tuple[Mode, frozenset[str], float]] = []
    for mode in near:
        switch = switches_at(seen, mode.local, mode.v, power)
        for linear in _near(mode.linear, found.linear_causes):
            value = switch.log_evidence(seen.linear_spread(linear))
            value += chance * (len(mode.causes) + len(linear))
            options.append((mode, linear, value))
    p = normalised([value for *_, value in options])
    keep = np.argsort(-p)[:MOST_OPTIONS]
    keep = keep[p[keep] > LEAST_SHARE]
    total = p[keep].sum()
    return [(options[i][0], options[i][1], float(p[i] / total)) for i in keep]


def _near(linear: frozenset[str], causes: tuple[str, ...]) -> list[frozenset[str]]:
    """This choice of linear causes and all that differ in one or two."""
    flips = [frozenset[str]()]
    flips += [frozenset(pair) for n in (1, 2) for pair in combinations(causes, n)]
    return [linear ^ flip for flip in flips]


def least_that_matters_mm(loss_mm: Vector, resolution_mm: float) -> Vector:
    """What matters in runs of these losses: 15 % of it or 0.02 mm, whichever is less, and always
    more than the gauge resolves.

    Example:
        >>> least_that_matters_mm(np.array([0.02, 0.1, 1.0]), 0.001)
        array([0.006, 0.015, 0.02 ])
    """
    least = max(LEAST_MM, RESOLUTIONS * resolution_mm)
    return np.maximum(least, np.minimum(MATTERS_MM, MATTERS_SHARE * loss_mm))


def threshold_mm(found: Found) -> Vector:
    """What matters in each run."""
    seen = found.model.witness
    losses = []
    for part, bound in enumerate(seen.bounds):
        run = seen.run(part)
        told = seen.session.told_mm[seen.rows[bound]]
        losses.append(float(np.ptp(seen.read_mm[bound] - (told if run.follows_command else 0.0))))
    return least_that_matters_mm(np.array(losses), seen.resolution_mm)


def peak_to_peak(found: Found, change: Matrix) -> Matrix:
    """Largest change within each run: (draws, runs) from (draws, readings that count)."""
    bounds = found.model.witness.bounds
    return np.stack([np.ptp(change[:, bound], axis=1) for bound in bounds], axis=1)


def _takes(
    found: Found, thetas: Matrix, terms: Matrix, on: list[frozenset[str]]
) -> tuple[dict[str, NDArray[np.bool_]], dict[str, Vector]]:
    model, limit = found.model, threshold_mm(found)
    model.count.simulated += len(thetas) * (1 + len(found.possible))
    before = model.simulate(thetas)
    takes: dict[str, NDArray[np.bool_]] = {}
    over: dict[str, Vector] = {}
    for cause in found.possible:
        sound = model.space.healthy(cause, thetas)
        moved = np.flatnonzero(np.any(sound != thetas, axis=1))
        most = np.zeros(len(thetas))
        if len(moved):
            change = model.simulate(sound[moved]) - before[moved]
            most[moved] = np.max(peak_to_peak(found, change) / limit, axis=1)
        takes[cause], over[cause] = most > 1.0, most
    seen = model.witness
    names = np.array(seen.causes)
    for cause in found.linear_causes:
        here = names == cause
        change = terms[:, here] @ seen.columns[:, here].T
        there = np.array([cause in linear for linear in on], dtype=bool)
        each = peak_to_peak(found, change) / limit
        if cause == "coupling-slip":  # a clamp that slips sinks, and does so again
            sunk = np.stack([change[:, b.stop - 1] - change[:, b.start] for b in seen.bounds], 1)
            each = np.where(sunk < -limit, each, 0.0)
            most = np.sort(each, axis=1)[:, -min(SLIPS_SEEN, each.shape[1])]
        else:
            most = np.max(each, axis=1)
        takes[cause], over[cause] = there & (most > 1.0), np.where(there, most, 0.0)
    return takes, over


def masked_by_slip(draws: Draws) -> frozenset[str]:
    """The causes of which little can be said because a clamp surely slips, and far."""
    slips = draws.takes.get("coupling-slip")
    over = draws.over.get("coupling-slip")
    if slips is None or over is None or draws.mean(slips.astype(float)) < SURE_TO_SLIP:
        return frozenset()
    if draws.quantiles(over, (0.5,))[0] < FAR_OVER:
        return frozenset()
    return frozenset(draws.takes) - {"coupling-slip"} - NOT_HIDDEN_BY_SLIP


Fitted = tuple[Mode, frozenset[str], float]
"""A fitted set with its linear causes and its log posterior."""


def with_and_without(found: Found, cause: str) -> tuple[Fitted, Fitted] | None:
    """The best fitted set with a cause and the best without it, of those that were tried; linear
    causes are switched in each set. None where one of the two was not tried."""
    held: list[Fitted] = []
    lacked: list[Fitted] = []
    if cause in found.possible:
        for node in found.nodes:
            one = (node.mode, node.mode.linear, node.score)
            (held if cause in node.mode.causes else lacked).append(one)
    elif cause in found.linear_causes:
        chance = np.log(CHANCE / (1 - CHANCE))
        seen = found.model.witness
        near = [n for n in found.nodes if n.score > found.nodes[0].score - NEAR][:MOST_SETS]
        for node in near:
            on, other = node.mode.linear, node.mode.linear ^ {cause}
            value = node.mode.switch.log_evidence(seen.linear_spread(other))
            value += chance * (len(node.mode.causes) + len(other))
            (held if cause in on else lacked).append((node.mode, on, node.score))
            (lacked if cause in on else held).append((node.mode, other, value))
    if not held or not lacked:
        return None
    return max(held, key=lambda one: one[2]), max(lacked, key=lambda one: one[2])


def gaps_of(found: Found) -> dict[str, float]:
    """For every cause, the log posterior of the best set with it over the best without it."""
    gaps = {}
    for cause in (*found.possible, *found.linear_causes):
        pair = with_and_without(found, cause)
        if pair is not None:
            gaps[cause] = pair[0][2] - pair[1][2]
        else:  # nobody asked: as far as the search goes
            there = cause in found.nodes[0].mode.causes
            gaps[cause] = NOT_TRIED if there else -NOT_TRIED
    return gaps
