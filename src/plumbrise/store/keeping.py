"""What is written into a run, each function within a transaction of its caller's."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from typing import TypedDict, Unpack

from plumbrise.errors import InputError
from plumbrise.machine import STATIONS, Station, stations_of
from plumbrise.readings import COLUMNS, Kind, Reading
from plumbrise.store import shelved
from plumbrise.store.provenance import program_version
from plumbrise.store.records import Kept
from plumbrise.store.rows import cells_of, kept_in, plain, plain_text

STANDS = ("frame", "bed", "table", *STATIONS)
AXES = next(column.choices for column in COLUMNS if column.name == "axis")
LAST = "SELECT * FROM readings WHERE run_id = ? AND taken_back_at IS NULL ORDER BY id DESC LIMIT 1"


class Header(TypedDict, total=False):
    """What is said of a run besides what is done where: `name` is what the person calls it (the
    station's if left out), `axis` the direction of the reading, `stand_on` what the gauge's stand
    stands on (empty where a table does not say), `session` the sitting whose start `time_s` counts
    from, `who` reads, `source` where readings come from (keyboard, indicator, a file's name),
    `gauge_resolution_mm` of the gauge that reads this run, `gauge_serial` what tells it from
    others, `program` the fingerprint of the machine that its motion program was made for."""

    name: str
    axis: str
    stand_on: str
    session: str
    who: str
    source: str
    gauge_resolution_mm: float | None
    gauge_serial: str
    program: str


def begin_run(
    connection: sqlite3.Connection,
    machine_id: int,
    *,
    kind: Kind,
    station: Station,
    plan_id: int | None,
    at: str,
    unknown_columns: Sequence[str] = (),
    remarks: Sequence[str] = (),
    **header: Unpack[Header],
) -> int:
    """A new run; of a table, with its columns that nobody knows and what was assumed."""
    axis, stand_on = header.get("axis", "up"), header.get("stand_on", "frame")
    described = shelved.machine(connection, machine_id)
    for place, value, allowed in (
        ("station", station.id, tuple(s.id for s in stations_of(described.arrangement))),
        ("axis", axis, AXES),
        ("stand_on", stand_on or "frame", STANDS),
    ):
        if value not in allowed:
            raise InputError(
                place=place,
                value=value,
                allowed=", ".join(allowed[:-1]) + f" or {allowed[-1]}",
                remedy=f"{described.arrangement.title}. Name one of these.",
            )
    if plan_id is not None:
        shelved.row(connection, "plans", plan_id)
    return shelved.insert(
        connection,
        "runs",
        unknown_columns=json.dumps(list(unknown_columns), ensure_ascii=False),
        remarks=json.dumps(list(remarks), ensure_ascii=False),
        session=header.get("session", ""),
        who=header.get("who", ""),
        source=header.get("source", "keyboard"),
        gauge_resolution_mm=header.get("gauge_resolution_mm"),
        gauge_serial=header.get("gauge_serial", ""),
        program=header.get("program", ""),
        machine_id=machine_id,
        plan_id=plan_id,
        name=_free_name(connection, machine_id, header.get("name") or station.id),
        kind=kind.id,
        station=station.id,
        axis=axis,
        stand_on=stand_on,
        begun_at=at,
        version=program_version(),
    )


def _free_name(connection: sqlite3.Connection, machine_id: int, wanted: str) -> str:
    wanted = plain_text(wanted, lines=1) or "run"
    taken = {
        row["name"]
        for row in connection.execute("SELECT name FROM runs WHERE machine_id = ?", (machine_id,))
    }
    name, number = wanted, 2
    while name in taken:
        name, number = f"{wanted} {number}", number + 1
    return name


def end_run(connection: sqlite3.Connection, run_id: int, words: str, at: str) -> None:
    """The run is done."""
    if shelved.row(connection, "runs", run_id)["ended_at"] is None:
        connection.execute("UPDATE runs SET ended_at = ? WHERE id = ?", (at, run_id))
        mark(connection, run_id, "ended", words, at)


def go_on(connection: sqlite3.Connection, run_id: int, at: str) -> None:
    """The run takes readings again."""
    if shelved.row(connection, "runs", run_id)["ended_at"] is not None:
        connection.execute("UPDATE runs SET ended_at = NULL WHERE id = ?", (run_id,))
        mark(connection, run_id, "gone on", "", at)


def mark(connection: sqlite3.Connection, run_id: int, what: str, words: str, at: str) -> None:
    """What happened to a run."""
    shelved.row(connection, "runs", run_id)
    shelved.insert(connection, "marks", run_id=run_id, at=at, what=what, words=words)


def keep(
    connection: sqlite3.Connection,
    run_id: int,
    reading: Reading,
    token: str | None,
    at: str,
    *,
    skipped: bool = False,
    mends: bool = False,
) -> Kept:
    """One reading, or one target passed over."""
    reading = plain(reading)
    sent = _sent_before(connection, run_id, reading, token, skipped)
    if sent is not None:
        return sent
    run = shelved.row(connection, "runs", run_id)
    if run["ended_at"] is not None and not mends:
        raise InputError(
            place="run",
            value=run["name"],
            allowed="a run that has not ended",
            remedy="Go on with the run, or begin a new one.",
        )
    standing = connection.execute(
        "SELECT id FROM readings WHERE run_id = ? AND seq = ? AND taken_back_at IS NULL",
        (run_id, reading.seq),
    ).fetchone()
    if mends != (standing is not None):
        raise InputError(
            place="seq",
            value=reading.seq,
            allowed="the number of a reading that stands" if mends else "a number not yet used",
            remedy=f"See what run {run['name']} holds: it may have been written to from elsewhere.",
        )
    if standing is not None:
        connection.execute(
            "UPDATE readings SET taken_back_at = ? WHERE id = ?", (at, standing["id"])
        )
    reading_id = shelved.insert(
        connection,
        "readings",
        **cells_of(reading),
        run_id=run_id,
        kept_at=at,
        token=token,
        skipped=int(skipped),
        instead_of=standing["id"] if standing is not None else None,
    )
    return kept_in(shelved.row(connection, "readings", reading_id))


def _sent_before(
    connection: sqlite3.Connection, run_id: int, reading: Reading, token: str | None, skipped: bool
) -> Kept | None:
    """What this token stands for already; a note put on it since makes no other reading of it."""
    if token is None:
        return None
    row = connection.execute(
        "SELECT * FROM readings WHERE run_id = ? AND token = ?", (run_id, token)
    ).fetchone()
    if row is None:
        return None
    given = cells_of(reading) | {"skipped": int(skipped)}
    if any(row[name] != value for name, value in given.items() if name != "note"):
        raise InputError(
            place="token",
            value=token,
            allowed="a number that stands for no other reading",
            remedy="Give every new reading a number of its own.",
        )
    return kept_in(row)


def take_back(
    connection: sqlite3.Connection, run_id: int, reading_id: int | None, at: str
) -> Kept | None:
    """Mark the last that stands as taken back; one that it mended stands again."""
    shelved.row(connection, "runs", run_id)
    last = connection.execute(LAST, (run_id,)).fetchone()
    if reading_id is not None and (last is None or last["id"] != reading_id):
        meant = connection.execute(
            "SELECT * FROM readings WHERE run_id = ? AND id = ?", (run_id, reading_id)
        ).fetchone()
        if meant is not None and meant["taken_back_at"] is not None:
            return kept_in(meant)
        raise InputError(
            place="reading",
            value=reading_id,
            allowed="the last one that stands",
            remedy="Take back the later ones first, or mend this one.",
        )
    if last is None:
        return None
    connection.execute("UPDATE readings SET taken_back_at = ? WHERE id = ?", (at, last["id"]))
    if last["instead_of"] is not None:
        connection.execute(
            "UPDATE readings SET taken_back_at = NULL WHERE id = ?", (last["instead_of"],)
        )
    return kept_in(shelved.row(connection, "readings", last["id"]))


def note(connection: sqlite3.Connection, run_id: int, words: str, seq: int | None, at: str) -> None:
    """A note on a reading that stands, or on a run that has none."""
    shelved.row(connection, "runs", run_id)
    if seq is None:
        row = connection.execute(LAST, (run_id,)).fetchone()
        if row is None:
            mark(connection, run_id, "note", words, at)
            return
    else:
        row = connection.execute(
            "SELECT * FROM readings WHERE run_id = ? AND seq = ? AND taken_back_at IS NULL",
            (run_id, seq),
        ).fetchone()
        if row is None:
            raise InputError(
                place="seq",
                value=seq,
                allowed="the number of a reading that stands",
                remedy="Name a reading of this run.",
            )
    held = kept_in(row).reading
    if held.note:
        mark(connection, run_id, "note before", f"seq {held.seq}: {held.note}", at)
    words = plain(replace(held, note=words)).note
    connection.execute("UPDATE readings SET note = ? WHERE id = ?", (words, row["id"]))
