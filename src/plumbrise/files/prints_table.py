"""A table of what was measured on a print: what, place, told_mm, read_mm."""

from __future__ import annotations

import csv
import io

from plumbrise.errors import InputError, InputErrors
from plumbrise.prove import PrintReading
from plumbrise.quantity import typed

COLUMNS = ("what", "place", "told_mm", "read_mm")
LARGEST_MM = 1000.0


def read_prints(text: str, *, name: str) -> tuple[PrintReading, ...]:
    """The measurements of a print, one a row; comma, semicolon or tab between the columns.

    Args:
        text: the table with its head.
        name: the file's name, for errors.

    Raises:
        InputError: a column is missing, or there is no row.
        InputErrors: all rows that cannot be used.

    Example:
        >>> read_prints("what,place,told_mm,read_mm\\nwall,left,2,1.93\\n", name="a.csv")[0].read_mm
        1.93
    """
    rows = list(csv.reader(io.StringIO(text), delimiter=_between(text)))
    rows = [row for row in rows if any(cell.strip() for cell in row)]
    head = [cell.strip().lower() for cell in rows[0]] if rows else []
    missing = [column for column in COLUMNS if column not in head]
    if missing or len(rows) < 2:
        raise InputError(
            place=f"{name}, columns",
            value=", ".join(head)[:60],
            allowed=", ".join(COLUMNS),
            remedy="Give a head with these columns and a row for each measurement.",
        )
    found, faults = [], []
    for number, row in enumerate(rows[1:], start=2):
        try:
            found.append(_reading(dict(zip(head, row, strict=False))))
        except InputError as fault:
            faults.append(fault.within(f"{name}, row {number}"))
    if faults:
        raise InputErrors(faults)
    return tuple(found)


def _between(text: str) -> str:
    first = text.split("\n", 1)[0]
    return max(",;\t", key=first.count)


def _reading(row: dict[str, str]) -> PrintReading:
    words = {column: row.get(column, "").strip() for column in COLUMNS}
    for column in ("what", "place"):
        if not words[column]:
            raise InputError(
                place=column, value="", allowed="a word", remedy="Say what and where it is."
            )
    return PrintReading(
        words["what"],
        words["place"],
        _length(words["told_mm"], "told_mm"),
        _length(words["read_mm"], "read_mm"),
    )


def _length(text: str, column: str) -> float:
    value = typed(text, "length", column)
    if not 0 <= value <= LARGEST_MM:
        raise InputError(
            place=column,
            value=text,
            allowed=f"0 to {LARGEST_MM:g} mm",
            remedy="Give it as the caliper shows it.",
        )
    return value
