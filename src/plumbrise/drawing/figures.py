"""How losses and forces are written on a drawing: to 0.01 mm, with their give or take."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

from plumbrise.explain.results import Interval
from plumbrise.quantity import Measured, Unit, plain

LEVEL = 0.95
LOPSIDED = 1.8
"""From this ratio of the two arms on an interval is written "0.02 to 0.05"."""


@dataclass(frozen=True, slots=True)
class Span:
    """A value with the ends of its 95 % interval, all in `unit`."""

    value: float
    low: float
    high: float
    unit: Unit = Unit.MM

    @property
    def half_width(self) -> float:
        """Half of the interval."""
        return (self.high - self.low) / 2

    @property
    def lopsided(self) -> bool:
        """True where one arm is so much longer that a single give or take would mislead."""
        if self.high - self.low < 1.5 * _unit_in_last_place(self.unit):
            return False
        up, down = self.high - self.value, self.value - self.low
        return max(up, down) > LOPSIDED * max(min(up, down), 0.0)


def span_of(interval: Interval, unit: Unit = Unit.MM) -> Span:
    """An interval of any level as one of 95 %: each arm stretched as a normal one would be.

    Example:
        >>> span = span_of(Interval(0.19, 0.17, 0.21, level=0.9))
        >>> round(span.high, 3)
        0.214
    """
    normal = NormalDist()
    stretch = normal.inv_cdf((1 + LEVEL) / 2) / normal.inv_cdf((1 + interval.level) / 2)
    low = interval.estimate - stretch * (interval.estimate - interval.low)
    high = interval.estimate + stretch * (interval.high - interval.estimate)
    if interval.low > 0 >= low:  # what is above 0 stays above it: stretched by ratios
        low = interval.estimate * (interval.low / interval.estimate) ** stretch
    return Span(interval.estimate, min(low, interval.estimate), max(high, interval.estimate), unit)


def span_of_measured(measured: Measured) -> Span:
    """A measured value with its 95 % interval."""
    arm = measured.expanded
    return Span(measured.value, measured.value - arm, measured.value + arm, measured.unit)


def value_and_doubt(span: Span) -> tuple[str, str]:
    """The value and its give or take as two pieces, to be set in two weights.

    Example:
        >>> value_and_doubt(Span(0.19, 0.171, 0.209)), value_and_doubt(Span(0.03, 0.02, 0.08))
        (('0.19', '±0.02'), ('0.02 to 0.08', ''))
    """
    places = _places(span)
    if span.lopsided:
        return f"{plain(span.low, places)} to {plain(span.high, places)}", ""
    if span.half_width <= 0:
        return plain(span.value, places), ""
    least = 10.0**-places
    return plain(span.value, places), f"±{max(span.half_width, least):.{places}f}"


def in_a_line(span: Span) -> str:
    """The value, its give or take and its unit.

    Example:
        >>> in_a_line(Span(0.19, 0.171, 0.209))
        '0.19 ± 0.02 mm'
    """
    value, doubt = value_and_doubt(span)
    tail = f" ± {doubt[1:]}" if doubt else ""
    return f"{value}{tail} {span.unit}".rstrip()


def loss_in_a_line(span: Span) -> str:
    """What is lost, which is never less than nothing, with its unit.

    Example:
        >>> loss_in_a_line(Span(0.05, -0.01, 0.11)), loss_in_a_line(Span(0.19, 0.17, 0.21))
        ('0.00 to 0.11 mm', '0.19 ± 0.02 mm')
    """
    places = _places(span)
    if round(span.half_width, places) < round(span.value, places):
        return in_a_line(span)
    return f"{plain(max(span.low, 0.0), places)} to {plain(span.high, places)} {span.unit}"


def spoken(span: Span) -> str:
    """The value as it is said aloud.

    Example:
        >>> spoken(Span(0.19, 0.171, 0.209))
        '0.19 millimetres, give or take 0.02'
    """
    unit = _SPOKEN_UNITS.get(span.unit, str(span.unit))
    value, doubt = value_and_doubt(span)
    tail = f", give or take {doubt[1:]}" if doubt else ""
    return f"{value} {unit}{tail}"


_SPOKEN_UNITS = {Unit.MM: "millimetres", Unit.N: "newtons"}


def _places(span: Span) -> int:
    if span.unit is Unit.MM:
        return 2
    return 0 if span.half_width >= 2.95 else 1


def _unit_in_last_place(unit: Unit) -> float:
    return 0.01 if unit is Unit.MM else 0.1
