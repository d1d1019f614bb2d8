"""Bearings for the ends of a screw: sizes by bore, and the ratings to reckon with."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.elements.ranges import above_zero
from plumbrise.errors import InputError


@dataclass(frozen=True, slots=True)
class Bearing:
    """A rolling bearing by its basic designation; lengths in mm, ratings in N.

    Sizes are laid down and the same everywhere. Ratings differ between makers by tens of per cent,
    so they are typical values for a first look: use those of the bearing bought.
    """

    designation: str
    bore_mm: float
    outer_mm: float
    width_mm: float
    dynamic_n: float
    static_n: float


def _row(designation: str, *sizes_and_ratings: float) -> tuple[str, Bearing]:
    return designation, Bearing(designation, *sizes_and_ratings)


RADIAL = dict(
    (
        _row("623", 3, 10, 4, 600, 200),
        _row("624", 4, 13, 5, 1_250, 480),
        _row("625", 5, 16, 5, 1_700, 670),
        _row("626", 6, 19, 6, 2_300, 900),
        _row("608", 8, 22, 7, 3_300, 1_400),
        _row("688", 8, 16, 4, 1_300, 600),
        _row("6000", 10, 26, 8, 4_600, 1_960),
        _row("6200", 10, 30, 9, 5_070, 2_240),
        _row("61800", 10, 19, 5, 1_400, 600),
        _row("61900", 10, 22, 6, 2_700, 1_270),
        _row("6001", 12, 28, 8, 5_100, 2_370),
        _row("6201", 12, 32, 10, 6_890, 3_100),
        _row("6202", 15, 35, 11, 7_800, 3_550),
        _row("6203", 17, 40, 12, 9_560, 4_500),
        _row("6204", 20, 47, 14, 12_700, 6_200),
    )
)
"""Deep groove ball bearings (boundary dimensions ISO 15). A 688 with shields is 5 mm wide. Ratings
of 6200 to 6204: Shigley table 11-2; the others are guesses."""

THRUST = dict(
    (
        _row("F8-16", 8, 16, 5, 2_500, 3_500),
        _row("51100", 10, 24, 9, 9_000, 14_000),
        _row("51101", 12, 26, 9, 9_800, 16_000),
        _row("51102", 15, 28, 9, 10_500, 18_000),
        _row("51103", 17, 30, 9, 11_000, 20_000),
        _row("51104", 20, 35, 10, 15_000, 28_000),
        _row("51105", 25, 42, 11, 18_000, 38_000),
    )
)
"""Single-direction thrust ball bearings (boundary dimensions ISO 104, series 11; F8-16 is a
miniature outside it). Bore is the shaft washer's, outer the housing washer's. Ratings: guesses."""


def radial_for(*, bore_mm: float) -> tuple[Bearing, ...]:
    """Deep groove bearings that fit a journal, the smallest outside first.

    Raises:
        InputError: no bearing of this bore.

    Example:
        >>> [bearing.designation for bearing in radial_for(bore_mm=8)]
        ['688', '608']
    """
    return _of_bore(RADIAL, bore_mm)


def thrust_for(*, bore_mm: float) -> tuple[Bearing, ...]:
    """Thrust ball bearings that fit a journal, the smallest outside first.

    A plain Tr8 screw has no 10 mm journal: a 51100 needs a collar or sleeve on it.

    Raises:
        InputError: no bearing of this bore.

    Example:
        >>> [bearing.designation for bearing in thrust_for(bore_mm=8)]
        ['F8-16']
    """
    return _of_bore(THRUST, bore_mm)


def _of_bore(table: dict[str, Bearing], bore_mm: float) -> tuple[Bearing, ...]:
    above_zero(bore_mm=bore_mm)
    found = sorted((b for b in table.values() if b.bore_mm == bore_mm), key=lambda b: b.outer_mm)
    if not found:
        bores = sorted({b.bore_mm for b in table.values()})
        raise InputError(
            place="bore_mm",
            value=bore_mm,
            allowed=", ".join(f"{bore:g}" for bore in bores) + " mm",
            remedy="Measure the journal that the bearing goes on, not the crests of the thread.",
        )
    return tuple(found)
