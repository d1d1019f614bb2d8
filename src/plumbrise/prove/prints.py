"""A printed part measured before and after: by caliper, over layers and walls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt
from statistics import mean, stdev

from plumbrise.quantity import Measured, Unit, combined

PRINT = "print"
"""Stands where other figures name their test."""
CALIPER_U_MM = 0.012
"""Standard uncertainty of one caliper reading: 0.02 mm either way as a rectangle (common
practice, no source)."""
FEWEST_FOR_SPREAD = 3


@dataclass(frozen=True, slots=True)
class PrintReading:
    """One measurement of a print: what it is ("wall", "layer 1"), where on the plate or part,
    what was told and what was measured, mm."""

    what: str
    place: str
    told_mm: float
    read_mm: float


@dataclass(frozen=True, slots=True)
class PrintFigure:
    """A dimension at a place: how far its mean is off what was told, how much it spreads (None
    below three measurements), and the error of each measurement."""

    what: str
    place: str
    off: Measured
    spread: Measured | None
    errors_mm: tuple[float, ...]


def print_figures(readings: Sequence[PrintReading]) -> tuple[PrintFigure, ...]:
    """What the measurements say of each dimension at each place.

    Example:
        >>> layers = [PrintReading("layer 1", "left", 0.2, mm) for mm in (0.12, 0.14, 0.13)]
        >>> (first,) = print_figures(layers)
        >>> round(first.off.value, 2), round(first.spread.value, 2)
        (0.07, 0.01)
    """
    found: dict[tuple[str, str], list[float]] = {}
    for one in readings:
        found.setdefault((one.what, one.place), []).append(one.read_mm - one.told_mm)
    return tuple(
        PrintFigure(what, place, _off(errors), _spread(errors), tuple(errors))
        for (what, place), errors in found.items()
    )


def _off(errors: list[float]) -> Measured:
    count = len(errors)
    parts = [(CALIPER_U_MM, inf)]
    if count > 1:
        parts.append((stdev(errors) / sqrt(count), float(count - 1)))
    u, dof = combined(parts)
    return Measured(abs(mean(errors)), u, Unit.MM, dof)


def _spread(errors: list[float]) -> Measured | None:
    if len(errors) < FEWEST_FOR_SPREAD:
        return None
    dof = len(errors) - 1
    sd = max(stdev(errors), CALIPER_U_MM)
    return Measured(sd, sd / sqrt(2 * dof), Unit.MM, float(dof))
