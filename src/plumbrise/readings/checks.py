"""What a readings table may hold: the bounds of every number, and what no gauge or axis does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from plumbrise.errors import InputError
from plumbrise.readings.table import Reading


@dataclass(frozen=True, slots=True)
class Bound:
    """Between which ends a column's numbers lie; outside, something else was typed."""

    low: float
    high: float
    remedy: str


BOUNDS = {
    "seq": Bound(0, 1e6, "Count the readings of a run from 0."),
    "target_mm": Bound(
        0, 2000, "Heights are told from 0 upward, in mm. Raise the targets if they went below 0."
    ),
    "reading_mm": Bound(
        -500, 500, "No gauge reads that far. Look for a lost decimal point or the wrong unit."
    ),
    "mass_kg": Bound(0, 50, "Give the hung mass in kg; 0.5 for 500 g."),
    "mass_at_mm": Bound(-500, 3000, "Measure from the left guide, in mm."),
    "force_n": Bound(-1000, 1000, "Give the force in N; a pull downward is negative."),
    "torque_nmm": Bound(-100_000, 100_000, "Give the torque in N·mm: force times lever arm."),
    "time_s": Bound(0, 1e7, "Give the seconds since the start of the session."),
    "temp_c": Bound(-50, 150, "Give the temperature in °C."),
}
"""Column -> its bounds, in the column's unit. Wide on purpose: they catch slips, not bad axes."""


def checked(column: str, value: float, shown: object) -> float:
    """The value, if its column can hold it.

    Args:
        column: its name.
        value: in the column's unit.
        shown: what the person wrote, for the error.

    Raises:
        InputError: not finite, or outside the column's bounds.

    Example:
        >>> checked("temp_c", 21.5, "21.5")
        21.5
    """
    bound = BOUNDS[column]
    if isfinite(value) and bound.low <= value <= bound.high:
        return value
    unit = {"_mm": " mm", "_kg": " kg", "_n": " N", "_nmm": " N·mm", "_s": " s", "_c": " °C"}.get(
        column[column.rfind("_") :] if "_" in column else "", ""
    )
    raise InputError(
        place=column,
        value=shown,
        allowed=f"{bound.low:g} to {bound.high:g}{unit}",
        remedy=bound.remedy,
    )


def faults_of_order(readings: Sequence[Reading]) -> Iterator[tuple[Reading, InputError]]:
    """Readings of one run, in order, that cannot follow those before them."""
    seen: dict[int, Reading] = {}
    latest: Reading | None = None
    for reading in readings:
        before = seen.get(reading.seq)
        if before is not None:
            yield (
                reading,
                InputError(
                    place="seq",
                    value=reading.seq,
                    allowed=f"a number that row {before.row} has not",
                    remedy="Number the readings of a run in the order taken, or give the second "
                    "set-up its own run.",
                ),
            )
        seen.setdefault(reading.seq, reading)
        if reading.time_s is None:
            continue
        if latest is not None and latest.time_s is not None and reading.time_s < latest.time_s:
            yield (
                reading,
                InputError(
                    place="time_s",
                    value=reading.time_s,
                    allowed=f"{latest.time_s:g} or more, the time of row {latest.row},",
                    remedy="Time does not run back within a run. Correct the time or the order.",
                ),
            )
        else:
            latest = reading
