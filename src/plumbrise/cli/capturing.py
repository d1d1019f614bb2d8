"""The conversation at the gauge: one set-up after another, said, moved and heard."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Unpack

import click

from plumbrise.cli.going_on import Sheet, sitting_of
from plumbrise.cli.hearing import Ends, Hearing
from plumbrise.cli.reading import write_file
from plumbrise.cli.setting_up import SettingUp, ask, say
from plumbrise.errors import InputError, InputErrors
from plumbrise.hardware.controller import Controller
from plumbrise.hardware.indicator import Indicator
from plumbrise.hardware.mover import Mover, Waits
from plumbrise.hardware.outcomes import Cause, Halted
from plumbrise.measure.at_hand import with_gauge
from plumbrise.measure.mounting import mounting
from plumbrise.measure.session import Asks
from plumbrise.readings import Run
from plumbrise.store import Shelf, ShelfError, shelf_path
from plumbrise.store.sitters import Overtaken, Who
from plumbrise.store.sitting import Sitting

MEANWHILE = (
    "\nThis worksheet was gone on with in another window or on the page: here is what is left."
)


@dataclass(slots=True)
class Devices:
    """What is plugged in."""

    indicators: tuple[Indicator, ...] = ()
    controller: Controller | None = None


@dataclass(slots=True)
class Capture:
    """One sitting at the terminal. `prompt` asks a person for a line; `to` is kept up to date
    with what was read."""

    sitting: Sitting
    hearing: Hearing
    prompt: Callable[[str], str]
    said: Callable[[str], None]
    setting_up: SettingUp
    to: Path | None = None
    _mover: Mover | None = None
    _set_up_for: str = ""
    _taken_at: tuple[int, int] | None = None

    @classmethod
    def begin(
        cls,
        open_while: ExitStack,
        sheet: Sheet,
        *,
        shelf: Path | None,
        anew: bool,
        devices: Devices,
        quiet: bool,
        gauge_serials: tuple[str, ...] = (),
        counts_down: bool = False,
        to: Path | None = None,
        **who: Unpack[Who],
    ) -> Capture:
        """Open the shelf and begin, or go on with, the sitting of a worksheet.

        Raises:
            Ends: the person was asked whether to go on, and wants neither.
        """
        said: Callable[[str], None] = partial(say, err=quiet)  # standard output is for the JSON
        typed = _asked_on_the_error_stream if quiet else input
        prompt: Callable[[str], str] = partial(ask, prompt=typed, err=quiet)
        place = shelf_path(shelf)
        place.parent.mkdir(parents=True, exist_ok=True)
        kept = open_while.enter_context(Shelf.open(place, now=lambda: datetime.now(UTC)))
        sitting = sitting_of(kept, sheet, anew=anew, prompt=prompt, said=said, **who)
        sitting.session = replace(sitting.session, at_hand=sheet.at_hand)
        hearing = Hearing(
            sitting, devices.indicators, sheet.at_hand.at_once, prompt, said, gauge_serials
        )
        mover = Mover(devices.controller, sheet.machine) if devices.controller else None
        hearing.by_hand = mover is None
        setting_up = SettingUp(
            sitting,
            hearing,
            prompt,
            said,
            with_gauge(sheet.machine, sheet.at_hand),
            [counts_down] * sheet.at_hand.at_once,
            counts_down,
            mover,
        )
        made = cls(sitting, hearing, prompt, said, setting_up, to, mover)
        said(f"Readings are kept in {place}. ? tells what may be typed.")
        return made

    def run(self) -> bool:
        """Ask until all is read or the person ends; True if all is done."""
        session = self.sitting.session
        if session.acts and session.left:
            self.said(f"Going on: {session.left} readings are still asked for.")
        elif not session.left:
            self.said("Nothing is left of this worksheet. --anew reads it again, as a new series.")
        if self._mover is not None and session.asks is not None and not session.asks.begins:
            begun = session.runs[session.asks.run].name
            self._broken_off(begun, "another sitting began, with another zero of the gauge")
        self.setting_up.counts_on()
        self._save()
        with suppress(Ends):
            while (asks := self.sitting.session.asks) is not None:
                acts = self.sitting.session.acts
                try:
                    self._once(asks)
                finally:
                    if self.sitting.session.acts != acts:
                        self._save()
            self._run_out()
        self.sitting.end_run_if_done()
        left = self.sitting.session.left
        self.said("All is read." if not left else f"{left} readings are left for another time.")
        if self.to is not None:
            self.said(f"Written: {self.to}")
        return not left

    def _save(self) -> None:
        """What was read as a table that every command reads, whole at any moment."""
        if self.to is not None:
            from plumbrise.files.readings_csv import write_readings

            write_file(self.to, write_readings(self.sitting.session.readings))

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
            if self._gone_on_elsewhere():
                self.hearing.forget()
                self.said(MEANWHILE)
            elif run.name != self._set_up_for:
                if self.setting_up.stands(asks):
                    self._set_up_for, self._taken_at = self._asked_name(), None
            elif self._mover is None or self._moved(self._mover, run, asks):
                self._hear(run, asks)
        except (InputError, InputErrors) as problem:
            self.said(str(problem))
        except KeyboardInterrupt:
            self._stop("Stopped by hand.")
        except EOFError as end:
            self._stop("The input ended.")
            raise Ends from end

    def _asked_name(self) -> str:
        """The set-up that is asked for now: one broken off for a new home has another name."""
        asks = self.sitting.session.asks
        return "" if asks is None else self.sitting.session.runs[asks.run].name

    def _gone_on_elsewhere(self) -> bool:
        """Whether another program did something; a shelf that does not answer is told of when
        something is to be kept."""
        try:
            return self.sitting.catch_up()
        except ShelfError:
            return False

    # --- moving

    def _moved(self, mover: Mover, run: Run, asks: Asks) -> bool:
        """Move on to the target that is asked for. False where that changed what is asked."""
        try:
            runs = self.hearing.read_at(asks)
            gauges = " ".join(mounting(one.station) for one in runs)
            halted = self._waited(mover.go, asks.reading, gauge=gauges)
        except (InputError, InputErrors) as problem:
            self.said(str(problem))
            answer = self.prompt("  Enter tries again (s leaves this set-up, q ends): ").strip()
            if answer == "q":
                raise Ends from problem
            if answer == "s":
                self.hearing.leave(asks, again=False)
            self._set_up_for = ""
            return False
        self.sitting.programs |= {one.name: mover.program for one in runs}
        if halted is None:
            return True
        self.said(f"Motion has stopped: {halted.words} {halted.bound} {halted.unsure}".rstrip())
        self._broken_off(run.name, halted.words)
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
        self._broken_off(moved_for, why)
        self._set_up_for = ""
        self.hearing.forget()

    def _broken_off(self, name: str, why: str) -> None:
        """Mark a set-up as broken off, unless it was left or ended elsewhere meanwhile."""
        while (asks := self.sitting.session.asks) is not None:
            if self.sitting.session.runs[asks.run].name != name:
                return
            with suppress(Overtaken):
                self.setting_up.broken_off(asks, why)
                return

    # --- hearing

    def _hear(self, run: Run, asks: Asks) -> None:
        """One line from the person, the indicator's value shown where the axis has just come."""
        place = (asks.run, asks.reading)
        if self._mover is not None and run.kind.moves and self._taken_at != place:
            self._taken_at = place
            self.hearing.take(asks)  # it has just come to rest there
        if self._mover is not None and self._mover.reached > asks.reading:
            self.said("  The axis is past this one and stays: type its value if you know it, x if")
            self.said("  not, or r to do the set-up again.")
        self.hearing.hear(asks)
        if self.hearing.left:
            self.hearing.left, self._set_up_for = False, ""


def _asked_on_the_error_stream(words: str) -> str:
    click.echo(words, nl=False, err=True)
    return input()
