"""The motion of one gauge set-up as a program that a motion controller reads: standard words, slow,
a comment for each reading and a wait for the person."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from math import isfinite
from typing import Literal

from plumbrise.cautions import FALLING_GANTRY, HUNG_MASS, MEASURING, Hazard
from plumbrise.errors import InputError, InputErrors
from plumbrise.machine import BLOCK, Machine, known
from plumbrise.measure.fingerprint import LABEL, fingerprint
from plumbrise.measure.program_check import FEED_LIMIT_MM_PER_MIN, ProgramCheck, check_program
from plumbrise.readings.history import OVERRUN_MM, moves
from plumbrise.readings.kinds import HAND_TURN, HOLD, REPEAT_HOME, WARM_UP
from plumbrise.readings.table import Reading, Run

FEED_MM_PER_MIN = 180.0
"""3 mm/s: slow against every screw axis, so that no step is lost and a hand has time."""
READING_S = 10.0
"""What a person takes to read and write at a stop (common practice)."""
DWELL_S = 15.0
"""A dwell where no other is asked for: time to settle, read and write without haste."""
LOADING_S = 20.0
"""What it takes to hang a mass or bring up a force (common practice)."""
SETTING_S = 180.0
"""What a person takes to set the gauge while the axis stands (common practice)."""
DECIMALS = 4
"""Of a height in the program: a tenth of a micrometre."""
OWN_LINES = "Your controller's own lines, from the machine file"
BY_HAND = "Put blocks under both ends now, then let the motors go, then turn by hand."
_WIDTH = 76

Wait = Literal["stop", "dwell"]


@dataclass(frozen=True, slots=True)
class ToldReading:
    """A reading's place in the program: its index in the run, the line of its wait, the height
    and the direction in which the axis comes to it."""

    index: int
    line: int
    target_mm: float
    approach: str


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
    return float(Decimal(repr(_travel_mm(machine))) - height)


def motion_program(
    machine: Machine,
    run: Run,
    *,
    wait: Wait | None = None,
    dwell_s: float = DWELL_S,
    feed_mm_per_min: float = FEED_MM_PER_MIN,
    overrun_mm: float = OVERRUN_MM,
) -> MotionProgram:
    """The motion of one gauge set-up, checked before it is returned.

    Args:
        machine: the axis. Its travel must be given: nothing is moved within a guessed one.
        run: the set-up: targets, directions and loads; readings may be blank.
        wait: "stop" (M0) or "dwell" (G4) at each reading; left out, a stop where the machine
            file says that stops wait, else a dwell.
        dwell_s: length of a dwell, s. A hold's own times win.
        feed_mm_per_min: feed of all moves, up to 300.
        overrun_mm: how far past a turn: 1 mm or three times the lost motion.

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
    _in_range("dwell_s", dwell_s, 0.0, 3600.0)
    _in_range("feed_mm_per_min", feed_mm_per_min, 1.0, FEED_LIMIT_MM_PER_MIN)
    _in_range("overrun_mm", overrun_mm, 0.0, 50.0)
    how = _wait(machine, wait)
    if run.kind is HAND_TURN:
        _stays_put(machine.controller.end)
    path = _path(machine, run, overrun_mm) if _commands_moves(run) else []
    writer = _Writer(machine, run, how, dwell_s, feed_mm_per_min)
    writer.head(path)
    writer.own(machine.controller.begin, "before")
    if path:
        writer.start(path)
    writer.body(path)
    writer.finish()
    text = "\n".join(writer.lines) + "\n"
    check = check_program(machine, text)
    if not check.safe:
        raise InputErrors([_problem(check, number) for number, _ in _refusing(check)])
    heights = _heights(machine, path)
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


def _refusing(check: ProgramCheck) -> list[tuple[int, str]]:
    return [(i, one.id) for i, one in enumerate(check.findings) if one.refuses]


def _problem(check: ProgramCheck, number: int) -> InputError:
    found = check.findings[number]
    return InputError(
        place=f"motion program, line {found.line}",
        value=found.word,
        allowed=found.allowed,
        remedy=f"{found.what[:1].upper()}{found.what[1:]}. {found.remedy} If it is one of your own "
        "lines, mend it in the machine file.",
    )


