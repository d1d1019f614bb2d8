"""The table of a test part: written with an empty column, read back with its measures."""

from __future__ import annotations

import csv
from collections.abc import Callable
from io import StringIO
from math import isfinite
from typing import Any

from plumbrise.errors import InputError, InputErrors
from plumbrise.foresee import Lift, Print, Start
from plumbrise.foresee.part import PartToPrint
from plumbrise.foresee.part_evidence import Measured

COLUMNS = ("place", "place_mm", "layers", "told_mm", "expected_mm", "print", "thickness_mm")
NEEDED = ("place_mm", "layers", "thickness_mm")
PRINTED: dict[str, Callable[[str], Any]] = {
    "layer_mm": float,
    "width_mm": float,
    "first_mm": float,
    "start": Start,
    "lift": Lift,
    "lift_mm": float,
    "offset_mm": float,
    "dip_to_mm": float,
    "probe_n": float,
}
"""What of a print is written in a cell, and how it is read back."""
USUAL = Print()
THICKEST_MM = 50.0
MOST_SHOWN = 80
MOST_LAYERS = 200
MOST_ROWS = 200
"""A part has fifteen squares; each is weighed against all others."""


def write_part(part: PartToPrint) -> str:
    """The steps of a test part, one a row, the thickness to be filled in. Each row says how the
    part is to be printed."""
    out, printed = StringIO(), written(part.job)
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for patch in part.patches:
        writer.writerow(
            [
                patch.place,
                f"{patch.place_mm:g}",
                patch.layers,
                f"{patch.told_mm:.3f}",
                f"{patch.expected_mm.estimate:.3f}",
                printed,
                "",
            ]
        )
    return out.getvalue()


def read_part(text: str, *, name: str) -> tuple[Measured, ...]:
    """The measured steps of a table; rows without a thickness are passed over.

    Args:
        text: the table, commas or semicolons between its columns.
        name: of the file, for the errors.

    Raises:
        InputError: no table, or another.
        InputErrors: all that is wrong with it.

    Example:
        >>> read_part("place_mm,layers,thickness_mm\\n68,2,0.31\\n68,3,\\n", name="part.csv")
        (Measured(place_mm=68.0, layers=2, thickness_mm=0.31),)
    """
    columns, rows = _rows(text, name)
    if not set(NEEDED) <= set(columns):
        raise InputErrors([_no_part(f"{name}, columns", ", ".join(columns)[:MOST_SHOWN] or "none")])
    if len(rows) > MOST_ROWS:
        raise InputErrors([_no_part(f"{name}, rows", len(rows))])
    problems: list[InputError] = []
    found: list[Measured] = []
    for number, row in enumerate(rows, start=2):
        if not (row["thickness_mm"] or "").strip():
            continue
        try:
            found.append(_measured(row))
        except InputError as problem:
            problems.append(problem.within(f"{name}, row {number}"))
    if problems:
        raise InputErrors(problems)
    return tuple(found)


def written(job: Print) -> str:
    """How a part is printed, where it is not as usual, in a cell of its table.

    Example:
        >>> written(Print(start=Start.UP, layer_mm=0.16))
        'layer_mm=0.16 start=up'
        >>> printed_as(written(Print(start=Start.UP, spiral=True)), name="part.csv").start
        <Start.UP: 'up'>
    """
    said = {one: getattr(job, one) for one in PRINTED if getattr(job, one) != getattr(USUAL, one)}
    return " ".join(f"{name}={value}" for name, value in said.items())


def printed_as(text: str, *, name: str) -> Print:
    """How a part was printed, from that cell; as usual where it is empty.

    Args:
        text: the cell.
        name: of the table, for the errors.

    Raises:
        InputError: a cell that the program did not write.
    """
    found: dict[str, Any] = {}
    try:
        for word in text.split():
            key, _, value = word.partition("=")
            found[key] = PRINTED[key](value)
        return Print(**found)
    except (KeyError, ValueError) as problem:
        if isinstance(problem, InputError):
            raise problem.within(f"{name}, print") from None
        raise InputError(
            place=f"{name}, print",
            value=text,
            allowed="as --test-part wrote it",
            remedy="Leave the column as it is.",
        ) from None


def print_in(text: str, *, name: str) -> Print:
    """How the part of a table was printed.

    Raises:
        InputError: the table does not say it as the program writes it.
    """
    _, rows = _rows(text, name)
    row = rows[0] if rows else {}
    return printed_as((row.get("print") or "").strip(), name=name)


def _rows(text: str, name: str) -> tuple[list[str], list[dict[str, str | None]]]:
    """The names of the columns, and the rows."""
    first = text.split("\n", 1)[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    try:
        reader = csv.DictReader(StringIO(text, newline=None), delimiter=delimiter)
        rows: list[dict[str, str | None]] = list(reader)
    except csv.Error as problem:
        raise _no_part(name, str(problem)) from None
    return list(reader.fieldnames or []), rows


def _no_part(place: str, value: object) -> InputError:
    return InputError(
        place=place,
        value=value,
        allowed=f"a table with {', '.join(NEEDED)}, {MOST_ROWS} rows at most,",
        remedy="Use the table that --test-part wrote.",
    )


def _measured(row: dict[str, str | None]) -> Measured:
    layers = _number(row, "layers", 1, MOST_LAYERS)
    if layers != int(layers):
        raise InputError(
            place="layers",
            value=row["layers"],
            allowed="a whole number",
            remedy="Count the layers of the step.",
        )
    return Measured(
        place_mm=_number(row, "place_mm", 0, 5000),
        layers=int(layers),
        thickness_mm=_number(row, "thickness_mm", 0.001, THICKEST_MM),
    )


def _number(row: dict[str, str | None], column: str, low: float, high: float) -> float:
    text = (row[column] or "").strip().replace(",", ".")
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not (isfinite(value) and low <= value <= high):
        raise InputError(
            place=column,
            value=text,
            allowed=f"a number from {low:g} to {high:g}",
            remedy="Correct the cell, or leave the thickness empty.",
        )
    return value
