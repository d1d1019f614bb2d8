"""Fitting one set of causes: the mode of its parameters, and its evidence there.

A damped Gauss-Newton walk over scaled parameters; linear terms are solved exactly at every step.
The drag of a guide differs a little from run to run: each run's readings get, in the direction
in which its drag would move them, so much more room, worked out anew with every Jacobian.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import predict_all
from plumbrise.explain.evidence import LOG_2PI, Switches, switches
from plumbrise.explain.space import Belief, Space
from plumbrise.explain.witness import BREATH, Witness

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

WALK_STEPS = (0.002, 0.05, 0.25)
"""Differences while walking, in prior spreads: coarser ones look over a kink at which the fine
one got stuck."""
LARGEST_STEP = 1.2
SETTLED = 0.02
"""A gain in log evidence below this ends the walk."""
COARSEST = len(WALK_STEPS)
ROUGHLY = 0.1
"""Difference for a rough evidence, in prior spreads."""


TRUSTED = 150.0
"""So many readings hold as much as the axis model can be trusted with: n of them count as
n / (1 + n / TRUSTED). The model is not the axis: what it gets wrong repeats in every reading."""


@dataclass(slots=True)
class Count:
    """How much work was done: simulated sessions and fits."""

    simulated: int = 0
    fits: int = 0

    def add(self, other: Count) -> None:
        """Count another's work too."""
        self.simulated += other.simulated
        self.fits += other.fits


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """A session ready to be fitted. `simulate` maps axis vectors (one a row) to the rows that
    count; it is the axis model, or a stand-in of which more is known. `trusted` is how many
    readings hold as much as the model can be believed."""

    space: Space
    witness: Witness
    simulate: Callable[[Matrix], Matrix]
    count: Count = field(default_factory=Count)
    trusted: float = TRUSTED

    @property
    def power(self) -> float:
        """The power of the likelihood: 1 for a few readings, less for many."""
        return 1.0 / (1.0 + self.witness.count / self.trusted)

    def at(self, belief: Belief, u: Matrix) -> Matrix:
        """Computed readings for vectors u, one a row."""
        thetas = self.space.thetas(belief, u)
        self.count.simulated += len(thetas)
        return self.simulate(thetas)

    def apart(self) -> Model:
        """The same with a count of its own, for work on another thread."""
        return replace(self, count=Count())


def model_of(space: Space, seen: Witness, trusted: float = TRUSTED) -> Model:
    """The axis model behind a session's readings, trusted as far as so many of them."""
    rows = seen.rows

    def simulate(thetas: Matrix) -> Matrix:
        return predict_all(seen.session, thetas).reading_mm[:, rows]

    return Model(space, seen, simulate, trusted=trusted)


@dataclass(frozen=True, slots=True, eq=False)
class Local:
    """The model straightened out at a place u: scaled readings less model `rest`, scaled
    Jacobian by the active parameters, scaled linear columns, ln|C| with the breathing."""

    rest: Vector
    jacobian: Matrix
    columns: Matrix
    log_det: float
    breathing: tuple[tuple[slice, Matrix, Matrix], ...]


def straighten(
    model: Model,
    belief: Belief,
    u: Vector,
    steps: Vector,
    *,
    moving: NDArray[np.int64] | None = None,
    central: bool = False,
) -> Local:
    """Computed readings and their derivatives at u by the entries `moving` (all active ones when
    left out); `steps` in prior spreads, one for each of these."""
    seen, active = model.witness, belief.active if moving is None else moving
    h = steps * belief.spread[active]
    stack = np.tile(u, (1 + len(active) * (2 if central else 1), 1))
    for row, (place, step) in enumerate(zip(active, h, strict=True), start=1):
        stack[row, place] += step
        if central:
            stack[row + len(active), place] -= step
    made = model.at(belief, stack)
    ahead = made[1 : 1 + len(active)]
    behind = made[1 + len(active) :] if central else made[0]
    slopes = (ahead - behind) / ((2 if central else 1) * steps)[:, None]
    joint = np.column_stack([seen.read_mm - made[0], slopes.T, seen.columns])
    white = seen.whiten(joint)
    breathing, extra = _breathing(model, belief, active, white[:, 1 : 1 + len(active)])
    _apply(breathing, white)
    return Local(
        white[:, 0],
        white[:, 1 : 1 + len(active)],
        white[:, 1 + len(active) :],
        seen.log_det + extra,
        breathing,
    )


