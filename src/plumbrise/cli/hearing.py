"""What is typed for one reading, or taken from the indicator, and what is done with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from plumbrise.errors import InputError
from plumbrise.hardware.indicator import Indicator, NotTaken, take_together
from plumbrise.measure.by_hand import asked_words, on_the_way
from plumbrise.measure.pairs import read_at
from plumbrise.measure.session import Asks
from plumbrise.measure.stillness import StillnessRule
from plumbrise.quantity import INCH_MM
from plumbrise.readings import Run
from plumbrise.report.names import station_name
from plumbrise.store.counting import COUNTS, turn_round, written_down
from plumbrise.store.sitters import Beside, Overtaken
from plumbrise.store.sitting import Sitting

KEYS = (
    ("a number", "what the gauge shows: 12.64, 12,64, or what the hand points at, 64"),
    ("Enter", "keep what is shown; with an indicator and nothing shown, take it"),
    ("a", "take it from the indicator again"),
    ("x", "this one cannot be read"),
    ("u", "forget what is shown, or take the last back; of two gauges both"),
    ("d", "the figure falls when what the tip rests on rises; again: it rises"),
    ("d 2", "the same of the second gauge"),
    ("n words", "a note on the last reading"),
    ("m 3 0.64", "reading 3 of this set-up was 0.64"),
    ("t 21.5", "the air is at 21.5 degrees from now on"),
    ("r", "leave this set-up as it is and do it again"),
    ("s", "leave the rest of this set-up"),
    ("q", "end here; the same command goes on later"),
    ("?", "this list"),
)
"""What may be typed."""


class Ends(Exception):
    """The person ends the sitting."""


@dataclass(slots=True)
class Hearing:
    """Hears one line after another. `at_once` gauges read at each target, the first `indicators` of
    them by themselves. `shown` is what Enter keeps, by set-up; `held` what was said for this target
    and waits for the other gauge; `left` says that a set-up was left or is done again, so that the
    gauge is set up anew; `typed` that what is shown was typed, `by_hand` that the person moves the
    axis."""

    sitting: Sitting
    indicators: tuple[Indicator, ...]
    at_once: int
    prompt: Callable[[str], str]
    said: Callable[[str], None]
    gauge_serials: tuple[str, ...] = ()
    shown: dict[str, float] = field(default_factory=dict)
    held: dict[str, float | None] = field(default_factory=dict)
    left: bool = False
    typed: bool = False
    by_hand: bool = False
    _guided: tuple[str, int] | None = None

    def forget(self) -> None:
        """What was shown or said for this target and not kept yet is for nothing."""
        self.shown, self.held, self.typed = {}, {}, False

    def read_at(self, asks: Asks) -> tuple[Run, ...]:
        """The set-ups that are read at this target: with two gauges there may be two."""
        session = self.sitting.session
        return tuple(session.runs[number] for number in read_at(session, asks))

    def hear(self, asks: Asks) -> None:
        """One line from the person, and what it says to do."""
        runs = self.read_at(asks)
        run = next(one for one in runs if one.name not in self.held)
        shown, about = "", [run]
        if seen := [one for one in runs if one.name in self.shown]:
            values = " and ".join(self.in_unit(self.shown[one.name]) for one in seen)
            shown, about = f" [{values}, Enter keeps]", seen
        elif len(self.indicators) > runs.index(run):
            shown = " [Enter takes it from the indicator]"
        where = f"{asks.reading + 1}/{len(run.readings)}"
        told = asked_words(run, asks.reading)
        self._guide(run, asks.reading)
        places = " and ".join(station_name(one.station.id) for one in about)
        at = f", {places}" if len(runs) > 1 else ""
        self.answered(self.prompt(f"  {where}  {told}{at}{shown}: ").strip(), run, asks)

    def _guide(self, run: Run, reading: int) -> None:
        """What the axis does on the way, said once, where the person moves it."""
        if self.by_hand and self._guided != (run.name, reading):
            self._guided = run.name, reading
            if words := on_the_way(run, reading):
                self.said(f"  Move it {words}.")

    def answered(self, text: str, run: Run, asks: Asks) -> None:
        """Do what a line says."""
        word, _, rest = text.partition(" ")
        if text == "":
            if self.shown:
                self._keep(dict(self.shown), asks)
            elif not self.take(asks):
                self.said("  Type what the gauge shows.")
        elif word == "a":
            self.shown = {}
            self.take(asks)
        elif word == "q":
            raise Ends
        elif word == "?":
            for key, words in KEYS:
                self.said(f"  {key:9} {words}")
        elif word == "x":
            self._keep({run.name: None}, asks)
        elif word == "u":
            self.undo()
        elif word == "d":
            self.turn_round(self.read_at(asks)[-1] if rest.strip() == "2" else run)
        elif word == "n":
            self.sitting.note(rest.strip())
            self.said("  Noted.")
        elif word == "t":
            self.sitting.temp_c = _number(rest, "t", -30, 80)
        elif word in ("r", "s"):
            self.leave(asks, again=word == "r")
            self.left = True
        elif word == "m":
            self._mend(rest, run)
        else:
            at = self.sitting.place(run.name, asks.reading)
            question = self.sitting.session.hear(text, at=at)
            value_mm = question.heard.value_mm
            if question.words:
                self.said(f"  {question.words}")
            turned = run.name in self.sitting.session.counts_down
            if question.words or question.heard.turns or turned:
                self.shown[run.name], self.typed = value_mm, True
            else:
                self._keep({run.name: value_mm}, asks)

    def _keep(self, values: dict[str, float | None], asks: Asks) -> None:
        """Keep these values, or go on without where there is None; with two gauges once both have
        said theirs, and then both or neither."""
        self.held |= values
        for name in values:
            self.shown.pop(name, None)
        self.typed = self.typed and bool(self.shown)
        runs = self.read_at(asks)
        if any(run.name not in self.held for run in runs):
            return
        held, self.held = self.held, {}
        told: list[str] = []
        try:
            while not told:
                try:
                    with self.sitting.together():
                        told = [
                            self._kept(run, held[run.name], asks.reading, gauge)
                            for gauge, run in enumerate(runs)
                        ]
                except Overtaken:
                    if not self._has(runs):  # done again, and that taken back elsewhere
                        held = {}
                        raise
        except BaseException:
            self.shown = {name: value for name, value in held.items() if value is not None}
            raise
        for words in told:
            self.said(words)

    def _has(self, runs: tuple[Run, ...]) -> bool:
        """Whether these set-ups are asked for still, or were."""
        names = {run.name for run in self.sitting.session.runs}
        return all(run.name in names for run in runs)

    def _kept(self, run: Run, value_mm: float | None, reading: int, gauge: int) -> str:
        """Keep one value. Where something was done elsewhere meanwhile it still goes to the reading
        that it was typed for; if that was taken there, it is marked beside."""
        at = self.sitting.place(run.name, reading)
        self.sitting.source = "indicator" if gauge < len(self.indicators) else "keyboard"
        self.sitting.gauge_serial = "".join(self.gauge_serials[gauge : gauge + 1])
        if not self.sitting.session.is_open(*at):
            return "  " + stands(self.sitting.beside(at, value_mm), "yours")
        if value_mm is None:
            self.sitting.cannot_read(at=at)
            return "  Passed over."
        self.sitting.keep(value_mm, at=at)
        if run.name in self.sitting.session.counts_down:
            written_down(self.sitting, at[0])
        return f"  {self.in_unit(value_mm)} kept"

    def leave(self, asks: Asks, *, again: bool) -> None:
        """Leave the rest of a set-up, or do it again; of two that are read together both."""
        self.forget()
        names = [run.name for run in self.read_at(asks)]
        with self.sitting.together():
            for name in names:
                number, _ = self.sitting.place(name, 0)
                (self.sitting.repeat if again else self.sitting.skip)(number)

    def _mend(self, rest: str, run: Run) -> None:
        which, _, value = rest.strip().partition(" ")
        at = self.sitting.place(run.name, int(_number(which, "m", 1, len(run.readings))) - 1)
        question = self.sitting.session.hear(value, at=at)
        value = self.in_unit(question.heard.value_mm)
        if question.words:
            self.said(f"  {question.words}")
            if self.prompt(f"  Enter makes it {value}, anything else leaves it: ").strip():
                self.said(f"  Reading {at[1] + 1} stays as it was.")
                return
        self.sitting.mend(*at, question.heard.value_mm)
        self.said(f"  Reading {at[1] + 1} is now {value}.")

    def undo(self) -> None:
        """Take the last thing back, and say what: first what was said and is not kept yet."""
        if self.held or (self.shown and self.typed):
            self.forget()
            self.said("  What was said for this target is forgotten.")
            return
        self.forget()
        for act in self.sitting.undo_all():
            if act is None:
                self.said("  Nothing to take back.")
            elif act.value_mm is not None:
                self.said(f"  {self.in_unit(act.value_mm)} taken back.")
            else:
                self.said(f"  Taken back: {act.did.value}.")

    def take(self, asks: Asks) -> bool:
        """The values at rest, shown for the person to keep; False where there is no indicator."""
        runs = [run for run in self.read_at(asks) if run.name not in self.held]
        by_name = dict(zip([run.name for run in self.read_at(asks)], self.indicators, strict=False))
        indicators = {run.name: by_name[run.name] for run in runs if run.name in by_name}
        if not indicators:
            return False
        session, self.typed = self.sitting.session, False
        rule = StillnessRule(within_mm=max(session.step_mm, 0.001))
        for name, found in take_together(indicators, rule).items():
            station = next(run.station for run in runs if run.name == name)
            whose = f"{station_name(station.id)}: " if len(runs) > 1 else ""
            if isinstance(found, NotTaken):
                self.said(f"  {whose}{found.words} Type the value, or Enter to look again.")
                continue
            at = self.sitting.place(name, asks.reading)
            self.shown[name] = session.upwards(at[0], found.mm)
            if words := session.doubt(self.shown[name], at):
                self.said(f"  {whose}{words}")
        return True

    def turn_round(self, run: Run) -> None:
        """The gauge of a set-up counts the other way than was taken; what was read is turned."""
        self.forget()
        number, _ = self.sitting.place(run.name, 0)
        down = run.name not in self.sitting.session.counts_down
        turned = turn_round(self.sitting, number, down=down)
        whose = f"{station_name(run.station.id)}: " if self.at_once > 1 else ""
        self.said(f"  {whose}{COUNTS[down]}")
        if turned:
            self.said(f"  {turned} readings of this set-up are turned round with it.")

    def in_unit(self, value_mm: float) -> str:
        """A value in the gauge's unit, with the digits that it has."""
        session = self.sitting.session
        if session.inches:
            return f"{value_mm / INCH_MM:.4f} in ({value_mm:.3f} mm)"
        return f"{value_mm:.{3 if session.step_mm < 0.0095 else 2}f} mm"


def stands(beside: Beside, whose: str) -> str:
    """What stands of a reading that was taken before, and what became of the value that came.

    Example:
        >>> stands(Beside("left", 3, 0.62, 0.64), "yours")
        'Reading 3 of left stands as 0.62 mm; yours, 0.64 mm, is marked beside it.'
    """
    of = f"Reading {beside.number} of {beside.run}"
    held = "was left" if beside.stands_mm is None else f"stands as {beside.stands_mm:g} mm"
    if beside.came_mm is None or beside.came_mm == beside.stands_mm:
        return f"{of} {held}."
    return f"{of} {held}; {whose}, {beside.came_mm:g} mm, is marked beside it."


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
