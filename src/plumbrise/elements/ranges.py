"""The ranges in which a formula holds: what lies outside is refused with its place and a remedy."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf

from plumbrise.errors import InputError

_REMEDY = "Measure it, or read it off the drawing."


def above_zero(remedy: str = _REMEDY, /, **quantities: float) -> None:
    """Refuse a quantity that is not a finite number above zero; its keyword is its place.

    Raises:
        InputError: zero, below zero, infinite or not a number.

    Example:
        >>> above_zero(length_mm=-3.0)
        Traceback (most recent call last):
        plumbrise.errors.InputError: length_mm: -3.0 given, above 0 allowed. \
Measure it, or read it off the drawing.
    """
    for place, value in quantities.items():
        if not 0 < value < inf:
            raise InputError(place=place, value=value, allowed="above 0", remedy=remedy)


def not_below_zero(remedy: str = _REMEDY, /, **quantities: float) -> None:
    """Refuse a quantity below zero, infinite or not a number; its keyword is its place.

    Raises:
        InputError: such a quantity.
    """
    for place, value in quantities.items():
        if not 0 <= value < inf:
            raise InputError(place=place, value=value, allowed="0 or more", remedy=remedy)


def between(low: float, high: float, remedy: str = _REMEDY, /, **quantities: float) -> None:
    """Refuse a quantity outside low to high, both ends allowed; its keyword is its place.

    Raises:
        InputError: such a quantity.

    Example:
        >>> between(0, 1, share=1.5)
        Traceback (most recent call last):
        plumbrise.errors.InputError: share: 1.5 given, 0 to 1 allowed. \
Measure it, or read it off the drawing.
    """
    for place, value in quantities.items():
        if not low <= value <= high:
            raise InputError(
                place=place, value=value, allowed=f"{low:g} to {high:g}", remedy=remedy
            )


def one_of(known: Iterable[str], remedy: str = "Use one of these.", /, **names: str) -> None:
    """Refuse a name that a table does not have; its keyword is its place.

    Raises:
        InputError: an unknown name.
    """
    allowed = tuple(known)
    for place, name in names.items():
        if name not in allowed:
            raise InputError(place=place, value=name, allowed=", ".join(allowed), remedy=remedy)
