"""The lines of a motion program as a person and a controller read them."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from plumbrise.cautions import FALLING_GANTRY, HUNG_MASS, MEASURING, Hazard
from plumbrise.machine import BLOCK, Machine, known
from plumbrise.measure.fingerprint import LABEL, fingerprint
from plumbrise.measure.home_guess import home_guess
from plumbrise.measure.motion_path import DECIMALS, Step, axis_word_mm, commands_moves, heights_of
from plumbrise.measure.mounting import doing_of, hang_words, load_words, test_of
from plumbrise.measure.program_words import ACTIVE_COMMENTS
from plumbrise.measure.stroke import how_set, needs_blocks
from plumbrise.measure.time_taken import TAKING_AWAY_S, blocks_s, loading_s, reading_s
from plumbrise.readings.kinds import HAND_TURN
from plumbrise.readings.table import Run

LONGEST_DWELL_S = 90.0
"""One G4 waits no longer: small controllers refuse a large P. Longer waits are several."""
OWN_LINES = "Your controller's own lines, from the machine file"
BY_HAND = (
    "Put blocks under every end now, then let the motors go, then turn by hand, slowly: a motor "
    "turned fast drives current back into its driver."
)
IN_TURN = "Half a turn at each screw in turn, so that the {body} stays level."
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


class ProgramText:
    """The lines of one program as they come."""

    def __init__(
        self,
        machine: Machine,
        run: Run,
        how: Wait,
        dwell_s: float,
        set_in_s: float,
        feed_mm_per_min: float,
        sender_waits: bool,
    ) -> None:
        self.machine, self.run, self.how = machine, run, how
        self.dwell_s, self.set_in_s, self.feed = dwell_s, set_in_s, feed_mm_per_min
        self.sender_waits = sender_waits
        self.lines: list[str] = []
        self.told: list[ToldReading] = []
        self.remarks: list[str] = []
        self.person_s = 0.0
        self.stands_at = ""
        self.moves = commands_moves(run)

    def say(self, words: str) -> None:
        """A comment, in as many lines as it takes; none begins with a word that some obey."""
        for line in textwrap.wrap(_plain(words), _WIDTH, break_on_hyphens=False):
            obeyed = line.split()[0].rstrip(",").upper() in ACTIVE_COMMENTS
            self.lines.append(f"; - {line}" if obeyed else f"; {line}")

    def title(self, label: str, words: str) -> None:
        """What a thing is, after its label."""
        self.say(f"{label}: {words}")

    def remark(self, words: str) -> None:
        """What a person should know, in the program and beside it."""
        self.remarks.append(words)
        self.say(words)

    def head(self, path: list[Step], minutes: float) -> None:
        """What the program is for, what the gauge does, what can hurt."""
        run, machine = self.run, self.machine
        self.lines.append("; Motion program for one gauge set-up")
        self.title("Machine", machine.name or machine.arrangement.title)
        self.lines.append(f"; {LABEL} {fingerprint(machine)}")
        self.title("Set-up", run.name)
        self.title("Test", ". ".join(test_of(run)))
        self.title("Gauge", f"at {run.station.id}, reading {run.axis}, {run.station.seen}")
        self.title("Readings", str(len(run.readings)))
        self.say(f"Takes about {minutes:.0f} min, setting the gauge and reading counted in.")
        if path:
            heights = heights_of(machine, path)
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
        if guess := home_guess(machine, run):
            self.remark(guess)
        self.say(f"Watch: {doing_of(run).watch}")
        self._said_of_waits()
        for hazard in _hazards(run):
            self.say(f"Caution. {hazard.title}: {hazard.words}")

    def _stroke(self, heights: list[float]) -> None:
        words = how_set(self.machine, self.run, heights)
        if needs_blocks(self.machine, self.run):
            self.remark(words)
        else:
            self.say(words)

    def _said_of_waits(self) -> None:
        controller = self.machine.controller
        if self.how == "stop" and self.sender_waits:
            self.say("Each reading waits at a stop that the sender keeps. Not for a memory card.")
            return
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

    def start(self, path: list[Step]) -> None:
        """Units, homing, and the stop in which the gauge is set."""
        self.lines += ["G21", "G90"]
        self.say("Home, then go to where the gauge is set. Keep gauge and hands away.")
        self._home()
        self._go(self.run.readings[0].target_mm)
        if home_guess(self.machine, self.run):
            home = known(self.machine, "controller.home").value
            self.say(f"If it did not home {home}, stop here, before the gauge is set.")
        self.say(f"Set the gauge now, at {self.run.station.id}. The axis waits.")
        self._hold(self.set_in_s)

    def body(self, path: list[Step]) -> None:
        """The approach, the readings, the overruns."""
        if not path:
            by_hand = self.run.kind is HAND_TURN
            self.say(BY_HAND if by_hand else "Set the gauge now. The machine stays as it is.")
            if by_hand and self.machine.arrangement.motors > 1:
                self.say(IN_TURN.format(body=self.machine.arrangement.body))
            self._hold(self.set_in_s)
            for index in range(len(self.run.readings)):
                self._read(index)
            return
        for step in path:
            before = step.reading is not None and self._told_before_it_moves(step.reading)
            if step.reading is not None and before:
                self._announce(step.reading)
            if step.home == "first":
                self._home(to_zero=False)
            if step.home == "here":
                self._home()
            else:
                self._go(step.height_mm)
            if step.reading is not None:
                self._read(step.reading, announced=before)

    def _told_before_it_moves(self, index: int) -> bool:
        """A move is announced before it is made, and what hangs while it moves is hung before;
        where only the load changes, the reading is announced when the axis stands."""
        reading = self.run.readings[index]
        return self.run.kind.moves or bool(reading.mass_kg or reading.force_n)

    def finish(self) -> None:
        """The end, with the person's own lines after the gauge is away."""
        given = self.machine.controller.end
        if any(line.strip() for line in given):
            self.say("Take the gauge away now: your own lines come next.")
            self._hold(TAKING_AWAY_S)
        elif self.moves:
            self.say("Done. The motors still hold: blocks under every end before you switch off.")
        self.own(given, "after")

    def _home(self, *, to_zero: bool = True) -> None:
        self.lines += ["G91", "G28 Z0", "G90"]
        self.stands_at = ""
        if to_zero and known(self.machine, "controller.home").value == "down":
            self._go(0.0)  # where a homing backs off, this brings it back; else nothing moves

    def _go(self, height_mm: float) -> None:
        word = f"Z{_number(axis_word_mm(self.machine, height_mm))}"
        if word != self.stands_at:
            self.lines.append(f"G1 {word} F{_number(self.feed)}")
        self.stands_at = word

    def _hold(self, seconds: float) -> None:
        if self.how == "stop":
            self.person_s += seconds
            self.lines.append("M0")
            return
        unit = known(self.machine, "controller.dwell_unit").value
        factor = 1000.0 if unit == "milliseconds" else 1.0
        while seconds > 0:
            self.lines.append(f"G4 P{_number(min(seconds, LONGEST_DWELL_S) * factor)}")
            seconds -= LONGEST_DWELL_S

    def _announce(self, index: int) -> None:
        reading = self.run.readings[index]
        self.say(_told(self.run, index))
        hung = self.run.readings[index - 1].mass_kg if index else 0.0
        if reading.mass_kg != hung:
            self.say(hang_words(hung, reading.mass_kg))
        self._wait_for_hands(loading_s(self.run, index), stops=self.run.kind.moves)

    def _wait_for_hands(self, seconds: float, *, stops: bool) -> None:
        if seconds and (stops or self.how == "dwell"):
            self._hold(seconds)
        else:  # the reading's own stop leaves time enough
            self.person_s += seconds

    def _read(self, index: int, *, announced: bool = False) -> None:
        reading = self.run.readings[index]
        if not announced:
            self._announce(index)
        self._wait_for_hands(blocks_s(self.machine, self.run), stops=False)
        self._hold(reading_s(self.run, index, self.dwell_s))
        self.told.append(ToldReading(index, len(self.lines), reading.target_mm, reading.approach))


def _told(run: Run, index: int) -> str:
    reading = run.readings[index]
    parts = [f"Reading {index + 1} of {len(run.readings)}: {reading.target_mm:g} mm"]
    if run.kind.moves:
        parts.append(reading.approach)
    if load := load_words(run, reading):
        parts.append(load)
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
