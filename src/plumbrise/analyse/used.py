"""The readings of a run as used: mended, in arrays, as what was lost on the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.quantity import GRAVITY_M_PER_S2
from plumbrise.readings import Reading, Run

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Used:
    """Readings of one run in the order taken, those set aside left out.

    `index` are places in `run.readings`; `told` are targets, `up` the directions; `lag` is how
    much the reading stays behind what was told since the first reading (where a station does not
    follow the command: how far it has sunk, or moved against the positive direction).
    """

    index: NDArray[np.intp]
    told: Array
    lag: Array
    up: NDArray[np.bool_]

    @property
    def n(self) -> int:
        """How many readings."""
        return len(self.index)

    def only(self, chosen: NDArray[np.bool_]) -> Used:
        """Some of the readings."""
        return Used(self.index[chosen], self.told[chosen], self.lag[chosen], self.up[chosen])


def used(run: Run, mended_mm: Sequence[float | None]) -> Used:
    """The readings of a run that are there and not set aside."""
    index = [i for i, value in enumerate(mended_mm) if value is not None]
    told = np.array([run.readings[i].target_mm for i in index], dtype=float)
    read = np.array([mended_mm[i] for i in index], dtype=float)
    up = np.array([run.readings[i].approach == "up" for i in index], dtype=bool)
    lag = -read
    if run.follows_command and index:
        lag = told - told[0] - read
    return Used(np.array(index, dtype=int), told, lag - (lag[0] if index else 0.0), up)


def legs(up: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Number of the pass that each reading belongs to: it changes where the direction does."""
    if len(up) == 0:
        return np.zeros(0, dtype=int)
    return np.concatenate([[0], np.cumsum(up[1:] != up[:-1])])


def load_n(reading: Reading) -> float:
    """Vertical load of a reading, downward positive: hung mass less a pull upward, N."""
    return reading.mass_kg * GRAVITY_M_PER_S2 - (reading.force_n or 0.0)
