"""A machine described again: what stood before stays kept and can be put back."""

from __future__ import annotations

import sqlite3

from plumbrise.errors import InputError
from plumbrise.files import read_machine
from plumbrise.machine import stations_of
from plumbrise.store import shelved
from plumbrise.store.rows import plain_text

BEFORE = "SELECT * FROM descriptions WHERE machine_id = ? AND put_back = 0 ORDER BY id DESC LIMIT 1"


def describe(connection: sqlite3.Connection, machine_id: int, text: str, at: str) -> bool:
    """Put a description in the place of the one that stands; False if it says the same.

    Raises:
        InputError: the machine was read at stations that this description does not have.
        InputErrors: the text does not describe a machine.
    """
    stands = shelved.row(connection, "machines", machine_id)
    if stands["text"] == text:
        return False
    described = read_machine(text, name="machine")
    there = {station.id for station in stations_of(described.arrangement)}
    for run in shelved.runs(connection, machine_id):
        if run.station.id not in there:
            raise InputError(
                place="arrangement",
                value=described.arrangement.id,
                allowed=f"one with the station {run.station.id}, where run {run.name} was read",
                remedy="Describe another machine, or leave the arrangement as it is.",
            )
    _put_away(connection, stands, at, put_back=0)
    name = plain_text(described.name or described.arrangement.title, lines=1)
    _put_up(connection, machine_id, name, text)
    return True


def put_back(connection: sqlite3.Connection, machine_id: int, at: str) -> bool:
    """The description that stood before; False where there is none."""
    stands = shelved.row(connection, "machines", machine_id)
    before = connection.execute(BEFORE, (machine_id,)).fetchone()
    if before is None:
        return False
    _put_away(connection, stands, at, put_back=1)
    connection.execute("UPDATE descriptions SET put_back = 1 WHERE id = ?", (before["id"],))
    _put_up(connection, machine_id, before["name"], before["text"])
    return True


def before(connection: sqlite3.Connection, machine_id: int) -> int:
    """How many descriptions can be put back."""
    found = connection.execute(
        "SELECT count(*) FROM descriptions WHERE machine_id = ? AND put_back = 0", (machine_id,)
    ).fetchone()
    return int(found[0])


def stood_at(connection: sqlite3.Connection, machine_id: int, at: str) -> str:
    """The text of the description that stood at a moment."""
    put_away = connection.execute(
        "SELECT text FROM descriptions WHERE machine_id = ? AND put_away_at > ? ORDER BY id",
        (machine_id, at),
    ).fetchone()
    found = put_away or shelved.row(connection, "machines", machine_id)
    return str(found["text"])


def _put_up(connection: sqlite3.Connection, machine_id: int, name: str, text: str) -> None:
    connection.execute(
        "UPDATE machines SET name = ?, text = ? WHERE id = ?", (name, text, machine_id)
    )


def _put_away(
    connection: sqlite3.Connection, stands: sqlite3.Row, at: str, *, put_back: int
) -> None:
    shelved.insert(
        connection,
        "descriptions",
        machine_id=stands["id"],
        name=stands["name"],
        text=stands["text"],
        put_away_at=at,
        put_back=put_back,
    )
