"""Readings in constant proportion to what was told, and dials whose turns were not counted: what
to put right before any loss is spoken of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from plumbrise.analyse.lines import Array, fit_line
from plumbrise.analyse.results import Oddity, RunAnalysis
from plumbrise.quantity import Unit, student_factor, written
from plumbrise.readings import Run
from plumbrise.readings.kinds import COARSE_STEPS, FINE_STEPS, FULL_TRAVEL, ONE_TURN, REVERSAL

FEWEST = 5
WRONG_BY = 0.025
"""A gain this far from 1 is no screw's lead error but a wrong setting or lead."""
STEADY = 0.25
"""A gain that changes by more than this share of its error is take-up still."""
PAST_TAKE_UP_MM = 5.0
"""A loss can build up evenly over millimetres: a shorter way may end before it is taken up, and
says nothing of the scale."""
NEARER_TO_ONE = 0.5
"""Another run speaks against a scale from this share of its error on."""
TURN_MM = 1.0
HARDLY_MOVES = 0.45
NOT_COUNTED, OUT_OF_PROPORTION = "turns-not-counted", "out-of-proportion"
ALONE = "out-of-proportion-alone"
CLIMBS = (FINE_STEPS, COARSE_STEPS, FULL_TRAVEL)
WITNESSES = (*CLIMBS, REVERSAL, ONE_TURN)


@dataclass(frozen=True, slots=True)
class Gain:
    """Read rise over told rise, and the half width of its 95 % interval."""

    slope: float
    arm: float

    @property
    def off(self) -> float:
        """How far it is from 1."""
        return self.slope - 1


def out_of_proportion(
    run: Run, values: Sequence[float | None], wrap_mm: float | None
) -> tuple[Oddity, ...]:
    """What a person should put right first, if a run's readings say so.

    A staircase whose steps of whole millimetres all show nearly nothing looks like a dial
    without a turns counter. One whose gain is far from 1 and steady to the end of a way longer
    than any take-up looks like wrong steps per mm or a wrong lead: a take-up would fade. Whether
    the other runs agree is asked in `agreed`.

    Args:
        run: any run; kinds without steps upward say nothing.
        values: its readings as used, None where one was set aside.
        wrap_mm: a turn of the dial, where the person said that turns are not counted.
    """
    if run.kind not in CLIMBS or not run.follows_command:
        return ()
    told, read = _way(run, values, "up")
    if len(told) < FEWEST:
        return ()
    if wrap_mm is None and _turns_lost(told, read):
        words = (
            "Every step of a whole millimetre shows nearly nothing: either the axis hardly moves, "
            "or the dial has no turns counter. If one turn of it is 1 mm, set wrap_mm = 1.0 under "
            "[gauge] in the machine file."
        )
        return (Oddity(NOT_COUNTED, words),)
    if told[-1] - told[0] < PAST_TAKE_UP_MM or not _is_steady(told, read):
        return ()
    words = (
        f"The axis arrives at {_arrives(_gain(told[1:], read[1:]))} of every step told: check "
        "steps per mm and the lead before anything else. A tilted gauge or a lever gauge can do "
        "the same."
    )
    return (Oddity(OUT_OF_PROPORTION, words, size_mm=float(read[-1] - told[-1])),)


def agreed(runs: tuple[RunAnalysis, ...]) -> tuple[RunAnalysis, ...]:
    """The runs, a wrong scale said of none where the axis arrives in full elsewhere: steps per mm
    and the lead are the same for all runs and both ways, so something else is odd."""
    return tuple(_as_witnessed(one, runs) for one in runs)


def _as_witnessed(one: RunAnalysis, runs: tuple[RunAnalysis, ...]) -> RunAnalysis:
    if not any(oddity.kind == OUT_OF_PROPORTION for oddity in one.oddities):
        return one
    told, read = _way(one.run, one.mended_mm, "up")
    here = _gain(told[1:], read[1:])
    near = NEARER_TO_ONE * abs(here.off)
    for other in runs:
        for direction in ("up", "down"):
            late = _late_gain(other, direction)
            if late is not None and abs(late.off) < near and late.arm < near:
                way = "" if direction == "up" else "on the way down "
                words = (
                    f"The axis arrives at {_arrives(here)} of every step told here, but in full "
                    f"{way}in set-up {other.run.name}: steps per mm and the lead are not the "
                    "reason. A gauge that stands tilted here can do this, or something that slips."
                )
                return replace(one, oddities=tuple(_alone(o, words) for o in one.oddities))
    return one


def _alone(oddity: Oddity, words: str) -> Oddity:
    return replace(oddity, kind=ALONE, words=words) if oddity.kind == OUT_OF_PROPORTION else oddity


def _late_gain(one: RunAnalysis, direction: str) -> Gain | None:
    """What the last third of a run's longest way up or down says of the scale; None if nothing."""
    if one.run.kind not in WITNESSES or not one.run.follows_command:
        return None
    told, read = _way(one.run, one.mended_mm, direction)
    if len(told) < FEWEST:
        return None
    third = _third(told)
    return _gain(told[-third:], read[-third:])


def _way(run: Run, values: Sequence[float | None], direction: str) -> tuple[Array, Array]:
    """Told and read of the longest unbroken way up or down; where it starts belongs to it."""
    sign = 1 if direction == "up" else -1
    best: list[tuple[float, float]] = []
    now: list[tuple[float, float]] = []
    for reading, value in zip(run.readings, values, strict=True):
        if value is None:
            continue
        if now and (reading.approach != direction or sign * (reading.target_mm - now[-1][0]) <= 0):
            now = []
        now = [*now, (reading.target_mm, value)]
        best = max(best, now, key=len)
    told, read = np.array(best, dtype=float).reshape(-1, 2).T
    return told, read


def _is_steady(told: Array, read: Array) -> bool:
    """Whether the gain is surely far from 1, and the same from middle to end."""
    whole = _gain(told[1:], read[1:])
    third = _third(told)
    last = _gain(told[-third:], read[-third:])
    before = _gain(told[-third - 2 : -2], read[-third - 2 : -2])
    steady = all(
        abs(last.slope - other.slope) < STEADY * abs(whole.off) for other in (before, whole)
    )
    return steady and abs(whole.off) >= max(WRONG_BY, 2 * whole.arm)


def _third(told: Array) -> int:
    return max(3, len(told) // 3)


def _gain(told: Array, read: Array) -> Gain:
    line = fit_line(told, read)
    return Gain(line.slope, student_factor(max(line.dof, 1)) * line.u_slope)


def _arrives(gain: Gain) -> str:
    return written(gain.slope, max(gain.arm, 0.001), Unit.RATIO)


def _turns_lost(told: Array, read: Array) -> bool:
    """Whole millimetres told, less than half of one shown, step after step past the first."""
    steps, shown = np.diff(told), np.diff(read)
    whole = np.all(np.abs(steps - np.round(steps / TURN_MM) * TURN_MM) < 0.01)
    return bool(whole and np.all(np.abs(shown[1:]) < HARDLY_MOVES * TURN_MM))
