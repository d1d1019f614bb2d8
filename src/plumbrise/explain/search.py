"""Looking for the sets of causes that explain a session: wide fits from several starts, then a
walk from set to set by adding, dropping and swapping one cause."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations
from math import log

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.fit import COARSEST, Mode, Model, fit, settle, walk
from plumbrise.explain.noise import rescaled
from plumbrise.explain.priors import BROUGHT, CHANCE, CURVED
from plumbrise.explain.results import Slip
from plumbrise.explain.side_by_side import side_by_side
from plumbrise.explain.slips import find_jumps, mended, misreads
from plumbrise.explain.space import Belief
from plumbrise.explain.starts import starts_from_reading
from plumbrise.explain.witness import Witness, set_aside, with_jumps, with_noise
from plumbrise.readings.kinds import DEAD_WEIGHT

Vector = NDArray[np.float64]

CULPRITS = (
    frozenset[str](),
    frozenset({"motor-seat"}),
    frozenset({"coupling-stretch"}),
    frozenset({"bracket-flex"}),
    frozenset({"nut-play", "guide-drag"}),
    frozenset({"racking"}),
    frozenset({"guide-drag"}),
    frozenset({"motor-seat", "guide-drag"}),
    frozenset({"coupling-stretch", "guide-drag"}),
)
"""Where the wide fit starts from: these made the culprits."""
WALKED_ON = 3
MOST_CAUSES = 6
NEAR = 4.0
"""Sets within so many log units of the best are looked round from."""
TRIED_ROUND = 5
"""How many neighbours of a set are fitted, the most promising first."""
MOST_FITS = 48
WORTH_THE_END = 40.0
"""A set this far behind the best after a short walk is not walked to the end."""
PARAMETERS_SPENT = 18


@dataclass(frozen=True, slots=True, eq=False)
class Node:
    """A set that was fitted, with its log posterior (best linear causes, prior included)."""

    mode: Mode
    score: float


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """What a search has so far, best first."""

    model: Model
    wide: Mode
    nodes: tuple[Node, ...]
    slips: tuple[Slip, ...]
    linear_causes: tuple[str, ...]
    possible: tuple[str, ...]
    finished: bool


def search(
    model: Model,
    possible: frozenset[str],
    told: Callable[[Found], bool] | None = None,
) -> Found:
    """The likely sets of a session.

    Args:
        model: the session, noise at its first level.
        possible: curved causes that some reading could show.
        told: gets what is found so far, returns False to stop.
    """
    linear_causes = tuple(dict.fromkeys(c for c in model.witness.causes if c))
    curved = tuple(c for c in CURVED if c in possible)
    smooth = frozenset(linear_causes) - {"coupling-slip"}  # its steps are looked for as steps
    model, wide, slips = _wide(model, smooth, curved)
    nodes: dict[frozenset[str], Node] = {}

    def found(finished: bool) -> Found:
        order = tuple(sorted(nodes.values(), key=lambda n: -n.score))
        return Found(model, wide, order, slips, linear_causes, curved, finished)

    linear, _ = best_linear(model, wide, linear_causes)
    first, start = _likely(model, replace(wide, linear=linear), curved)
    begun = {frozenset[str](): wide.u, first: start}
    _visit_all(model, nodes, [(causes, u, linear) for causes, u in begun.items()], linear_causes)
    if told is not None and not told(found(False)):
        return found(False)
    expanded: set[frozenset[str]] = set()
    while model.count.fits < MOST_FITS:
        best = max(n.score for n in nodes.values())
        near = [n for n in nodes.values() if n.score > best - NEAR]
        todo = [n for n in sorted(near, key=lambda n: -n.score) if n.mode.causes not in expanded]
        if not todo or len(expanded) >= 6:
            break
        node = todo[0]
        expanded.add(node.mode.causes)
        _expand(model, nodes, node, curved, linear_causes)
        if told is not None and not told(found(False)):
            return found(False)
    _polish(model, nodes, linear_causes)
    return found(True)


def _wide(
    model: Model, linear: frozenset[str], curved: tuple[str, ...]
) -> tuple[Model, Mode, tuple[Slip, ...]]:
    """The fit with every cause a little: finds slips of the hand, steps and the noise."""
    seen = model.witness
    good = mended(seen)
    seen = replace(seen, read_mm=good.read_mm)
    model = replace(model, witness=with_noise(seen, seen.level, good.misread_mm))
    slips = list(good.slips)
    belief = model.space.belief(frozenset(), wide=True)
    starts = []
    for culprits in CULPRITS if seen.count > 12 else CULPRITS[:1]:
        at = model.space.belief(culprits & frozenset(curved))
        there = np.isin(np.arange(model.space.size), at.active)
        starts.append(np.where(there, at.middle, belief.middle))
    if seen.count > 12:
        starts += starts_from_reading(model.space, belief, model.witness)

    def near_ends(starts: list[Vector], most: int, coarsest: int, fine: bool) -> list[Vector]:
        def walked(pair: tuple[Model, Vector]) -> tuple[float, Vector]:
            one, start = pair
            u = walk(one, belief, start, linear, most=most, coarsest=coarsest, fine=fine)
            return _cost(one, belief, u, linear), u

        ones = [model.apart() for _ in starts]
        ends = side_by_side(walked, list(zip(ones, starts, strict=True)))
        for one in ones:
            model.count.add(one.count)
        return [u for _, u in sorted(ends, key=lambda pair: pair[0])]

    ends = near_ends(starts, 5, 1, False)
    best = near_ends(ends[:WALKED_ON], 14, 2, True)[0]
    for _ in range(3):
        mode = settle(model, frozenset(), belief, best, linear)
        model, changed = _noise_again(model, mode, linear, slips)
        if not changed:
            break
        best = walk(model, belief, best, linear, most=8, coarsest=COARSEST)
    return model, settle(model, frozenset(), belief, best, linear), tuple(slips)


def rest_of(model: Model, mode: Mode, linear: frozenset[str]) -> tuple[Vector, Vector, Vector]:
    """Computed readings at a mode, linear terms in natural units, and readings less both (mm)."""
    seen = model.witness
    computed = model.at(mode.belief, mode.u[None, :])[0]
    spread = seen.linear_spread(linear)
    joint = np.concatenate([mode.local.jacobian, mode.local.columns * spread], axis=1)
    h = joint.T @ joint
    h[np.diag_indices_from(h)] += 1.0
    pull = joint.T @ mode.local.rest
    pull[: len(mode.v)] -= mode.v
    best = np.linalg.solve(h, pull)
    # the small step that the curved parameters would still make stays in the rest
    terms = best[len(mode.v) :] * spread
    computed = computed + seen.columns @ terms
    return computed, terms, seen.read_mm - computed


def _noise_again(
    model: Model, mode: Mode, linear: frozenset[str], slips: list[Slip]
) -> tuple[Model, bool]:
    seen = model.witness
    spread = seen.linear_spread(linear)
    _, _, rest = rest_of(model, mode, linear)
    heavy = np.zeros(seen.count, dtype=bool)
    for part, bound in enumerate(seen.bounds):
        heavy[bound] = seen.run(part).kind is DEAD_WEIGHT
    columns = mode.local.columns * spread
    h = columns.T @ columns
    h[np.diag_indices_from(h)] += 1.0
    terms = np.linalg.solve(h, columns.T @ mode.local.rest)
    left = (mode.local.rest - columns @ terms) ** 2
    counted = ~set_aside(seen)
    loads = sum(bool(heavy[bound.start]) for bound in seen.bounds)
    spent = PARAMETERS_SPENT + len(seen.jumps) + len(seen.bounds) - loads
    level = rescaled(
        seen.level,
        (float(left[~heavy].sum() + terms @ terms), float((counted & ~heavy).sum() - spent)),
        (float(left[heavy].sum()), float((counted & heavy).sum() - loads)),
        seen.resolution_mm,
    )
    jumps = find_jumps(seen, mode.local, spread, rest)
    # judged as if it counted: a reading once set back stays so while it stands apart
    alone_mm = np.where(set_aside(seen), seen.misread_mm, 0.0)
    spread_mm = misreads(with_noise(seen, level, alone_mm), _less_zero(seen, rest))
    changed = (
        len(jumps) > len(seen.jumps)
        or abs(log(level.sigma_mm / seen.level.sigma_mm)) > 0.08
        or abs(log(level.loaded / seen.level.loaded)) > 0.15
        or bool(np.any(spread_mm != seen.misread_mm))
    )
    for row in np.flatnonzero((spread_mm > 0) & (seen.misread_mm == 0)):
        run = seen.session.readings.runs[int(seen.session.run[seen.rows[row]])]
        number = int(seen.session.reading[seen.rows[row]])
        slip = Slip(run.name, number, "Stands apart from its neighbours; counts little.")
        if slip not in slips:
            slips.append(slip)
    seen = with_noise(with_jumps(seen, jumps), level, spread_mm)
    return replace(model, witness=seen), changed


def _less_zero(seen: Witness, rest: Vector) -> Vector:
    out = rest.copy()
    for bound in seen.bounds:
        out[bound] -= np.median(out[bound])
    return out


def _cost(model: Model, belief: Belief, u: Vector, linear: frozenset[str]) -> float:
    seen, active = model.witness, belief.active
    rest = seen.whiten((seen.read_mm - model.at(belief, u[None, :])[0])[:, None])[:, 0]
    spread = seen.linear_spread(linear)
    columns = seen.whiten(seen.columns[:, spread > 0] * spread[spread > 0])
    h = columns.T @ columns
    h[np.diag_indices_from(h)] += 1.0
    pull = columns.T @ rest
    v = (u[active] - belief.middle[active]) / belief.spread[active]
    return float(rest @ rest - pull @ np.linalg.solve(h, pull) + v @ v)


def _likely(model: Model, wide: Mode, curved: tuple[str, ...]) -> tuple[frozenset[str], Vector]:
    """A first guess: causes switched one at a time in the straightened wide fit."""
    best: frozenset[str] = frozenset()
    score, u = _guess(model, wide, best)
    while len(best) < MOST_CAUSES:
        tried = [(*_guess(model, wide, one), one) for one in _neighbours(best, curved)]
        top = max(tried, key=lambda t: t[0], default=None)
        if top is None or top[0] <= score + 1e-9:
            break
        score, u, best = top
    return best, u


Job = tuple[frozenset[str], Vector, frozenset[str]]
"""A set to fit, where to start, and its linear causes at first."""


def _visit_all(
    model: Model,
    nodes: dict[frozenset[str], Node],
    jobs: list[Job],
    linear_causes: tuple[str, ...],
) -> None:
    """Fit sets, each by itself, and keep the best fit of each; the promising ones to the end."""
    best_yet = max((n.score for n in nodes.values()), default=-np.inf)

    def visited(pair: tuple[Model, Job]) -> Node:
        return _visit(*pair, best_yet, linear_causes)

    ones = [model.apart() for _ in jobs]
    for one, node in zip(
        ones, side_by_side(visited, list(zip(ones, jobs, strict=True))), strict=True
    ):
        model.count.add(one.count)
        kept = nodes.get(node.mode.causes)
        if kept is None or node.score > kept.score:
            nodes[node.mode.causes] = node


def _visit(model: Model, job: Job, best_yet: float, linear_causes: tuple[str, ...]) -> Node:
    causes, start, linear = job
    mode = fit(model, causes, start, linear, most=8, fine=False, roughly=True)
    on, score = best_linear(model, mode, linear_causes)
    if score > best_yet - WORTH_THE_END:
        u = walk(model, mode.belief, mode.u, on, most=16, coarsest=COARSEST)
        mode = settle(model, causes, mode.belief, u, on, near=mode)
        on, score = best_linear(model, mode, linear_causes)
    return Node(replace(mode, linear=on), score)


def _score(model: Model, mode: Mode, linear: frozenset[str]) -> float:
    spread = model.witness.linear_spread(linear)
    chance = log(CHANCE / (1 - CHANCE))
    return mode.switch.log_evidence(spread) + chance * (len(mode.causes) + len(linear))


def best_linear(
    model: Model, mode: Mode, linear_causes: tuple[str, ...]
) -> tuple[frozenset[str], float]:
    """The linear causes that suit a mode best, one switched at a time, and the score with them."""
    best = mode.linear
    score = _score(model, mode, best)
    while True:
        tried = [(best ^ {cause}) for cause in linear_causes]
        scores = [_score(model, mode, one) for one in tried]
        if not scores or max(scores) <= score + 1e-9:
            return best, score
        k = int(np.argmax(scores))
        best, score = tried[k], scores[k]


def _expand(
    model: Model,
    nodes: dict[frozenset[str], Node],
    node: Node,
    curved: tuple[str, ...],
    linear_causes: tuple[str, ...],
) -> None:
    """Fit the most promising neighbours of a set."""
    guesses = []
    for causes in _neighbours(node.mode.causes, curved):
        if causes not in nodes and len(causes) <= MOST_CAUSES:
            guesses.append((*_guess(model, node.mode, causes), causes))
    guesses.sort(key=lambda g: -g[0])
    jobs: list[Job] = []
    for _, u, causes in guesses[:TRIED_ROUND]:
        starts = [u]
        if "tight-spot" in causes and "tight-spot" not in node.mode.causes:
            starts = _spots(model, node.mode, u)
        jobs += [(causes, start, node.mode.linear) for start in starts]
    _visit_all(model, nodes, jobs, linear_causes)


def _neighbours(causes: frozenset[str], curved: tuple[str, ...]) -> list[frozenset[str]]:
    toggled = [causes ^ {c} for c in curved]
    swapped = [causes - {out} | {new} for out in causes for new in curved if new not in causes]
    return list(dict.fromkeys(toggled + swapped))


BRINGS = dict.fromkeys(BROUGHT, 3.0)
"""Guess of the gain where a cause brings parameters that the present fit does not hold."""


def _guess(model: Model, mode: Mode, causes: frozenset[str]) -> tuple[float, Vector]:
    """Log posterior and mode of another set, from the model straightened at this one's mode."""
    old = mode.belief
    new = model.space.belief(causes)
    both = np.intersect1d(old.active, new.active)
    at = np.searchsorted(old.active, both)
    slopes = mode.local.jacobian[:, at] / old.spread[both]
    spread = model.witness.linear_spread(mode.linear)
    used = spread > 0
    scaled = np.concatenate(
        [slopes * new.spread[both], mode.local.columns[:, used] * spread[used]], axis=1
    )
    offset = (mode.u[both] - new.middle[both]) / new.spread[both]
    target = mode.local.rest + scaled[:, : len(both)] @ offset
    h = scaled.T @ scaled
    h[np.diag_indices_from(h)] += 1.0
    lower = np.linalg.cholesky(h)
    pull = scaled.T @ target
    half = np.linalg.solve(lower, pull)
    best = np.linalg.solve(lower.T, half)[: len(both)]
    value = -0.5 * float(target @ target - half @ half) - float(np.log(np.diag(lower)).sum())
    value += log(CHANCE / (1 - CHANCE)) * len(causes)
    value += sum(BRINGS.get(c, 0.0) for c in causes - mode.causes)
    value -= sum(BRINGS.get(c, 0.0) for c in mode.causes - causes)
    u = new.middle.copy()
    u[both] = new.middle[both] + new.spread[both] * np.clip(best, -3.0, 3.0)
    return value, u


