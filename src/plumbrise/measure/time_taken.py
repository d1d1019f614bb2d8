"""How long a set-up takes: one count for the plan, the motion programs and the next tests.

The axis moves at the feed of the programs and homes at a slow rate; a person waits until the hand
stands, reads and writes; the gauge is set once, and masses are hung. All of it common practice.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from plumbrise.machine import LINK_STATIONS, Machine, Station, known
from plumbrise.measure.motion_path import Step, commands_moves, home_mm, steps_of
from plumbrise.measure.program_reader import HOMING_MM_PER_MIN
from plumbrise.measure.stroke import needs_blocks
from plumbrise.readings.history import OVERRUN_MM
from plumbrise.readings.kinds import GAUGE_CHECK, HOLD, WARM_UP
from plumbrise.readings.table import Run

FEED_MM_PER_MIN = 180.0
"""3 mm/s: slow against every screw axis, so that no step is lost and a hand has time."""
SETTLE_S = 5.0
"""Until the hand stands after a move."""
READING_S = 10.0
"""To read one gauge and write it down."""
DWELL_S = SETTLE_S + READING_S
"""A wait at each reading where no other is asked for, by hand or by the program."""
LOADING_S = 20.0
"""To hang a mass, bring up a force, or lay a block under the tip."""
LEAF_S = 10.0
"""To change the leaf under a plunger on the bench."""
SETTING_S = 180.0
"""To set stand and gauge at a place while the axis stands."""
SETTING_AGAIN_S = 60.0
"""To set the gauge once more where the stand is already."""
HARD_TO_REACH_S = 60.0
"""More to set it at a shaft, a screw's end or a nut."""
TAKING_AWAY_S = 60.0
"""To take the gauge away before a person's own lines at the end."""


def setting_s(station: Station, *, stands: bool = False) -> float:
    """How long setting the gauge takes at a station, or once more where the stand is there."""
    if stands:
        return SETTING_AGAIN_S
    return SETTING_S + (HARD_TO_REACH_S if station.link_station in LINK_STATIONS else 0.0)


def loading_s(run: Run, index: int) -> float:
    """How long hanging or pushing what a reading asks for takes, or changing the leaf."""
    reading = run.readings[index]
    before = run.readings[index - 1] if index else None
    if run.kind is GAUGE_CHECK:
        return LEAF_S if before is not None else 0.0
    hung, pushed = (0.0, None) if before is None else (before.mass_kg, before.force_n)
    loaded = reading.mass_kg != hung or reading.force_n != pushed
    return LOADING_S if loaded else 0.0


def blocks_s(machine: Machine, run: Run) -> float:
    """How long laying blocks under the tip takes at each reading, where the stroke is too short."""
    return LOADING_S if needs_blocks(machine, run) else 0.0


def reading_s(run: Run, index: int, dwell_s: float = DWELL_S) -> float:
    """The wait at a reading: a hold waits from reading to reading as its times say."""
    now = run.readings[index].time_s
    before = run.readings[index - 1].time_s if index else None
    if run.kind in (HOLD, WARM_UP) and now is not None and before is not None:
        return max(now - before, 1.0)
    return dwell_s


def seconds_of(
    machine: Machine,
    run: Run,
    *,
    set_in_s: float | None = None,
    dwell_s: float = DWELL_S,
    feed_mm_per_min: float = FEED_MM_PER_MIN,
    overrun_mm: float = OVERRUN_MM,
) -> float:
    """How long a set-up takes with its moves, its settings and its readings.

    Args:
        machine: the axis; where its travel is not given the usual one is counted.
        run: the set-up, readings blank or not.
        set_in_s: how long setting the gauge takes; left out, as at a new place.
        dwell_s: the wait at each reading.
        feed_mm_per_min: feed of all moves.
        overrun_mm: how far past a turn.

    Example:
        >>> from plumbrise.machine import blank
        >>> from plumbrise.measure.setups import candidates
        >>> machine = blank("one-screw")
        >>> one = next(s for s in candidates(machine) if s.kind.id == "coarse-steps")
        >>> round(seconds_of(machine, one.run) / 60, 1)
        7.5
    """
    total = setting_s(run.station) if set_in_s is None else set_in_s
    total += sum(
        loading_s(run, i) + blocks_s(machine, run) + reading_s(run, i, dwell_s)
        for i in range(len(run.readings))
    )
    if not commands_moves(run):
        return total
    if any(line.strip() for line in machine.controller.end):
        total += TAKING_AWAY_S
    travel = float(known(machine, "travel.height_mm").value)
    there = replace(machine, travel=replace(machine.travel, height_mm=travel))
    steps = steps_of(there, run, overrun_mm)
    return total + 60.0 * _moving_min(there, steps, run.readings[0].target_mm, feed_mm_per_min)


def _moving_min(machine: Machine, steps: Iterable[Step], set_at_mm: float, feed: float) -> float:
    """Homing from anywhere, then every height in order."""
    home = home_mm(machine)
    homing = float(known(machine, "travel.height_mm").value)
    at, going = set_at_mm, abs(set_at_mm - home)
    for step in steps:
        if step.home:
            homing += abs(at - home)
            at = home
        going += abs(step.height_mm - at)
        at = step.height_mm
    return homing / HOMING_MM_PER_MIN + going / feed
