"""A motion program as the sender sees it: what to send, how far and how long each line.

Whether a program may be sent at all is the check's to say; nothing it refuses gets here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

from plumbrise.errors import InputError, InputErrors
from plumbrise.machine import Machine, known
from plumbrise.measure.program_check import check_program
from plumbrise.measure.program_lines import Split, split
from plumbrise.measure.program_reader import ProgramMove

UNKNOWN_RATE_MM_PER_S = 2.0
"""Taken for a move at the controller's own rate: slow, so that its time is not put too short."""
HOME_OFF_MM = 5.0
"""How far a home may end from the zero it sets (common practice)."""
_DWELL = re.compile(r"G0?4\s+P([\d.]+)")


class StepKind(Enum):
    """What a line of a program does."""

    MODE = "mode"
    HOME = "home"
    MOVE = "move"
    DWELL = "dwell"
    HOLD = "hold"


MOVES = (StepKind.HOME, StepKind.MOVE)


@dataclass(frozen=True, slots=True)
class Step:
    """One line that does something.

    `send` is the line without its comment; a hold is never sent, the sender keeps it itself.
    `far_mm` is the length of the path, None where it is not known (a homing in a machine without
    its travel); `seconds` what it lasts at the told feed, 0 for a homing; `height_mm` is where
    the axis word then stands, None before the first home.
    """

    line: int
    kind: StepKind
    send: str
    comment: str = ""
    far_mm: float | None = 0.0
    seconds: float = 0.0
    height_mm: float | None = None


def steps_of(machine: Machine, text: str) -> tuple[Step, ...]:
    """The lines of a program that the check finds safe on this machine, in order.

    Raises:
        InputErrors: all that the check refuses; then nothing may be sent.
    """
    check = check_program(machine, text, sender_waits=True)
    if not check.safe:
        raise InputErrors(
            [
                InputError(
                    place=f"line {found.line}" if found.line else "program",
                    value=found.word,
                    allowed=found.allowed,
                    remedy=f"{found.what[:1].upper()}{found.what[1:]}. {found.remedy}",
                )
                for found in check.findings
                if found.refuses
            ]
        )
    moves = {move.line: move for move in check.moves}
    per_p_s = 0.001 if known(machine, "controller.dwell_unit").value == "milliseconds" else 1.0
    made: list[Step] = []
    height_mm: float | None = None
    for one in split(text):
        if not one.code:
            continue
        step = _step(one, moves.get(one.number), machine.travel.height_mm, per_p_s, height_mm)
        height_mm = step.height_mm
        made.append(step)
    return tuple(made)


def from_last_home(machine: Machine, text: str, line: int) -> tuple[Step, ...]:
    """The part of a program to go on with after a halt at this line, checked anew by itself.

    That is the modes from before its first move, then everything from the last home up to this
    line, modes right before that home included. Where the check refuses this part alone, it is
    the whole program.

    Raises:
        InputError: the program moves before this line and does not home before it.
    """
    steps = steps_of(machine, text)
    moving = [index for index, step in enumerate(steps) if step.kind in MOVES]
    homes = [i for i in moving if steps[i].kind is StepKind.HOME and steps[i].line <= line]
    if not homes:
        if not moving or steps[moving[0]].line > line or steps[moving[0]].kind is StepKind.HOME:
            return steps
        raise InputError(
            place="program",
            value=f"line {line}",
            allowed="a line with a home before it",
            remedy="Home by hand, and load the program anew from its first line.",
        )
    begins = homes[-1]
    while begins > moving[0] and steps[begins - 1].kind is StepKind.MODE:
        begins -= 1
    kept = {step.line for step in steps[: moving[0]] if step.kind is StepKind.MODE}
    kept |= {step.line for step in steps[begins:]}
    coded = {step.line for step in steps}
    part = "\n".join(
        written if number in kept or number not in coded else ""
        for number, written in enumerate(text.split("\n"), start=1)
    )
    try:
        return steps_of(machine, part)
    except InputErrors:
        return steps


def _step(
    one: Split,
    move: ProgramMove | None,
    travel_mm: float | None,
    per_p_s: float,
    height_mm: float | None,
) -> Step:
    code, comment = one.code.upper(), one.comment.strip()
    if move is not None and move.homes:
        return Step(one.number, StepKind.HOME, code, comment, travel_mm, 0.0, move.to_mm)
    if move is not None:
        far_mm = travel_mm if move.from_mm is None else abs(move.to_mm - move.from_mm)
        rate = (move.feed_mm_per_min or 0.0) / 60.0 or UNKNOWN_RATE_MM_PER_S
        lasting_mm = far_mm or 0.0
        if move.from_mm is None and height_mm is not None:
            # right after a home: the bound counts the whole travel, the wait only what the switch
            # may stand off the zero
            lasting_mm = min(lasting_mm, abs(move.to_mm - height_mm) + HOME_OFF_MM)
        seconds = lasting_mm / rate
        return Step(one.number, StepKind.MOVE, code, comment, far_mm, seconds, move.to_mm)
    if re.fullmatch(r"M0?0", code):
        return Step(one.number, StepKind.HOLD, "", comment, height_mm=height_mm)
    waits = _DWELL.fullmatch(code)
    if waits:
        seconds = float(waits[1]) * per_p_s
        return Step(one.number, StepKind.DWELL, code, comment, 0.0, seconds, height_mm)
    kind = StepKind.HOME if re.match(r"G28\b", code) else StepKind.MODE
    return Step(one.number, kind, code, comment, 0.0, 0.0, height_mm)