def _in_range(place: str, value: float, low: float, high: float) -> None:
    if not (isfinite(value) and low <= value <= high):
        raise InputError(
            place=place, value=value, allowed=f"{low:g} to {high:g}", remedy="Give another number."
        )


def _travel_mm(machine: Machine) -> float:
    if machine.travel.height_mm is None:
        raise InputError(
            place="travel.height_mm",
            value=None,
            allowed="how far the axis goes, in mm",
            remedy="Measure it and write it in the machine file: a program moves only within it.",
        )
    return float(machine.travel.height_mm)


def _wait(machine: Machine, asked: Wait | None) -> Wait:
    waits = machine.controller.stop_waits
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


def _commands_moves(run: Run) -> bool:
    """A gauge on a block, and a screw turned by hand, are not moved by the controller."""
    return run.station != BLOCK and run.kind is not HAND_TURN and bool(run.readings)


@dataclass(frozen=True, slots=True)
class _Step:
    """One height of the way. `home`: "here" sets the zero by arriving, "first" homes at the top
    before coming down."""

    height_mm: float
    reading: int | None
    home: Literal["", "here", "first"] = ""


def _path(machine: Machine, run: Run, overrun_mm: float) -> list[_Step]:
    """The run's history with homings where the machine's own direction has them."""
    travel = _travel_mm(machine)
    made = moves(run, overrun_mm=overrun_mm)
    up = known(machine, "controller.home").value == "up"
    at_zero = [
        move.homes or (run.kind is REPEAT_HOME and move.target_mm == 0 and i > 0)
        for i, move in enumerate(made)
    ]
    steps: list[_Step] = []
    for i, move in enumerate(made):
        height = round(move.target_mm, DECIMALS)
        if not (isfinite(height) and 0 <= height <= travel):
            raise InputError(
                place=f"set-up {run.name}, target_mm",
                value=height,
                allowed=f"0 to {travel:g} mm, approach and overrun counted in",
                remedy="Move the set-up's targets further from the end of the travel.",
            )
        home: Literal["", "here", "first"] = ""
        if up and run.kind is REPEAT_HOME and i + 1 < len(made) and at_zero[i + 1]:
            home = "first"
        elif not up and at_zero[i]:
            home = "here"
        steps.append(_Step(height, move.reading, home))
    _arrives_as_told(run, steps)
    return steps


def _heights(machine: Machine, path: list[_Step]) -> list[float]:
    """Every height of the way with the gauge in place; a switch at the top is one of them."""
    top = [_travel_mm(machine) for step in path if step.home == "first"]
    return [step.height_mm for step in path] + top


def _arrives_as_told(run: Run, steps: list[_Step]) -> None:
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
                place=f"set-up {run.name}, reading {reading.seq}, approach",
                value=reading.approach,
                allowed=f"{way}, as its moves arrive at {step.height_mm:g} mm",
                remedy="Correct the direction, or raise the targets to leave room to turn.",
            )


