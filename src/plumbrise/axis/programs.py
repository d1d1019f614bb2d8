"""The moves of a session as flat arrays: what the axis did, each distinct history once.

Several set-ups often follow the same moves under different gauges. Such runs share a program,
which is simulated once and read at each of their stations.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbrise.axis.parameters import shares
from plumbrise.quantity import GRAVITY_M_PER_S2
from plumbrise.readings import Move, Run, moves

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Programs:
    """Distinct histories one behind the other.

    `start` marks the first move of each, before which the axis rests where that move goes to.
    `load_n` is what hangs on the body (a pull upward counts negative), `load_shares` on which
    ends (nan where the readings do not say where it hangs). `first` and `last` (not included)
    bound each history.
    """

    told_mm: Floats
    start: npt.NDArray[np.bool_]
    load_n: Floats
    load_shares: Floats
    first: tuple[int, ...]
    last: tuple[int, ...]

    @property
    def count(self) -> int:
        """How many moves are simulated."""
        return len(self.told_mm)


def programs_of(
    histories: Sequence[Sequence[Move]], *, ends: int, span_mm: float
) -> tuple[Programs, tuple[int, ...]]:
    """Flat arrays of these histories, and for each which program it is.

    Args:
        histories: moves of each run, as `readings.moves` gives them.
        ends: ends of the body, 2 or 3.
        span_mm: between the left and the right end, for the place of hung masses.

    Example:
        >>> up = [Move(target_mm=1.0), Move(target_mm=2.0)]
        >>> programs, which = programs_of([up, up, up[::-1]], ends=2, span_mm=340)
        >>> programs.count, which
        (4, (0, 0, 1))
    """
    known: dict[tuple[tuple[float, float, float | None], ...], int] = {}
    which: list[int] = []
    rows: list[tuple[float, float, float | None]] = []
    first: list[int] = []
    last: list[int] = []
    for history in histories:
        key = tuple(
            (
                float(move.target_mm),
                move.mass_kg * GRAVITY_M_PER_S2 - move.pull_n,
                move.mass_at_mm if move.mass_kg or move.pull_n else None,
            )
            for move in history
        )
        if key not in known:
            known[key] = len(first)
            first.append(len(rows))
            rows += key
            last.append(len(rows))
        which.append(known[key])
    start = np.zeros(len(rows), dtype=np.bool_)
    start[[at for at, end in zip(first, last, strict=True) if end > at]] = True
    return (
        Programs(
            told_mm=np.array([row[0] for row in rows], dtype=np.float64),
            start=start,
            load_n=np.array([row[1] for row in rows], dtype=np.float64),
            load_shares=np.array(
                [
                    (np.nan,) * ends if row[2] is None else shares(ends, row[2] / span_mm)
                    for row in rows
                ],
                dtype=np.float64,
            ).reshape(len(rows), ends),
            first=tuple(first),
            last=tuple(last),
        ),
        tuple(which),
    )


def history_of(run: Run, *, overrun_mm: float) -> tuple[Move, ...]:
    """Moves of a run; a run that does not use the axis (gauge on a block, push on an upright)
    has one a reading."""
    if run.kind.id in ("gauge-check", "side-push") or run.station.id == "block":
        return tuple(
            Move(target_mm=reading.target_mm, reading=index)
            for index, reading in enumerate(run.readings)
        )
    return moves(run, overrun_mm=overrun_mm)
