"""What is typed for one reading, or taken from the indicator, and what is done with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from plumbrise.errors import InputError
from plumbrise.hardware.indicator import Indicator, NotTaken, take
from plumbrise.measure.session import Asks, suspicion
from plumbrise.measure.stillness import StillnessRule
from plumbrise.quantity import INCH_MM
from plumbrise.readings import Reading, Run
from plumbrise.store.sitting import Beside, Overtaken, Sitting

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


class Ends(Exception):
    """The person ends the sitting."""


@dataclass(slots=True)
class Hearing:
    """Hears one line after another. `shown_mm` is what Enter keeps; `left` says that the set-up was
    left or is done again, so that the gauge is set up anew."""

    sitting: Sitting
    indicator: Indicator | None
    prompt: Callable[[str], str]
    said: Callable[[str], None]
    shown_mm: float | None = None
    left: bool = False

    def hear(self, run: Run, asks: Asks) -> None:
        """One line from the person, and what it says to do."""
        shown = ""
        if self.shown_mm is not None:
            shown = f" [{self._in_unit(self.shown_mm)}, Enter keeps]"
        elif self.indicator is not None:
            shown = " [Enter takes it from the indicator]"
        where = f"{asks.reading + 1}/{len(run.readings)}"
        told = _told(run, run.readings[asks.reading])
        self._done(self.prompt(f"  {where}  told {told}{shown}: ").strip(), run, asks)

    def _done(self, text: str, run: Run, asks: Asks) -> None:
        word, _, rest = text.partition(" ")
        if text == "":
            if self.shown_mm is not None:
                self._keep(self.shown_mm, run, asks)
            elif not self.take():
                self.said("  Type what the gauge shows.")
        elif word == "a":
            self.shown_mm = None
            self.take()
        elif word == "q":
            raise Ends
        elif word == "?":
            for key, words in KEYS:
                self.said(f"  {key:9} {words}")
        elif word == "x":
            self._keep(None, run, asks)
        elif word == "u":
            self.undo()
        elif word == "n":
            self.sitting.note(rest.strip())
            self.said("  Noted.")
        elif word == "t":
            self.sitting.temp_c = _number(rest, "t", -30, 80)
        elif word in ("r", "s"):
            (self.sitting.repeat if word == "r" else self.sitting.skip)()
            self.shown_mm, self.left = None, True
        elif word == "m":
            self._mend(rest, run, asks)
        else:
            question = self.sitting.session.hear(text, at=(asks.run, asks.reading))
            self.shown_mm = question.heard.value_mm
            if question.words:
                self.said(f"  {question.words}")
            elif not question.heard.turns:
                self._keep(self.shown_mm, run, asks)

    def _keep(self, value_mm: float | None, run: Run, asks: Asks) -> None:
        """Keep a value, or go on without one. Where something was done elsewhere meanwhile it still
        goes to the reading that it was typed for; if that was taken there, it is marked beside."""
        while True:
            at = self.sitting.place(run.name, asks.reading)
            try:
                if not self.sitting.session.is_open(*at):
                    self.said("  " + stands(self.sitting.beside(at, value_mm), "yours"))
                elif value_mm is None:
                    self.sitting.cannot_read(at=at)
                else:
                    self.sitting.keep(value_mm, at=at)
                    self.said(f"  {self._in_unit(value_mm)} kept")
            except Overtaken:
                continue
            self.shown_mm = None
            return

    def _mend(self, rest: str, run: Run, asks: Asks) -> None:
        which, _, value = rest.strip().partition(" ")
        number = int(_number(which, "m", 1, len(run.readings)))
        question = self.sitting.session.hear(value, at=(asks.run, number - 1))
        if question.words:
            self.said(f"  {question.words}")
        self.sitting.mend(asks.run, number - 1, question.heard.value_mm)
        self.said(f"  Reading {number} is now {self._in_unit(question.heard.value_mm)}.")

    def undo(self) -> None:
        """Take the last thing back, and say what."""
        act = self.sitting.undo()
        self.shown_mm = None
        if act is None:
            self.said("  Nothing to take back.")
        elif act.value_mm is not None:
            self.said(f"  {self._in_unit(act.value_mm)} taken back.")
        else:
            self.said(f"  Taken back: {act.did.value}.")

    def take(self) -> bool:
        """The value at rest, shown for the person to keep; False where there is no indicator."""
        if self.indicator is None:
            return False
        rule = StillnessRule(within_mm=max(self.sitting.session.resolution_mm, 0.001))
        found = take(self.indicator, rule)
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


def _told(run: Run, row: Reading) -> str:
    told = f"{row.target_mm:g} mm" + (f", {row.mass_kg:g} kg" if row.mass_kg else "")
    told += f", {row.force_n:g} N" if row.force_n else ""
    return told + (f", at {row.time_s:g} s" if row.time_s and not run.kind.moves else "")


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
