"""Spreadsheets (XLSX, ODS) to rows of cells, without trusting what the file says of its size."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from typing import Any

from plumbrise.errors import InputError
from plumbrise.files.cells import MOST_CELLS, MOST_ROWS, Line

LARGEST_UNPACKED = 100_000_000
MOST_MEMBERS = 1000
_REMEDY = "Save the table as CSV and give that."
_CELL = re.compile(
    rb"""<(?:\w+:)?(?:c|row|dimension)\b[^>]*?\b(?:r|ref)\s*=\s*["']([A-Z0-9:]{1,40})["']"""
)
_REPEATED = re.compile(rb"""(number-(?:columns|rows)-repeated)\s*=\s*["']\s*(\d{4,})\s*["']""")


def is_spreadsheet(data: bytes) -> bool:
    """True for a zip archive, which is what XLSX and ODS are."""
    return data.startswith(b"PK\x03\x04")


def lines_of_workbook(
    data: bytes, name: str, recognised: Callable[[tuple[str, ...]], int]
) -> tuple[tuple[Line, ...], str]:
    """The rows of the first sheet that has a header of readings, and the sheet's name if there
    are several; without a header the first sheet that is not empty.

    Raises:
        InputError: no spreadsheet, too large, encrypted or damaged.
    """
    sheets = _sheets(_safe(data, name), name)
    filled = [(title, lines) for title, lines in sheets if lines]
    if not filled:
        return (), ""
    best = max(filled, key=lambda s: max(recognised(line.cells) for line in s[1][:20]))
    found = next(
        (s for s in filled if any(recognised(line.cells) >= 2 for line in s[1][:20])),
        best if recognised(best[1][0].cells) else filled[0],
    )
    return found[1], found[0] if len(sheets) > 1 else ""


def _refused(name: str, value: str, allowed: str, remedy: str = _REMEDY) -> InputError:
    return InputError(place=name, value=value, allowed=allowed, remedy=remedy)


def _safe(data: bytes, name: str) -> bytes:
    """The archive if it unpacks to a bounded size and names no cell far out; repeats of empty
    cells, which some programs write to the edge of the sheet, are cut."""
    members = _unpacked(data, name)
    if "xl/workbook.xml" in members:
        for member, content in members.items():
            if member.endswith(".xml"):  # a sheet may lie under any name
                _near_cells(content, name)
        return data
    if "content.xml" not in members or b"spreadsheet" not in members.get("mimetype", b""):
        raise _refused(
            name, "a zip archive", "text, XLSX or ODS", "Give the table that lies in it."
        )
    members["content.xml"] = _REPEATED.sub(rb'\1="1"', members["content.xml"])
    _bounded_rows(members["content.xml"], name)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for member, content in members.items():
            archive.writestr(member, content)
    return packed.getvalue()


def _unpacked(data: bytes, name: str) -> dict[str, bytes]:
    members: dict[str, bytes] = {}
    left = LARGEST_UNPACKED
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if len(archive.infolist()) > MOST_MEMBERS:
                raise _refused(name, "an archive of many files", "one spreadsheet")
            for info in archive.infolist():
                if info.flag_bits & 1:
                    raise _refused(
                        name, "an encrypted file", "an open one", "Save it without a password."
                    )
                with archive.open(info) as member:
                    content = member.read(left + 1)
                left -= len(content)
                if left < 0:
                    raise _refused(
                        name,
                        "a spreadsheet that unpacks to over 100 MB",
                        "one session's table",
                    )
                members[info.filename] = content
    except InputError:
        raise
    except (
        zipfile.BadZipFile,
        OSError,
        EOFError,
        ValueError,
        NotImplementedError,
        RuntimeError,
        OverflowError,
        _ZLIB_ERROR,
        _LZMA_ERROR,
    ) as problem:
        raise _refused(name, f"a damaged archive ({problem})", "a whole spreadsheet") from None
    return members


def _zip_errors() -> tuple[type[Exception], type[Exception]]:
    import lzma
    import zlib

    return zlib.error, lzma.LZMAError


_ZLIB_ERROR, _LZMA_ERROR = _zip_errors()


def _bounded_rows(content: bytes, name: str) -> None:
    """Rows, counted with their repeats, before the reader makes them."""
    rows = 0
    for row in re.finditer(rb"<(?:\w+:)?table-row\b[^>]*>", content):
        repeats = re.search(rb"number-rows-repeated\s*=\s*[\"']\s*(\d{1,3})\b", row[0])
        rows += int(repeats[1]) if repeats else 1
        if rows > 2 * MOST_ROWS:
            raise _refused(
                name,
                f"over {2 * MOST_ROWS} rows",
                f"up to {MOST_ROWS} rows",
                "Delete what stands far down on the sheet, or save the table as CSV.",
            )


def _near_cells(sheet: bytes, name: str) -> None:
    """A single cell at the far edge would make the reader fill the whole sheet."""
    for found in _CELL.finditer(sheet):
        for reference in found[1].split(b":"):
            letters = reference.rstrip(b"0123456789")
            row = int(reference[len(letters) :] or b"1")
            column = 0
            for letter in letters:
                column = 26 * column + letter - 64
            if row > MOST_ROWS or column > MOST_CELLS:
                raise _refused(
                    name,
                    f"a cell {reference.decode()}",
                    f"up to {MOST_ROWS} rows and {MOST_CELLS} columns",
                    "Delete what stands far out on the sheet, or save the table as CSV.",
                )


def _sheets(data: bytes, name: str) -> list[tuple[str, tuple[Line, ...]]]:
    from python_calamine import CalamineError, load_workbook

    try:
        workbook = load_workbook(io.BytesIO(data))
        found = []
        for title in workbook.sheet_names:
            sheet = workbook.get_sheet_by_name(title)
            rows = sheet.to_python(skip_empty_area=False)
            found.append((title, _lines(rows)))
        return found
    except (CalamineError, ValueError, OSError) as problem:
        raise _refused(name, f"a damaged spreadsheet ({problem})", "a whole one") from None
    except BaseException as problem:
        if type(problem).__name__ != "PanicException":  # how the Rust library gives up
            raise
        raise _refused(name, "a damaged spreadsheet", "a whole one") from None


def _lines(rows: list[list[Any]]) -> tuple[Line, ...]:
    found = []
    for number, row in enumerate(rows, 1):
        cells = tuple(_written(cell).strip() for cell in row)
        if any(cells):
            found.append(Line(number, cells))
    return tuple(found)


def _written(cell: Any) -> str:
    """A cell as a person would have typed it: whole numbers come as 1.0."""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime | date | time | timedelta):
        return f"{cell} (a date)"
    return str(cell)
