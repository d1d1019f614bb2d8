"""A copy of the whole shelf as one plain file, checked before it gets its name."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from contextlib import suppress
from pathlib import Path

from plumbrise.store.troubles import ShelfDamaged, ShelfError, told

NO_COPY = "No copy is left, and the shelf is as it was. Make room, or name another folder."


def copy_checked(source: sqlite3.Connection, to: Path) -> Path:
    """Copy a shelf that may be in use, check the copy, then give it its name.

    Args:
        source: an open connection, in no transaction of its own.
        to: a file that is not there yet, in a folder that is.

    Raises:
        ShelfDamaged: the copy does not pass SQLite's check of the whole file; none is left.
        ShelfError: it is there already, or cannot be written; nothing is left of it.
    """
    if to.exists():
        raise ShelfError(
            place=str(to), wrong="this is there already", remedy="Name a file that is not there."
        )
    try:
        handle, name = tempfile.mkstemp(dir=to.parent, prefix=f".{to.name}.", suffix=".part")
    except OSError as problem:
        raise ShelfError(
            place=str(to),
            wrong=f"no file can be made there: {problem.strerror or problem}",
            remedy="Name another folder.",
        ) from problem
    os.close(handle)
    beside = Path(name)
    try:
        with told(to, NO_COPY):
            _copy(source, beside, to)
        os.replace(beside, to)
        sync_folder(to.parent)
    finally:
        for left in (beside, *(Path(f"{beside}{end}") for end in ("-wal", "-shm", "-journal"))):
            left.unlink(missing_ok=True)
    return to


def _copy(source: sqlite3.Connection, beside: Path, to: Path) -> None:
    target = sqlite3.connect(beside, isolation_level=None)
    try:
        target.execute("PRAGMA synchronous = FULL")
        source.backup(target)
        target.execute("PRAGMA journal_mode = DELETE")  # one file, that opens anywhere
        wrong = faults(target)
    finally:
        target.close()
    if wrong:
        raise ShelfDamaged(
            place=str(to),
            wrong=f"the copy does not pass its check: {wrong[0]}",
            remedy="No copy is left. The shelf itself is damaged, or the disk: keep both.",
        )


def faults(connection: sqlite3.Connection) -> tuple[str, ...]:
    """What SQLite's check of the whole file finds, and rows that point nowhere."""
    try:
        found = [row[0] for row in connection.execute("PRAGMA integrity_check")]
        if found == ["ok"]:
            lost = connection.execute("PRAGMA foreign_key_check").fetchall()
            return tuple(f"{row[0]}, row {row[1]}, points nowhere" for row in lost)
    except sqlite3.DatabaseError as problem:
        if not getattr(problem, "sqlite_errorname", "").startswith("SQLITE_CORRUPT"):
            raise
        found = [str(problem)]
    return tuple(found)


def sync_folder(folder: Path) -> None:
    """The name of a new file reaches the disk too, where the system can be asked for that."""
    if os.name == "nt":
        return
    with suppress(OSError):  # some file systems sync no folders, and some folders may not be read
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
