"""Runs and their readings, on the shelf: what is given is on disk when the call returns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Unpack

from plumbrise.machine import Station
from plumbrise.readings import Kind, Reading, Readings
from plumbrise.store import keeping, shelved
from plumbrise.store.keeping import Header
from plumbrise.store.records import Kept, ShelvedRun
from plumbrise.store.shelf_file import ShelfFile


class RunsOnShelf(ShelfFile):
    """A shelf's gauge set-ups and what was read in each."""

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
