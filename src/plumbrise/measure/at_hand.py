"""The gauges that a plan was made for, as a line at the head of its worksheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite

from plumbrise.errors import InputError
from plumbrise.machine import Machine

MARK = "gauge at hand"
"""The first cell of that line."""
BOUNDS = {"resolution_mm": (0.0001, 0.1), "stroke_mm": (0.2, 300.0), "at_once": (1, 2)}
"""What each may be; mm, and how many gauges."""


@dataclass(frozen=True, slots=True)
class AtHand:
    """The gauge at hand where it is not the one of the machine file: its smallest step, how far
    its plunger goes, and how many gauges read at once.

    Raises:
        InputError: a step, stroke or number that no gauge has.

    Example:
        >>> AtHand(resolution_mm=0.001, at_once=2).cells
        ('gauge at hand', 'resolution_mm=0.001', 'at_once=2')
    """

    resolution_mm: float | None = None
    stroke_mm: float | None = None
    at_once: int = 1

    def __post_init__(self) -> None:
        for name, (low, high) in BOUNDS.items():
            value = getattr(self, name)
            if value is not None and not (isfinite(value) and low <= value <= high):
                unit = " mm" if name.endswith("_mm") else ""
                raise InputError(
                    place=f"{MARK}, {name}",
                    value=value,
                    allowed=f"{low:g} to {high:g}{unit}",
                    remedy="Give it in mm." if unit else "Give one gauge or two.",
                )

    @property
    def cells(self) -> tuple[str, ...]:
        """The cells of its line; none where all is as the machine file says."""
        given = {name: getattr(self, name) for name in BOUNDS}
        said = {n: v for n, v in given.items() if v is not None and (n, v) != ("at_once", 1)}
        return (MARK, *(f"{name}={value:g}" for name, value in said.items())) if said else ()


def with_gauge(machine: Machine, at_hand: AtHand) -> Machine:
    """The machine with the gauge at hand in place of its own."""
    given = {"resolution_mm": at_hand.resolution_mm, "range_mm": at_hand.stroke_mm}
    here = {name: value for name, value in given.items() if value is not None}
    return replace(machine, gauge=replace(machine.gauge, **here))


AS_DESCRIBED = AtHand()
"""One gauge, the one of the machine file."""


def at_hand_in(rows: Sequence[Sequence[str]]) -> AtHand:
    """The gauges that the rows at the head of a worksheet name; the machine file's if none does.

    Raises:
        InputError: the line is there and cannot be read.

    Example:
        >>> at_hand_in([["gauge at hand", "stroke_mm=5"], ["run", "target_mm"]])
        AtHand(resolution_mm=None, stroke_mm=5.0, at_once=1)
    """
    found = next((row for row in rows if is_at_hand(row)), ())
    said = [cell.partition("=") for cell in found[1:] if cell.strip()]
    values: dict[str, float] = {}
    for name, equals, value in said:
        try:
            number = float(value.strip().replace(",", "."))
            whole = name.strip() != "at_once" or number.is_integer()
            if not equals or name.strip() not in BOUNDS or not isfinite(number) or not whole:
                raise ValueError
            values[name.strip()] = number
        except ValueError as problem:
            raise InputError(
                place=f"worksheet, {MARK}",
                value=f"{name}{equals}{value}",
                allowed=", ".join(f"{one}=a number" for one in BOUNDS),
                remedy="Mend the line, or take it out: the machine file's gauge then counts.",
            ) from problem
    return AtHand(
        resolution_mm=values.get("resolution_mm"),
        stroke_mm=values.get("stroke_mm"),
        at_once=int(values.get("at_once", 1)),
    )


def is_at_hand(cells: Sequence[str]) -> bool:
    """Whether a row of a table is this line."""
    return bool(cells) and cells[0].strip().lower() == MARK