def _breathing(
    model: Model, belief: Belief, active: NDArray[np.int64], jacobian: Matrix
) -> tuple[tuple[tuple[slice, Matrix, Matrix], ...], float]:
    """The room that each run's own drag gives its readings: (rows, R, M) with the extra
    whitening I + R M Rᵀ, and what it adds to ln|C|."""
    entries = model.space.entries
    drag = [k for k, i in enumerate(active) if entries[i].quantity == "drag_n"]
    if not drag:
        return (), 0.0
    scale = BREATH / belief.spread[active[drag]]
    bounds = [b for b, yes in zip(model.witness.bounds, model.witness.breathes, strict=True) if yes]
    if not bounds:
        return (), 0.0
    parts = [jacobian[bound][:, drag] * scale for bound in bounds]
    grams = np.stack([part.T @ part for part in parts])
    values, vectors = np.linalg.eigh(grams)
    values = np.maximum(values, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        inner = np.where(values > 1e-12, ((1 + values) ** -0.5 - 1) / values, -0.5)
    middle = np.einsum("rij,rj,rkj->rik", vectors, inner, vectors)
    made = tuple((bound, part, m) for bound, part, m in zip(bounds, parts, middle, strict=True))
    return made, float(np.log1p(values).sum())


def _apply(breathing: tuple[tuple[slice, Matrix, Matrix], ...], white: Matrix) -> None:
    for bound, part, middle in breathing:
        here = white[bound]
        here += part @ (middle @ (part.T @ here))


@dataclass(frozen=True, slots=True, eq=False)
class Mode:
    """A fitted set: place of the mode, the model straightened there, and the evidence with the
    linear causes in `linear` (the best of those tried) switched on. `causes` are the others."""

    causes: frozenset[str]
    belief: Belief
    u: Vector
    local: Local
    switch: Switches
    linear: frozenset[str]
    log_evidence: float

    @property
    def v(self) -> Vector:
        """Scaled parameters at the mode."""
        active = self.belief.active
        return np.asarray(
            (self.u[active] - self.belief.middle[active]) / self.belief.spread[active]
        )


def _profiled(rest: Vector, columns: Matrix, spread: Vector) -> tuple[float, Vector]:
    """Misfit with the linear terms at their best, and those terms (scaled)."""
    scaled = columns * spread
    h = scaled.T @ scaled
    h[np.diag_indices_from(h)] += 1.0
    pull = scaled.T @ rest
    best: Vector = np.linalg.solve(h, pull).astype(np.float64)
    return float(rest @ rest - pull @ best), best


def walk(
    model: Model,
    belief: Belief,
    start: Vector,
    linear: frozenset[str],
    *,
    most: int = 14,
    coarsest: int = 1,
    fine: bool = True,
) -> Vector:
    """From `start` to the mode nearby; `coarsest` says how coarse its differences may get, and
    without `fine` the fine shape of drag stays as it is, which takes half the time."""
    seen, active = model.witness, belief.active
    every = active
    if not fine:
        active = active[~model.space.fine[active]]
    spread = seen.linear_spread(linear)
    used = spread > 0
    coarse = 0
    u = start.copy()
    inactive = np.setdiff1d(np.arange(model.space.size), every)
    u[inactive] = belief.middle[inactive]
    damping = 0.01
    model.count.fits += 1
    for _ in range(most):
        steps = np.full(len(active), WALK_STEPS[coarse])
        local = straighten(model, belief, u, steps, moving=active)
        columns = local.columns[:, used] * spread[used]
        v = (u[active] - belief.middle[active]) / belief.spread[active]
        joint = np.concatenate([local.jacobian, columns], axis=1)
        gram = joint.T @ joint
        pull = joint.T @ local.rest
        n = len(active)
        misfit, _ = _profiled(local.rest, local.columns[:, used], spread[used])
        cost = misfit + float(v @ v)
        gained = 0.0
        for _try in range(4):
            h = gram.copy()
            h[np.diag_indices_from(h)] += 1.0
            h[np.arange(n), np.arange(n)] *= 1.0 + damping
            right = pull.copy()
            right[:n] -= v
            step = np.linalg.solve(h, right)[:n]
            step = np.clip(step, -LARGEST_STEP, LARGEST_STEP)
            tried = u.copy()
            tried[active] += step * belief.spread[active]
            rest = seen.read_mm - model.at(belief, tried[None, :])[0]
            white = seen.whiten(rest[:, None])
            _apply(local.breathing, white)
            misfit, _ = _profiled(white[:, 0], local.columns[:, used], spread[used])
            moved = v + step
            now = misfit + float(moved @ moved)
            if now < cost:
                gained = cost - now
                u = tried
                damping = max(damping / 4, 1e-4)
                break
            damping = max(damping * 8, 0.05)
        if gained < 2 * SETTLED:
            if coarse + 1 >= coarsest:
                break
            coarse, damping = coarse + 1, 0.01
        elif gained > 4.0:
            coarse = 0
    return u


def settle(
    model: Model,
    causes: frozenset[str],
    belief: Belief,
    u: Vector,
    linear: frozenset[str],
    *,
    near: Mode | None = None,
    roughly: bool = False,
) -> Mode:
    """Evidence at a mode: derivatives over half a posterior spread, for the model has kinks.

    Posterior spreads are taken from a mode of the same set nearby, or worked out first; `roughly`
    is content with one-sided derivatives over a like distance, for sets that may be dropped.
    """
    seen, active = model.witness, belief.active
    spread = seen.linear_spread(linear)
    if roughly:
        local = straighten(model, belief, u, np.full(len(active), ROUGHLY))
    else:
        first = near.local if near is not None else None
        if first is None:
            first = straighten(model, belief, u, np.full(len(active), 0.02))
        columns = first.columns[:, spread > 0] * spread[spread > 0]
        joint = np.concatenate([first.jacobian, columns], axis=1)
        h = joint.T @ joint
        h[np.diag_indices_from(h)] += 1.0
        sd = np.sqrt(np.diag(np.linalg.inv(h)))[: len(active)]
        local = straighten(model, belief, u, np.clip(0.5 * sd, 0.01, 0.4), central=True)
    v = (u[active] - belief.middle[active]) / belief.spread[active]
    switch = switches_at(seen, local, v)
    return Mode(causes, belief, u, local, switch, linear, switch.log_evidence(spread))


def switches_at(seen: Witness, local: Local, v: Vector, power: float = 1.0) -> Switches:
    """The linear terms at a mode (scaled parameters `v`) with the likelihood raised to a power."""
    root = np.sqrt(power)
    rest = local.rest + local.jacobian @ v
    switch = switches(root * rest, root * local.jacobian, root * local.columns)
    free = seen.count - len(seen.bounds)
    base = switch.base - 0.5 * power * (local.log_det + free * LOG_2PI)
    return Switches(switch.gram, switch.pull, base)


def fit(
    model: Model,
    causes: frozenset[str],
    start: Vector,
    linear: frozenset[str],
    *,
    wide: bool = False,
    most: int = 14,
    coarsest: int = 1,
    fine: bool = True,
    roughly: bool = False,
) -> Mode:
    """The mode of a set from a start, and its evidence."""
    belief = model.space.belief(causes, wide=wide)
    u = walk(model, belief, start, linear, most=most, coarsest=coarsest, fine=fine)
    return settle(model, causes, belief, u, linear, roughly=roughly)
