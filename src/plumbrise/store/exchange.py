"""The shelf's machines and readings as files that every other command reads, and back."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from hashlib import sha256
from typing import TypedDict, Unpack

from plumbrise.files import read_readings, write_readings
from plumbrise.files.faults import none_taken
from plumbrise.files.worksheet import blanked, filled
from plumbrise.machine import Machine
from plumbrise.readings import Readings, Run, scale_of
from plumbrise.store import keeping, shelved
from plumbrise.store.provenance import program_version
from plumbrise.store.series import blank_token, series_of


def texts(connection: sqlite3.Connection, machine_id: int) -> tuple[str, str]:
    """Machine file and readings table."""
    toml = shelved.row(connection, "machines", machine_id)["text"]
    return toml, write_readings(shelved.written(connection, machine_id))


def fingerprint(connection: sqlite3.Connection, machine_id: int) -> str:
    """SHA-256 of both files."""
    toml, csv = texts(connection, machine_id)
    return sha256(f"{toml}\0{csv}".encode()).hexdigest()


TABLE = "readings.csv"


class AsRead(TypedDict, total=False):
    """How a table is read: `source` is its name, for errors and as where the readings come from;
    `test` and `station` are those of a table that does not say them; `inches` says that its lengths
    are inches; `some` that a table without a single reading, a worksheet left blank, is refused."""

    source: str
    test: str | None
    station: str | None
    inches: bool
    some: bool


def read_table(machine: Machine, csv: str | bytes, **how: Unpack[AsRead]) -> Readings:
    """The table as written down: a dial without a turns counter is carried on when it is read
    from the shelf, so that what was written is not lost. A header alone is no readings."""
    data = csv.encode("utf-8") if isinstance(csv, str) else csv
    if not data.strip() or data.strip() == write_readings(Readings(())).encode().strip():
        if how.get("some"):
            raise none_taken().within(how.get("source", TABLE))
        return Readings(())
    found = read_readings(
        data,
        name=how.get("source", TABLE),
        test=how.get("test"),
        station=how.get("station"),
        unit="inch" if how.get("inches") else "mm",
        scale=replace(scale_of(machine), wrap_mm=None),
        arrangement=machine.arrangement,
        as_written=True,
    )
    if how.get("some") and not any(filled(r) for run in found.runs for r in run.readings):
        raise none_taken().within(how.get("source", TABLE))
    return found


def put(
    connection: sqlite3.Connection, machine_id: int, found: Readings, source: str, at: str
) -> None:
    """All runs of a table, ended; what was assumed goes with the first. A table with blank rows is
    a worksheet: its plan is kept too, so that a sitting goes on with the blanks."""
    remarks = list(found.remarks)
    plan_id = _plan_id(connection, machine_id, found.runs, at)
    for run in found.runs:
        run_id = keeping.begin_run(
            connection,
            machine_id,
            kind=run.kind,
            station=run.station,
            name=run.name,
            axis=run.axis,
            stand_on=run.stand_on,
            plan_id=plan_id,
            at=at,
            source=source,
            unknown_columns=found.unknown_columns,
            remarks=remarks,
        )
        remarks = []
        for reading in sorted(run.readings, key=filled):  # what is taken back last is a blank
            blank = plan_id is not None and not filled(reading)
            token = blank_token(reading.seq) if blank else None
            keeping.keep(connection, run_id, reading, token, at)
        keeping.end_run(connection, run_id, "", at)


def holding(
    connection: sqlite3.Connection, toml: str, found: Readings
) -> tuple[int | None, int | None]:
    """The machine with this file and these readings, and the last one with this file."""
    alike = [
        one.id
        for one in shelved.machines(connection)
        if shelved.row(connection, "machines", one.id)["text"] == toml
    ]
    wanted = _values(found)
    same = [one for one in alike if _values(shelved.written(connection, one)) == wanted]
    return (same[-1] if same else None), (alike[-1] if alike else None)


def _values(readings: Readings) -> list[tuple[object, ...]]:
    """What was written down of each reading, run by run; not where in its file it stood."""
    return [
        (run.kind.id, run.station.id, run.axis, replace(row, row=None, assumed=False))
        for run in readings.runs
        for row in run.readings
        if filled(row)
    ]


def _plan_id(
    connection: sqlite3.Connection, machine_id: int, runs: tuple[Run, ...], at: str
) -> int | None:
    """The plan that a table is the worksheet of, unless it was begun: the one that is there, or a
    new one where something is still to be read."""
    known = series_of(connection, runs, machine_id=machine_id)
    if known and not known[-1].begun:
        return known[-1].plan_id
    if known or all(filled(reading) for run in runs for reading in run.readings):
        return None
    return shelved.insert(
        connection,
        "plans",
        machine_id=machine_id,
        text=write_readings(Readings(blanked(runs))),
        added_at=at,
        version=program_version(),
    )
