"""The faults of a readings table as a person is told them: each once, and not without end."""

from __future__ import annotations

from collections.abc import Sequence

from plumbrise.analyse.beyond_told import BeyondTold, spans
from plumbrise.errors import InputError

MOST_SHOWN = 4
"""Values of one fault that are shown."""
MOST_TOLD = 50
"""Faults that are told; of the rest only the number."""


def each_once(faults: Sequence[InputError]) -> list[InputError]:
    """The same fault of several rows told once, with all its rows."""
    same: dict[tuple[str, ...], list[InputError]] = {}
    for fault in sorted(faults, key=_row_of):
        where = fault.place.partition(", ")[2]
        same.setdefault((where, repr(fault.value), fault.allowed, fault.remedy), []).append(fault)
    told = []
    for first, *others in same.values():
        rows = spans(_row_of(other) for other in others)
        remedy = f"{first.remedy} The same in row{'s' if len(others) > 1 else ''} {rows}."
        told.append(
            InputError(
                place=first.place,
                value=first.value,
                allowed=first.allowed,
                remedy=remedy if others else first.remedy,
            )
        )
    return told


def capped(problems: list[InputError], name: str) -> list[InputError]:
    """The first faults, and how many more there are."""
    more = len(problems) - MOST_TOLD
    if more <= 0:
        return problems
    last = InputError(
        place=f"{name}, and {more} more faults",
        value=len(problems),
        allowed="0 faults",
        remedy="Mend the ones above, they often have one reason, and read the file again.",
    )
    return [*problems[:MOST_TOLD], last]


def no_readings(beyond: BeyondTold) -> InputError:
    """A run most of whose readings no axis gives, with the rows and what was written instead."""
    found = [beyond.run.readings[i] for i in beyond.readings]
    rows = spans(reading.row or 0 for reading in found)
    return InputError(
        place=f"row{'s' if len(found) > 1 else ''} {rows}, reading_mm",
        value=", ".join(f"{reading.reading_mm:g}" for reading in found[:MOST_SHOWN])
        + (", ..." if len(found) > MOST_SHOWN else ""),
        allowed=f"readings within {beyond.limit_mm:g} mm of where the axis was told",
        remedy=beyond.what_it_may_be,
    )


def none_taken() -> InputError:
    """A table of blanks, such as a worksheet that nobody filled in yet."""
    return InputError(
        place="reading_mm",
        value="no reading",
        allowed="at least one row with a reading",
        remedy="Write what the gauge showed beside the told heights; a row may stay empty.",
    )


def _row_of(problem: InputError) -> int:
    digits = problem.place.removeprefix("row ").split(",")[0]
    return int(digits) if digits.isdigit() else 0
