"""The sitting of a worksheet: the one that its plan was begun in, or a new one; and what of the
sheet was filled in by hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Unpack

from plumbrise.files import write_machine, write_readings
from plumbrise.files.worksheet import blanked, filled
from plumbrise.machine import Machine
from plumbrise.readings import Reading, Readings, Run
from plumbrise.store.adopting import Brought
from plumbrise.store.resuming import own_name
from plumbrise.store.series import Series, changes
from plumbrise.store.shelf import Shelf
from plumbrise.store.sitters import Beside, How, Overtaken
from plumbrise.store.sitting import Sitting


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """A plan was begun with the machine described otherwise: `what` says where; `readings`
    stand."""

    machine_id: int
    name: str
    what: tuple[str, ...]
    readings: int


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What became of the rows of a worksheet that were filled in: how many were kept, and those
    where another value stands."""

    kept: int
    beside: tuple[Beside, ...]


def _begins_anew(_: Changed) -> bool:
    return False


def _leaves(_: Brought) -> bool:
    return False


def begin(
    shelf: Shelf,
    machine: Machine,
    planned: Sequence[Run],
    *,
    machine_text: str = "",
    anew: bool = False,
    goes_on: Callable[[Changed], bool] = _begins_anew,
    adopts: Callable[[Brought], bool] = _leaves,
    **how: Unpack[How],
) -> Sitting:
    """Begin, or go on with what is kept of the same plan of the same machine.

    A plan is known by what it asks for, whatever is filled in; of several series the last is gone
    on with. Where the machine has since been described otherwise in what may matter to readings,
    the caller is asked; what does not matter is brought up to date.

    Args:
        shelf: where it is kept.
        machine: the axis.
        planned: the set-ups, in order; what is filled in is left out (see `take_in`).
        machine_text: the machine's file, kept word for word.
        anew: begin a series of its own where one was begun.
        goes_on: whether to go on at a machine that is now described otherwise, and describe it so;
            else a series of its own is begun, as of another machine.
        adopts: whether to go on with readings that came to the shelf as a table and answer set-ups
            of a plan that was not begun here.
        how: who reads with what; see `How`.
    """
    known = shelf.series_of(planned)
    asked = next((s for s in reversed(known) if s.machine == machine), None)
    kin = [s for s in known if s.begun and s.machine.arrangement == machine.arrangement]
    stays = asked is None and bool(kin) and _stays(kin[-1], machine, anew, goes_on)
    brought = None if known or anew else shelf.brought(machine, planned)
    taken_over = brought if brought is not None and adopts(brought) else None
    text = machine_text or write_machine(machine)
    with shelf.together():
        if stays:
            shelf.describe(kin[-1].machine_id, text)
        if taken_over is None:
            machine_id, plan_id, runs = _place(shelf, machine, text, planned, anew=anew)
        else:
            machine_id, runs = taken_over.machine_id, blanked(planned)
            plan_id = shelf.add_plan(machine_id, _sheet(runs))
            shelf.adopt(plan_id, taken_over.run_ids)
        return Sitting.on(shelf, machine_id, plan_id, runs, **how)


def _stays(
    series: Series, machine: Machine, anew: bool, goes_on: Callable[[Changed], bool]
) -> bool:
    """Whether a plan's machine is the one described now."""
    what = changes(series.machine, machine)
    if not what:
        return True
    name = series.machine.name or series.machine.arrangement.title
    changed = Changed(machine_id=series.machine_id, name=name, what=what, readings=series.readings)
    return not anew and goes_on(changed)


def _place(
    shelf: Shelf, machine: Machine, text: str, planned: Sequence[Run], *, anew: bool
) -> tuple[int, int, tuple[Run, ...]]:
    """Machine, plan and set-ups on the shelf, put there if they are not."""
    for series in reversed(shelf.series_of(planned)):
        if series.machine == machine:
            if anew and series.begun:
                plan_id = shelf.add_plan(series.machine_id, _sheet(series.runs))
                return series.machine_id, plan_id, series.runs
            return series.machine_id, series.plan_id, series.runs
    there = (number for number, described in shelf.described().items() if described == machine)
    machine_id = next(there, None)
    if machine_id is None:
        machine_id = shelf.add_machine(text)
    runs = blanked(planned)
    return machine_id, shelf.add_plan(machine_id, _sheet(runs)), runs


def _sheet(runs: tuple[Run, ...]) -> str:
    return write_readings(Readings(runs))


def take_in(sitting: Sitting, sheet: Sequence[Run], *, source: str) -> TakenIn:
    """Keep the rows of a worksheet that are filled in. What was kept before, or in an earlier
    series of the same plan, is not kept again; where another value stands it stays, and the sheet's
    is marked beside it.

    Args:
        sitting: of this worksheet's plan.
        sheet: the worksheet as it was filled in.
        source: its name, as where the readings come from.
    """
    read = {
        (run.name, i): row for run in sheet for i, row in enumerate(run.readings) if filled(row)
    }
    wanted = {_as_kept(name, row) for (name, _), row in read.items()}
    if not read or _of_another_series(sitting, wanted):
        return TakenIn(0, ())
    before = _ever_kept(sitting.shelf, sitting.machine_id, sitting.plan_id, sheet)
    new = {at: row for at, row in read.items() if _as_kept(at[0], row) not in before}
    came_from, sitting.source = sitting.source, source
    try:
        found = [_taken(sitting, at, row) for at, row in new.items()]
    finally:
        sitting.source = came_from
    sitting.end_run_if_done()
    beside = tuple(one for one in found if one is not None)
    return TakenIn(len(found) - len(beside), beside)


def _taken(sitting: Sitting, at: tuple[str, int], row: Reading) -> Beside | None:
    """Keep one row; where it cannot be kept, what stands there."""
    while True:
        place = sitting.place(*at)
        try:
            if not sitting.session.is_open(*place):
                return sitting.beside(place, row.reading_mm)
            sitting.take(row, at=place)
            return None
        except Overtaken:
            continue


_Known = set[tuple[str, int, float | None]]


def _as_kept(run: str, row: Reading) -> tuple[str, int, float | None]:
    return run, row.seq, row.torque_nmm if row.reading_mm is None else row.reading_mm


def _ever_kept(shelf: Shelf, machine_id: int, plan_id: int, planned: Sequence[Run]) -> _Known:
    """All that was kept of a plan, taken back since or not."""
    names = [run.name for run in planned]
    return {
        _as_kept(own_name(run.name, names), one.reading)
        for run in shelf.runs(machine_id)
        if run.plan_id == plan_id
        for one in shelf.kept(run.id, all_of_it=True)
    }


def _of_another_series(sitting: Sitting, wanted: _Known) -> bool:
    """Whether all that is filled in was kept in an earlier series: it is that one's worksheet."""
    planned = sitting.session.planned
    return any(
        series.plan_id != sitting.plan_id
        and wanted <= _ever_kept(sitting.shelf, series.machine_id, series.plan_id, planned)
        for series in sitting.shelf.series_of(planned)
    )
