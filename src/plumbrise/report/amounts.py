"""How estimates with an interval are written: millimetres of loss, newtons, minutes."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, floor, log10

from plumbrise.drawing.figures import in_a_line, span_of
from plumbrise.explain.results import Interval
from plumbrise.quantity import places_for, plain

FINEST_LOSS_MM = 0.01
NOTHING_MM = 0.0005
NOT_WORTH_NAMING_MM = 0.02
"""Losses under this do not show in a print's layers and are not called a fault."""


def loss_words(interval: Interval) -> str:
    """A loss with its unit and give or take at 95 %, written as on the drawing.

    Example:
        >>> loss_words(Interval(0.32, 0.31, 0.33))
        '0.32 ± 0.01 mm'
    """
    if max(abs(interval.low), abs(interval.high)) < NOTHING_MM:
        return "nothing"
    span = span_of(interval)
    # stretching an interval that stops at nothing must not carry it to less than nothing
    return in_a_line(replace(span, low=max(0.0, span.low)) if interval.low >= 0 else span)


def loss_cell(interval: Interval) -> str:
    """A loss for a column headed mm.

    Example:
        >>> loss_cell(Interval(0.187, 0.166, 0.208)), loss_cell(Interval(0.02, 0.0, 0.1))
        ('0.19 ± 0.03', '0.00 to 0.12')
    """
    return loss_words(interval).removesuffix(" mm")


def range_words(interval: Interval, unit: str) -> str:
    """Any estimate by the ends of its interval, to sensible digits.

    Example:
        >>> range_words(Interval(28, 24.2, 33.1), "N/mm")
        '23 to 34 N/mm'
    """
    span = span_of(interval)
    places = places_for(span.half_width)
    tail = f" {unit}" if unit else ""
    if span.half_width >= 100:
        step = 10.0 ** (floor(log10(span.half_width)) - 1)
        return f"{round(span.low / step) * step:.0f} to {round(span.high / step) * step:.0f}{tail}"
    return f"{plain(span.low, places)} to {plain(span.high, places)}{tail}"


def bound_words(value_mm: float) -> str:
    """An upper bound rounded away from zero to a hundredth.

    Example:
        >>> bound_words(0.0112)
        '0.02 mm'
    """
    return f"{ceil(value_mm * 100 - 1e-9) / 100:.2f} mm"


def micrometres(value_mm: float) -> str:
    """Scatter, ripple and gauge error in micrometres.

    Example:
        >>> micrometres(0.0041), micrometres(0.0231)
        ('4.1 µm', '23 µm')
    """
    size = abs(1000 * value_mm)
    return f"{plain(1000 * value_mm, 1 if size < 10 else 0)} µm"


def minutes_words(minutes: float) -> str:
    """Time: whole minutes under an hour and a half, then hours in halves.

    Example:
        >>> minutes_words(5.6), minutes_words(100)
        ('6 min', '1.5 h')
    """
    if minutes < 90:
        return f"{max(1, round(minutes))} min"
    return f"{round(minutes / 30) / 2:g} h"


def settles_words(gain_bits: float, open_bits: float | None = None) -> str:
    """How much of the doubt a test is expected to settle, in the bits that tests are ranked by.

    Where what is open is known it is told as a share, else in how far one bit goes: one bit
    halves the possibilities.

    Example:
        >>> settles_words(0.8, 1.2), settles_words(0.05)
        ('settles about two thirds of what is open', 'settles little')
    """
    if open_bits is not None and open_bits > 0.05:
        share = min(1.0, gain_bits / open_bits)
        for limit, words in _SHARES:
            if share < limit:
                return words
        return "settles nearly all of what is open"
    if gain_bits < 0.1:
        return "settles little"
    if gain_bits < 0.5:
        return "settles some of what is open"
    if gain_bits < 1.0:
        return "settles a good part of what is open"
    return "settles one question of two answers or more"


_SHARES = (
    (0.08, "settles little"),
    (0.2, "settles some of what is open"),
    (0.29, "settles about a quarter of what is open"),
    (0.42, "settles about a third of what is open"),
    (0.58, "settles about half of what is open"),
    (0.71, "settles about two thirds of what is open"),
    (0.88, "settles about three quarters of what is open"),
)
