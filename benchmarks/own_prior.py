"""Sessions drawn from the engine's own beliefs: its prior, its axis model, its noise.

Where these are explained, nothing the engine believes is wrong, so what it says must be right on
average: what remains is the error of its computation. Causes are drawn by their prior chance, up
to three; parameters from the bells of that set; each run's drag breathes; linear terms and noise
as the engine supposes them, the level of noise as far round its first guess as the weight of that
guess says.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Session, predict_all, prepare
from plumbrise.demo.plans import plan
from plumbrise.explain.causes_seen import depth_of, seen_causes
from plumbrise.explain.noise import PSEUDO_READINGS, Level, first_level
from plumbrise.explain.priors import CHANCE
from plumbrise.explain.search import CURVED
from plumbrise.explain.space import Belief, Space, space_of
from plumbrise.explain.witness import BREATH, Witness, with_noise, witness
from plumbrise.machine import Machine, PerSide, blank
from plumbrise.machine import description as part
from plumbrise.readings import Readings

Rng = np.random.Generator
Vector = NDArray[np.float64]
MOST_CAUSES = 3
FARTHEST = 4.5
"""No parameter is drawn further out than it is ever believed, in prior spreads."""


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """A session of which everything is known: the causes whose bells it was drawn from, the
    axis's vector, and the linear terms by name."""

    machine: Machine
    readings: Readings
    causes: frozenset[str]
    theta: Vector
    terms: dict[str, float]
    level: Level


def machine_for(arrangement: str, rng: Rng) -> Machine:
    """A machine of which lead, travel and gauge are known, and mostly the weight."""
    mass = float(np.round(np.exp(rng.normal(np.log(1.12), 0.3)), 2))
    return replace(
        blank(arrangement),
        travel=part.Travel(height_mm=250.0),
        screw=PerSide(part.Screw(lead_mm=8.0, diameter_mm=8.0)),
        gantry=part.Gantry(mass_kg=mass if rng.random() < 0.7 else None),
        gauge=part.Gauge(resolution_mm=float(rng.choice([0.01, 0.002, 0.001]))),
    )


def drawn(depth: str, rng: Rng, *, arrangement: str = "one-screw") -> Drawn:
    """One session of this plan from the engine's own beliefs."""
    machine = machine_for(arrangement, rng)
    readings = _filled(Readings(plan(machine, depth)), None)
    session = prepare(machine, readings)
    seen = witness(session, float(machine.gauge.resolution_mm or 0.01))
    space = space_of(machine, session)
    causes = _causes(seen, seen_causes(depth_of(machine, readings)), rng)
    belief = space.belief(causes)
    v = rng.standard_normal(len(belief.active))
    while np.any(np.abs(v) > FARTHEST):
        v = rng.standard_normal(len(belief.active))
    u = belief.middle.copy()
    u[belief.active] += belief.spread[belief.active] * v
    theta = space.thetas(belief, u)[0]
    terms = seen.linear_spread(causes) * rng.standard_normal(len(seen.names))
    clean = _breathing(session, seen, space, belief, u, rng) + seen.columns @ terms
    level = _level(seen.resolution_mm, rng)
    heard = prepare(machine, _filled(readings, _all_rows(session, seen, clean)))
    noisy = clean + _noise(with_noise(witness(heard, seen.resolution_mm), level, 0 * clean), rng)
    return Drawn(
        machine,
        _filled(readings, _all_rows(session, seen, noisy)),
        causes,
        theta,
        dict(zip(seen.names, (float(t) for t in terms), strict=True)),
        level,
    )


def _causes(seen: Witness, could: frozenset[str], rng: Rng) -> frozenset[str]:
    """Each cause that has a bell or a linear term, by its prior chance; three at most."""
    names = [c for c in CURVED if c in could] + [c for c in dict.fromkeys(seen.causes) if c]
    while True:
        causes = frozenset(c for c in names if rng.random() < CHANCE)
        if len(causes) <= MOST_CAUSES:
            return causes


def _breathing(
    session: Session, seen: Witness, space: Space, belief: Belief, u: Vector, rng: Rng
) -> Vector:
    """Clean readings, the drag of every guide a little different in every run."""
    drag = [i for i in belief.active if space.entries[i].quantity == "drag_n"]
    moved = np.tile(u, (len(seen.bounds), 1))
    for row, breathes in enumerate(seen.breathes):
        if breathes:
            moved[row, drag] += BREATH * rng.standard_normal(len(drag))
    made = predict_all(session, space.thetas(belief, moved)).reading_mm[:, seen.rows]
    out = np.empty(seen.count)
    for row, bound in enumerate(seen.bounds):
        out[bound] = made[row, bound]
    return out


def _level(resolution_mm: float, rng: Rng) -> Level:
    """Noise round its first level, as far as the pseudo-readings behind that level allow."""
    first = first_level(resolution_mm)
    factor, heavy = (
        float(np.sqrt(PSEUDO_READINGS / rng.chisquare(PSEUDO_READINGS))) for _ in range(2)
    )
    return Level(
        min(first.sigma_mm * factor, 0.05),
        min(max(first.discrepancy * factor, 0.015), 0.12),
        min(max(first.loaded * heavy, 0.02), 0.25),
    )


def _noise(seen: Witness, rng: Rng) -> Vector:
    """One draw of the supposed noise: `whiten` undone, the free zero left at nought."""
    out = np.zeros(seen.count)
    for noise in seen.noise:
        count = noise.rows.stop - noise.rows.start
        out[noise.rows] = np.linalg.pinv(noise.whiten) @ rng.standard_normal(count)
    return out


def _all_rows(session: Session, seen: Witness, values: Vector) -> Vector:
    rows = np.zeros(session.count)
    rows[seen.rows] = values
    return rows


def _filled(readings: Readings, values: Vector | None) -> Readings:
    """The same runs with these values read, one a reading (or nought everywhere)."""
    runs, at = [], 0
    for run in readings.runs:
        read = []
        for reading in run.readings:
            value = 0.0 if values is None else float(values[at])
            read.append(replace(reading, reading_mm=value))
            at += 1
        runs.append(replace(run, readings=tuple(read)))
    return Readings(tuple(runs))
