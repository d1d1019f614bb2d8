"""The parameters that a session can say something about, and what a set of causes believes of
them: between the axis's vector in natural units and a vector u of logarithms and log odds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Session, vector_of
from plumbrise.explain.causes import CAUSES
from plumbrise.explain.priors import APART_CYCLES, PRIORS, Bell, Prior, Scale, given, onto
from plumbrise.machine import Machine, known
from plumbrise.readings.kinds import SIDE_PUSH

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

FINE = ("weights", "profile")
FEW_READINGS = 45
"""Below this the fine shape of drag (elements, heights) is left at its middle."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One free parameter: its place in the axis's vector, name, and prior; `told` is what the
    machine file says of it, `alone` whether no other side has one."""

    place: int
    name: str
    prior: Prior
    healthy: float
    told: Bell | None
    alone: bool = False

    @property
    def quantity(self) -> str:
        """Name without side."""
        return self.name.split(":", maxsplit=1)[0]

    @property
    def station(self) -> str:
        """Where it is: station of a frame's joint, side of a lift or guide."""
        return self.name.partition(":")[2]


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """What a set of causes believes: which entries exist, their middles and spreads on their
    scales, and the vector that holds everything else."""

    active: NDArray[np.int64]
    middle: Vector
    spread: Vector
    rest: Vector


@dataclass(frozen=True, slots=True, eq=False)
class Space:
    """The free parameters of one session."""

    entries: tuple[Entry, ...]
    base: Vector
    several: bool
    middle_mm: float
    span_mm: float
    log: NDArray[np.bool_]
    odds: NDArray[np.bool_]
    places: NDArray[np.int64]

    @property
    def size(self) -> int:
        """How many entries."""
        return len(self.entries)

    @property
    def fine(self) -> NDArray[np.bool_]:
        """Which entries are the fine shape of drag, by element and by height."""
        return np.array([e.quantity in FINE for e in self.entries], dtype=bool)

    def natural(self, u: Matrix) -> Matrix:
        """Values in natural units of vectors on the scales (one a row)."""
        out = np.array(u, dtype=float)
        out[..., self.log] = np.exp(np.clip(u[..., self.log], -30.0, 30.0))
        out[..., self.odds] = 1 / (1 + np.exp(-np.clip(u[..., self.odds], -30.0, 30.0)))
        return out

    def thetas(self, belief: Belief, u: Matrix) -> Matrix:
        """Vectors of the axis for vectors u (one a row); entries that do not exist stay absent."""
        values = self.natural(np.atleast_2d(u))
        out = np.tile(belief.rest, (len(values), 1))
        active = belief.active
        out[:, self.places[active]] = values[:, active]
        return out

    def belief(
        self, causes: frozenset[str], *, wide: bool = False, flexing: str | None = None
    ) -> Belief:
        """What this set believes; `wide` lets every cause be there a little, `flexing` is the one
        station at which a frame gives way (left out, all of them)."""
        middle, spread = np.zeros(self.size), np.ones(self.size)
        active = []
        for i, entry in enumerate(self.entries):
            stiff = entry.prior.cause == "frame-flex" and flexing not in (None, entry.station)
            bell = self._bell(entry, causes - {"frame-flex"} if stiff else causes, wide)
            if bell is None:
                continue
            active.append(i)
            middle[i], spread[i] = onto(entry.prior.scale, bell[0]), bell[1]
        return Belief(np.array(active, dtype=np.int64), middle, spread, self.base)

    def _bell(self, entry: Entry, causes: frozenset[str], wide: bool) -> Bell | None:
        prior = entry.prior
        if entry.told is not None:
            return entry.told
        sound = prior.sound if prior.sound is None else (entry.healthy, prior.sound[1])
        if prior.cause is None:
            return sound
        if wide:
            return prior.open if prior.open is not None else sound
        if prior.cause in causes:
            if entry.name.startswith("spot_centre"):
                return self.middle_mm, max(self.span_mm / 2, 5.0)
            shared = self.several and not entry.alone
            return prior.open if shared and prior.open is not None else prior.faulty
        return sound

    def healthy(self, cause: str, thetas: Matrix) -> Matrix:
        """The same axes with one cause put back to sound, only ever for the better."""
        out = thetas.copy()
        for entry in self.entries:
            prior = entry.prior
            if prior.cause != cause or not prior.worse:
                continue
            column = out[:, entry.place]
            if prior.sound is None:
                out[:, entry.place] = 0.0
            elif prior.worse > 0:
                out[:, entry.place] = np.minimum(column, entry.healthy)
            else:
                out[:, entry.place] = np.maximum(column, entry.healthy)
        return out


