"""The file that holds the shelf: let go of, and every change of it a transaction of its own."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from threading import RLock
from types import TracebackType
from typing import Self

from plumbrise.store.copying import copy_checked
from plumbrise.store.opening import opened
from plumbrise.store.troubles import ShelfError, told

BUSY_S = 10.0
"""How long to wait for another program that is writing."""


class ShelfFile:
    """One open file, of one program and all its threads."""

    def __init__(
        self, path: Path, connection: sqlite3.Connection, now: Callable[[], datetime]
    ) -> None:
        self.path = path
        self._connection = connection
        self._now = now
        self._lock = RLock()
        self._within = False

    @classmethod
    def open(
        cls,
        path: str | Path,
        *,
        now: Callable[[], datetime],
        wait_s: float = BUSY_S,
        make: bool = True,
    ) -> Self:
        """The shelf in this file, made if it is not there, brought up to this version if it is
        older (a copy is put beside it first).

        Args:
            path: the file.
            now: the clock.
            wait_s: how long to wait for another program that is writing.
            make: False to refuse a file that is not there.

        Raises:
            ShelfError: no shelf, another program's, a newer version's, or not to be written.
        """
        path = Path(path)
        if not make and not path.exists():
            raise ShelfError(
                place=str(path),
                wrong="there is no shelf here yet",
                remedy="Keep or import something first, or name the right file (--shelf FILE).",
            )
        return cls(path, opened(path, now=now, wait_s=wait_s), now)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        with self._lock:
            self._connection.close()

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[sqlite3.Connection]:
        """On disk as a whole when this ends, or not at all; within another it is a part of that.

        A stop by hand may come between any two steps, also while `begin` waits for another
        program: a transaction that it left open would take in all that is kept from then on, and
        never end.
        """
        with self._lock, told(self.path):
            if self._within:
                yield self._connection
                return
            self._within = True
            try:
                self._let_go()
                self._connection.execute(begin)
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                self._let_go()
                raise
            finally:
                self._within = False

    def _let_go(self) -> None:
        """End a transaction that did not come to its end."""
        if self._connection.in_transaction:
            with suppress(sqlite3.Error):  # a full disk has rolled back by itself
                self._connection.execute("ROLLBACK")

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """One change of the file."""
        with self._transaction("BEGIN IMMEDIATE") as connection:
            yield connection

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        """One view of the file, whatever others write meanwhile."""
        with self._transaction("BEGIN") as connection:
            yield connection

    @contextmanager
    def together(self) -> Iterator[None]:
        """All that is kept within is on disk as a whole when this ends, or none of it; meanwhile no
        other program writes."""
        with self._writing():
            yield

    def _stamp(self) -> str:
        return self._now().astimezone(UTC).isoformat(timespec="milliseconds")

    def state(self) -> tuple[int, int]:
        """Differs from what it was when anything was kept since, here or by another program."""
        with self._lock, told(self.path):
            others = self._connection.execute("PRAGMA data_version").fetchone()[0]
            return int(others), self._connection.total_changes

    def backup(self, to: str | Path) -> Path:
        """A checked copy of the whole shelf as one file; in a folder it gets a name with the date.

        Raises:
            ShelfDamaged: the copy does not pass its check, and is not left behind.
            ShelfError: a file of that name is there, or none can be made.
        """
        to = Path(to)
        if to.is_dir():
            to /= f"{self.path.stem}-{self._now().strftime('%Y%m%d-%H%M%S')}{self.path.suffix}"
        with self._lock:
            return copy_checked(self._connection, to)
