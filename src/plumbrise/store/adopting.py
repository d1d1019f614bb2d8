"""Readings that came to the shelf as a table, taken over into the plan whose worksheet is read on:
what was read on another computer and brought here."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from plumbrise.readings import Reading, Run
from plumbrise.store import keeping, shelved


@dataclass(frozen=True, slots=True)
class Brought:
    """Runs of a machine that answer set-ups of a plan: how many readings they hold, and the names
    of the tables that they came from."""

    machine_id: int
    run_ids: tuple[int, ...]
    readings: int
    sources: tuple[str, ...]


def brought(
    connection: sqlite3.Connection, machine_id: int, planned: Sequence[Run]
) -> Brought | None:
    """The runs of a machine that belong to no plan and are those of set-ups of this one, as far as
    they were read; None where there is none."""
    wanted = {run.name: run for run in planned}
    found = []
    for run in shelved.runs(connection, machine_id):
        asked = wanted.get(run.name)
        if run.plan_id is not None or asked is None:
            continue
        alike = (run.kind, run.station, run.axis) == (asked.kind, asked.station, asked.axis)
        rows = [one.reading for one in shelved.kept(connection, run.id, all_of_it=False)]
        by_seq = {row.seq: row for row in asked.readings}
        if alike and rows and all(_answers(by_seq.get(row.seq), row) for row in rows):
            found.append(run)
    if not found:
        return None
    return Brought(
        machine_id,
        tuple(run.id for run in found),
        sum(run.readings for run in found),
        tuple(dict.fromkeys(run.source for run in found if run.source)),
    )


def _answers(asked: Reading | None, row: Reading) -> bool:
    return asked is not None and all(
        getattr(asked, name) == getattr(row, name)
        for name in ("target_mm", "approach", "mass_kg", "force_n")
    )


def adopt(connection: sqlite3.Connection, plan_id: int, run_ids: Sequence[int], at: str) -> None:
    """Make runs those of a plan, and open for what is left of them."""
    for run_id in run_ids:
        connection.execute("UPDATE runs SET plan_id = ? WHERE id = ?", (plan_id, run_id))
        keeping.go_on(connection, run_id, at)
