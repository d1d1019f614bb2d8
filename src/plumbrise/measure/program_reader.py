"""Follow a motion program line by line: what the controller knows, and what it would do wrong."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from math import isfinite

from plumbrise.machine import Machine, known
from plumbrise.measure.program_lines import Finding, Line

FEED_LIMIT_MM_PER_MIN = 300.0
"""Fastest feed let through: 5 mm/s. A hand that sees a wrong move needs about half a second to the
switch; the axis then goes 2.5 mm, and step motors hold such a feed without losing steps (common
practice)."""
LONGEST_WAIT_S = 3600.0
"""An hour: a longer wait is a slip of units."""
HOMING_MM_PER_MIN = 120.0
"""Rate taken for homing in the time told; the controller homes at its own."""
_INCH = Decimal("25.4")


@dataclass(frozen=True, slots=True)
class ProgramMove:
    """One move of the axis as its controller counts it; `from_mm` is None after nothing that
    says where the axis stands. `homes`: a homing, which ends where its switch is."""

    line: int
    from_mm: float | None
    to_mm: float
    feed_mm_per_min: float | None
    homes: bool = False


@dataclass(slots=True)
class ProgramReader:
    """What a controller would know after each line."""

    machine: Machine
    sender_waits: bool = False
    findings: list[Finding] = field(default_factory=list)
    moves: list[ProgramMove] = field(default_factory=list)
    unit: Decimal | None = None
    from_zero: bool | None = None
    feed: Decimal | None = None
    at: Decimal | None = None
    perhaps_at: Decimal = Decimal(0)
    homed: bool = False
    seconds: float = 0.0
    stops: int = 0
    waits: int = 0
    in_wait: bool = False
    did: int = 0
    said: set[str] = field(default_factory=set)

    @property
    def height(self) -> Decimal | None:
        """The travel as given, None where it bounds nothing."""
        given = self.machine.travel.height_mm
        return None if given is None or not isfinite(given) else Decimal(repr(float(given)))

    def say(
        self,
        line: int,
        word: str,
        kind: str,
        what: str,
        allowed: str,
        remedy: str,
        refuses: bool = True,
    ) -> None:
        """Put a finding down."""
        self.findings.append(
            Finding(
                id=kind,
                line=line,
                word=word,
                what=what,
                allowed=allowed,
                remedy=remedy,
                refuses=refuses,
            )
        )

    def once(self, line: int, word: str, kind: str, what: str, allowed: str, remedy: str) -> None:
        """Say something that does not refuse, the first time only."""
        if kind not in self.said:
            self.said.add(kind)
            self.say(line, word, kind, what, allowed, remedy, refuses=False)

    def read(self, line: Line, *, own: bool) -> None:
        """Follow one line."""
        self.did += 1
        if line.code != "G4":
            self.in_wait = False
        match line.code:
            case "G20" | "G21":
                unit = _INCH if line.code == "G20" else Decimal(1)
                if unit != self.unit:
                    self.feed = None  # whether a feed is counted anew depends on the controller
                self.unit = unit
            case "G90":
                self.from_zero = True
            case "G91":
                self.from_zero = False
            case "G28":
                self._home(line, own=own)
            case "G4":
                self._wait(line)
            case "M0":
                self._stop(line)
            case _:
                self._move(line)

    def _stop(self, line: Line) -> None:
        self.stops += 1
        waits = self.sender_waits or self.machine.controller.stop_waits
        if waits is False:
            self.say(
                line.number,
                "M0",
                "stop-does-not-wait",
                "this controller does not wait at a stop, and would move while a hand is in",
                "G4 with P",
                "Make the program with dwells.",
            )
        elif waits is None:
            self.once(
                line.number,
                "M0",
                "stop-unknown",
                "the machine file does not say whether a stop waits",
                "controller.stop_waits true or false",
                "Try it with nothing near the axis, and write it in the machine file.",
            )

    def _wait(self, line: Line) -> None:
        amount = line.words.get("P")
        if amount is None or amount < 0:
            self.say(
                line.number,
                "G4",
                "wait-length",
                "how long to wait is not said",
                "P with a number of 0 or more",
                "Write the wait as P.",
            )
            return
        if not self.in_wait:  # a long one is written as several
            self.in_wait, self.waits = True, self.waits + 1
        unit = known(self.machine, "controller.dwell_unit")
        seconds = float(amount) / (1000.0 if unit.value == "milliseconds" else 1.0)
        if unit.assumed:
            self.once(
                line.number,
                f"P{amount}",
                "dwell-unit-unknown",
                f"the machine file does not say how a dwell is counted; taken as {unit.value}",
                "controller.dwell_unit seconds or milliseconds",
                "Time one wait, and write its unit in the machine file.",
            )
        if seconds > LONGEST_WAIT_S:
            self.say(
                line.number,
                f"P{amount}",
                "wait-too-long",
                f"a wait of {seconds:.0f} s",
                f"{LONGEST_WAIT_S:.0f} s",
                "Look whether the unit of the wait is right.",
            )
        self.seconds += min(seconds, 2 * LONGEST_WAIT_S)

    def _home(self, line: Line, *, own: bool) -> None:
        for letter, value in line.words.items():
            if value != 0:
                self.say(
                    line.number,
                    f"{letter}{value}",
                    "home-through",
                    "some controllers go through this point first",
                    f"{letter}0 after G91",
                    f"Write {letter}0.",
                )
        if line.words and self.from_zero is not False and not self.homed:
            self.say(
                line.number,
                "G28",
                "home-through",
                "where targets count from zero, some controllers go to 0 first, and nobody knows "
                "yet where that is",
                "G28 alone, or G91 on a line before",
                "Write G91 before it and G90 after it.",
            )
        sideways = not line.words or "X" in line.words or "Y" in line.words
        if sideways and (self.moves or self.stops) and not own:
            self.say(
                line.number,
                "G28",
                "sideways",
                "it homes other axes too, into the gauge",
                "G28 Z0 after G91",
                "Write G28 Z0, or home the others before the first move.",
            )
        elif sideways:
            self.once(
                line.number,
                "G28",
                "homes-all",
                "it homes other axes too",
                "a clear machine",
                "Keep the gauge and your hands away until it has homed.",
            )
        if line.words and "Z" not in line.words:
            return
        self._arrive_home(line)

    def _arrive_home(self, line: Line) -> None:
        height = self.height or Decimal(0)
        home = known(self.machine, "controller.home")
        carries_bed = self.machine.arrangement.body == "bed"
        at_top_of_word = (home.value == "up") != carries_bed
        end = height if at_top_of_word else Decimal(0)
        if home.assumed:
            self.once(
                line.number,
                "G28",
                "home-unknown",
                f"the machine file does not say which way the axis homes; taken as {home.value}",
                "controller.home up or down",
                "Write it in the machine file.",
            )
        start = self.at if self.at is not None else height - end
        self.seconds += float(abs(end - start)) / HOMING_MM_PER_MIN * 60.0
        before = None if self.at is None else float(self.at)
        self.moves.append(ProgramMove(line.number, before, float(end), None, homes=True))
        self.homed = True
        self.at = None if home.assumed else end
        self.perhaps_at = end

    def _move(self, line: Line) -> None:
        for letter in ("X", "Y"):
            if letter in line.words:
                self.say(
                    line.number,
                    f"{letter}{line.words[letter]}",
                    "sideways",
                    "the gauge stands beside the axis, and nothing may move sideways",
                    "Z and F",
                    "Move it by hand before the program.",
                )
        if self.unit is None and ("F" in line.words or "Z" in line.words):
            self.say(
                line.number,
                line.code,
                "unit-unknown",
                "whether it means millimetres or inches is not said before",
                "G21 or G20 first",
                "Write G21 at the beginning.",
            )
            self.unit = Decimal(1)  # so that what follows is looked at all the same
        if "F" in line.words:
            self._feed(line)
        if "Z" in line.words:
            self._along(line)

    def _feed(self, line: Line) -> None:
        assert self.unit is not None
        feed = line.words["F"] * self.unit
        if not 0 < feed <= Decimal(FEED_LIMIT_MM_PER_MIN):
            self.say(
                line.number,
                f"F{line.words['F']}",
                "feed",
                f"a feed of {float(feed):g} mm/min",
                f"above 0, up to {FEED_LIMIT_MM_PER_MIN:g} mm/min",
                "Write a slower feed." if feed > 0 else "Write a feed above 0.",
            )
        self.feed = feed

    def _along(self, line: Line) -> None:
        assert self.unit is not None
        told = line.words["Z"] * self.unit
        word = f"Z{line.words['Z']}"
        if not self.homed:
            self.say(
                line.number,
                word,
                "not-homed",
                "the controller does not know yet where the axis stands",
                "G28 before the first move",
                "Home first.",
            )
            self.homed = True
        if self.from_zero is None:
            self.say(
                line.number,
                word,
                "distance-unknown",
                "whether it counts from zero or from here is not said before",
                "G90 or G91 first",
                "Write G90 at the beginning.",
            )
            self.from_zero = True
        target = told
        if not self.from_zero:
            if self.at is None:
                self.say(
                    line.number,
                    word,
                    "position-unknown",
                    "it counts from here, and where that is nobody knows",
                    "a target counted from zero first",
                    "Write G90 and a height before it.",
                )
                return
            target = self.at + told
        self._bounds(line, word, target)
        if line.code == "G0":
            self.once(
                line.number,
                "G0",
                "own-rate",
                "it goes at the controller's own rate, which the program does not bound",
                "G1 with F",
                "Write G1, or make sure that the rate set in the controller is slow.",
            )
        elif self.feed is None:
            self.say(
                line.number,
                word,
                "feed-unknown",
                "no feed was said before",
                f"F up to {FEED_LIMIT_MM_PER_MIN:g} mm/min",
                "Write F in this line.",
            )
            self.feed = Decimal(FEED_LIMIT_MM_PER_MIN)
        self._arrive(line, target)

    def _bounds(self, line: Line, word: str, target: Decimal) -> None:
        height = self.height
        allowed = f"0 to {float(height):g} mm" if height is not None else "0 or more"
        if target < 0:
            what = f"{float(target):g} mm is below 0, where nozzle and bed meet"
            self.say(line.number, word, "below-bed", what, allowed, "Raise the target.")
        elif height is not None and target > height:
            what = f"{float(target):g} mm is beyond the travel"
            self.say(line.number, word, "above-travel", what, allowed, "Lower the target.")

    def _arrive(self, line: Line, target: Decimal) -> None:
        feed = self.feed if self.feed and self.feed > 0 else Decimal(FEED_LIMIT_MM_PER_MIN)
        before = self.at
        if before is not None:
            self.seconds += float(abs(target - before) / feed) * 60.0
        else:  # for the time alone it is taken to stand where a home as assumed leaves it
            self.seconds += float(abs(target - self.perhaps_at) / feed) * 60.0
        rate = float(feed) if line.code == "G1" else None
        start = None if before is None else float(before)
        self.moves.append(ProgramMove(line.number, start, float(target), rate))
        self.at = target