class _Writer:
    """The lines of one program as they come."""

    def __init__(
        self, machine: Machine, run: Run, how: Wait, dwell_s: float, feed_mm_per_min: float
    ) -> None:
        self.machine, self.run, self.how = machine, run, how
        self.dwell_s, self.feed = dwell_s, feed_mm_per_min
        self.lines: list[str] = []
        self.told: list[ToldReading] = []
        self.remarks: list[str] = []
        self.person_s = 0.0
        self.moves = _commands_moves(run)

    def say(self, words: str) -> None:
        """A comment, in as many lines as it takes."""
        self.lines += [f"; {line}" for line in textwrap.wrap(_plain(words), _WIDTH)]

    def title(self, label: str, words: str) -> None:
        """A comment of one line; what does not fit is cut."""
        self.lines.append(f"; {label}: {_plain(words)}"[:_WIDTH].rstrip())

    def remark(self, words: str) -> None:
        """What a person should know, in the program and beside it."""
        self.remarks.append(words)
        self.say(words)

    def head(self, path: list[_Step]) -> None:
        """What the program is for, what the gauge does, what can hurt."""
        run, machine = self.run, self.machine
        self.lines.append("; Motion program for one gauge set-up")
        self.title("Machine", machine.name or machine.arrangement.title)
        self.lines.append(f"; {LABEL} {fingerprint(machine)}")
        self.title("Set-up", run.name)
        self.title("Test", f"{run.kind.title}. {run.kind.words}")
        self.title("Gauge", f"at {run.station.id}, reading {run.axis}, {run.station.seen}")
        self.title("Readings", str(len(run.readings)))
        if path:
            heights = _heights(machine, path)
            self.say(f"Moves from {min(heights):g} to {max(heights):g} mm, nothing is heated.")
            self._stroke(heights)
        else:
            self.say("The controller moves nothing.")
        if machine.arrangement.body == "bed" and path:
            self.say(
                "Heights in comments are those of the bed, counted upward. Z counts the gap under "
                "the nozzle, which grows as the bed falls."
            )
        if any(step.home == "first" for step in path):
            self.remark(
                "Between readings the axis goes up to its switch and comes back. Set the gauge "
                "from below, so that nothing stands over it."
            )
        self._said_of_waits()
        for hazard in _hazards(run):
            self.say(f"Caution. {hazard.title}: {hazard.words}")

    def _stroke(self, heights: list[float]) -> None:
        run, stroke = self.run, self.machine.gauge.range_mm
        if not run.follows_command:
            return
        low, high, first = min(heights), max(heights), run.readings[0].target_mm
        self.say(
            f"The plunger is set at {first:g} mm. From there the axis goes {first - low:g} mm "
            f"lower and {high - first:g} mm higher: the plunger follows or comes clear, and is "
            "never driven to its stop."
        )
        told = [reading.target_mm for reading in run.readings]
        if stroke is not None and max(told) - min(told) > stroke:
            self.remark(
                f"The gauge's stroke of {stroke:g} mm does not span the targets from {min(told):g} "
                f"to {max(told):g} mm: use blocks of known thickness, or a longer gauge."
            )

    def _said_of_waits(self) -> None:
        controller = self.machine.controller
        if self.how == "stop":
            self.say("Each reading waits at a stop: read, write down, go on at the controller.")
            if controller.stop_waits is None:
                self.remark(
                    "The machine file does not say that a stop waits. Try this program once "
                    "with nothing near the axis, and write controller.stop_waits down."
                )
            return
        unit = known(self.machine, "controller.dwell_unit")
        self.say(f"Each reading waits {self.dwell_s:g} s or more. P counts {unit.value}.")
        if unit.assumed:
            self.remark(
                f"The machine file does not say how a dwell is counted: {unit.value} are taken. "
                "Time the first wait, and write controller.dwell_unit down."
            )

    def own(self, lines: tuple[str, ...], where: str) -> None:
        """The person's own lines as given, marked."""
        given = [line for text in lines for line in text.split("\n") if line.strip()]
        if not given:
            return
        self.lines.append(f"; {OWN_LINES}, {where}")
        self.lines += [line.strip() for line in given]
        self.lines.append("; End of your own lines")

    def start(self, path: list[_Step]) -> None:
        """Units, homing, and the stop in which the gauge is set."""
        self.lines += ["G21", "G90"]
        self.say("Home, then go to where the gauge is set. Keep gauge and hands away.")
        self._home()
        self._go(self.run.readings[0].target_mm)
        self.say(f"Set the gauge now, at {self.run.station.id}. The axis waits.")
        self._hold(SETTING_S)

    def body(self, path: list[_Step]) -> None:
        """The approach, the readings, the overruns."""
        if not path:
            by_hand = self.run.kind is HAND_TURN
            self.say(BY_HAND if by_hand else "Set the gauge now. The machine stays as it is.")
            self._hold(SETTING_S)
            for index in range(len(self.run.readings)):
                self._read(index)
            return
        last: Reading | None = None
        for step in path:
            if step.reading is not None:
                reading = self.run.readings[step.reading]
                self._announce(step.reading, last)
                last = reading
            if step.home == "first":
                self._home(to_zero=False)
            if step.home == "here":
                self._home()
            else:
                self._go(step.height_mm)
            if step.reading is not None:
                self._read(step.reading, announced=True)

    def finish(self) -> None:
        """The end, with the person's own lines after the gauge is away."""
        given = self.machine.controller.end
        if any(line.strip() for line in given):
            self.say("Take the gauge away now: your own lines come next.")
            self._hold(SETTING_S)
        elif self.moves:
            self.say("Done. The motors still hold: blocks under both ends before you switch off.")
        self.own(given, "after")

    def _home(self, *, to_zero: bool = True) -> None:
        self.lines += ["G91", "G28 Z0", "G90"]
        if to_zero and known(self.machine, "controller.home").value == "down":
            self._go(0.0)  # where a homing backs off, this brings it back; else nothing moves

    def _go(self, height_mm: float) -> None:
        word = _number(axis_word_mm(self.machine, height_mm))
        self.lines.append(f"G1 Z{word} F{_number(self.feed)}")

    def _hold(self, seconds: float) -> None:
        if self.how == "stop":
            self.person_s += seconds
            self.lines.append("M0")
            return
        unit = known(self.machine, "controller.dwell_unit").value
        amount = seconds * (1000.0 if unit == "milliseconds" else 1.0)
        left = amount
        largest = 90_000.0
        while left > 0:  # a large P is refused by small controllers
            self.lines.append(f"G4 P{_number(min(left, largest))}")
            left -= largest

    def _announce(self, index: int, last: Reading | None) -> None:
        reading = self.run.readings[index]
        self.lines.append(f"; {_told(self.run, index)}"[:_WIDTH])
        hung = 0.0 if last is None else last.mass_kg
        if reading.mass_kg != hung:
            self.say(
                f"Hang {reading.mass_kg:g} kg now." if reading.mass_kg else "Nothing hung now."
            )

    def _read(self, index: int, *, announced: bool = False) -> None:
        reading = self.run.readings[index]
        if not announced:
            self._announce(index, self.run.readings[index - 1] if index else None)
        self._hold(self._reading_s(index))
        self.told.append(ToldReading(index, len(self.lines), reading.target_mm, reading.approach))

    def _reading_s(self, index: int) -> float:
        """A hold waits from reading to reading as its times say; others as long as asked."""
        readings = self.run.readings
        now = readings[index].time_s
        before = readings[index - 1].time_s if index else None
        if self.run.kind in (HOLD, WARM_UP) and now is not None and before is not None:
            return max(now - before, 0.0)
        return self.dwell_s if self.how == "dwell" else READING_S


