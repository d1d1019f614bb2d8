"""The motion of one gauge set-up as a program that a motion controller reads: standard words, slow,
a comment for each reading and a wait for the person."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite

from plumbrise.errors import InputError, InputErrors
from plumbrise.machine import Machine
from plumbrise.measure.fingerprint import fingerprint
from plumbrise.measure.motion_path import commands_moves, heights_of, path_of
from plumbrise.measure.motion_text import ProgramText, ToldReading, Wait
from plumbrise.measure.program_check import ProgramCheck, check_program
from plumbrise.measure.program_lines import Finding
from plumbrise.measure.program_reader import FEED_LIMIT_MM_PER_MIN
from plumbrise.measure.time_taken import DWELL_S, FEED_MM_PER_MIN, seconds_of, setting_s
from plumbrise.readings.history import OVERRUN_MM
from plumbrise.readings.kinds import HAND_TURN
from plumbrise.readings.table import Run


@dataclass(frozen=True, slots=True, kw_only=True)
class MotionProgram:
    """A motion program, proved safe before it is handed over.

    `minutes` counts the machine's moves and the person's readings; `lowest_mm` and `highest_mm`
    are heights as told in the readings table, None where nothing moves; `remarks` are what a
    person should know beforehand.
    """

    text: str
    set_up: str
    readings: tuple[ToldReading, ...]
    minutes: float
    lowest_mm: float | None
    highest_mm: float | None
    wait: Wait
    fingerprint: str
    check: ProgramCheck
    remarks: tuple[str, ...] = ()


def motion_program(
    machine: Machine,
    run: Run,
    *,
    wait: Wait | None = None,
    dwell_s: float = DWELL_S,
    set_in_s: float | None = None,
    feed_mm_per_min: float = FEED_MM_PER_MIN,
    overrun_mm: float = OVERRUN_MM,
    sender_waits: bool = False,
) -> MotionProgram:
    """The motion of one gauge set-up, checked before it is returned.

    Args:
        machine: the axis. Its travel must be given: nothing is moved within a guessed one.
        run: the set-up: targets, directions and loads; readings may be blank.
        wait: "stop" (M0) or "dwell" (G4) at each reading; left out, a stop where the machine
            file says that stops wait, else a dwell.
        dwell_s: wait at each reading, s. A hold's own times win.
        set_in_s: time to set the gauge; left out, as at a place where the stand is not yet.
        feed_mm_per_min: feed of all moves, up to 300.
        overrun_mm: how far past a turn: 1 mm or three times the lost motion.
        sender_waits: the program is sent line by line by a sender that keeps its stops, so stops
            may be written for any controller. Such a program is not for a memory card.

    Raises:
        InputError: travel not given; a move would leave it; a reading could not be reached in
            its direction; a stop asked for where stops do not wait; a number out of range.
        InputErrors: the person's own lines are not safe.

    Example:
        >>> from dataclasses import replace
        >>> from plumbrise.machine import blank
        >>> from plumbrise.machine.description import Controller, Travel
        >>> from plumbrise.measure.setups import candidates
        >>> machine = replace(blank("one-screw"), travel=Travel(height_mm=250.0),
        ...                   controller=Controller(stop_waits=True))
        >>> steps = next(s for s in candidates(machine) if s.kind.id == "coarse-steps")
        >>> program = motion_program(machine, steps.run)
        >>> program.lowest_mm, program.highest_mm, len(program.readings)
        (0.0, 8.0, 9)
    """
    _in_range("dwell_s", dwell_s, 1.0, 3600.0)
    if set_in_s is not None:
        _in_range("set_in_s", set_in_s, 1.0, 3600.0)
    _in_range("feed_mm_per_min", feed_mm_per_min, 1.0, FEED_LIMIT_MM_PER_MIN)
    _in_range("overrun_mm", overrun_mm, 0.0, 50.0)
    how = _wait(machine, wait, sender_waits)
    if run.kind is HAND_TURN:
        _stays_put(machine.controller.end)
    path = path_of(machine, run, overrun_mm) if commands_moves(run) else []
    set_in = setting_s(run.station) if set_in_s is None else set_in_s
    writer = ProgramText(machine, run, how, dwell_s, set_in, feed_mm_per_min, sender_waits)
    about_s = seconds_of(
        machine,
        run,
        set_in_s=set_in,
        dwell_s=dwell_s,
        feed_mm_per_min=feed_mm_per_min,
        overrun_mm=overrun_mm,
    )
    writer.head(path, about_s / 60.0)
    writer.own(machine.controller.begin, "before")
    if path:
        writer.start(path)
    writer.body(path)
    writer.finish()
    text = "\n".join(writer.lines) + "\n"
    check = check_program(machine, text, sender_waits=sender_waits)
    if not check.safe:
        raise InputErrors([_problem(one) for one in check.findings if one.refuses])
    heights = heights_of(machine, path)
    return MotionProgram(
        text=text,
        set_up=run.name,
        readings=tuple(writer.told),
        minutes=check.minutes + writer.person_s / 60.0,
        lowest_mm=min(heights, default=None),
        highest_mm=max(heights, default=None),
        wait=how,
        fingerprint=fingerprint(machine),
        check=check,
        remarks=tuple(writer.remarks),
    )


def motion_programs(
    machine: Machine, runs: Iterable[Run], *, wait: Wait | None = None
) -> tuple[MotionProgram, ...]:
    """The programs of several set-ups, in their order."""
    return tuple(motion_program(machine, run, wait=wait) for run in runs)


def _problem(found: Finding) -> InputError:
    what = f"{found.what[:1].upper()}{found.what[1:]}."
    return InputError(
        place=f"motion program, line {found.line}",
        value=found.word,
        allowed=found.allowed,
        remedy=f"{what} {found.remedy} If it is one of your own lines, mend the machine file.",
    )


def _in_range(place: str, value: float, low: float, high: float) -> None:
    if not (isfinite(value) and low <= value <= high):
        raise InputError(
            place=place, value=value, allowed=f"{low:g} to {high:g}", remedy="Give another number."
        )


def _wait(machine: Machine, asked: Wait | None, sender_waits: bool) -> Wait:
    waits = sender_waits or machine.controller.stop_waits
    if asked == "stop" and waits is False:
        raise InputError(
            place="wait",
            value=asked,
            allowed="dwell, because controller.stop_waits is false",
            remedy="Use dwells, or mend the machine file if stops do wait.",
        )
    return asked or ("stop" if waits else "dwell")


def _stays_put(lines: tuple[str, ...]) -> None:
    """After a screw was turned by hand no height holds: nothing may be told until homed again."""
    for line in lines:
        if line.split()[:1] and line.split()[0] in ("G0", "G1", "G00", "G01"):
            raise InputError(
                place="controller.end",
                value=line,
                allowed="no move after the screw was turned by hand",
                remedy="Take the line out for this set-up, or home before it.",
            )
