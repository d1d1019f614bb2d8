"""Set-ups that were not read yet, laid out as if they had been."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Parameters, Session, prepare
from plumbrise.explain.noise import Level, run_noise
from plumbrise.explain.witness import Witness, witness
from plumbrise.machine import Machine
from plumbrise.measure.setups import SetUp
from plumbrise.readings import Readings, Run

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

    def scaled(self, number: int, made_mm: Matrix, level: Level) -> Matrix:
        """Readings of one set-up (a draw a row, all its rows) in units of noise, its zero out."""
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
        return np.asarray(made_mm[:, bound] @ noise.whiten.T)


def ahead_of(axis: Machine | Parameters, set_ups: Sequence[SetUp], resolution_mm: float) -> Ahead:
    """Lay out set-ups on an axis, read by a gauge of this resolution."""
    session = prepare(axis, Readings(tuple(_as_read(s.run) for s in set_ups)))
    return Ahead(tuple(set_ups), session, witness(session, resolution_mm))


def _as_read(run: Run) -> Run:
    """A run with every reading there, so that its rows and terms are laid out."""
    return replace(run, readings=tuple(replace(r, reading_mm=0.0) for r in run.readings))
