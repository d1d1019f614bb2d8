"""What can go wrong with a file on disk, in words that say what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from plumbrise.errors import InputError


class ShelfError(InputError):
    """The shelf's file cannot be used, or could not take what it was given: nothing of it is kept.

    `value` holds what is wrong.
    """

    def __init__(self, *, place: str, wrong: str, remedy: str) -> None:
        super().__init__(place=place, value=wrong, allowed="", remedy=remedy)

    def __str__(self) -> str:
        return f"{self.place}: {self.value}. {self.remedy}"

    def within(self, outer: str) -> ShelfError:
        """The same error seen from outside."""
        return type(self)(place=f"{outer}, {self.place}", wrong=str(self.value), remedy=self.remedy)


class ShelfDamaged(ShelfError):
    """The file opens, and a check of the whole of it fails."""


NOT_KEPT = "What was entered last is not kept; all before it is."
WORDS = {
    "SQLITE_FULL": ("the disk is full", f"{NOT_KEPT} Make room, then enter it again."),
    "SQLITE_IOERR": (
        "the disk did not take or give the data",
        f"{NOT_KEPT} See whether the disk is full, at its limit or unplugged, then enter it again.",
    ),
    "SQLITE_READONLY": (
        "the file may be read and not written",
        "Copy it to a folder of your own and name the copy (--shelf FILE).",
    ),
    "SQLITE_CANTOPEN": (
        "the file cannot be opened",
        "See that its folder is there and may be written, or name another file (--shelf FILE).",
    ),
    "SQLITE_PERM": (
        "the file may not be opened",
        "Name a file of your own (--shelf FILE).",
    ),
    "SQLITE_NOTADB": (
        "this is not a shelf, and nothing in it was changed",
        "Name the right file (--shelf FILE), or one that is not there yet.",
    ),
    "SQLITE_CORRUPT": (
        "the file is damaged",
        "Leave it as it is, and go on with the last backup (--shelf FILE).",
    ),
    "SQLITE_BUSY": (
        "another program is writing and has not let go",
        f"{NOT_KEPT} Close the other program, or wait for it, then enter it again.",
    ),
    "SQLITE_LOCKED": (
        "another program is writing and has not let go",
        f"{NOT_KEPT} Close the other program, or wait for it, then enter it again.",
    ),
    "SQLITE_PROTOCOL": (
        "the file's locks do not work",
        "A folder on a network does that. Keep the shelf on a disk of this computer.",
    ),
}
"""What SQLite calls it -> what is wrong, what to do. Longer names (SQLITE_IOERR_WRITE) begin
alike."""


def shelf_error(path: Path, problem: sqlite3.Error, remedy: str = "") -> ShelfError | None:
    """The same trouble in words; None if it is none of the file's, so a fault of the program."""
    name = getattr(problem, "sqlite_errorname", "")
    for start, (wrong, usual) in WORDS.items():
        if name.startswith(start):
            kind = ShelfDamaged if start == "SQLITE_CORRUPT" else ShelfError
            said = remedy if remedy and usual.startswith(NOT_KEPT) else usual
            return kind(place=str(path), wrong=wrong, remedy=said)
    return None


@contextmanager
def told(path: Path, remedy: str = "") -> Iterator[None]:
    """What SQLite says of this file becomes a ShelfError, nothing is swallowed. `remedy` stands in
    place of what is said where a person's entry is not kept."""
    try:
        yield
    except sqlite3.Error as problem:
        found = shelf_error(path, problem, remedy)
        if found is None:
            raise
        raise found from problem
