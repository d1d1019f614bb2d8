"""Standard tolerances of holes and shafts, and the clearance of a fit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from plumbrise.errors import InputError

Key = TypeVar("Key", int, str)

SIZES_MM = ((3.0, 6.0), (6.0, 10.0), (10.0, 18.0), (18.0, 30.0), (30.0, 50.0))
"""Ranges of nominal size, above the first and up to the second."""
GRADES_UM = {
    5: (5, 6, 8, 9, 11),
    6: (8, 9, 11, 13, 16),
    7: (12, 15, 18, 21, 25),
    8: (18, 22, 27, 33, 39),
}
"""Tolerance grade -> width of the tolerance in each range (ISO 286-1, table 1)."""
NEAREST_UM = {
    "h": (0, 0, 0, 0, 0),
    "g": (4, 5, 6, 7, 9),
    "f": (10, 13, 16, 20, 25),
}
"""Letter -> distance of the near limit from the nominal size in each range: a shaft lies below by
it, a hole of the capital letter above (ISO 286-1, from memory)."""


@dataclass(frozen=True, slots=True)
class Limits:
    """How far a size may be off from nominal."""

    lower_mm: float
    upper_mm: float


def tolerance_width_mm(*, size_mm: float, grade: int) -> float:
    """Width of a standard tolerance.

    Args:
        size_mm: nominal, above 3 and up to 50.
        grade: 5 to 8; ground shafts come in 6, reamed holes in 7.

    Raises:
        InputError: a size or a grade that the table does not have.

    Source:
        ISO 286-1, table 1.

    Example:
        >>> tolerance_width_mm(size_mm=8, grade=6)
        0.009
    """
    return _row("grade", grade, GRADES_UM)[_range_of(size_mm)] / 1000


def limits(*, size_mm: float, zone: str) -> Limits:
    """Limits of a hole or shaft such as "H7" or "h6".

        shaft: upper = -a, lower = -a - IT        hole: lower = +a, upper = +a + IT

    Args:
        size_mm: nominal, above 3 and up to 50.
        zone: a letter of `NEAREST_UM`, capital for a hole, and a grade.

    Raises:
        InputError: a size, letter or grade that the tables do not have.

    Source:
        ISO 286-1 and 286-2.

    Example:
        >>> limits(size_mm=8, zone="h6"), limits(size_mm=22, zone="H7")
        (Limits(lower_mm=-0.009, upper_mm=0.0), Limits(lower_mm=0.0, upper_mm=0.021))
    """
    letter, digits = zone[:1], zone[1:]
    near = _row("zone", letter.lower(), NEAREST_UM)[_range_of(size_mm)]
    grade = int(digits) if digits.isdecimal() else 0
    far = near + _row("zone", grade, GRADES_UM)[_range_of(size_mm)]
    if letter.isupper():
        return Limits(near / 1000, far / 1000)
    return Limits(-far / 1000, 0.0 if near == 0 else -near / 1000)


def clearance_mm(*, size_mm: float, hole: str, shaft: str) -> Limits:
    """Least and most room of a shaft in a hole; below zero it has to be pressed in.

        least = hole_lower - shaft_upper        most = hole_upper - shaft_lower

    Raises:
        InputError: as `limits`, or a hole in small letters, or a shaft in capitals.

    Source:
        ISO 286-1.

    Example:
        >>> clearance_mm(size_mm=8, hole="H7", shaft="h6")
        Limits(lower_mm=0.0, upper_mm=0.024)
    """
    if not (hole[:1].isupper() and shaft[:1].islower()):
        raise InputError(
            place="fit",
            value=f"{hole}/{shaft}",
            allowed="a capital for the hole and a small letter for the shaft",
            remedy="Write it like H7/h6.",
        )
    around, inside = limits(size_mm=size_mm, zone=hole), limits(size_mm=size_mm, zone=shaft)
    return Limits(around.lower_mm - inside.upper_mm, around.upper_mm - inside.lower_mm)


def _range_of(size_mm: float) -> int:
    for index, (above, up_to) in enumerate(SIZES_MM):
        if above < size_mm <= up_to:
            return index
    raise InputError(
        place="size_mm",
        value=size_mm,
        allowed="above 3 and up to 50 mm",
        remedy="Look other sizes up in the standard.",
    )


def _row(place: str, key: Key, table: Mapping[Key, tuple[int, ...]]) -> tuple[int, ...]:
    if key not in table:
        raise InputError(
            place=place,
            value=key,
            allowed=", ".join(map(str, table)),
            remedy="Use one of these.",
        )
    return table[key]
