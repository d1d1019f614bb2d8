"""How far a gauge's plunger goes, and how it is set so that nothing drives it to its stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from plumbrise.elements.asked import Trust
from plumbrise.machine import BLOCK, Machine, known
from plumbrise.machine.defaults import Known
from plumbrise.measure.motion_path import commands_moves, heights_of, steps_of
from plumbrise.readings.history import OVERRUN_MM
from plumbrise.readings.table import Run

COMMON_STROKE_MM = 10.0
"""The plunger of a common dial or digital gauge, where nobody says another (common practice)."""
SPARE_STROKE_MM = 0.5
"""Stroke kept free at the ends, so that the plunger follows both ways (common practice)."""


def stroke_of(machine: Machine) -> Known:
    """The gauge's stroke (mm), given or taken for a common one.

    Example:
        >>> from plumbrise.machine import blank
        >>> stroke_of(blank("one-screw")).value, stroke_of(blank("one-screw")).assumed
        (10.0, True)
    """
    given = machine.gauge.range_mm
    if given is None:
        return Known(COMMON_STROKE_MM, Trust.GUESS)
    return Known(float(given), Trust.GIVEN)


def needs_blocks(machine: Machine, run: Run) -> bool:
    """Whether the targets of a run lie further apart than the plunger follows."""
    if not run.follows_command or run.station == BLOCK or not run.readings:
        return False
    told = [reading.target_mm for reading in run.readings]
    return max(told) - min(told) > float(stroke_of(machine).value) - SPARE_STROKE_MM


def how_set(machine: Machine, run: Run, heights_mm: Sequence[float]) -> str:
    """How the gauge is set at the first target, so that nothing on the way drives its plunger to
    its stop: with the tip on top of the part, under it, or only with blocks laid between.

    Args:
        machine: whose gauge it is.
        run: the set-up.
        heights_mm: every height that the axis comes to with the gauge in place.
    """
    follows = run.axis == "up" and run.station.follows_command and commands_moves(run)
    if not follows or not heights_mm:
        return ""
    room = float(stroke_of(machine).value) - SPARE_STROKE_MM
    told = [reading.target_mm for reading in run.readings]
    first = told[0]
    lower, higher = first - min(heights_mm), max(heights_mm) - first
    goes = (
        f"From {first:g} mm, where it is set, the axis goes {lower:g} mm lower and {higher:g} mm "
        f"higher{'' if run.kind.moves else ', and comes back before the first reading'}."
    )
    below = lower <= room
    if needs_blocks(machine, run):
        return f"{goes} {_with_blocks(machine, below, lower)}"
    on_top = higher + first - min(told) <= room
    below = lower + max(told) - first <= room
    if on_top and below:
        return (
            f"{goes} With the tip on top of the part leave the plunger {_left(higher)} to go in, "
            f"with the tip under it {_left(lower)}."
        )
    if below:
        return (
            f"{goes} Only with the tip under the part, {_left(lower)} left to go in: on top of it "
            "the plunger would be driven to its stop."
        )
    if on_top:
        return (
            f"{goes} Only with the tip on top of the part, {_left(higher)} left to go in: under it "
            "the plunger would be driven to its stop."
        )
    return f"{goes} {_anew(machine)}"


def how_set_by_plan(machine: Machine, run: Run) -> str:
    """The same for a set-up that is not written as a program yet."""
    if not commands_moves(run):
        return ""
    travel = float(known(machine, "travel.height_mm").value)
    there = replace(machine, travel=replace(machine.travel, height_mm=travel))
    return how_set(machine, run, heights_of(there, steps_of(there, run, OVERRUN_MM)))


def _left(mm: float) -> str:
    return f"{mm + SPARE_STROKE_MM:g} mm or more"


def _with_blocks(machine: Machine, below: bool, lower_mm: float) -> str:
    if not below:
        return _anew(machine)
    return (
        f"That is more than the gauge's stroke{_of(machine)}. Put the tip under the part, "
        f"{_left(lower_mm)} left to go in, so that it comes clear as the axis rises. At each stop "
        "lay blocks of known thickness between, and take them out before the axis goes on. Never "
        "with the tip on top of the part: the plunger would be driven to its stop."
    )


def _anew(machine: Machine) -> str:
    return (
        f"That is more than the gauge's stroke{_of(machine)}. Take the gauge away before each move "
        "and set it anew on blocks of known thickness at each stop: left in place it would be "
        "driven to its stop."
    )


def _of(machine: Machine) -> str:
    """The stroke in words, with where it comes from."""
    stroke = stroke_of(machine)
    said = ", taken as a common dial has it" if stroke.assumed else ""
    return f" of {float(stroke.value):g} mm{said}"
