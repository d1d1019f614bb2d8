"""Opening the file: is it a shelf, which version, and the steps forward with a backup first."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import datetime
from importlib.resources import files
from pathlib import Path
from time import monotonic, sleep

from plumbrise.store.copying import copy_checked, sync_folder
from plumbrise.store.troubles import WORDS, ShelfError, told

APPLICATION = 0x506C7562
"""Written in the file's head: this SQLite file is a shelf and no other program's."""

HEAD = b"SQLite format 3\0"


def _steps() -> tuple[str, ...]:
    folder = files("plumbrise.store") / "migrations"
    found = sorted(one.name for one in folder.iterdir() if one.name.endswith(".sql"))
    return tuple((folder / name).read_text(encoding="utf-8") for name in found)


STEPS = _steps()
"""The SQL that leads from each version to the next; the first makes an empty shelf."""
VERSION = len(STEPS)


def opened(path: Path, *, now: Callable[[], datetime], wait_s: float) -> sqlite3.Connection:
    """A connection to the shelf, made or brought up to this version as needed.

    A reading is on disk when a commit returns: write-ahead log, synchronous FULL.

    Raises:
        ShelfError: the file is no shelf, is newer, or cannot be read or written.
    """
    _folder(path)
    new = not path.exists()
    with told(path):
        _head(path)
        connection = sqlite3.connect(
            path, timeout=wait_s, isolation_level=None, check_same_thread=False
        )
        try:
            connection.row_factory = sqlite3.Row
            version = _version(connection, path)
            ahead = _log_ahead(connection, wait_s)
            for setting in (
                f"synchronous = {'FULL' if ahead else 'EXTRA'}",
                "fullfsync = ON",
                "checkpoint_fullfsync = ON",
                "foreign_keys = ON",
            ):
                connection.execute(f"PRAGMA {setting}")
            if version < VERSION:
                _bring_up(connection, path, now)
            else:
                _may_write(connection)
            if new:
                sync_folder(path.parent)
        except BaseException:
            connection.close()
            raise
    return connection


def _folder(path: Path) -> None:
    if path.is_dir():
        raise ShelfError(
            place=str(path), wrong="this is a folder", remedy="Name a file in it (--shelf FILE)."
        )
    to_make = [one for one in path.parents if not one.exists()]
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        for made in to_make:
            sync_folder(made.parent)
    except OSError as problem:
        raise ShelfError(
            place=str(path),
            wrong=f"its folder cannot be made: {problem.strerror or problem}",
            remedy="Name a file in a folder of your own (--shelf FILE).",
        ) from problem


def _head(path: Path) -> None:
    """SQLite takes a file of a few letters for an empty one and would write over it."""
    if path.with_name(f"{path.name}-journal").exists():
        return  # a write that was cut short: SQLite puts the head back
    try:
        with path.open("rb") as file:
            head = file.read(len(HEAD))
    except OSError:
        return  # not there yet, or for SQLite to tell
    if head not in (b"", HEAD):
        wrong, remedy = WORDS["SQLITE_NOTADB"]
        raise ShelfError(place=str(path), wrong=wrong, remedy=remedy)


def _version(connection: sqlite3.Connection, path: Path) -> int:
    """The version of the file, 0 for a new one; nothing is written before this is known."""
    marked = connection.execute("PRAGMA application_id").fetchone()[0]
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    if marked != APPLICATION:
        tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        if marked or version or tables:
            raise ShelfError(
                place=str(path),
                wrong="this is another program's database, and nothing in it was changed",
                remedy="Name the right file (--shelf FILE), or one that is not there yet.",
            )
        return 0
    if version > VERSION:
        raise ShelfError(
            place=str(path),
            wrong=f"this shelf was written by a newer Plumbrise (its version is {version}, "
            f"this program knows up to {VERSION}), and nothing in it was changed",
            remedy="Install the newer Plumbrise, or name another file (--shelf FILE).",
        )
    return version


def _log_ahead(connection: sqlite3.Connection, wait_s: float) -> bool:
    """Write-ahead log; False where the file system cannot have one.

    SQLite answers busy at once when two programs switch together, hence the waiting here.
    """
    until = monotonic() + wait_s
    while True:
        try:
            return bool(connection.execute("PRAGMA journal_mode = WAL").fetchone()[0] == "wal")
        except sqlite3.OperationalError as problem:
            busy = getattr(problem, "sqlite_errorname", "").startswith("SQLITE_BUSY")
            if not busy or monotonic() > until:
                raise
            sleep(0.01)


def _may_write(connection: sqlite3.Connection) -> None:
    """Find out now, not at the first reading, that the file cannot be written. A transaction
    alone may begin all the same."""
    connection.execute("BEGIN IMMEDIATE")
    connection.execute(f"PRAGMA user_version = {VERSION}")
    connection.execute("ROLLBACK")


def _bring_up(connection: sqlite3.Connection, path: Path, now: Callable[[], datetime]) -> None:
    """All steps to this version or none, under the writer's lock; an old shelf is copied first."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        version = _version(connection, path)  # another program may have done it meanwhile
        if 0 < version < VERSION:
            _copy_first(path, version, now)
        for step in STEPS[version:]:
            for statement in statements(step):
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {APPLICATION}")
        connection.execute(f"PRAGMA user_version = {VERSION}")
        connection.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):
            connection.execute("ROLLBACK")
        raise


def _copy_first(path: Path, version: int, now: Callable[[], datetime]) -> None:
    named = f"{path.stem}-version-{version}-{now().strftime('%Y%m%d-%H%M%S')}"
    copy, number = path.with_name(named + path.suffix), 2
    while copy.exists():  # a start that was cut short has left its copy
        copy, number = path.with_name(f"{named}-{number}{path.suffix}"), number + 1
    source = sqlite3.connect(path, timeout=1.0)
    try:
        copy_checked(source, copy)
    finally:
        source.close()


def statements(script: str) -> Iterator[str]:
    """The statements of a script one by one, so that they stay within one transaction.

    Example:
        >>> list(statements("SELECT 1;\\nSELECT 2;\\n"))
        ['SELECT 1;', 'SELECT 2;']
    """
    gathered = ""
    for line in script.splitlines():
        gathered += line + "\n"
        if sqlite3.complete_statement(gathered):
            yield gathered.strip()
            gathered = ""
