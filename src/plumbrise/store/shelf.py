"""The shelf: what is given to it is on disk when the call returns."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Unpack

from plumbrise.files import read_machine
from plumbrise.store import exchange, shelved
from plumbrise.store.exchange import TABLE, AsRead
from plumbrise.store.provenance import program_version
from plumbrise.store.records import ShelvedResult
from plumbrise.store.rows import plain_text
from plumbrise.store.shelf_machines import MachinesOnShelf
from plumbrise.store.shelf_runs import RunsOnShelf


class Shelf(MachinesOnShelf, RunsOnShelf):
    """Machines, plans, runs, readings and results in one file.

    Each change is a transaction of its own and on disk when the call returns; nothing that was
    kept is ever deleted. Two programs may use one shelf at once, and so may the threads of one.

    Every method raises ShelfError when the file cannot be read or written; what was given is then
    not kept, and may be given again.
    """

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
