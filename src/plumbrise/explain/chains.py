"""From the bell at a mode to what is really believed there: short Markov chains.

The axis has kinks and its loss is a ratio of drag and stiffness, so draws from the bell at a mode
scatter off the ridge on which the readings hold the axis. Each draw is therefore moved by a
chain that leaves the posterior unchanged: proposals that would leave the bell unchanged,

    v' = m + √(1 - β²) (v - m) + β ξ,    ξ from the bell's spread round its middle m,

taken with probability min(1, w(v') / w(v)), w the posterior over the bell. Where the bell is right
every proposal is taken. The likelihood is raised to a power below 1, so that intervals of a long
session do not shrink below what the axis model is worth.

Sources, from memory: Cotter, Roberts, Stuart and White, Statistical Science 28 (2013) 424,
section 4 (preconditioned Crank-Nicolson proposals, here about the bell); Miller and Dunson,
J. American Statistical Association 114 (2019) 1113 (coarsened posteriors).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.fit import Mode, Model

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

STEPS = 40
"""Proposals a draw: enough that short sessions forget the bell, few enough to take about as long
as the fits."""
BETAS = (0.08, 0.2, 0.45, 0.9)
"""Sizes of proposals, in turn: from near moves, which are mostly taken, to nearly fresh draws."""
DEEPEST = 1.5
"""A chain starts at most this far under the mode in log density, times half the dimensions."""
NEARER = (0.6, 0.35, 0.2, 0.1)
FARTHEST = 4.5
"""No parameter is believed further from its middle than this, in prior spreads."""


@dataclass(frozen=True, slots=True, eq=False)
class Bell:
    """The normal at a mode over its scaled parameters, linear terms taken out: its middle, the
    lower triangle of its inverse covariance, and the spreads of the linear terms."""

    middle: Vector
    lower: Matrix
    spread: Vector

    def draws(self, rng: np.random.Generator, count: int) -> Matrix:
        """Departures from the middle, one a row."""
        noise = rng.standard_normal((len(self.middle), count))
        return np.asarray(np.linalg.solve(self.lower.T, noise).T)

    def log_density(self, v: Matrix) -> Vector:
        """Log density of points (rows), without its constant."""
        return np.asarray(-0.5 * np.sum(((v - self.middle) @ self.lower) ** 2, axis=1))


def bell_of(model: Model, mode: Mode, linear: frozenset[str]) -> Bell:
    """The bell at a mode with these linear causes switched on."""
    spread = model.witness.linear_spread(linear)
    local, n = mode.local, len(mode.v)
    power = model.power
    joint = np.concatenate([local.jacobian, local.columns * spread], axis=1)
    h = power * (joint.T @ joint)
    h[np.diag_indices_from(h)] += 1.0
    pull = power * (joint.T @ (local.rest + local.jacobian @ mode.v))
    centre = np.linalg.solve(h, pull)[:n]
    middle = mode.v + np.clip(centre - mode.v, -1.0, 1.0)
    used = spread > 0
    columns = np.sqrt(power) * local.columns[:, used] * spread[used]
    jacobian = np.sqrt(power) * local.jacobian
    inner = columns.T @ columns
    inner[np.diag_indices_from(inner)] += 1.0
    cross = jacobian.T @ columns
    own = jacobian.T @ jacobian - cross @ np.linalg.solve(inner, cross.T)
    own[np.diag_indices_from(own)] += 1.0
    lower: Matrix = np.linalg.cholesky(own).astype(np.float64)
    return Bell(middle, lower, spread)


@dataclass(frozen=True, slots=True, eq=False)
class Believed:
    """Log posterior of scaled parameters at a mode's noise, linear terms integrated out."""

    model: Model
    mode: Mode
    spread: Vector

    def places(self, v: Matrix) -> Matrix:
        """Vectors on the parameters' scales for scaled ones (rows)."""
        belief = self.mode.belief
        u = np.tile(self.mode.u, (len(v), 1))
        active = belief.active
        u[:, active] = belief.middle[active] + belief.spread[active] * v
        return u

    def rests(self, v: Matrix) -> Matrix:
        """Scaled readings less model, a column a point; less of each in a long session."""
        seen = self.model.witness
        made = self.model.at(self.mode.belief, self.places(v))
        white = seen.whiten(np.ascontiguousarray((seen.read_mm - made).T))
        for bound, part, middle in self.mode.local.breathing:
            white[bound] += part @ (middle @ (part.T @ white[bound]))
        return np.asarray(white * np.sqrt(self.model.power))

    def linear(self) -> tuple[Matrix, Matrix, NDArray[np.bool_]]:
        """Scaled linear columns in use, the lower triangle of their inverse covariance, and
        which they are."""
        used = self.spread > 0
        columns = self.mode.local.columns[:, used] * self.spread[used]
        columns = columns * np.sqrt(self.model.power)
        h = columns.T @ columns
        h[np.diag_indices_from(h)] += 1.0
        lower: Matrix = np.linalg.cholesky(h).astype(np.float64)
        return columns, lower, used

    def log_density(self, v: Matrix) -> Vector:
        """Log posterior of points (rows), without its constant; -inf out of bounds."""
        rest = self.rests(v)
        columns, lower, _ = self.linear()
        half = np.linalg.solve(lower, columns.T @ rest)
        misfit = np.sum(rest**2, axis=0) - np.sum(half**2, axis=0)
        log_p = -0.5 * (misfit + np.sum(v**2, axis=1))
        return np.where(np.all(np.abs(v) <= FARTHEST, axis=1), log_p, -np.inf)

    def terms(self, v: Matrix, rng: np.random.Generator) -> Matrix:
        """Linear terms drawn with each point (rows)."""
        columns, lower, used = self.linear()
        half = np.linalg.solve(lower, columns.T @ self.rests(v))
        noise = rng.standard_normal((lower.shape[0], len(v)))
        out = np.zeros((len(v), len(self.spread)))
        out[:, used] = np.linalg.solve(lower.T, half + noise).T * self.spread[used]
        return out


def moved(
    model: Model,
    mode: Mode,
    linear: frozenset[str],
    rng: np.random.Generator,
    count: int,
    *,
    steps: int = STEPS,
) -> tuple[Matrix, Matrix]:
    """Draws of parameters (on their scales) and of linear terms, `count` of each.

    Chains start as far from the mode as the bell says, or nearer where the axis is not believed
    there: none begins in nowhere, and none has to find its way out first.
    """
    bell = bell_of(model, mode, linear)
    believed = Believed(model, mode, bell.spread)
    away = bell.draws(rng, count)
    least = believed.log_density(mode.v[None, :])[0] - DEEPEST * (1 + len(mode.v) / 2)
    v = np.clip(mode.v + away, -FARTHEST, FARTHEST)
    density = believed.log_density(v)
    for share in NEARER:
        far = density < least
        if not far.any():
            break
        v[far] = np.clip(mode.v + share * away[far], -FARTHEST, FARTHEST)
        density[far] = believed.log_density(v[far])
    weight = density - bell.log_density(v)
    for step in range(steps):
        beta = BETAS[step % len(BETAS)]
        tried = bell.middle + np.sqrt(1 - beta**2) * (v - bell.middle)
        tried += beta * bell.draws(rng, count)
        now = believed.log_density(tried) - bell.log_density(tried)
        taken = np.log(rng.random(count)) < now - weight
        v[taken], weight[taken] = tried[taken], now[taken]
    return believed.places(v), believed.terms(v, rng)