ABSENT = ("spot_strength", "misalignment_n")


def space_of(machine: Machine, session: Session) -> Space:
    """The free parameters of this session's axis."""
    base = vector_of(session.base)
    names = session.layout.names
    pushed = {run.station.id for run in session.readings.runs if run.kind is SIDE_PUSH}
    hung = any(
        r.mass_kg and r.mass_at_mm is None for run in session.readings.runs for r in run.readings
    )
    arrangement = session.base.arrangement
    told = session.programs.told_mm
    knots = np.array(session.base.knots_mm)
    fine = int(session.taken.sum()) > FEW_READINGS
    entries: list[Entry] = []
    for place, name in enumerate(names):
        quantity, _, end = name.partition(":")
        prior = PRIORS.get(quantity)
        if prior is None:
            continue
        if quantity in FINE and not fine:
            continue
        if quantity == "profile" and not _touched(knots, int(end.split(":")[1]), told):
            continue
        if quantity in ("stiffness_n_per_mm", "joint_stiffness_n_per_mm", "slip_n") and (
            end not in pushed
        ):
            continue
        if quantity == "load_place" and not hung:
            continue
        if quantity in ("lag_mm", "wind_up_mm_per_n") and base[place] <= 0:
            continue
        if quantity == "droop_mm" and len(session.base.lifts) > 1:
            continue
        if quantity == "offset_mm":
            if end == session.base.lifts[0].end or not CAUSES["out-of-step"].occurs_on(arrangement):
                continue
            cycle = session.base.lifts[0].thread.four_steps_mm
            if cycle is not None:
                prior = replace(prior, faulty=(0.0, APART_CYCLES * cycle))
        side = end.split(":")[0] or None
        entries.append(
            Entry(
                place,
                name,
                prior,
                _healthy(machine, prior, side, float(base[place])),
                given(machine, quantity, side),
                alone=quantity in ("lag_mm", "wind_up_mm_per_n"),
            )
        )
    base = base.copy()
    for place, name in enumerate(names):
        if name.partition(":")[0] in ABSENT:
            base[place] = 0.0
    moved = told if len(told) else np.zeros(1)
    return Space(
        entries=tuple(entries),
        base=base,
        several=len(session.base.lifts) > 1,
        middle_mm=float(np.ptp(moved) / 2 + moved.min()),
        span_mm=float(np.ptp(moved)),
        log=np.array([e.prior.scale is Scale.LOG for e in entries], dtype=bool),
        odds=np.array([e.prior.scale is Scale.ODDS for e in entries], dtype=bool),
        places=np.array([e.place for e in entries], dtype=np.int64),
    )


def _touched(knots: Vector, k: int, told: Vector) -> bool:
    low = knots[k - 1] if k else -np.inf
    high = knots[k + 1] if k + 1 < len(knots) else np.inf
    return bool(np.any((told > low) & (told < high)))


def _healthy(machine: Machine, prior: Prior, side: str | None, base: float) -> float:
    """Middle of what is sound on this machine: a thrust bearing bypasses seat and coupling."""
    if prior.sound is None:
        return 0.0
    if prior.name in ("seat_stiffness_n_per_mm", "coupling_stiffness_n_per_mm"):
        carries = known(machine, "bearing.carries_weight", side).value
        return max(base, prior.sound[0]) if carries == "thrust-bearing" else prior.sound[0]
    if prior.name in ("weight_share", "lag_mm", "wind_up_mm_per_n", "weight_n"):
        return base
    return prior.sound[0]
