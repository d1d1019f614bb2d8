"""The conversation at the gauge: shows what is asked, hears what is typed or measured, keeps it."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import click

from plumbrise.cautions import DEFER
from plumbrise.cli.reading import machine_at, readings_at, write_file
from plumbrise.errors import InputError, InputErrors
from plumbrise.hardware.controller import AtStop, Controller, Finished, Halted
from plumbrise.hardware.indicator import Indicator, NotTaken, take
from plumbrise.machine import Machine
from plumbrise.measure.mounting import DOING, mounting
from plumbrise.measure.session import Asks, suspicion
from plumbrise.measure.stillness import StillnessRule
from plumbrise.readings import Run
from plumbrise.report.names import lowered, station_name, test_title
from plumbrise.store import Shelf, shelf_path
from plumbrise.store.sitting import Sitting

KEYS = (
    ("a number", "what the gauge shows: 12.64, 12,64, or the figures under the hand, 64"),
    ("Enter", "keep what is shown"),
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


@dataclass(slots=True)
class Devices:
    """What is plugged in."""

    indicator: Indicator | None = None
    controller: Controller | None = None


@dataclass(slots=True)
class Capture:
    """One sitting at the terminal. `prompt` asks a person for a line."""

    machine: Machine
    sitting: Sitting
    devices: Devices
    prompt: Callable[[str], str] = field(default=input)
    said: Callable[[str], None] = field(default=click.echo)
    shown_mm: float | None = None
    _moved_for: tuple[int, int] | None = None
    _loaded: str = ""
    _set_up_for: str = ""
    _stops: dict[int, int] = field(default_factory=dict)

    @classmethod
    def begin(
        cls,
        open_while: ExitStack,
        machine_path: Path,
        worksheet_path: Path,
        *,
        shelf: Path | None,
        who: str,
        gauge_serial: str,
        inches: bool,
        devices: Devices,
        quiet: bool = False,
    ) -> Capture:
        """Open the shelf and begin, or go on with, the sitting of a worksheet."""
        machine = machine_at(machine_path)
        planned = readings_at(worksheet_path, machine)
        place = shelf_path(shelf)
        place.parent.mkdir(parents=True, exist_ok=True)
        kept = open_while.enter_context(Shelf.open(place, now=lambda: datetime.now(UTC)))
        start = time.monotonic()
        sitting = Sitting.begin(
            kept,
            machine,
            planned.runs,
            plan_text=worksheet_path.read_text(encoding="utf-8", errors="replace"),
            since_s=lambda: time.monotonic() - start,
            label=datetime.now(UTC).isoformat(timespec="seconds"),
            who=who,
            source="indicator" if devices.indicator is not None else "keyboard",
            gauge_serial=gauge_serial,
            inches=inches,
        )
        made = cls(machine, sitting, devices)
        if quiet:  # standard output is for the JSON
            made.said = partial(click.echo, err=True)
            made.prompt = _asked_on_the_error_stream
        made.said(f"Readings are kept in {place}. ? tells what may be typed.")
        return made

    def run(self) -> bool:
        """Ask until all is read or the person ends; True if all is done."""
        session = self.sitting.session
        if session.acts:
            self.said(f"Going on: {session.left} readings are still asked for.")
        while (asks := self.sitting.session.asks) is not None:
            try:
                name = self.sitting.session.runs[asks.run].name
                if name != self._set_up_for and not self._set_up(asks):
                    break
                if not self._moved(asks):
                    continue
                if self._heard(asks):
                    break
            except (InputError, InputErrors) as problem:
                self.said(str(problem))
            except (KeyboardInterrupt, EOFError):
                self._stop("Stopped by hand.")
                break
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

    # --- before a set-up

    def _set_up(self, asks: Asks) -> bool:
        """Say where the gauge goes; False if the person ends here."""
        run = self.sitting.session.runs[asks.run]
        number, of = asks.run + 1, len(self.sitting.session.runs)
        self.said(
            f"\n{number} of {of}: {lowered(test_title(run.kind.id))}, "
            f"{station_name(run.station.id)}, {len(run.readings)} readings"
        )
        doing = DOING[run.kind]
        for words in (mounting(run.station), doing.moves, f"Watch: {lowered(doing.watch)}"):
            self.said(f"  {words}")
        for hazard in doing.hazards:
            self.said(f"  {hazard.title}: {hazard.words}")
        if self.devices.controller is not None:
            self.said(f"  {DEFER}")
            self.said("  The axis will move by itself. Ctrl-C stops it.")
        answer = self.prompt(
            "  Enter when the gauge stands (s leaves this set-up, q ends): "
        ).strip()
        if answer == "q":
            return False
        self._set_up_for = run.name
        if answer == "s":
            self.sitting.skip()
        return True

    # --- moving

    def _moved(self, asks: Asks) -> bool:
        """With a controller: move on to the target that is asked for. False where that changed
        what is asked."""
        controller = self.devices.controller
        if controller is None or self.sitting.session.asks != asks:
            return self.sitting.session.asks == asks
        place = (asks.run, asks.reading)
        if self._moved_for == place:
            return True
        run = self.sitting.session.runs[asks.run]
        try:
            if self._loaded != run.name:
                self._load(controller, run)
            while True:
                came = controller.next_stop()
                if isinstance(came, Halted):
                    return self._halted(came)
                if isinstance(came, Finished):
                    raise InputError(
                        place="motion program",
                        value=run.name,
                        allowed="a stop for every reading",
                        remedy="Repeat this set-up (r).",
                    )
                if self._is_reading(came, asks):
                    break
                if came.line in self._stops:
                    continue  # passed over, or read before
                self.prompt("  The axis waits. Set the gauge, hands off, then Enter: ")
        except KeyboardInterrupt:
            return self._stop("Stopped by hand.")
        self._moved_for = place
        return True

    def _load(self, controller: Controller, run: Run) -> None:
        from plumbrise.measure.fingerprint import fingerprint
        from plumbrise.measure.motion_program import motion_program

        program = motion_program(self.machine, run, wait="stop", sender_waits=True)
        if controller.halted is not None:
            controller.begin_again()
        controller.load(self.machine, program.text)
        self._loaded = run.name
        self._stops = {told.line: told.index for told in program.readings}
        self.sitting.programs[run.name] = fingerprint(self.machine)

    def _is_reading(self, came: AtStop, asks: Asks) -> bool:
        return self._stops.get(came.line) == asks.reading

    def _stop(self, why: str) -> bool:
        controller = self.devices.controller
        if controller is not None and controller.halted is None:
            bound = controller.stop(why)
            self.said(f"\n{why} {bound}")
            if self._loaded and self.sitting.session.asks is not None:
                self.sitting.interrupted(why)
            self._moved_for, self._loaded = None, ""
        return False

    def _halted(self, halted: Halted) -> bool:
        """Say what happened, mark the run, and have it done again after a new home."""
        self.said(f"Motion has stopped: {halted.words} {halted.bound} {halted.unsure}".strip())
        self.sitting.interrupted(halted.words)
        self._moved_for, self._loaded = None, ""
        return False

    # --- hearing

    def _heard(self, asks: Asks) -> bool:
        """One line from the person; True to end."""
        run = self.sitting.session.runs[asks.run]
        row = run.readings[asks.reading]
        if self.devices.indicator is not None and self.shown_mm is None:
            self._take(self.devices.indicator)
        told = f"{row.target_mm:g} mm" + (f", {row.mass_kg:g} kg" if row.mass_kg else "")
        told += f", {row.force_n:g} N" if row.force_n else ""
        where = f"{asks.reading + 1}/{len(run.readings)}"
        shown = (
            f" [{self._in_unit(self.shown_mm)}, Enter keeps]" if self.shown_mm is not None else ""
        )
        text = self.prompt(f"  {where}  told {told}{shown}: ").strip()
        return self._done(text, asks)

    def _done(self, text: str, asks: Asks) -> bool:
        word, _, rest = text.partition(" ")
        if text == "" and self.shown_mm is not None:
            return self._keep(self.shown_mm)
        if text == "":
            self.said("  Type what the gauge shows.")
        elif word == "q":
            return True
        elif word == "?":
            for key, words in KEYS:
                self.said(f"  {key:9} {words}")
        elif word == "x":
            self.sitting.cannot_read()
            self._next()
        elif word == "u":
            self._undo()
        elif word == "n":
            self.sitting.note(rest.strip())
            self.said("  Noted.")
        elif word == "t":
            self.sitting.temp_c = _number(rest, "t", -30, 80)
        elif word == "r":
            self.sitting.repeat()
            self._next(another=True)
        elif word == "s":
            self.sitting.skip()
            self._next(another=True)
        elif word == "m":
            which, _, value = rest.strip().partition(" ")
            number = int(_number(which, "m", 1, 10_000))
            act = self.sitting.mend(asks.run, number - 1, _number(value, "m", -300, 300))
            self.said(f"  Reading {number} is now {self._in_unit(act.value_mm or 0.0)}.")
        else:
            question = self.sitting.session.hear(text)
            self.shown_mm = question.heard.value_mm
            if question.words:
                self.said(f"  {question.words}")
            elif not question.heard.turns:
                return self._keep(self.shown_mm)
        return False

    def _keep(self, value_mm: float) -> bool:
        self.sitting.keep(value_mm)
        self.said(f"  {self._in_unit(value_mm)} kept")
        self._next()
        return False

    def _next(self, *, another: bool = False) -> None:
        self.shown_mm = None
        if another:
            self._moved_for, self._loaded = None, ""

    def _undo(self) -> None:
        act = self.sitting.undo()
        self.shown_mm = None
        if act is None:
            self.said("  Nothing to take back.")
        elif act.value_mm is not None:
            self.said(f"  {self._in_unit(act.value_mm)} taken back.")
        else:
            self.said(f"  Taken back: {act.did.value}.")
        if self.devices.controller is not None and act is not None:
            self.said("  The axis stays where it is: repeat the set-up (r) to come there again.")

    def _take(self, indicator: Indicator) -> None:
        """The value at rest, shown for the person to keep."""
        rule = StillnessRule(within_mm=max(self.sitting.session.resolution_mm, 0.001))
        found = take(indicator, rule)
        if isinstance(found, NotTaken):
            self.said(f"  {found.words} Type the value, or Enter to look again.")
            return
        self.shown_mm = found.mm
        asks = self.sitting.session.asks
        words = suspicion(found.mm, asks.expected if asks is not None else None)
        if words:
            self.said(f"  {words}")

    def _in_unit(self, value_mm: float) -> str:
        fine = self.sitting.session.resolution_mm < 0.0095
        return f"{value_mm:.{3 if fine else 2}f} mm"


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
