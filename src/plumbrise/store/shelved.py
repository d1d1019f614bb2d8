"""What is read from the store, each function within a view of its caller's."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any

from plumbrise.errors import InputError, InputErrors
from plumbrise.files import read_machine
from plumbrise.files.unwrapping import unwrapped
from plumbrise.machine import STATIONS, Machine
from plumbrise.readings import KINDS, Reading, Readings, Run
from plumbrise.store.records import (
    Kept,
    Mark,
    ShelvedMachine,
    ShelvedPlan,
    ShelvedResult,
    ShelvedRun,
)
from plumbrise.store.rows import kept_in, reading_in

ONE = {"machines": "machine", "plans": "plan", "runs": "run", "readings": "reading"}
STANDS = "taken_back_at IS NULL AND skipped = 0"
TAKEN = f"{STANDS} AND assumed = 0 AND (reading_mm IS NOT NULL OR torque_nmm IS NOT NULL)"
"""What counts as a reading wherever a count is told, as `Reading.is_taken` has it."""


def insert(connection: sqlite3.Connection, table: str, **cells: Any) -> int:
    """One row; its id."""
    names = ", ".join(cells)
    marks = ", ".join(f":{name}" for name in cells)
    made = connection.execute(f"INSERT INTO {table} ({names}) VALUES ({marks})", cells)
    assert made.lastrowid is not None
    return made.lastrowid


def row(connection: sqlite3.Connection, table: str, row_id: int) -> sqlite3.Row:
    """One row.

    Raises:
        InputError: there is none of this id.
    """
    found: sqlite3.Row | None = connection.execute(
        f"SELECT * FROM {table} WHERE id = ?", (row_id,)
    ).fetchone()
    if found is None:
        raise InputError(
            place=ONE[table],
            value=row_id,
            allowed=f"a {ONE[table]} that the shelf holds",
            remedy="See what it holds: plumbrise shelf list.",
        )
    return found


def machine(connection: sqlite3.Connection, machine_id: int) -> Machine:
    """The machine as described."""
    return read_machine(row(connection, "machines", machine_id)["text"], name="machine")


def machines(connection: sqlite3.Connection) -> tuple[ShelvedMachine, ...]:
    """All machines."""
    found = connection.execute(
        "SELECT machines.*, count(DISTINCT runs.id) AS runs, count(readings.id) AS readings"
        " FROM machines LEFT JOIN runs ON runs.machine_id = machines.id"
        f" LEFT JOIN readings ON readings.run_id = runs.id AND {TAKEN}"
        " GROUP BY machines.id ORDER BY machines.id"
    )
    return tuple(ShelvedMachine(**dict(one)) for one in found)


def described(connection: sqlite3.Connection) -> Iterator[tuple[int, Machine]]:
    """The machines that can be read, with their ids; one that cannot keeps none of the others
    out."""
    for one in machines(connection):
        with suppress(InputError, InputErrors):
            yield one.id, machine(connection, one.id)


def unreadable(connection: sqlite3.Connection) -> tuple[tuple[ShelvedMachine, str], ...]:
    """The machines that cannot be read, each with why."""
    found = []
    for one in machines(connection):
        try:
            machine(connection, one.id)
        except (InputError, InputErrors) as problem:
            found.append((one, str(problem)))
    return tuple(found)


def plans(connection: sqlite3.Connection, machine_id: int) -> tuple[ShelvedPlan, ...]:
    """A machine's plans."""
    row(connection, "machines", machine_id)
    found = connection.execute(
        "SELECT * FROM plans WHERE machine_id = ? ORDER BY id", (machine_id,)
    )
    return tuple(ShelvedPlan(**dict(one)) for one in found)


def acts(connection: sqlite3.Connection, plan_id: int) -> int:
    """How often anything was written of a plan."""
    row(connection, "plans", plan_id)
    found = connection.execute("SELECT acts FROM plan_acts WHERE plan_id = ?", (plan_id,))
    return int(found.fetchone()[0])


def results(connection: sqlite3.Connection, machine_id: int) -> tuple[ShelvedResult, ...]:
    """A machine's results."""
    row(connection, "machines", machine_id)
    found = connection.execute(
        "SELECT * FROM results WHERE machine_id = ? ORDER BY id", (machine_id,)
    )
    return tuple(ShelvedResult(**dict(one)) for one in found)