def _spots(model: Model, mode: Mode, u: Vector) -> list[Vector]:
    """Starts with a tight spot at the two heights where one would help most."""
    space = model.space
    belief = space.belief(mode.causes | {"tight-spot"})
    centre = next(i for i, e in enumerate(space.entries) if e.quantity == "spot_centre_mm")
    told = model.witness.session.told_mm[model.witness.rows]
    places = np.arange(told.min(), told.max() + 10.0, 10.0)
    starts = np.tile(u, (len(places), 1))
    missing = np.setdiff1d(belief.active, mode.belief.active)
    starts[:, missing] = belief.middle[missing]
    starts[:, centre] = places
    made = model.at(belief, starts)
    white = model.witness.whiten((model.witness.read_mm[None, :] - made).T)
    spread = model.witness.linear_spread(mode.linear)
    columns = model.witness.whiten(model.witness.columns[:, spread > 0] * spread[spread > 0])
    h = columns.T @ columns
    h[np.diag_indices_from(h)] += 1.0
    pull = columns.T @ white
    misfit = np.sum(white**2, axis=0) - np.sum(pull * np.linalg.solve(h, pull), axis=0)
    return [starts[i] for i in np.argsort(misfit)[:2]]


def _polish(
    model: Model, nodes: dict[frozenset[str], Node], linear_causes: tuple[str, ...]
) -> None:
    """Refit the best sets from each other's solutions: modes nearby are easily missed."""
    best = sorted(nodes.values(), key=lambda n: -n.score)[:4]
    jobs: list[Job] = []
    for one, other in combinations(best, 2):
        if one.score - other.score > 8.0:
            continue
        for target, source in ((one, other), (other, one)):
            u = target.mode.belief.middle.copy()
            both = np.intersect1d(target.mode.belief.active, source.mode.belief.active)
            u[both] = source.mode.u[both]
            jobs.append((target.mode.causes, u, target.mode.linear))
    _visit_all(model, nodes, jobs, linear_causes)
