"""Readings in constant proportion to what was told, and dials whose turns were not counted: what
to put right before any loss is spoken of."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from plumbrise.analyse.lines import fit_line
from plumbrise.analyse.results import Oddity
from plumbrise.quantity import Unit, student_factor, written
from plumbrise.readings import Run
from plumbrise.readings.kinds import COARSE_STEPS, FINE_STEPS, FULL_TRAVEL

FEWEST = 5
WRONG_BY = 0.025
"""A gain this far from 1 is no screw's lead error but a wrong setting or lead."""
STEADY = 0.25
"""A gain that changes by more than this share of its error is take-up still."""
TURN_MM = 1.0
HARDLY_MOVES = 0.45
NOT_COUNTED, OUT_OF_PROPORTION = "turns-not-counted", "out-of-proportion"


def out_of_proportion(
    run: Run, values: Sequence[float | None], wrap_mm: float | None
) -> tuple[Oddity, ...]:
    """What a person should put right first, if the readings say so.

    A staircase whose steps of whole millimetres all show nearly nothing looks like a dial
    without a turns counter. One whose gain is far from 1 and steady from its middle to its end
    looks like wrong steps per mm or a wrong lead: a take-up would fade.

    Args:
        run: any run; kinds without steps upward say nothing.
        values: its readings as used, None where one was set aside.
        wrap_mm: a turn of the dial, where the person said that turns are not counted.
    """
    if run.kind not in (FINE_STEPS, COARSE_STEPS, FULL_TRAVEL) or not run.follows_command:
        return ()
    there = [(r, v) for r, v in zip(run.readings, values, strict=True) if v is not None]
    climb = [(r.target_mm, v) for i, (r, v) in enumerate(there) if not i or r.approach == "up"]
    told, read = np.array(climb, dtype=float).reshape(-1, 2).T
    if len(told) < FEWEST or np.any(np.diff(told) <= 0):
        return ()
    if wrap_mm is None and _turns_lost(told, read):
        words = (
            "Every step of a whole millimetre shows nearly nothing: either the axis hardly moves, "
            "or the dial has no turns counter. If one turn of it is 1 mm, set wrap_mm = 1.0 under "
            "[gauge] in the machine file."
        )
        return (Oddity(NOT_COUNTED, words),)
    third = max(3, len(told) // 3)
    last = fit_line(told[-third:], read[-third:])
    before = fit_line(told[-third - 2 : -2], read[-third - 2 : -2])
    whole = fit_line(told[1:], read[1:])
    off = whole.slope - 1
    arm = student_factor(max(whole.dof, 1)) * whole.u_slope
    steady = abs(last.slope - before.slope) < STEADY * abs(off)
    alike = abs(last.slope - whole.slope) < STEADY * abs(off)
    if abs(off) < max(WRONG_BY, 2 * arm) or not (steady and alike):
        return ()
    arrives = written(whole.slope, max(arm, 0.001), Unit.RATIO)
    words = (
        f"The axis arrives at {arrives} of every step told: check steps per mm and the lead "
        "before anything else. A tilted gauge or a lever gauge can do the same."
    )
    return (Oddity(OUT_OF_PROPORTION, words, size_mm=float(read[-1] - told[-1])),)


def _turns_lost(told: np.ndarray, read: np.ndarray) -> bool:
    """Whole millimetres told, less than half of one shown, step after step past the first."""
    steps, shown = np.diff(told), np.diff(read)
    whole = np.all(np.abs(steps - np.round(steps / TURN_MM) * TURN_MM) < 0.01)
    return bool(whole and np.all(np.abs(shown[1:]) < HARDLY_MOVES * TURN_MM))
