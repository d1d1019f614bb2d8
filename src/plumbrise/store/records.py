"""What the shelf gives back: frozen values with where they came from."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.machine import Station
from plumbrise.readings import Kind, Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelvedMachine:
    """A described machine; `runs` and `readings` count what stands for it."""

    id: int
    name: str
    text: str
    added_at: str
    version: str
    runs: int
    readings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelvedPlan:
    """A plan as the text that was given."""

    id: int
    machine_id: int
    text: str
    added_at: str
    version: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Something that happened to a run: an alarm, a stop, a note."""

    at: str
    what: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelvedRun:
    """The header of one gauge set-up.

    `source` says where readings come from (keyboard, indicator, a file's name), `program` is the
    fingerprint of the machine that its motion program was made for, `session` names the sitting
    whose start `time_s` counts from. `readings` stand, `taken_back` and `skipped` are kept beside
    them.
    """

    id: int
    machine_id: int
    plan_id: int | None
    name: str
    kind: Kind
    station: Station
    axis: str
    stand_on: str
    gauge_resolution_mm: float | None
    gauge_serial: str
    who: str
    source: str
    program: str
    session: str
    begun_at: str
    ended_at: str | None
    version: str
    readings: int
    taken_back: int
    skipped: int
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """One reading that is on disk. `skipped`: its target was passed over, nothing was read.

    `token` is the sender's own number for it, `taken_back_at` is None while it stands,
    `instead_of` the id of the reading that it mends.
    """

    id: int
    run_id: int
    reading: Reading
    kept_at: str
    skipped: bool
    token: str | None
    taken_back_at: str | None
    instead_of: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelvedResult:
    """A result as JSON text. `made_from` is the fingerprint of machine and readings it is of:
    compare it with `Shelf.fingerprint` to see whether it still holds."""

    id: int
    machine_id: int
    kind: str
    text: str
    made_from: str
    made_at: str
    version: str
