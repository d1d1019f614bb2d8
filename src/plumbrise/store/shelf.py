"""The shelf: what is given to it is on disk when the call returns."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from threading import RLock
from types import TracebackType
from typing import Any, Self, Unpack

from plumbrise.files import read_machine, write_machine
from plumbrise.machine import Machine, Station
from plumbrise.readings import Kind, Reading, Readings, Run
from plumbrise.store import adopting, describing, exchange, keeping, shelved
from plumbrise.store.adopting import Brought
from plumbrise.store.copying import copy_checked
from plumbrise.store.exchange import TABLE, AsRead
from plumbrise.store.keeping import Header
from plumbrise.store.opening import opened
from plumbrise.store.provenance import program_version
from plumbrise.store.records import Kept, ShelvedMachine, ShelvedPlan, ShelvedResult, ShelvedRun
from plumbrise.store.rows import plain_text
from plumbrise.store.series import Series, series_of
from plumbrise.store.troubles import ShelfError, told

BUSY_S = 10.0
"""How long to wait for another program that is writing."""


class Shelf:
    """Machines, plans, runs, readings and results in one file.

    Each change is a transaction of its own and on disk when the call returns; nothing that was
    kept is ever deleted. Two programs may use one shelf at once, and so may the threads of one.

    Every method raises ShelfError when the file cannot be read or written; what was given is then
    not kept, and may be given again.
    """

    def __init__(
        self, path: Path, connection: sqlite3.Connection, now: Callable[[], datetime]
    ) -> None:
        self.path = path
        self._connection = connection
        self._now = now
        self._lock = RLock()

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
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: on disk as a whole when this ends, or not at all. Within another it is
        a part of that."""
        with self._lock, told(self.path):
            if self._connection.in_transaction:
                yield self._connection
                return
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):  # a full disk has rolled back by itself
                    self._connection.execute("ROLLBACK")
                raise

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        """One view of the file, whatever others write meanwhile."""
        with self._lock, told(self.path):
            if self._connection.in_transaction:
                yield self._connection
                return
            self._connection.execute("BEGIN")
            try:
                yield self._connection
            finally:
                with suppress(sqlite3.Error):
                    self._connection.execute("ROLLBACK")

    @contextmanager
    def together(self) -> Iterator[None]:
        """All that is kept within is on disk as a whole when this ends, or none of it; meanwhile no
        other program writes."""
        with self._writing():
            yield

    def _stamp(self) -> str:
        return self._now().astimezone(UTC).isoformat(timespec="milliseconds")

    # machines and plans

    def add_machine(self, machine: Machine | str, name: str = "") -> int:
        """Put a machine on the shelf; a text is kept word for word, comments and all.

        Raises:
            InputErrors: the text does not describe a machine.
        """
        text = machine if isinstance(machine, str) else write_machine(machine)
        described = read_machine(text, name="machine")
        called = plain_text(name or described.name or described.arrangement.title, lines=1)
        with self._writing() as connection:
            return shelved.insert(
                connection,
                "machines",
                name=called,
                text=text,
                added_at=self._stamp(),
                version=program_version(),
            )

    def machines(self) -> tuple[ShelvedMachine, ...]:
        """All machines, in the order in which they came."""
        with self._reading() as connection:
            return shelved.machines(connection)

    def described(self) -> dict[int, Machine]:
        """The machines that can be read, by id."""
        with self._reading() as connection:
            return dict(shelved.described(connection))

    def unreadable(self) -> tuple[tuple[ShelvedMachine, str], ...]:
        """The machines that cannot be read, each with why; the others are as good as ever."""
        with self._reading() as connection:
            return shelved.unreadable(connection)

    def machine(self, machine_id: int) -> Machine:
        """The machine as described.

        Raises:
            InputError: no such machine.
        """
        with self._reading() as connection:
            return shelved.machine(connection, machine_id)

    def machine_when(self, machine_id: int, at: str) -> Machine:
        """The machine as it was described at a moment, written as the shelf writes them.

        Raises:
            InputError: no such machine.
        """
        with self._reading() as connection:
            return read_machine(describing.stood_at(connection, machine_id, at), name="machine")

    def describe(self, machine_id: int, machine: Machine | str) -> bool:
        """Describe a machine again; what stood before stays kept. False if nothing changes.

        Raises:
            InputError: no such machine, or it was read at stations that are then not there.
            InputErrors: the text does not describe a machine.
        """
        text = machine if isinstance(machine, str) else write_machine(machine)
        with self._writing() as connection:
            return describing.describe(connection, machine_id, text, self._stamp())

    def put_back(self, machine_id: int) -> bool:
        """The description that stood before, any number of times; False where there is none."""
        with self._writing() as connection:
            return describing.put_back(connection, machine_id, self._stamp())

    def descriptions_before(self, machine_id: int) -> int:
        """How many descriptions can be put back."""
        with self._reading() as connection:
            return describing.before(connection, machine_id)

    def add_plan(self, machine_id: int, text: str) -> int:
        """Keep a plan as text."""
        with self._writing() as connection:
            shelved.row(connection, "machines", machine_id)
            return shelved.insert(
                connection,
                "plans",
                machine_id=machine_id,
                text=text,
                added_at=self._stamp(),
                version=program_version(),
            )

    def plans(self, machine_id: int) -> tuple[ShelvedPlan, ...]:
        """The plans made for a machine, the oldest first."""
        with self._reading() as connection:
            return shelved.plans(connection, machine_id)

    def acts(self, plan_id: int) -> int:
        """Grows with whatever is written of a plan's runs or of its machine, by any program.

        Raises:
            InputError: no such plan.
        """
        with self._reading() as connection:
            return shelved.acts(connection, plan_id)

    def series_of(self, planned: Sequence[Run]) -> tuple[Series, ...]:
        """All plans that ask for the same readings, on whichever machine, the oldest first."""
        with self._reading() as connection:
            return series_of(connection, planned)

    def brought(self, machine: Machine, planned: Sequence[Run]) -> Brought | None:
        """What came as a table of this machine and answers set-ups of a plan; None if nothing."""
        with self._reading() as connection:
            for number, described in shelved.described(connection):
                if described == machine:
                    found = adopting.brought(connection, number, planned)
                    if found is not None:
                        return found
        return None

    def adopt(self, plan_id: int, run_ids: Sequence[int]) -> None:
        """Make runs that belong to no plan those of this one, open for what is left of them."""
        with self._writing() as connection:
            adopting.adopt(connection, plan_id, run_ids, self._stamp())

    # runs

    def begin_run(
        self,
        machine_id: int,
        *,
        kind: Kind,
        station: Station,
        plan_id: int | None = None,
        **header: Unpack[Header],
    ) -> int:
        """Begin a gauge set-up; a name that the machine has already gets a number.

        Args:
            machine_id: whose run it is.
            kind: what is done.
            station: where the gauge's tip rests.
            plan_id: the plan that it is part of.
            header: what else is said of it; see `Header`.

        Raises:
            InputError: no such machine or plan, or a station that the machine has not.
        """
        with self._writing() as connection:
            return keeping.begin_run(
                connection,
                machine_id,
                kind=kind,
                station=station,
                plan_id=plan_id,
                at=self._stamp(),
                **header,
            )

    def end_run(self, run_id: int, *, words: str = "") -> None:
        """The run is done; ending it twice changes nothing."""
        with self._writing() as connection:
            keeping.end_run(connection, run_id, words, self._stamp())

    def go_on(self, run_id: int) -> None:
        """Take readings again in a run that had ended."""
        with self._writing() as connection:
            keeping.go_on(connection, run_id, self._stamp())

    def mark(self, run_id: int, what: str, words: str = "") -> None:
        """Keep what happened to a run: an alarm, an indicator that fell silent, a stop."""
        with self._writing() as connection:
            keeping.mark(connection, run_id, what, words, self._stamp())

    def runs(self, machine_id: int | None = None) -> tuple[ShelvedRun, ...]:
        """The headers of all runs, or of one machine's, in the order begun."""
        with self._reading() as connection:
            return shelved.runs(connection, machine_id)

    # readings

    def keep(self, run_id: int, reading: Reading, *, token: str | None = None) -> Kept:
        """Keep one reading; when this returns it is on disk.

        Args:
            run_id: a run that has not ended.
            reading: what was read; `reading_mm` None where it could not be read.
            token: the sender's own number for it. The same one sent again is stored once, and
                gives back what is there.

        Raises:
            InputError: the run has ended or holds this `seq` already, a value is one that no
                readings table holds, or the token stands for another reading.
        """
        with self._writing() as connection:
            return keeping.keep(connection, run_id, reading, token, self._stamp())

    def skip(self, run_id: int, asked: Reading, *, token: str | None = None) -> Kept:
        """Pass over a target: kept so that the run goes on after it, and no reading."""
        with self._writing() as connection:
            asked = replace(asked, reading_mm=None, torque_nmm=None)
            return keeping.keep(connection, run_id, asked, token, self._stamp(), skipped=True)

    def mend(self, run_id: int, reading: Reading, *, token: str | None = None) -> Kept:
        """Put a reading in the place of the one with the same `seq`, which stays kept and marked.

        Raises:
            InputError: there is none with this `seq`, and all that `keep` raises.
        """
        with self._writing() as connection:
            return keeping.keep(connection, run_id, reading, token, self._stamp(), mends=True)

    def take_back(self, run_id: int, *, reading_id: int | None = None) -> Kept | None:
        """Undo the last thing kept in a run, any number of times; it stays on disk, marked.

        A mended reading taken back leaves the one that it mended standing.

        Args:
            run_id: the run.
            reading_id: the one that is meant, so that an undo sent twice undoes once.

        Returns:
            What was taken back; None if nothing stands.

        Raises:
            InputError: the one that is meant is not the last that stands.
        """
        with self._writing() as connection:
            return keeping.take_back(connection, run_id, reading_id, self._stamp())

    def note(self, run_id: int, words: str, *, seq: int | None = None) -> None:
        """Put a note on a reading (the last if `seq` is left out), or on a run that has none yet.

        What stood there before is kept with the run.
        """
        with self._writing() as connection:
            keeping.note(connection, run_id, words, seq, self._stamp())

    def kept(self, run_id: int, *, all_of_it: bool = False) -> tuple[Kept, ...]:
        """What stands in a run in the order of `seq`, targets passed over among it; with
        `all_of_it` what was taken back too, in the order kept."""
        with self._reading() as connection:
            return shelved.kept(connection, run_id, all_of_it=all_of_it)

    def readings(self, machine_id: int, *, runs: Sequence[int] | None = None) -> Readings:
        """The machine's readings as they would be read from its exported table.

        A dial without a turns counter is carried on past its full turns, as when a file is read.

        Args:
            machine_id: the machine.
            runs: only these, by id.
        """
        with self._reading() as connection:
            return shelved.readings(connection, machine_id, runs=runs)

    # results

    def add_result(self, machine_id: int, kind: str, result: Mapping[str, Any]) -> int:
        """Keep a result as JSON, with the fingerprint of the machine and readings it is of."""
        text = json.dumps(result, ensure_ascii=False, allow_nan=False)
        with self._writing() as connection:
            return shelved.insert(
                connection,
                "results",
                machine_id=machine_id,
                kind=kind,
                text=text,
                made_from=exchange.fingerprint(connection, machine_id),
                made_at=self._stamp(),
                version=program_version(),
            )

    def results(self, machine_id: int) -> tuple[ShelvedResult, ...]:
        """The results kept for a machine, the oldest first."""
        with self._reading() as connection:
            return shelved.results(connection, machine_id)

    def fingerprint(self, machine_id: int) -> str:
        """Changes when the machine's text or a reading of it changes."""
        with self._reading() as connection:
            return exchange.fingerprint(connection, machine_id)

    def state(self) -> tuple[int, int]:
        """Differs from what it was when anything was kept since, here or by another program."""
        with self._lock, told(self.path):
            others = self._connection.execute("PRAGMA data_version").fetchone()[0]
            return int(others), self._connection.total_changes

    # in and out

    def export(self, machine_id: int) -> tuple[str, str]:
        """The machine file and the readings table, as written down: a dial without a turns
        counter is not carried on here, but when the table is read."""
        with self._reading() as connection:
            return exchange.texts(connection, machine_id)

    def holding(
        self,
        toml: str,
        csv: str | bytes = "",
        **how: Unpack[AsRead],
    ) -> tuple[int | None, int | None]:
        """The machine that has these two files already, and the last that has this machine file;
        None where there is none. Arguments and errors as those of `import_`."""
        machine = read_machine(toml, name="machine")
        found = exchange.read_table(machine, csv, **how)
        with self._reading() as connection:
            return exchange.holding(connection, toml, found)

    def import_(
        self,
        toml: str,
        csv: str | bytes = "",
        *,
        name: str = "",
        **how: Unpack[AsRead],
    ) -> int:
        """A machine file and a readings table as a new machine on the shelf, whole or not at all.

        Args:
            toml: the machine file's text.
            csv: the table, or nothing; as bytes it may be a spreadsheet.
            name: what to call the machine, if not by the name in its file.
            how: how the table is read; see `AsRead`.

        Raises:
            InputErrors: all that is wrong with either file.
        """
        machine = read_machine(toml, name="machine")
        found = exchange.read_table(machine, csv, **how)
        with self._writing() as connection:
            machine_id = shelved.insert(
                connection,
                "machines",
                name=plain_text(name or machine.name or machine.arrangement.title, lines=1),
                text=toml,
                added_at=self._stamp(),
                version=program_version(),
            )
            exchange.put(connection, machine_id, found, how.get("source", TABLE), self._stamp())
        return machine_id

    def take_in(
        self,
        machine_id: int,
        csv: str | bytes,
        **how: Unpack[AsRead],
    ) -> int:
        """Add a readings table to a machine, whole or not at all; how many runs it had.

        Args:
            machine_id: whose readings they are.
            csv: the table; as bytes it may be a spreadsheet.
            how: how it is read; see `AsRead`.

        Raises:
            InputError: no such machine.
            InputErrors: all that is wrong with the table.
        """
        machine = self.machine(machine_id)
        found = exchange.read_table(machine, csv, **how)
        with self._writing() as connection:
            exchange.put(connection, machine_id, found, how.get("source", TABLE), self._stamp())
        return len(found.runs)

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
