"""Machines and the plans made for them, on the shelf."""

from __future__ import annotations

from collections.abc import Sequence

from plumbrise.files import read_machine, write_machine
from plumbrise.machine import Machine
from plumbrise.readings import Run
from plumbrise.store import adopting, describing, shelved
from plumbrise.store.adopting import Brought
from plumbrise.store.provenance import program_version
from plumbrise.store.records import ShelvedMachine, ShelvedPlan
from plumbrise.store.rows import plain_text
from plumbrise.store.series import Series, series_of
from plumbrise.store.shelf_file import ShelfFile


class MachinesOnShelf(ShelfFile):
    """A shelf's machines, how each was described before, and its plans."""

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
