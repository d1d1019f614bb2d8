"""The way of one gauge set-up: every height in order, where it homes, and what Z they are."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from math import isfinite
from typing import Literal

from plumbrise.errors import InputError
from plumbrise.machine import BLOCK, Machine, known
from plumbrise.readings.history import moves
from plumbrise.readings.kinds import HAND_TURN, REPEAT_HOME
from plumbrise.readings.table import Run

DECIMALS = 4
"""Of a height in a program: a tenth of a micrometre."""


def axis_word_mm(machine: Machine, height_mm: float) -> float:
    """The number that follows Z for a height of the readings table.

    A gantry's height is its Z. A bed's height counts upward while Z counts the gap under the
    nozzle, which grows as the bed falls: Z is the travel less the height.

    Args:
        machine: the axis; for a bed its travel must be given.
        height_mm: target as in the readings table.

    Raises:
        InputError: a bed without its travel.

    Source:
        ISO 841: an axis is positive where the distance from tool to work grows (from memory).

    Example:
        >>> from dataclasses import replace
        >>> from plumbrise.machine import blank
        >>> from plumbrise.machine.description import Travel
        >>> bed = replace(blank("three-screw-bed"), travel=Travel(height_mm=300.0))
        >>> axis_word_mm(bed, 299.9)
        0.1
    """
    height = round(Decimal(repr(float(height_mm))), DECIMALS)
    if machine.arrangement.body != "bed":
        return float(height)
    travel = Decimal(repr(travel_mm(machine))).quantize(Decimal("0.0001"), ROUND_DOWN)
    return float(travel - height)


def travel_mm(machine: Machine) -> float:
    """How far the axis goes, as given: nothing is moved within a guessed travel.

    Raises:
        InputError: not given, or no length.
    """
    given = machine.travel.height_mm
    if given is None or not (isfinite(given) and given > 0):
        raise InputError(
            place="travel.height_mm",
            value=given,
            allowed="how far the axis goes, in mm",
            remedy="Measure it and write it in the machine file: a program moves only within it.",
        )
    return float(given)


def commands_moves(run: Run) -> bool:
    """A gauge on a block, and a screw turned by hand, are not moved by the controller."""
    return run.station != BLOCK and run.kind is not HAND_TURN and bool(run.readings)


@dataclass(frozen=True, slots=True)
class Step:
    """One height of the way. `home`: "here" sets the zero by arriving, "first" homes at the top
    before coming down."""

    height_mm: float
    reading: int | None
    home: Literal["", "here", "first"] = ""


def home_mm(machine: Machine) -> float:
    """The height at which the axis stands when it has homed; its travel must be given."""
    return travel_mm(machine) if known(machine, "controller.home").value == "up" else 0.0


def path_of(machine: Machine, run: Run, overrun_mm: float) -> list[Step]:
    """The run's history with homings, all of it within the travel and as the table says.

    Raises:
        InputError: the travel is not given; a height outside it; a direction that cannot be.
    """
    travel = travel_mm(machine)
    steps = steps_of(machine, run, overrun_mm)
    for step in steps:
        if not (isfinite(step.height_mm) and 0 <= step.height_mm <= travel):
            raise InputError(
                place=f"set-up {run.name}, target_mm",
                value=step.height_mm,
                allowed=f"0 to {travel:g} mm, approach and overrun counted in",
                remedy="Move the set-up's targets further from the end of the travel.",
            )
    _arrives_as_told(run, steps)
    return steps


def steps_of(machine: Machine, run: Run, overrun_mm: float) -> list[Step]:
    """The run's history with homings where the machine's own direction has them."""
    made = moves(run, overrun_mm=overrun_mm)
    up = known(machine, "controller.home").value == "up"
    at_zero = [
        move.homes or (run.kind is REPEAT_HOME and move.target_mm == 0 and i > 0)
        for i, move in enumerate(made)
    ]
    steps: list[Step] = []
    for i, move in enumerate(made):
        height = round(move.target_mm, DECIMALS)
        home: Literal["", "here", "first"] = ""
        if up and run.kind is REPEAT_HOME and i + 1 < len(made) and at_zero[i + 1]:
            home = "first"
        elif not up and at_zero[i]:
            home = "here"
        steps.append(Step(height, move.reading, home))
    return steps


def heights_of(machine: Machine, path: list[Step]) -> list[float]:
    """Every height of the way with the gauge in place; a switch at the top is one of them."""
    top = [travel_mm(machine) for step in path if step.home == "first"]
    return [step.height_mm for step in path] + top


def _arrives_as_told(run: Run, steps: list[Step]) -> None:
    """Refuse a table whose directions its own moves cannot give."""
    at, way = steps[0].height_mm, ""
    for step in steps:
        if step.height_mm != at:
            way = "up" if step.height_mm > at else "down"
        at = step.height_mm
        if step.reading is None or not way or not run.kind.moves:
            continue
        reading = run.readings[step.reading]
        if way != reading.approach:
            raise InputError(
                place=f"set-up {run.name}, reading {step.reading + 1}, approach",
                value=reading.approach,
                allowed=f"{way}, as its moves arrive at {step.height_mm:g} mm",
                remedy="Correct the direction, or raise the targets to leave room to turn.",
            )
