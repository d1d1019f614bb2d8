"""Text to rows of cells: which separator, which rows, which cells are numbers."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from plumbrise.errors import InputError

MOST_ROWS = 20_000
MOST_CELLS = 200
HEADER_WITHIN = 20
"""A header stands in the first rows; what is above it is a title."""
LONGEST_RECORD = 5
"""A cell in quotes may hold a few line ends; more means that a quote was not closed."""


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a table that is not blank, with its number in the file."""

    number: int
    cells: tuple[str, ...]


_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(?:,[0-9]{3})+")
_SPACES = "\N{NO-BREAK SPACE}\N{THIN SPACE}\N{NARROW NO-BREAK SPACE}"
SEPARATORS = {"|": "bar", "\t": "tab", ";": "semicolon", " ": "space", ",": "comma"}
"""What parts cells, and its name; a comma comes last because it may be a decimal comma. Bars are
those of a table in Markdown."""
_RULE = re.compile(r":?-+:?")
"""A cell of the line that Markdown draws under a header."""


def number_in(cell: str) -> float | None:
    """The number in a cell, decimal point or comma; None if it is none.

    Example:
        >>> number_in("0,35"), number_in("\N{MINUS SIGN}2.5"), number_in("0,3,5")
        (0.35, -2.5, None)
    """
    cleaned = cell.strip(" \\t" + _SPACES).replace("\N{MINUS SIGN}", "-").lstrip("'")
    if not _NUMBER.fullmatch(cleaned):
        return None
    return float(cleaned.replace(",", "."))


def looks_grouped(cell: str) -> bool:
    """True for 1,234: a thousand written with a comma, or a decimal comma."""
    return bool(_GROUPED.fullmatch(cell.strip()))


def lines_of(text: str, separator: str) -> tuple[Line, ...]:
    """The rows of a text that are not blank.

    Raises:
        InputError: more rows or cells than a table of readings has, or a quote left open.
    """
    found: list[Line] = []
    for number, cells in _records(text, separator):
        if any(cell.strip() for cell in cells) and not _is_rule(cells, separator):
            if len(found) >= MOST_ROWS:
                raise InputError(
                    place=f"row {number}",
                    value=f"over {MOST_ROWS} rows",
                    allowed=f"up to {MOST_ROWS} rows",
                    remedy="Give one session's readings a file.",
                )
            if len(cells) > MOST_CELLS:
                raise InputError(
                    place=f"row {number}",
                    value=f"{len(cells)} cells",
                    allowed=f"up to {MOST_CELLS} cells",
                    remedy="Give the table of readings alone, one reading a row.",
                )
            found.append(Line(number, tuple(cell.strip() for cell in cells)))
    return tuple(found)


def _is_rule(cells: list[str], separator: str) -> bool:
    filled = [cell.strip() for cell in cells if cell.strip()]
    return separator == "|" and all(_RULE.fullmatch(cell) for cell in filled)


def _records(text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    if separator == " ":
        for number, line in enumerate(io.StringIO(text, newline=None), 1):
            yield number, line.split()
        return
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    start = 0
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as problem:
            raise InputError(
                place=f"row {start + 1}",
                value=str(problem),
                allowed="short cells",
                remedy="A quote that is not closed makes one cell of all that follows. Close it.",
            ) from None
        if cells is None:
            return
        if reader.line_num - start > LONGEST_RECORD:
            raise InputError(
                place=f"row {start + 1}",
                value=separator.join(cells)[:40],
                allowed="cells of a few lines",
                remedy="A quote is opened in this row and not closed. Close it or take it out.",
            )
        yield start + 1, cells
        start = reader.line_num


def split(text: str, recognised: Callable[[tuple[str, ...]], int]) -> tuple[str, tuple[Line, ...]]:
    """The separator under which most column names are recognised, and the rows under it.

    Args:
        text: the whole table.
        recognised: how many column names a row of cells holds.

    Returns:
        The separator, and the rows. Without a header that is recognised: the separator that gives
        two numbers in every row, else one that gives them under two titles, else a comma.
    """
    named = re.match(r"sep=(.)[ \t]*(?:\r\n|\r|\n)", text)
    if named and named[1] in SEPARATORS:
        return named[1], lines_of(text[named.end() - 1 :], named[1])
    start = "".join(text.splitlines(keepends=True)[:HEADER_WITHIN])
    names = {separator: _names_under(start, separator, recognised) for separator in SEPARATORS}
    best = max(SEPARATORS, key=lambda separator: names[separator])
    if names[best] > 1 and best != " ":
        return best, lines_of(text, best)
    for separator in SEPARATORS:
        if names[best] > 1 and separator == best:  # titles of several words are still two titles
            return best, lines_of(text, best)
        try:
            lines = lines_of(text, separator)
        except InputError:
            continue
        if lines and all(_pair(line.cells, separator) for line in lines):
            return separator, lines
        if titled_pairs(lines):
            return separator, lines
    return ",", lines_of(text, ",")


def titled_pairs(lines: tuple[Line, ...]) -> bool:
    """Two titles, and under them two columns of numbers that may have gaps.

    Example:
        >>> titled_pairs(lines_of("soll;Uhr\\n0;0\\n1;0,4\\n2;", ";"))
        True
        >>> titled_pairs(lines_of("0;0\\n1;0,4", ";"))
        False
    """
    if len(lines) < 2:
        return False
    first, *below = lines
    at = [i for i, cell in enumerate(first.cells) if cell]
    if len(at) != 2 or any(number_in(first.cells[i]) is not None for i in at):
        return False
    rows = [[cell for i, cell in enumerate(line.cells) if cell or i in at] for line in below]
    numbers = all(number_in(cell) is not None for row in rows for cell in row if cell)
    whole = sum(len(row) == 2 and all(row) for row in rows)
    return numbers and all(len(row) <= 2 for row in rows) and 2 * whole > len(rows)


def _names_under(start: str, separator: str, recognised: Callable[[tuple[str, ...]], int]) -> int:
    """How many column names the first rows hold, parted so; a tab or semicolon wins a draw."""
    try:
        return max((recognised(line.cells) for line in lines_of(start, separator)), default=0)
    except InputError:
        lines = start.splitlines()
        return max(
            (recognised(tuple(c.strip() for c in line.split(separator))) for line in lines),
            default=0,
        )


def _pair(cells: tuple[str, ...], separator: str) -> bool:
    """Two numbers and nothing else."""
    filled = [cell for cell in cells if cell]
    if separator == "," and any("," in cell for cell in filled):
        return False
    return len(filled) == 2 and all(number_in(cell) is not None for cell in filled)
