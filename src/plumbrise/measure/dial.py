"""What a person types from a gauge: a whole value, or only the figures under the hand of a dial."""

from __future__ import annotations

import re
from dataclasses import dataclass

from plumbrise.errors import InputError
from plumbrise.quantity import INCH_MM

TURN_MM, TURN_IN = 1.0, 0.1
"""One turn of a dial of 0.01 mm, or of 0.001 inch, whose turns nobody named (common practice)."""
FINE_MM = 0.005
"""Dials finer than this turn in many ways: without their turn said, figures are no reading."""
STEP_IN = 0.001
LARGEST_MM = 300.0
_FIGURES = re.compile(r"[+-]?[0-9]{1,4}")
_VALUE = re.compile(r"[+-]?([0-9]+[.,][0-9]*|[.,][0-9]+|[0-9]+)")


@dataclass(frozen=True, slots=True)
class Expected:
    """What a reading should be about: its middle and how far off is still ordinary (mm)."""

    middle_mm: float
    span_mm: float

    def far_off_mm(self, value_mm: float) -> float:
        """By how much a value lies outside the span; 0 inside.

        Example:
            >>> round(Expected(1.0, 0.3).far_off_mm(1.44), 3)
            0.14
        """
        return max(0.0, abs(value_mm - self.middle_mm) - self.span_mm)


@dataclass(frozen=True, slots=True)
class Heard:
    """What was taken from what was typed. `turns` is True where only the figures of a dial were
    given and the whole turns come from what is expected."""

    value_mm: float
    turns: bool


def turn_of(resolution_mm: float, *, turn_mm: float | None, inches: bool = False) -> float:
    """Way of one turn of a dial (mm), as said or as is usual; 0 for one that is to be typed whole.

    Example:
        >>> turn_of(0.01, turn_mm=None), turn_of(0.001, turn_mm=None), turn_of(0.001, turn_mm=0.2)
        (1.0, 0.0, 0.2)
    """
    if turn_mm or inches:
        return turn_mm or TURN_IN * INCH_MM
    return TURN_MM if resolution_mm > FINE_MM else 0.0


def heard(
    text: str,
    *,
    expected: Expected | None,
    resolution_mm: float = 0.01,
    turn_mm: float | None = None,
    inches: bool = False,
    counts_down: bool = False,
) -> Heard:
    """The value that typed text stands for (mm).

    Figures without a point are counted in steps of the gauge, and the whole turns are those that
    bring them nearest to what is expected; with nothing expected they are the value itself.

    Args:
        text: as typed; a decimal comma is a point.
        expected: what the reading should be about.
        resolution_mm: smallest step of the gauge.
        turn_mm: way of one turn of the dial; if left out 1 mm, or a tenth of an inch, and for a
            fine dial none, so that it has to be typed whole.
        inches: the gauge shows inches.
        counts_down: its figure falls when what the tip rests on rises. `expected` and the value
            are positive upwards all the same.

    Raises:
        InputError: text that is no reading, or one beyond any gauge.

    Example:
        >>> heard("64", expected=Expected(12.6, 0.5)).value_mm
        12.64
        >>> heard("2", expected=Expected(3.98, 0.3)).value_mm
        4.02
        >>> heard("12,64", expected=None)
        Heard(value_mm=12.64, turns=False)
        >>> heard("38", expected=Expected(0.6, 0.5), counts_down=True).value_mm
        0.62
    """
    sign = -1 if counts_down else 1
    typed = text.strip().removesuffix("mm").removesuffix("in").rstrip()
    typed = typed.replace("\N{MINUS SIGN}", "-")
    unit = INCH_MM if inches else 1.0
    step = STEP_IN * INCH_MM if inches else resolution_mm
    turn = turn_of(resolution_mm, turn_mm=turn_mm, inches=inches)
    if _FIGURES.fullmatch(typed) and abs(int(typed)) * step < turn - step / 2:
        shown = int(typed) * step
        if expected is None:
            return Heard(round(sign * shown, 6) + 0.0, True)
        whole = round((sign * expected.middle_mm - shown) / turn)
        return Heard(round(sign * (shown + whole * turn), 6) + 0.0, True)
    if not _VALUE.fullmatch(typed):
        raise InputError(
            place="reading",
            value=text.strip() or "nothing",
            allowed="a number such as 0.64 or 0,64, or the figures of the dial such as 64",
            remedy="Type it again, x if it cannot be read, or ? for all that may be typed.",
        )
    value = float(typed.replace(",", ".")) * unit
    if abs(value) > LARGEST_MM:
        raise InputError(
            place="reading",
            value=text.strip(),
            allowed=f"up to {LARGEST_MM:g} mm",
            remedy="Type it again with its decimal point.",
        )
    return Heard(round(sign * value, 6) + 0.0, False)