def runs(connection: sqlite3.Connection, machine_id: int | None) -> tuple[ShelvedRun, ...]:
    """Headers of runs."""
    if machine_id is not None:
        row(connection, "machines", machine_id)
    found = connection.execute(
        "SELECT runs.*,"
        f" count(CASE WHEN {TAKEN} THEN 1 END) AS readings,"
        " count(taken_back_at) AS taken_back,"
        " count(CASE WHEN taken_back_at IS NULL AND skipped = 1 THEN 1 END) AS skipped"
        " FROM runs LEFT JOIN readings ON readings.run_id = runs.id"
        " WHERE :machine IS NULL OR machine_id = :machine GROUP BY runs.id ORDER BY runs.id",
        {"machine": machine_id},
    ).fetchall()
    return tuple(_run(connection, one) for one in found)


def _run(connection: sqlite3.Connection, header: sqlite3.Row) -> ShelvedRun:
    cells = dict(header)
    for column in ("unknown_columns", "remarks"):
        del cells[column]
    cells["kind"] = KINDS[cells["kind"]]
    cells["station"] = STATIONS[cells["station"]]
    marks = connection.execute(
        "SELECT at, what, words FROM marks WHERE run_id = ? ORDER BY id", (header["id"],)
    )
    return ShelvedRun(**cells, marks=tuple(Mark(**dict(one)) for one in marks))


def kept(connection: sqlite3.Connection, run_id: int, *, all_of_it: bool) -> tuple[Kept, ...]:
    """What a run holds."""
    row(connection, "runs", run_id)
    which = "ORDER BY id" if all_of_it else "AND taken_back_at IS NULL ORDER BY seq"
    found = connection.execute(f"SELECT * FROM readings WHERE run_id = ? {which}", (run_id,))
    return tuple(kept_in(one) for one in found)


def readings(
    connection: sqlite3.Connection, machine_id: int, *, runs: Sequence[int] | None = None
) -> Readings:
    """The readings, a dial without a turns counter carried on past its full turns."""
    found = written(connection, machine_id, runs=runs)
    wrap = machine(connection, machine_id).gauge.wrap_mm
    if wrap is None:
        return found
    carried, remarks = [], list(found.remarks)
    for run in found.runs:
        whole, moved = unwrapped(run, wrap)
        carried.append(whole)
        if moved:
            remarks.append(
                f"Run {run.name}: the dial has no turns counter; {moved} readings were carried on "
                f"past a full turn of {wrap:g} mm."
            )
    return Readings(tuple(carried), tuple(remarks), found.unknown_columns)


def written(
    connection: sqlite3.Connection, machine_id: int, *, runs: Sequence[int] | None = None
) -> Readings:
    """The readings that stand, as written down; a run without any is left out."""
    row(connection, "machines", machine_id)
    made: list[Run] = []
    remarks: list[str] = []
    columns: list[str] = []
    headers = connection.execute(
        "SELECT * FROM runs WHERE machine_id = ? ORDER BY id", (machine_id,)
    ).fetchall()
    for header in headers:
        if runs is not None and header["id"] not in runs:
            continue
        standing = connection.execute(
            f"SELECT * FROM readings WHERE run_id = ? AND {STANDS} ORDER BY seq", (header["id"],)
        )
        taken = [reading_in(one) for one in standing]
        if not taken:
            continue
        taken, ran_back = _time_forward(taken)
        remarks += json.loads(header["remarks"])
        if ran_back:
            remarks.append(
                f"Run {header['name']}: the clock ran back; the time of {ran_back} readings is "
                "left out."
            )
        columns += json.loads(header["unknown_columns"])
        columns += [title for reading in taken for title, _ in reading.other]
        made.append(
            Run(
                name=header["name"],
                kind=KINDS[header["kind"]],
                station=STATIONS[header["station"]],
                readings=tuple(taken),
                axis=header["axis"],
                stand_on=header["stand_on"],
            )
        )
    titles = list(dict.fromkeys(columns))
    return Readings(
        tuple(replace(run, readings=_in_order(run, titles)) for run in made),
        tuple(dict.fromkeys(remarks)),
        tuple(titles),
    )


def _time_forward(taken: list[Reading]) -> tuple[list[Reading], int]:
    """Time does not run back within a run, a computer's clock may: such a time is left out."""
    found: list[Reading] = []
    latest, ran_back = float("-inf"), 0
    for reading in taken:
        if reading.time_s is not None and reading.time_s < latest:
            found.append(replace(reading, time_s=None))
            ran_back += 1
            continue
        latest = latest if reading.time_s is None else reading.time_s
        found.append(reading)
    return found, ran_back


def _in_order(run: Run, titles: list[str]) -> tuple[Reading, ...]:
    return tuple(
        replace(r, other=tuple(sorted(r.other, key=lambda cell: titles.index(cell[0]))))
        for r in run.readings
    )
