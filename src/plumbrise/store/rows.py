"""A reading as a row of the store and back, and the plain form in which a table can hold it."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import replace
from typing import Any

from plumbrise.errors import InputError
from plumbrise.files.cells import LONGEST_RECORD
from plumbrise.files.header import recognised
from plumbrise.readings import Reading
from plumbrise.readings.checks import BOUNDS, checked
from plumbrise.store.records import Kept

FIELDS = (
    "seq",
    "target_mm",
    "reading_mm",
    "approach",
    "mass_kg",
    "mass_at_mm",
    "force_n",
    "torque_nmm",
    "time_s",
    "temp_c",
    "note",
)
"""Fields of a reading that are columns of the store under the same name."""
LONGEST_NOTE = 10_000


def cells_of(reading: Reading) -> dict[str, Any]:
    """The reading's cells by the store's column."""
    cells = {name: getattr(reading, name) for name in FIELDS}
    return cells | {
        "assumed": int(reading.assumed),
        "other": json.dumps(reading.other, ensure_ascii=False),
    }


def reading_in(row: sqlite3.Row) -> Reading:
    """The reading that a row holds."""
    return Reading(
        **{name: row[name] for name in FIELDS},
        assumed=bool(row["assumed"]),
        other=tuple((title, cell) for title, cell in json.loads(row["other"])),
    )


def kept_in(row: sqlite3.Row) -> Kept:
    """The reading that a row holds, with what is known of its keeping."""
    return Kept(
        id=row["id"],
        run_id=row["run_id"],
        reading=reading_in(row),
        kept_at=row["kept_at"],
        skipped=bool(row["skipped"]),
        token=row["token"],
        taken_back_at=row["taken_back_at"],
        instead_of=row["instead_of"],
    )


def plain(reading: Reading) -> Reading:
    """The reading as every readings table can hold it, and be read from again.

    Numbers stay as they are; notes lose blank ends, control characters and lines beyond what a
    cell may have (joined to the last one). The row of a file that it came from is left out.

    Raises:
        InputError: a value that no readings table holds.

    Example:
        >>> plain(Reading(seq=0, target_mm=1, reading_mm=0.98, approach="up", note=" a\\tb ")).note
        'a b'
    """
    for column in BOUNDS:
        value = getattr(reading, column)
        if value is not None:
            checked(column, value, value)
    if reading.approach not in ("up", "down"):
        raise InputError(
            place="approach",
            value=reading.approach,
            allowed="up or down",
            remedy="Name the direction of the last move.",
        )
    other = _plain_other(reading.other)
    spare = LONGEST_RECORD - 1 - sum(cell.count("\n") for _, cell in other)
    return replace(reading, note=plain_text(reading.note, lines=spare + 1), other=other, row=None)


def _plain_other(other: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    """Cells of columns that the program does not know, each column once."""
    found: dict[str, str] = {}
    spare = LONGEST_RECORD - 1
    for title, cell in other:
        name = plain_text(title, lines=1)
        if not name or recognised((name,)):
            raise InputError(
                place="other",
                value=title,
                allowed="a column of your own",
                remedy="Give the column a name that the readings table does not use itself.",
            )
        number = 2
        while name in found:
            name, number = f"{plain_text(title, lines=1)} ({number})", number + 1
        text = plain_text(cell, lines=spare + 1)
        spare -= text.count("\n")
        if text:
            found[name] = text
    return tuple(found.items())


def plain_text(text: str, *, lines: int) -> str:
    """Text that comes through a table unchanged: no control characters, few line ends.

    Raises:
        InputError: longer than a cell should be.

    Example:
        >>> plain_text("one\\r\\ntwo\\nthree\\x00", lines=2)
        'one\\ntwo; three'
    """
    if len(text) > LONGEST_NOTE:
        raise InputError(
            place="note",
            value=f"{len(text)} characters",
            allowed=f"up to {LONGEST_NOTE}",
            remedy="Shorten the text.",
        )
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    text = text.encode("utf-8", "replace").decode("utf-8")  # half of a pair is no character
    text = "".join(" " if (c < " " and c != "\n") or c == "\x7f" else c for c in text).strip()
    parts = text.split("\n")
    return "\n".join([*parts[: lines - 1], "; ".join(parts[lines - 1 :])]).strip()
