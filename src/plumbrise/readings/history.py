"""What the axis did between and before the readings: one table for plan, program, model and
simulators."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.readings.kinds import REPEAT_HOME
from plumbrise.readings.table import Reading, Run

HOME_FROM_MM = 8.0
"""A homing comes down at least this far in one direction."""
APPROACH_NEAR_MM = 3.0
APPROACH_FAR_MM = 6.0
"""Every other run: this far past its first target one way, then back that far the other way."""
OVERRUN_MM = 1.0
"""How far a run goes on past a turning point at least (ISO 230-2 asks for an overrun)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One commanded move, with the load that hangs while it is made.

    `reading` is the index in `run.readings` of the reading taken after it, None for a move that
    nobody reads. `homes` marks the arrival at 0 that sets the controller's zero.
    """

    target_mm: float
    mass_kg: float = 0.0
    mass_at_mm: float | None = None
    pull_n: float = 0.0
    reading: int | None = None
    homes: bool = False


def moves(run: Run, *, overrun_mm: float = OVERRUN_MM) -> tuple[Move, ...]:
    """All moves of a run, from rest: the approach, the readings, the overruns where it turns.

    Args:
        run: a set-up. Runs whose kind does not move still get the approach to their height.
        overrun_mm: how far past a turning point; 1 mm or three times the lost motion, whichever
            is more.

    Returns:
        The moves in order. Every reading has exactly one move that names it. No height is below
        0.

    Example:
        >>> from plumbrise.machine import STATIONS
        >>> from plumbrise.readings.kinds import REVERSAL
        >>> run = Run(name="a", kind=REVERSAL, station=STATIONS["nut"], readings=(
        ...     Reading(seq=0, target_mm=10, reading_mm=0, approach="up"),
        ...     Reading(seq=1, target_mm=11, reading_mm=1, approach="up"),
        ...     Reading(seq=2, target_mm=11, reading_mm=1.1, approach="down")))
        >>> [move.target_mm for move in moves(run)]
        [13.0, 4.0, 10, 11, 12.0, 11]
    """
    made: list[Move] = []
    previous: Reading | None = None
    for index, reading in enumerate(run.readings):
        if previous is None:
            made += _start(run, reading)
        elif run.kind is REPEAT_HOME:
            made += _home(reading)
        elif run.kind.moves and reading.approach != previous.approach:
            past = previous.target_mm
            past += overrun_mm if previous.approach == "up" else -overrun_mm
            turns_in_time = (
                reading.target_mm < past if reading.approach == "down" else reading.target_mm > past
            )
            starts = run.kind.homes and index == 1  # a staircase turns on its first row itself
            homed = previous.approach == "down" and (previous.target_mm <= 0 or starts)
            if turns_in_time and past >= 0 and not homed:
                made.append(_move(past, previous))
        elif run.kind.moves and not _goes_on(previous, reading):
            # same direction named twice but the target lies behind: it came from beyond
            back = OVERRUN_MM if reading.approach == "down" else -OVERRUN_MM
            made.append(_move(max(0.0, reading.target_mm + back), previous))
        made.append(
            Move(
                target_mm=reading.target_mm,
                mass_kg=reading.mass_kg,
                mass_at_mm=reading.mass_at_mm,
                pull_n=_pull_n(run, reading),
                reading=index,
                homes=run.kind.homes and index == 0 and reading.target_mm == 0,
            )
        )
        previous = reading
    return tuple(made)


def _goes_on(previous: Reading, reading: Reading) -> bool:
    if reading.approach == "up":
        return reading.target_mm >= previous.target_mm
    return reading.target_mm <= previous.target_mm


def _pull_n(run: Run, reading: Reading) -> float:
    vertical = run.axis == "up" and run.kind.id != "side-push"
    return (reading.force_n or 0.0) if vertical else 0.0


def _move(target_mm: float, like: Reading) -> Move:
    return Move(target_mm=target_mm, mass_kg=like.mass_kg, mass_at_mm=like.mass_at_mm)


def _home(reading: Reading) -> list[Move]:
    start = max(HOME_FROM_MM, reading.target_mm + HOME_FROM_MM)
    found = [Move(target_mm=start)]
    if reading.target_mm != 0:
        found.append(Move(target_mm=0.0, homes=True))
    return found


def _start(run: Run, first: Reading) -> list[Move]:
    if run.kind.homes:
        if first.approach == "down" and first.target_mm > 0 and run.kind is not REPEAT_HOME:
            return [Move(target_mm=first.target_mm + HOME_FROM_MM)]
        return _home(first)
    if first.approach == "up":
        return [
            Move(target_mm=first.target_mm + APPROACH_NEAR_MM),
            Move(target_mm=max(0.0, first.target_mm - APPROACH_FAR_MM)),
        ]
    return [
        Move(target_mm=max(0.0, first.target_mm - APPROACH_NEAR_MM)),
        Move(target_mm=first.target_mm + APPROACH_FAR_MM),
    ]
