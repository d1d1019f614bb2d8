"""The conversation at the gauge: one set-up after another, said, moved and heard."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Unpack

import click

from plumbrise.cautions import DEFER
from plumbrise.cli.counting import COUNTS, as_written
from plumbrise.cli.going_on import Sheet, ago_words, since_last_kept, sitting_of
from plumbrise.cli.hearing import Ends, Hearing
from plumbrise.cli.reading import write_file
from plumbrise.cli.setting_up import ask, say, set_up_lines
from plumbrise.errors import InputError, InputErrors
from plumbrise.hardware.controller import Controller
from plumbrise.hardware.indicator import Indicator
from plumbrise.hardware.mover import Mover, Waits
from plumbrise.hardware.outcomes import Cause, Halted
from plumbrise.machine import Machine
from plumbrise.measure.at_hand import with_gauge
from plumbrise.measure.mounting import mounting
from plumbrise.measure.session import Asks
from plumbrise.readings import Run
from plumbrise.report.names import counted, station_name
from plumbrise.store import Shelf, ShelfError, shelf_path
from plumbrise.store.sitters import Overtaken, Who
from plumbrise.store.sitting import Sitting

MOVE = "move"
"""The word without which nothing is moved."""
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
    """One sitting at the terminal. `prompt` asks a person for a line; `counts_down` says of each
    gauge which way it is taken to count where it is set up; `to` is kept up to date with what was
    read."""

    sitting: Sitting
    hearing: Hearing
    prompt: Callable[[str], str]
    said: Callable[[str], None]
    counts_down: list[bool]
    machine: Machine
    to: Path | None = None
    _turns: bool = False
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
        as_written(sitting)
        sitting.session = replace(sitting.session, at_hand=sheet.at_hand)
        hearing = Hearing(
            sitting, devices.indicators, sheet.at_hand.at_once, prompt, said, gauge_serials
        )
        down = [counts_down] * sheet.at_hand.at_once
        made = cls(sitting, hearing, prompt, said, down, with_gauge(sheet.machine, sheet.at_hand))
        made._turns, made.to = counts_down, to
        if devices.controller is not None:
            made._mover = Mover(devices.controller, sheet.machine)
        hearing.by_hand = made._mover is None
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
        self._counts_on()
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
                self._set_up(asks)
            elif self._mover is None or self._moved(self._mover, run, asks):
                self._hear(run, asks)
        except (InputError, InputErrors) as problem:
            self.said(str(problem))
        except KeyboardInterrupt:
            self._stop("Stopped by hand.")
        except EOFError as end:
            self._stop("The input ended.")
            raise Ends from end

    def _gone_on_elsewhere(self) -> bool:
        """Whether another program did something; a shelf that does not answer is told of when
        something is to be kept."""
        try:
            return self.sitting.catch_up()
        except ShelfError:
            return False

    # --- before a set-up

    def _set_up(self, asks: Asks) -> None:
        """Say where the gauges go, and wait until the person says that they are there."""
        runs = self.hearing.read_at(asks)
        place = f"{asks.run + 1} of {len(self.sitting.session.runs)}"
        by_hand = self._mover is None
        for line in set_up_lines(runs, place=place, machine=self.machine, by_hand=by_hand):
            self.said(line)
        if self._mover is not None:
            self._say_moving(self._mover)
        if asks.begins:
            self._counting_as_before(runs)
        else:
            self._half_read(asks, runs)
        for run in runs:
            whose = f"{station_name(run.station.id)}: " if len(runs) > 1 else ""
            down = run.name in self.sitting.session.counts_down
            self.said(f"  {whose}{COUNTS[down]} d says that it does the other.")
        while not self._heard(asks, runs):
            pass

    def _say_moving(self, mover: Mover) -> None:
        halted = mover.halted
        if halted is not None:
            self.said(f"  Motion was stopped: {halted.words} {halted.unsure}".rstrip())
        self.said(f"  {DEFER}")
        self.said(
            "  The axis homes first and then waits for the gauge: keep gauge and hands away from "
            "it until then. Ctrl-C stops it."
        )

    def _half_read(self, asks: Asks, runs: Sequence[Run]) -> None:
        """Say how far a set-up was read that is gone on with after a break."""
        read = sum(len(run.taken) for run in runs)
        ago = since_last_kept(self.sitting)
        self.said(f"  {counted(read, 'reading')} of it stand{ago_words(ago)}.")
        if not self._turns:
            return
        for run in runs:
            if run.name not in self.sitting.session.counts_down and run.taken:
                self.said(f"  They were kept as of a gauge that counts up. {COUNTS[True]}")
                if self.prompt("  yes turns them round, Enter leaves them: ").strip() == "yes":
                    self.hearing.turn_round(run)
        self._turns = False

    def _heard(self, asks: Asks, runs: tuple[Run, ...]) -> bool:
        """One line to a set-up; False where it is to be asked for again."""
        go = "" if self._mover is None else MOVE
        answer = self.prompt(f"  {self._how_to_go(asks)}: ").strip()
        if answer in ("d", "d 1", "d 2"):
            self._turn_round(runs[-1] if answer == "d 2" else runs[0], runs)
            return False
        if answer == "q":
            raise Ends
        if answer == "u":
            self.hearing.undo()
        elif answer in ("r", "s") and not (answer == "r" and asks.begins):
            self.hearing.leave(asks, again=answer == "r")
        elif answer == go:
            self._stands(runs, asks)
        elif self._mover is None and asks.begins and self._is_reading(answer, runs[0]):
            self._stands(runs, asks)
            self.hearing.answered(answer, runs[0], asks)
        else:
            self.said("  Nothing was done.")
            return False
        return True

    def _how_to_go(self, asks: Asks) -> str:
        if self._mover is not None:
            return f"Type {MOVE} when all is clear (s leaves this set-up, u takes back, q ends)"
        if asks.begins:
            return "Enter when the gauge stands (s leaves this set-up, u takes back, q ends)"
        return (
            "Was the gauge or its stand touched or moved since, or switched off? Enter: no, go on; "
            "r: yes, read this set-up again (s leaves it, u takes back, q ends)"
        )

    def _stands(self, runs: Sequence[Run], asks: Asks) -> None:
        """The gauge stands: the readings may begin, or go on."""
        if self._mover is not None:
            self._mover.begin(runs[0])
        if not asks.begins:
            words = f"gauge said to be untouched{ago_words(since_last_kept(self.sitting))}"
            for run in runs:
                number, _ = self.sitting.place(run.name, 0)
                self.sitting.mark(number, "gone on", words)
        self._set_up_for, self._taken_at = runs[0].name, None

    def _is_reading(self, text: str, run: Run) -> bool:
        try:
            self.sitting.session.hear(text, at=self.sitting.place(run.name, 0))
        except InputError:
            return False
        return True

    def _counts_on(self) -> None:
        """After a break a gauge counts as it did in the set-up that is gone on with."""
        asks = self.sitting.session.asks
        if asks is not None and not asks.begins and not self._turns:
            counts = self.sitting.session.counts_down
            self.counts_down = [run.name in counts for run in self.hearing.read_at(asks)]
            self.counts_down += [False] * (self.hearing.at_once - len(self.counts_down))

    def _counting_as_before(self, runs: tuple[Run, ...]) -> None:
        """Take each gauge of a set-up that begins to count as it did in the one before."""
        for gauge, run in enumerate(runs):
            number, _ = self.sitting.place(run.name, 0)
            session = self.sitting.session
            self.sitting.session = session.counting(number, down=self.counts_down[gauge])

    def _turn_round(self, run: Run, runs: tuple[Run, ...]) -> None:
        self.hearing.turn_round(run)
        self.counts_down[runs.index(run)] = run.name in self.sitting.session.counts_down

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
            names = [run.name for run in self.hearing.read_at(asks)]
            if names[0] != name:
                return
            with suppress(Overtaken), self.sitting.together():
                for one in names:
                    self.sitting.interrupted(why, self.sitting.place(one, 0)[0])
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
