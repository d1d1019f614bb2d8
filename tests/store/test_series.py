"""A plan is known by what it asks for; what is filled in by hand is kept, and once."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from plumbrise.files import read_readings, write_machine, write_readings
from plumbrise.machine import blank
from plumbrise.machine.description import Controller, Gauge
from plumbrise.readings import Readings, scale_of
from plumbrise.store import Shelf
from plumbrise.store.beginning import begin, take_in

SHEET = "run,test,station,seq,target_mm,reading_mm,approach,note\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},,{'up' if i else 'down'},\n" for i in range(4)
)
MACHINE = replace(blank("one-screw"), name="Shed", gauge=Gauge(resolution_mm=0.01))


def sheet(text):
    return read_readings(
        text.encode(), name="sheet.csv", scale=scale_of(MACHINE), arrangement=MACHINE.arrangement
    ).runs


def with_values(*values):
    lines = SHEET.splitlines()
    for number, value in enumerate(values, start=1):
        lines[number] = lines[number].replace(",,", f",{value},", 1)
    return sheet("\n".join(lines) + "\n")


BLANK = sheet(SHEET)


@pytest.fixture
def shelf(tmp_path):
    with Shelf.open(tmp_path / "shelf.sqlite", now=lambda: datetime(2026, 5, 1, tzinfo=UTC)) as it:
        yield it


def sitting(shelf, runs=BLANK, machine=MACHINE, **more):
    return begin(shelf, machine, runs, since_s=lambda: 1.0, label="evening", **more)


def refuses(_):
    raise AssertionError("nothing is to be asked")


def values(shelf, machine_id=1):
    return {
        run.name: [r.reading_mm for r in run.readings] for run in shelf.readings(machine_id).runs
    }


@pytest.mark.parametrize(
    "other",
    [
        replace(MACHINE, note="The nut was cleaned."),
        replace(MACHINE, controller=Controller(end=("M84",))),
    ],
    ids=["note", "controller"],
)
def test_what_no_reading_depends_on_may_be_described_otherwise(shelf, other):
    sitting(shelf).keep(0.0)
    again = sitting(shelf, machine=other, goes_on=refuses)
    assert again.session.asks.reading == 1
    assert shelf.machine(again.machine_id) == other
    assert shelf.descriptions_before(again.machine_id) == 1


def test_a_comment_in_the_machines_file_changes_nothing(shelf):
    first = sitting(shelf, machine_text='arrangement = "one-screw"\n', machine=blank("one-screw"))
    first.keep(0.0)
    text = '# seen on Sunday\narrangement = "one-screw"\n'
    again = sitting(shelf, machine_text=text, machine=blank("one-screw"), goes_on=refuses)
    assert again.session.asks.reading == 1
    assert len(shelf.machines()) == 1


def test_what_matters_is_asked_about_and_gone_on_with(shelf):
    sitting(shelf).keep(0.0)
    asked = []
    finer = replace(MACHINE, gauge=Gauge(resolution_mm=0.001))
    again = sitting(shelf, machine=finer, goes_on=lambda changed: not asked.append(changed))
    (changed,) = asked
    assert changed.what == ("gauge.resolution_mm was 0.01, is 0.001",)
    assert (changed.name, changed.readings) == ("Shed", 1)
    assert again.session.asks.reading == 1
    assert again.session.resolution_mm == 0.001
    assert len(shelf.machines()) == 1


def test_begun_anew_what_was_read_stays_with_the_machine_that_it_was_read_with(shelf):
    sitting(shelf).keep(0.0)
    finer = replace(MACHINE, gauge=Gauge(resolution_mm=0.001))
    again = sitting(shelf, machine=finer, goes_on=lambda _: False)
    assert again.session.asks.reading == 0
    assert values(shelf) == {"left": [0.0]}
    assert shelf.machine(1) == MACHINE
    assert sitting(shelf, goes_on=refuses).session.asks.reading == 1


def test_another_series_stands_beside_the_first_and_is_gone_on_with(shelf):
    first = sitting(shelf)
    for value in (0.0, 0.6, 1.6, 2.6):
        first.keep(value)
    second = sitting(shelf, anew=True)
    second.keep(0.01)
    assert values(shelf) == {"left": [0.0, 0.6, 1.6, 2.6], "left 2": [0.01]}
    assert sitting(shelf).session.asks.reading == 1
    assert sitting(shelf, anew=True).session.asks.reading == 0


def test_a_series_in_which_nothing_was_read_is_not_begun_twice(shelf):
    assert sitting(shelf, anew=True).plan_id == sitting(shelf, anew=True).plan_id


def test_rows_filled_in_by_hand_are_kept_and_the_blanks_are_asked_for(shelf):
    filled = with_values("0.0", "", "1.61")
    now = sitting(shelf, filled)
    assert take_in(now, filled, source="sheet.csv").kept == 2
    assert values(shelf) == {"left": [0.0, 1.61]}
    assert (now.session.asks.reading, now.session.left) == (1, 2)
    assert shelf.runs()[0].source == "sheet.csv"
    now.keep(0.62)
    assert values(shelf) == {"left": [0.0, 0.62, 1.61]}
    assert sitting(shelf).session == now.session


def test_what_a_worksheet_brings_is_kept_once_however_often_it_is_given(shelf):
    filled = with_values("0.0", "0.62")
    take_in(sitting(shelf, filled), filled, source="s")
    for _ in range(2):
        assert take_in(sitting(shelf, filled), filled, source="s").kept == 0
    more = with_values("0.0", "0.62", "1.6")
    assert take_in(sitting(shelf, more), more, source="s").kept == 1
    assert values(shelf) == {"left": [0.0, 0.62, 1.6]}


def test_a_row_taken_back_is_not_put_there_again(shelf):
    filled = with_values("0.0", "0.62")
    now = sitting(shelf, filled)
    take_in(now, filled, source="s")
    now.undo()
    assert take_in(sitting(shelf), filled, source="s").kept == 0
    assert values(shelf) == {"left": [0.0]}


def test_where_another_value_stands_it_stays_and_the_sheets_is_marked_beside_it(shelf):
    sitting(shelf).keep(0.0)
    filled = with_values("0.05", "0.62")
    found = take_in(sitting(shelf), filled, source="s")
    assert found.kept == 1
    (beside,) = found.beside
    assert (beside.run, beside.number, beside.stands_mm, beside.came_mm) == ("left", 1, 0.0, 0.05)
    assert values(shelf) == {"left": [0.0, 0.62]}
    assert [m.words for m in shelf.runs()[0].marks if m.what == "read twice"] == [
        "reading 1: 0.05 mm"
    ]


def test_the_first_series_worksheet_fills_nothing_of_the_second(shelf):
    filled = with_values("0.0", "0.62", "1.6", "2.6")
    take_in(sitting(shelf), filled, source="s")
    second = sitting(shelf, filled, anew=True)
    assert take_in(second, filled, source="s").kept == 0
    assert second.session.left == 4
    other = with_values("0.01", "0.63")
    assert take_in(second, other, source="s").kept == 2


def test_notes_times_and_air_come_with_the_rows(shelf):
    text = (
        "run,test,station,seq,target_mm,reading_mm,approach,time_s,temp_c,note,mood\n"
        "left,coarse-steps,gantry-left,0,0,0.0,down,12,21.5,a lorry,calm\n"
        "left,coarse-steps,gantry-left,1,1,,up,,,,\n"
    )
    now = sitting(shelf, sheet(text))
    take_in(now, sheet(text), source="s")
    (row,) = shelf.readings(1).runs[0].readings
    assert (row.time_s, row.temp_c, row.note) == (12, 21.5, "a lorry")
    assert row.other == (("mood", "calm"),)
    assert sitting(shelf, sheet(text)).session == now.session


def test_an_imported_half_filled_worksheet_is_gone_on_with(shelf):
    filled = with_values("0.0", "", "1.61")
    machine_id = shelf.import_(write_machine(MACHINE), write_readings(Readings(filled)))
    assert (shelf.machines()[0].readings, shelf.runs()[0].readings) == (2, 2)  # of 4 asked for
    now = sitting(shelf, goes_on=refuses)
    assert now.machine_id == machine_id
    assert (now.session.asks.reading, now.session.left) == (1, 2)
    assert take_in(now, filled, source="s").kept == 0
    now.keep(0.62)
    now.keep(2.6)
    now.end_run_if_done()
    assert values(shelf) == {"left": [0.0, 0.62, 1.61, 2.6]}
    (run,) = shelf.runs()
    assert (run.readings, run.ended_at is None) == (4, False)


def test_what_fills_an_imported_blank_is_taken_back_to_the_blank(shelf):
    filled = with_values("0.0", "0.62")
    shelf.import_(write_machine(MACHINE), write_readings(Readings(filled)))
    now = sitting(shelf)
    now.keep(1.6)
    now.mend(0, 2, 1.7)
    assert sitting(shelf).session.runs == now.session.runs
    for reading in (3, 3, 2, 1):
        assert now.session.asks.reading == reading
        assert sitting(shelf).session.runs == now.session.runs
        now.undo()
    assert now.session.acts == ()
    assert values(shelf) == {"left": [None, None]}


def test_a_table_of_a_plan_that_waits_on_the_shelf_is_that_plans(shelf):
    machine_id = shelf.add_machine(MACHINE)
    plan_id = shelf.add_plan(machine_id, write_readings(Readings(BLANK)))
    shelf.take_in(machine_id, write_readings(Readings(with_values("0.0", "0.6"))))
    assert shelf.runs(machine_id)[0].plan_id == plan_id
    shelf.take_in(machine_id, write_readings(Readings(with_values("0.1", "0.7"))))
    assert [run.plan_id for run in shelf.runs(machine_id)] == [plan_id, None]


def test_a_machine_that_cannot_be_read_keeps_no_other_out(shelf):
    broken = shelf.add_machine(replace(MACHINE, name="Broken"))
    sitting(shelf).keep(0.25)
    with shelf._writing() as connection:
        connection.execute("UPDATE machines SET text = 'format = 99' WHERE id = ?", (broken,))
    again = sitting(shelf)
    assert again.session.runs[0].readings[0].reading_mm == 0.25
    ((told, why),) = shelf.unreadable()
    assert (told.id, told.name) == (broken, "Broken")
    assert "format" in why
    sitting(shelf, machine=replace(MACHINE, name="Another"), anew=True)