def _told(run: Run, index: int) -> str:
    reading = run.readings[index]
    parts = [f"Reading {index + 1} of {len(run.readings)}: {reading.target_mm:g} mm"]
    if run.kind.moves:
        parts.append(reading.approach)
    if reading.mass_kg:
        parts.append(f"{reading.mass_kg:g} kg hung")
    if reading.force_n is not None:
        parts.append(f"force {reading.force_n:g} N")
    if reading.time_s is not None:
        parts.append(f"at {reading.time_s:g} s")
    return ", ".join(parts)


def _hazards(run: Run) -> Iterator[Hazard]:
    for hazard in MEASURING:
        if hazard is HUNG_MASS and not any(reading.mass_kg for reading in run.readings):
            continue
        if hazard is FALLING_GANTRY and run.station == BLOCK:
            continue
        yield hazard


def _number(value: float) -> str:
    text = f"{round(Decimal(repr(float(value))), DECIMALS):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _plain(words: str) -> str:
    """Letters that every controller takes in a comment: accents off, odd signs out."""
    spread = unicodedata.normalize("NFKD", words).replace("·", ".").replace(";", ",")
    bare = "".join(
        c if c.isascii() and c.isprintable() and c not in "!?~(){}[]%" else " " * (c in "\n\t()")
        for c in spread
    )
    return " ".join(bare.split())
