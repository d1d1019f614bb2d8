"""A dial without a turns counter: its readings carried on past a full turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from plumbrise.readings.kinds import GAUGE_CHECK
from plumbrise.readings.table import Reading, Run

AHEAD, BEHIND = 0.25, 0.75
"""Between two readings an axis gets ahead of the told move by less than a quarter of a dial turn
and falls behind by no more than three quarters: together one turn, so one answer fits."""


def unwrapped(run: Run, wrap_mm: float) -> tuple[Run, int]:
    """The run with whole turns of the dial put back, and how many readings that moved.

    Where the told motion is seen the told step says how far the gauge went; elsewhere the nearest
    turn is taken. Readings that already span more than a turn were carried on by the person and
    stay as they are.

    Args:
        run: readings in the order taken.
        wrap_mm: one turn of the dial.
    """
    taken = run.taken
    values = [r.reading_mm for r in taken if r.reading_mm is not None]
    if len(values) < 2 or max(values) - min(values) > wrap_mm * (1 + 1e-9):
        return run, 0
    carried = _carried(run, taken, values, wrap_mm)
    moved = sum(abs(a - b) > wrap_mm / 2 for a, b in zip(carried, values, strict=True))
    if not moved:
        return run, 0
    by_seq = {r.seq: value for r, value in zip(taken, carried, strict=True)}
    readings = tuple(
        replace(r, reading_mm=by_seq[r.seq]) if r.seq in by_seq else r for r in run.readings
    )
    return replace(run, readings=readings), moved


def _carried(
    run: Run, taken: Sequence[Reading], values: Sequence[float], wrap_mm: float
) -> list[float]:
    found = [values[0]]
    for i in range(1, len(values)):
        told = taken[i].target_mm - taken[i - 1].target_mm
        if run.follows_command:
            way = 1.0 if (told or (1 if taken[i].approach == "up" else -1)) > 0 else -1.0
            middle = told - way * (BEHIND - AHEAD) / 2 * wrap_mm
        else:
            middle = told if run.kind is GAUGE_CHECK else 0.0
        turns = round((found[-1] + middle - values[i]) / wrap_mm)
        found.append(values[i] + turns * wrap_mm)
    return found
