"""The plans of a machine that were begun and not read to the end, and where each set-up stands."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.errors import InputError, InputErrors
from plumbrise.files import read_readings
from plumbrise.readings import scale_of
from plumbrise.store import Shelf, ShelvedPlan, ShelvedRun
from plumbrise.web import capture_words as words
from plumbrise.web.pages import test_at


@dataclass(frozen=True, slots=True)
class Begun:
    """A plan that can be gone on with: `read` of its `asked` readings are kept; `left` names the
    first set-up that is not at its end."""

    address: str
    left: str
    on: str
    read: int
    asked: int


def begun_plans(shelf: Shelf, machine_id: int) -> list[Begun]:
    """Those with a reading kept and a set-up left, the latest first."""
    runs = shelf.runs(machine_id)
    found = (_begun(shelf, plan, runs) for plan in reversed(shelf.plans(machine_id)))
    return [one for one in found if one is not None]


def _begun(shelf: Shelf, plan: ShelvedPlan, runs: tuple[ShelvedRun, ...]) -> Begun | None:
    of_it = [run for run in runs if run.plan_id == plan.id]
    machine = shelf.machine(plan.machine_id)
    try:
        planned = read_readings(
            plan.text.encode(),
            name=words.THE_PLAN,
            scale=scale_of(machine),
            arrangement=machine.arrangement,
        ).runs
    except (InputError, InputErrors):  # the machine has other stations now
        return None
    read = sum(run.readings for run in of_it)
    ended = {run.name for run in of_it if run.ended_at is not None}
    left = next((run for run in planned if run.name not in ended), None)
    if not read or left is None:
        return None
    return Begun(
        way_on(plan.machine_id, plan.id),
        test_at((left.kind.id, left.station.id)),
        plan.added_at[:10],
        read,
        sum(len(run.readings) for run in planned),
    )


def way_on(machine_id: int, plan_id: int) -> str:
    """Where the readings of a plan are taken."""
    return f"/m/{machine_id}/measure/{plan_id}"


def readings_of(shelf: Shelf, machine_id: int, plan_id: int, set_up: str) -> str:
    """Where what was read of a set-up stands; where it is read, while nothing was."""
    for run in reversed(shelf.runs(machine_id)):
        if (run.plan_id, run.name) == (plan_id, set_up):
            return f"/m/{machine_id}/readings/{run.id}"
    return way_on(machine_id, plan_id)
