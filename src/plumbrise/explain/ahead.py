"""Set-ups that were not read yet, laid out as if they had been."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Parameters, Session, prepare
from plumbrise.explain.figures_ahead import figures, shape_columns
from plumbrise.explain.noise import Level, run_noise
from plumbrise.explain.witness import Witness, witness
from plumbrise.machine import Machine
from plumbrise.measure.setups import SetUp
from plumbrise.readings import Readings, Run
from plumbrise.readings.kinds import GAUGE_CHECK

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

SHARED_MM = 0.15
"""Take-up by which the model is expected to err in a test that was not read yet (mm)."""


@dataclass(frozen=True, slots=True, eq=False)
class Ahead:
    """A session of set-ups to come: its rows and linear terms are those of readings, the values
    are not."""

    set_ups: tuple[SetUp, ...]
    session: Session
    seen: Witness

    @property
    def told_mm(self) -> Vector:
        """What each row is told to read; 0 where nothing follows the command."""
        told = self.session.told_mm[self.seen.rows].copy()
        for bound, set_up in zip(self.seen.bounds, self.set_ups, strict=True):
            if not (set_up.run.follows_command or set_up.kind is GAUGE_CHECK):
                told[bound] = 0.0
        return told

    def noisy(self, number: int, made_mm: Matrix, level: Level, rng: np.random.Generator) -> Matrix:
        """What one set-up reads beyond what is told (an axis a row), in units of noise, which is
        in it."""
        bound = self.seen.bounds[number]
        off = (made_mm[:, bound] - self.told_mm[bound]) @ self._whiten(number, level).T
        return np.asarray(off + rng.standard_normal(off.shape))

    def figures(self, number: int, noisy: Matrix, level: Level) -> Matrix:
        """The figures that one set-up shows in what it reads."""
        columns = self.seen.columns[self.seen.bounds[number]]
        here = np.flatnonzero(np.any(columns != 0, axis=0))
        return figures(
            noisy,
            self._whiten(number, level),
            self._shape(number),
            columns[:, here],
            [self.seen.causes[k] for k in here],
            self.seen.faulty[here],
        )

    def apart(self, one: int, other: int, noisy: Sequence[Matrix], level: Level) -> Matrix:
        """The figures of the difference between two set-ups of one kind."""
        nothing = np.zeros((noisy[one].shape[1], 0))
        off = (noisy[one] - noisy[other]) / np.sqrt(2.0)
        return figures(off, self._whiten(one, level), self._shape(one), nothing, (), np.zeros(0))

    def alike(self, one: int, other: int) -> bool:
        """Whether two set-ups tell the same at two places that move."""
        a, b = self.set_ups[one].run, self.set_ups[other].run
        return a.follows_command and b.follows_command and a.readings == b.readings

    def _shape(self, number: int) -> Matrix:
        run = self.set_ups[number].run
        told = [(r.target_mm, r.mass_kg, r.force_n or 0.0, r.time_s or 0.0) for r in run.readings]
        ways = np.array(told, dtype=float).T
        way = next((one for one in ways if np.ptp(one) > 0), ways[0])
        since = self.session.since_turn_mm[self.seen.rows[self.seen.bounds[number]]]
        return shape_columns(way, since, moves=run.kind.moves)

    def scaled(self, number: int, made_mm: Matrix, level: Level) -> Matrix:
        """Readings of one set-up (a draw a row, all its rows) in units of noise, its zero out."""
        return np.asarray(made_mm[:, self.seen.bounds[number]] @ self._whiten(number, level).T)

    def _whiten(self, number: int, level: Level) -> Matrix:
        bound = self.seen.bounds[number]
        rows = self.seen.rows[bound]
        noise = run_noise(
            self.set_ups[number].run,
            slice(0, len(rows)),
            travelled_mm=self.session.path_mm[rows],
            since_turn_mm=self.session.since_turn_mm[rows],
            level=level,
            misread_mm=np.zeros(len(rows)),
            amplitude_mm=SHARED_MM,
        )
        return noise.whiten


def ahead_of(axis: Machine | Parameters, set_ups: Sequence[SetUp], resolution_mm: float) -> Ahead:
    """Lay out set-ups on an axis, read by a gauge of this resolution."""
    session = prepare(axis, Readings(tuple(_as_read(s.run) for s in set_ups)))
    return Ahead(tuple(set_ups), session, witness(session, resolution_mm))


def _as_read(run: Run) -> Run:
    """A run with every reading there, so that its rows and terms are laid out."""
    return replace(run, readings=tuple(replace(r, reading_mm=0.0) for r in run.readings))
