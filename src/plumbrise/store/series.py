"""Which plan on the shelf a worksheet is of, and how the machine was described when it was read."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from plumbrise.errors import InputError, InputErrors
from plumbrise.files import machine_dict, read_readings
from plumbrise.files.worksheet import asked, blanked
from plumbrise.machine import Machine
from plumbrise.readings import Run, scale_of
from plumbrise.store import shelved
from plumbrise.store.records import Kept

ASIDE = ("note", "invented", "controller")
"""Parts of a machine file that no reading depends on."""
BLANK = "worksheet blank "
"""How the token of a row begins that came without a reading, in a worksheet filled in by hand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """A plan on the shelf, read once or begun: `machine` as it is described there, `readings` how
    many stand, `begun` where a set-up of it was."""

    plan_id: int
    machine_id: int
    machine: Machine
    runs: tuple[Run, ...]
    begun: bool
    readings: int


def series_of(
    connection: sqlite3.Connection, planned: Sequence[Run], *, machine_id: int | None = None
) -> tuple[Series, ...]:
    """All plans that ask for the same, of one machine or of any, the oldest first. A machine that
    cannot be read is passed over."""
    wanted = asked(planned)
    found: list[Series] = []
    for number, machine in shelved.described(connection):
        if machine_id is not None and number != machine_id:
            continue
        held = shelved.runs(connection, number)
        for plan in shelved.plans(connection, number):
            runs = _asked_in(plan.text, machine)
            if runs and asked(runs) == wanted:
                of_it = [run for run in held if run.plan_id == plan.id]
                found.append(
                    Series(
                        plan_id=plan.id,
                        machine_id=number,
                        machine=machine,
                        runs=runs,
                        begun=bool(of_it),
                        readings=sum(run.readings for run in of_it),
                    )
                )
    return tuple(sorted(found, key=lambda series: series.plan_id))


def _asked_in(text: str, machine: Machine) -> tuple[Run, ...]:
    """The set-ups that a plan's text holds; none if it is no worksheet of this machine."""
    try:
        found = read_readings(
            text.encode(),
            name="plan",
            scale=replace(scale_of(machine), wrap_mm=None),
            arrangement=machine.arrangement,
            as_written=True,
        )
    except (InputError, InputErrors):
        return ()
    return blanked(found.runs)


def changes(before: Machine, now: Machine) -> tuple[str, ...]:
    """What of a machine is described otherwise now and may matter to its readings.

    Example:
        >>> from plumbrise.machine import blank
        >>> from plumbrise.machine.description import Gauge
        >>> one = blank("one-screw")
        >>> changes(one, replace(one, note="new nut", gauge=Gauge(resolution_mm=0.001)))
        ('gauge.resolution_mm was not given, is 0.001',)
    """
    was, stands = _fields(machine_dict(before)), _fields(machine_dict(now))
    return tuple(
        f"{key} was {_said(was.get(key))}, is {_said(stands.get(key))}"
        for key in dict.fromkeys([*was, *stands])
        if key.partition(".")[0] not in ASIDE and was.get(key) != stands.get(key)
    )


def _fields(table: dict[str, Any], before: str = "") -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in table.items():
        if isinstance(value, dict) and value:
            found |= _fields(value, f"{before}{key}.")
        else:
            found[f"{before}{key}"] = value
    return found


def _said(value: Any) -> str:
    return "not given" if value in (None, "") else str(value)


def blank_token(seq: int) -> str:
    """The token of a row without a reading that came with a worksheet."""
    return f"{BLANK}{seq}"


def is_blank(kept: Kept) -> bool:
    """Whether a row came without a reading, and is still to be read."""
    return kept.token is not None and kept.token.startswith(BLANK)
