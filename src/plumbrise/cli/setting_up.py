"""Before a set-up: which it is, where the gauge goes, what to mind; and whether it stands."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import click

from plumbrise.cautions import DEFER
from plumbrise.cli.hearing import Ends, Hearing
from plumbrise.errors import InputError
from plumbrise.hardware.mover import Mover
from plumbrise.machine import Machine
from plumbrise.measure.home_guess import home_guess
from plumbrise.measure.mounting import doing_of, mounting, test_of
from plumbrise.measure.session import Asks
from plumbrise.measure.stroke import how_set_by_plan
from plumbrise.readings import Run
from plumbrise.report.layout import hung
from plumbrise.report.names import counted, lowered, station_name
from plumbrise.store.breaks import TOUCHED, ZERO_IS_GONE, ago_words, since_last_kept, untouched
from plumbrise.store.counting import COUNTS
from plumbrise.store.sitting import Sitting

WIDTH = 78
MOVE = "move"
"""The word without which nothing is moved."""
ANEW = (
    "The axis homes and the gauge is set again, so their zero is gone: they stay on the shelf, and "
    "the set-up is read again from its start."
)


def set_up_lines(
    runs: Sequence[Run], *, place: str, machine: Machine, by_hand: bool
) -> Iterator[str]:
    """A set-up in lines; where nobody moves the axis by hand, the gauge's place comes later.

    Args:
        runs: what is read at these moves, with two gauges two.
        place: which of how many.
        machine: the axis, with its gauge.
        by_hand: whether the person moves the axis.
    """
    run = runs[0]
    places = " and ".join(station_name(one.station.id) for one in runs)
    yield f"\n{place}: {lowered(test_of(run)[0])}, {places}, {len(run.readings)} readings"
    doing = doing_of(run)
    if by_hand:
        for one in runs:
            yield f"  {mounting(one.station)}"
        if set_in := how_set_by_plan(machine, run):
            yield f"  {set_in}"
    if guess := home_guess(machine, run):
        yield f"  {guess}"
    yield f"  {doing.moves}"
    yield f"  Watch: {lowered(doing.watch)}"
    for hazard in doing.hazards:
        yield f"  {hazard.title}: {hazard.words}"


@dataclass(slots=True)
class SettingUp:
    """Setting the gauges up, set-up after set-up. `counts_down` says of each which way it is taken
    to count, `turns` that it was said for all of them now; `mover` moves the axis, if any does."""

    sitting: Sitting
    hearing: Hearing
    prompt: Callable[[str], str]
    said: Callable[[str], None]
    machine: Machine
    counts_down: list[bool]
    turns: bool
    mover: Mover | None = None

    def stands(self, asks: Asks) -> bool:
        """Say where the gauges go, and wait for the person; True once they are there, False where
        something else was said that changes what is asked."""
        runs = self.hearing.read_at(asks)
        place = f"{asks.run + 1} of {len(self.sitting.session.runs)}"
        by_hand = self.mover is None
        for line in set_up_lines(runs, place=place, machine=self.machine, by_hand=by_hand):
            self.said(line)
        if self.mover is not None:
            self._say_moving(self.mover)
        if asks.begins:
            self._counting_as_before(runs)
        else:
            self._half_read(asks, runs)
        for run in runs:
            whose = f"{station_name(run.station.id)}: " if len(runs) > 1 else ""
            down = run.name in self.sitting.session.counts_down
            self.said(f"  {whose}{COUNTS[down]} d says that it does the other.")
        while (said := self._heard(asks, runs)) is None:
            pass
        return said

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
        ago = since_last_kept(self.sitting, datetime.now(UTC))
        self.said(f"  {counted(read, 'reading')} of it stand{ago_words(ago)}.")
        if self.mover is not None:
            self.said(f"  {ANEW}")
        if not self.turns:
            return
        for run in runs:
            if run.name not in self.sitting.session.counts_down and run.taken:
                self.said(f"  They were kept as of a gauge that counts up. {COUNTS[True]}")
                if self.prompt("  yes turns them round, Enter leaves them: ").strip() == "yes":
                    self.hearing.turn_round(run)
        self.turns = False

    def _heard(self, asks: Asks, runs: tuple[Run, ...]) -> bool | None:
        """One line to a set-up: whether the gauges stand; None where it is to be asked again."""
        go = "" if self.mover is None else MOVE
        answer = self.prompt(f"  {self._how_to_go(asks)}: ").strip()
        if answer in ("d", "d 1", "d 2"):
            self._turn_round(runs[-1] if answer == "d 2" else runs[0], runs)
            return None
        if answer == "q":
            raise Ends
        if answer == go:
            self._go_on(runs, asks)
            return True
        if self.mover is None and asks.begins and self._is_reading(answer, runs[0]):
            self._go_on(runs, asks)
            self.hearing.answered(answer, runs[0], asks)
            return True
        if answer == "u":
            self.hearing.undo()
        elif answer in ("r", "s") and not (answer == "r" and asks.begins):
            self.hearing.leave(asks, again=answer == "r")
        else:
            self.said("  Nothing was done.")
            return None
        return False

    def _how_to_go(self, asks: Asks) -> str:
        if self.mover is not None:
            anew = "" if asks.begins else " to read this set-up again from its start"
            return (
                f"Type {MOVE}{anew} when all is clear (s leaves this set-up, u takes back, q ends)"
            )
        if asks.begins:
            return "Enter when the gauge stands (s leaves this set-up, u takes back, q ends)"
        return (
            f"{TOUCHED} Enter: no, go on; r: yes, read this set-up again (s leaves it, u takes "
            "back, q ends)"
        )

    def _go_on(self, runs: Sequence[Run], asks: Asks) -> None:
        """The gauge stands: the readings may begin, or go on. Where the axis is moved they begin:
        a home and a gauge set anew give another zero."""
        if self.mover is not None:
            if not asks.begins:
                asks = self.broken_off(asks, ZERO_IS_GONE)
            self.mover.begin(self.sitting.session.runs[asks.run])
        elif not asks.begins:
            numbers = [self.sitting.place(run.name, 0)[0] for run in runs]
            untouched(self.sitting, numbers, datetime.now(UTC))

    def broken_off(self, asks: Asks, why: str) -> Asks:
        """Break off what is asked for, of two that are read together both; what is asked then.

        Raises:
            Overtaken: another program did something with the plan since; nothing is marked.
        """
        names = [run.name for run in self.hearing.read_at(asks)]
        with self.sitting.together():
            for name in names:
                self.sitting.interrupted(why, self.sitting.place(name, 0)[0])
        return self.sitting.session.asks or asks

    def _is_reading(self, text: str, run: Run) -> bool:
        try:
            self.sitting.session.hear(text, at=self.sitting.place(run.name, 0))
        except InputError:
            return False
        return True

    def counts_on(self) -> None:
        """After a break a gauge counts as it did in the set-up that is gone on with."""
        asks = self.sitting.session.asks
        if asks is not None and not asks.begins and not self.turns:
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


def say(words: str, *, err: bool = False) -> None:
    """Words to the person, folded to the width of a terminal."""
    for line in _lines(words):
        click.echo(line, err=err)


def ask(words: str, prompt: Callable[[str], str], *, err: bool = False) -> str:
    """A question, its last line before the answer."""
    *above, last = _lines(words)
    for line in above:
        click.echo(line, err=err)
    return prompt(f"{last} ")


def _lines(words: str) -> list[str]:
    lines: list[str] = []
    for line in words.split("\n"):
        indent = " " * (len(line) - len(line.lstrip(" ")))
        whole = len(line) <= WIDTH or max(map(len, line.split())) > WIDTH // 2  # a long path
        lines += [line.rstrip()] if whole else hung(indent, line.strip(), WIDTH)
    return lines
