"""The conversation at the gauge: shows what is asked, hears what is typed or measured, keeps it."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import click

from plumbrise.cautions import DEFER
from plumbrise.cli.reading import write_file
from plumbrise.errors import InputError, InputErrors
from plumbrise.hardware.controller import Controller
from plumbrise.hardware.indicator import Indicator, NotTaken, take
from plumbrise.hardware.mover import Mover, Waits
from plumbrise.hardware.outcomes import Cause, Halted
from plumbrise.machine import Machine
from plumbrise.measure.mounting import DOING, mounting
from plumbrise.measure.session import Asks, suspicion
from plumbrise.measure.stillness import StillnessRule
from plumbrise.quantity import INCH_MM
from plumbrise.readings import Readings, Run
from plumbrise.report.names import lowered, station_name, test_title
from plumbrise.store import Shelf, shelf_path
from plumbrise.store.sitting import Sitting

KEYS = (
    ("a number", "what the gauge shows: 12.64, 12,64, or the figures under the hand, 64"),
    ("Enter", "keep what is shown; with an indicator and nothing shown, take it"),
    ("a", "take it from the indicator again"),
    ("x", "this one cannot be read"),
    ("u", "take the last thing back, any number of times"),
    ("n words", "a note on the last reading"),
    ("m 3 0.64", "reading 3 of this set-up was 0.64"),
    ("t 21.5", "the air is at 21.5 degrees from now on"),
    ("r", "leave this set-up as it is and do it again"),
    ("s", "leave the rest of this set-up"),
    ("q", "end here; the same command goes on later"),
    ("?", "this list"),
)
"""What may be typed."""
MOVE = "move"
"""The word without which nothing is moved."""


@dataclass(slots=True)
class Devices:
    """What is plugged in."""

    indicator: Indicator | None = None
    controller: Controller | None = None


class Ends(Exception):
    """The person ends the sitting."""


@dataclass(slots=True)
class Capture:
    """One sitting at the terminal. `prompt` asks a person for a line."""

    machine: Machine
    sitting: Sitting
    devices: Devices
    prompt: Callable[[str], str] = field(default=input)
    said: Callable[[str], None] = field(default=click.echo)
    shown_mm: float | None = None
    _mover: Mover | None = None
    _set_up_for: str = ""
    _taken_at: tuple[int, int] | None = None

    @classmethod
    def begin(
        cls,
        open_while: ExitStack,
        machine: Machine,
        planned: Readings,
        plan_text: str,
        *,
        shelf: Path | None,
        who: str,
        gauge_serial: str,
        inches: bool,
        devices: Devices,
        quiet: bool = False,
    ) -> Capture:
        """Open the shelf and begin, or go on with, the sitting of a worksheet."""
        place = shelf_path(shelf)
        place.parent.mkdir(parents=True, exist_ok=True)
        kept = open_while.enter_context(Shelf.open(place, now=lambda: datetime.now(UTC)))
        start = time.monotonic()
        before_s = 0.0
        sitting = Sitting.begin(
            kept,
            machine,
            planned.runs,
            plan_text=plan_text,
            since_s=lambda: before_s + time.monotonic() - start,
            label=datetime.now(UTC).isoformat(timespec="seconds"),
            who=who,
            source="indicator" if devices.indicator is not None else "keyboard",
            gauge_serial=gauge_serial,
            inches=inches,
        )
        times = [act.time_s for act in sitting.session.acts if act.time_s is not None]
        before_s = max(times, default=0.0)  # time goes on from the sitting before
        made = cls(machine, sitting, devices)
        if quiet:  # standard output is for the JSON
            made.said = partial(click.echo, err=True)
            made.prompt = _asked_on_the_error_stream
        if devices.controller is not None:
            made._mover = Mover(devices.controller, machine)
        made.said(f"Readings are kept in {place}. ? tells what may be typed.")
        return made

    def run(self) -> bool:
        """Ask until all is read or the person ends; True if all is done."""
        session = self.sitting.session
        if session.acts:
            self.said(f"Going on: {session.left} readings are still asked for.")
        if self._mover is not None and session.asks is not None and not session.asks.begins:
            self.sitting.interrupted("another sitting began, with another zero of the gauge")
        with suppress(Ends):
            while self.sitting.session.asks is not None:
                self._once(self.sitting.session.asks)
            self._run_out()
        self.sitting.end_run_if_done()
        left = self.sitting.session.left
        self.said("All is read." if not left else f"{left} readings are left for another time.")
        return not left

    def write_table(self, path: Path) -> None:
        """The readings as a table that every command reads."""
        from plumbrise.files.readings_csv import write_readings

        write_file(path, write_readings(self.sitting.session.readings))
        self.said(f"Written: {path}")

    def summary(self) -> dict[str, object]:
        """What `capture --json` prints at the end."""
        session = self.sitting.session
        return {
            "version": 1,
            "left": session.left,
            "runs": [
                {
                    "run": run.name,
                    "test": run.kind.id,
                    "station": run.station.id,
                    "read": len(run.taken),
                    "asked": len(run.readings),
                }
                for run in session.runs
            ],
        }

    def _once(self, asks: Asks) -> None:
        """Set up, move and hear, as far as one answer of the person goes."""
        run = self.sitting.session.runs[asks.run]
        try:
            if run.name != self._set_up_for:
                self._set_up(run)
            elif self._mover is None or self._moved(self._mover, run, asks):
                self._hear(run, asks)
        except (InputError, InputErrors) as problem:
            self.said(str(problem))
        except KeyboardInterrupt:
            self._stop("Stopped by hand.")
        except EOFError as end:
            self._stop("The input ended.")
            raise Ends from end

    # --- before a set-up

    def _set_up(self, run: Run) -> None:
        """Say where the gauge goes, and wait until the person says that it is there."""
        runs = [one.name for one in self.sitting.session.runs]
        self.said(
            f"\n{runs.index(run.name) + 1} of {len(runs)}: {lowered(test_title(run.kind.id))}, "
            f"{station_name(run.station.id)}, {len(run.readings)} readings"
        )
        doing = DOING[run.kind]
        mover = self._mover
        if mover is None:
            self.said(f"  {mounting(run.station)}")
        for words in (doing.moves, f"Watch: {lowered(doing.watch)}"):
            self.said(f"  {words}")
        for hazard in doing.hazards:
            self.said(f"  {hazard.title}: {hazard.words}")
        go = ""
        if mover is not None:
            go = MOVE
            halted = mover.halted
            if halted is not None:
                self.said(f"  Motion was stopped: {halted.words} {halted.unsure}".rstrip())
            self.said(f"  {DEFER}")
            self.said("  The axis homes first and then waits for the gauge: keep gauge and hands")
            self.said("  away from it until then. Ctrl-C stops it.")
        when = f"Type {MOVE} when all is clear" if go else "Enter when the gauge stands"
        answer = self.prompt(f"  {when} (s leaves this set-up, u takes back, q ends): ").strip()
        if answer == "q":
            raise Ends
        if answer == "s":
            self.sitting.skip()
        elif answer == "u":
            self._undo()
        elif answer == go:
            if mover is not None:
                mover.begin(run)
            self._set_up_for, self._taken_at = run.name, None
        else:
            self.said("  Nothing was done.")

    # --- moving

    def _moved(self, mover: Mover, run: Run, asks: Asks) -> bool:
        """Move on to the target that is asked for. False where that changed what is asked."""
        try:
            halted = self._waited(mover.go, asks.reading, gauge=mounting(run.station))
        except (InputError, InputErrors) as problem:
            self.said(str(problem))
            answer = self.prompt("  Enter tries again (s leaves this set-up, q ends): ").strip()
            if answer == "q":
                raise Ends from problem
            if answer == "s":
                self.sitting.skip()
            self._set_up_for = ""
            return False
        self.sitting.programs[run.name] = mover.program
        if halted is None:
            return True
        self.said(f"Motion has stopped: {halted.words} {halted.bound} {halted.unsure}".rstrip())
        self.sitting.interrupted(halted.words)
        self._set_up_for = ""
        if halted.cause is Cause.LOST:
            self.said("Plug it in again and give the same command: it goes on from here.")
            raise Ends
        return False

    def _waited(
        self, move: Callable[..., Waits | Halted | None], *reading: int, gauge: str = ""
    ) -> Halted | None:
        """Move on, with a word from the person at every stop that is no reading."""
        while isinstance(came := move(*reading), Waits):
            self.said(f"  {gauge if came.gauge and gauge else came.words}")
            self.prompt("  Hands off, then Enter: ")
        return came

    def _run_out(self) -> None:
        """All is read: let the last program come to its end."""
        try:
            halted = self._waited(self._mover.finish) if self._mover is not None else None
        except KeyboardInterrupt:
            self._stop("Stopped by hand.")
            return
        if halted is not None:
            self.said(f"Motion has stopped: {halted.words} {halted.bound} {halted.unsure}".rstrip())

    def _stop(self, why: str) -> None:
        """Stop the axis if one is moved, mark the run that it was moved for, and begin it anew
        only when the person says so; without one, end here."""
        if self._mover is None:
            raise Ends
        moved_for = self._mover.run
        bound = self._mover.stop(why)
        self.said(f"\n{why} {bound}")
        asks = self.sitting.session.asks
        if asks is not None and self.sitting.session.runs[asks.run].name == moved_for:
            self.sitting.interrupted(why)
        self._set_up_for, self.shown_mm = "", None

    # --- hearing

    def _hear(self, run: Run, asks: Asks) -> None:
        """One line from the person."""
        row = run.readings[asks.reading]
        place = (asks.run, asks.reading)
        if self._mover is not None and run.kind.moves and self._taken_at != place:
            self._taken_at = place
            self._take()  # it has just come to rest there
        told = f"{row.target_mm:g} mm" + (f", {row.mass_kg:g} kg" if row.mass_kg else "")
        told += f", {row.force_n:g} N" if row.force_n else ""
        told += f", at {row.time_s:g} s" if row.time_s and not run.kind.moves else ""
        where = f"{asks.reading + 1}/{len(run.readings)}"
        shown = ""
        if self.shown_mm is not None:
            shown = f" [{self._in_unit(self.shown_mm)}, Enter keeps]"
        elif self.devices.indicator is not None:
            shown = " [Enter takes it from the indicator]"
        if self._mover is not None and self._mover.reached > asks.reading:
            self.said("  The axis is past this one and stays: type its value if you know it, x if")
            self.said("  not, or r to do the set-up again.")
        self._done(self.prompt(f"  {where}  told {told}{shown}: ").strip(), run, asks)

    def _done(self, text: str, run: Run, asks: Asks) -> None:
        word, _, rest = text.partition(" ")
        if text == "":
            if self.shown_mm is not None:
                self._keep(self.shown_mm)
            elif not self._take():
                self.said("  Type what the gauge shows.")
        elif word == "a":
            self.shown_mm = None
            self._take()
        elif word == "q":
            raise Ends
        elif word == "?":
            for key, words in KEYS:
                self.said(f"  {key:9} {words}")
        elif word == "x":
            self.sitting.cannot_read()
            self.shown_mm = None
        elif word == "u":
            self._undo()
        elif word == "n":
            self.sitting.note(rest.strip())
            self.said("  Noted.")
        elif word == "t":
            self.sitting.temp_c = _number(rest, "t", -30, 80)
        elif word in ("r", "s"):
            (self.sitting.repeat if word == "r" else self.sitting.skip)()
            self.shown_mm, self._set_up_for = None, ""
        elif word == "m":
            self._mend(rest, run, asks)
        else:
            question = self.sitting.session.hear(text)
            self.shown_mm = question.heard.value_mm
            if question.words:
                self.said(f"  {question.words}")
            elif not question.heard.turns:
                self._keep(self.shown_mm)

    def _mend(self, rest: str, run: Run, asks: Asks) -> None:
        which, _, value = rest.strip().partition(" ")
        number = int(_number(which, "m", 1, len(run.readings)))
        question = self.sitting.session.hear(value, at=(asks.run, number - 1))
        if question.words:
            self.said(f"  {question.words}")
        self.sitting.mend(asks.run, number - 1, question.heard.value_mm)
        self.said(f"  Reading {number} is now {self._in_unit(question.heard.value_mm)}.")

    def _keep(self, value_mm: float) -> None:
        self.sitting.keep(value_mm)
        self.said(f"  {self._in_unit(value_mm)} kept")
        self.shown_mm = None

    def _undo(self) -> None:
        act = self.sitting.undo()
        self.shown_mm = None
        if act is None:
            self.said("  Nothing to take back.")
        elif act.value_mm is not None:
            self.said(f"  {self._in_unit(act.value_mm)} taken back.")
        else:
            self.said(f"  Taken back: {act.did.value}.")

    def _take(self) -> bool:
        """The value at rest, shown for the person to keep; False where there is no indicator."""
        if self.devices.indicator is None:
            return False
        rule = StillnessRule(within_mm=max(self.sitting.session.resolution_mm, 0.001))
        found = take(self.devices.indicator, rule)
        if isinstance(found, NotTaken):
            self.said(f"  {found.words} Type the value, or Enter to look again.")
            return True
        self.shown_mm = found.mm
        asks = self.sitting.session.asks
        words = suspicion(found.mm, asks.expected if asks is not None else None)
        if words:
            self.said(f"  {words}")
        return True

    def _in_unit(self, value_mm: float) -> str:
        session = self.sitting.session
        if session.inches:
            return f"{value_mm / INCH_MM:.4f} in ({value_mm:.3f} mm)"
        return f"{value_mm:.{3 if session.resolution_mm < 0.0095 else 2}f} mm"


def _asked_on_the_error_stream(words: str) -> str:
    click.echo(words, nl=False, err=True)
    return input()


def _number(text: str, key: str, low: float, high: float) -> float:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = float("nan")
    if not low <= value <= high:
        raise InputError(
            place=key,
            value=text.strip() or "nothing",
            allowed=f"{low:g} to {high:g}",
            remedy="Type ? for all that may be typed.",
        )
    return value
