"""What leaves the shelf as files comes back the same."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from plumbrise.demo import scenario
from plumbrise.errors import InputErrors
from plumbrise.files import read_machine, read_readings, write_machine, write_readings
from plumbrise.files.header import recognised
from plumbrise.machine import ARRANGEMENTS, STATIONS, blank, stations_of
from plumbrise.machine.description import Gauge
from plumbrise.readings import KINDS, Reading, Readings, Run, scale_of
from plumbrise.readings.checks import BOUNDS
from plumbrise.readings.kinds import HOLD, REVERSAL
from plumbrise.store import Shelf

STANDS = ("frame", "bed", "table", "gantry-left")
LONG_NOTE = 'draught, door; 2 °C\nΔ "seen"\r\n=1+1\tand\x00more\n\n\nlast \ud800'


def now():
    return datetime(2026, 3, 1, tzinfo=UTC)


def numbers(column):
    bound = BOUNDS[column]
    return st.floats(bound.low, bound.high, allow_nan=False)


def perhaps(column):
    return st.none() | numbers(column)


titles = st.text(st.characters(exclude_categories=("Cc", "Cs")), min_size=1, max_size=8).filter(
    lambda t: t.strip() and not recognised((t.strip(),))
)
rows = st.builds(
    Reading,
    seq=st.integers(0, 10**6),
    target_mm=numbers("target_mm"),
    reading_mm=perhaps("reading_mm"),
    approach=st.sampled_from(["up", "down"]),
    mass_kg=numbers("mass_kg"),
    mass_at_mm=perhaps("mass_at_mm"),
    force_n=perhaps("force_n"),
    torque_nmm=perhaps("torque_nmm"),
    time_s=perhaps("time_s"),
    temp_c=perhaps("temp_c"),
    note=st.text(max_size=30) | st.just(LONG_NOTE),
    assumed=st.booleans(),
    other=st.lists(st.tuples(titles, st.text(max_size=6)), max_size=3).map(tuple),
)


@st.composite
def sessions(draw):
    """A machine and readings of it, whatever a person, a gauge or a spreadsheet may have said."""
    machine = blank(draw(st.sampled_from(sorted(ARRANGEMENTS))))
    wrap = draw(st.sampled_from([None, 1.0]))
    machine = replace(
        machine, name=draw(st.sampled_from(["", "Shed, “new”"])), gauge=Gauge(wrap_mm=wrap)
    )
    runs = draw(
        st.lists(
            st.builds(
                Run,
                name=st.text(max_size=8),
                kind=st.sampled_from(sorted(KINDS.values(), key=lambda kind: kind.id)),
                station=st.sampled_from(stations_of(machine.arrangement)),
                readings=st.lists(rows, max_size=4, unique_by=lambda r: r.seq).map(tuple),
                axis=st.sampled_from(["up", "left-right", "front-back"]),
                stand_on=st.sampled_from(("", *STANDS)),
            ),
            max_size=3,
        )
    )
    return machine, runs


def put(shelf, machine, runs):
    machine_id = shelf.add_machine(machine)
    for run in runs:
        run_id = shelf.begin_run(
            machine_id,
            kind=run.kind,
            station=run.station,
            name=run.name,
            axis=run.axis,
            stand_on=run.stand_on,
        )
        for reading in run.readings:
            shelf.keep(run_id, reading)
    return machine_id


def without_rows(readings):
    """The readings alone: not from which row of which file they came."""
    return (
        tuple(
            replace(run, readings=tuple(replace(r, row=None) for r in run.readings))
            for run in readings.runs
        ),
        readings.unknown_columns,
    )


@given(sessions())
@example((blank("one-screw"), []))
def test_export_then_import_changes_neither_machine_nor_readings(session):
    machine, runs = session
    with TemporaryDirectory() as folder, Shelf.open(Path(folder) / "a", now=now) as shelf:
        first = put(shelf, machine, runs)
        second = shelf.import_(*shelf.export(first))
        assert shelf.export(second) == shelf.export(first)
        assert shelf.machine(second) == shelf.machine(first) == machine
        assert without_rows(shelf.readings(second)) == without_rows(shelf.readings(first))


@given(sessions())
def test_the_shelf_gives_the_readings_that_its_exported_files_hold(session):
    machine, runs = session
    with TemporaryDirectory() as folder, Shelf.open(Path(folder) / "a", now=now) as shelf:
        machine_id = put(shelf, machine, runs)
        toml, csv = shelf.export(machine_id)
        held = shelf.readings(machine_id)
    if not held.runs:
        return
    exported = read_machine(toml, name="machine.toml")
    found = read_readings(
        csv.encode(),
        name="readings.csv",
        scale=scale_of(exported),
        arrangement=exported.arrangement,
        as_written=True,
    )
    assert exported == machine
    assert without_rows(found) == without_rows(held)


@given(rows)
def test_numbers_and_words_are_kept_to_the_last_digit(reading):
    with TemporaryDirectory() as folder, Shelf.open(Path(folder) / "a", now=now) as shelf:
        run = Run(name="a", kind=HOLD, station=STATIONS["nut"], readings=(reading,))
        put(shelf, blank("one-screw"), [run])
        kept = shelf.kept(1)[0].reading
    as_given = replace(reading, note=kept.note, other=kept.other)
    assert kept == as_given


@pytest.mark.parametrize(
    "note",
    [
        "a, b; c",
        'he said "no"',
        "two\nlines",
        "=SUM(A1)",
        "0,5 mm · 21 °C",
        "'",
        "読めない",
        "\ufeffx",
    ],
)
def test_a_note_comes_back_letter_for_letter(shelf, machine_id, run_id, note):
    shelf.keep(run_id, Reading(seq=0, target_mm=0, reading_mm=0, approach="up", note=note))
    back = shelf.import_(*shelf.export(machine_id))
    assert shelf.readings(back).runs[0].readings[0].note == note


def test_a_whole_evening_goes_in_and_comes_out_as_the_same_files(shelf):
    invented = scenario()
    toml, csv = write_machine(invented.machine), write_readings(invented.readings)
    machine_id = shelf.import_(toml, csv, source="evening.csv")
    assert shelf.export(machine_id) == (toml, csv)
    assert shelf.readings(machine_id).count == invented.readings.count
    assert {run.source for run in shelf.runs(machine_id)} == {"evening.csv"}
    assert all(run.ended_at for run in shelf.runs(machine_id))


def test_what_was_taken_back_or_passed_over_does_not_leave_the_shelf(shelf, machine_id, run_id):
    for seq in range(3):
        shelf.keep(run_id, Reading(seq=seq, target_mm=seq, reading_mm=seq, approach="up"))
    shelf.take_back(run_id)
    shelf.skip(run_id, Reading(seq=2, target_mm=2, reading_mm=None, approach="up"))
    assert len(shelf.export(machine_id)[1].splitlines()) == 3


def test_a_dial_without_turns_is_written_as_read_and_carried_on_when_asked_for(shelf):
    toml = 'arrangement = "one-screw"\ngauge = { wrap_mm = 1.0 }\n'
    csv = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
        f"a,coarse-steps,gantry-left,{i},{i},{value},{'up' if i else 'down'}\n"
        for i, value in enumerate((0.0, 0.81, 0.8, 0.79))
    )
    machine_id = shelf.import_(toml, csv)
    found = shelf.readings(machine_id)
    assert [r.reading_mm for r in found.runs[0].readings] == [0, 0.81, 1.8, 2.79]
    assert any("no turns counter" in remark for remark in found.remarks)
    assert ",0.79," in shelf.export(machine_id)[1]


def test_what_was_assumed_of_a_short_table_is_still_said(shelf):
    machine_id = shelf.import_(
        'arrangement = "one-screw"\n', "told,read\n1,0.8\n2,1.8\n3,2.8\n", station="gantry-left"
    )
    found = shelf.readings(machine_id)
    assert found.runs[0].readings[0].assumed
    assert any("taken as 0 at told 0" in remark for remark in found.remarks)
    assert (found.count, shelf.machines()[0].readings) == (3, 3)


def test_a_table_with_a_fault_leaves_nothing_behind(shelf):
    csv = "run,test,station,seq,target_mm,reading_mm\na,reversal,gantry-left,0,1,long\n"
    with pytest.raises(InputErrors, match=r"evening\.csv, row 2"):
        shelf.import_('arrangement = "one-screw"\n', csv, source="evening.csv")
    assert shelf.machines() == ()


def test_columns_of_the_persons_own_keep_their_order(shelf):
    run = Run(
        name="a",
        kind=REVERSAL,
        station=STATIONS["nut"],
        readings=(
            Reading(seq=0, target_mm=1, reading_mm=1, approach="up", other=(("z", "1"),)),
            Reading(
                seq=1, target_mm=2, reading_mm=2, approach="up", other=(("b", "2"), ("z", "3"))
            ),
        ),
    )
    given = Readings((run,), unknown_columns=("z", "b"))
    back = shelf.import_(write_machine(blank("one-screw")), write_readings(given))
    assert without_rows(shelf.readings(back))[1] == ("z", "b")
    assert shelf.readings(back).runs[0].readings[1].other == (("z", "3"), ("b", "2"))


@pytest.mark.parametrize(("column", "other"), [("mass_kg", "1.5"), ("note", "hung anew")])
def test_a_table_corrected_beside_its_readings_is_not_the_one_that_is_there(shelf, column, other):
    toml = 'arrangement = "one-screw"\n'
    head = f"run,test,station,seq,target_mm,reading_mm,approach,{column}\n"
    first, corrected = (
        f"{head}a,dead-weight,gantry-left,0,20,0,up,0\na,dead-weight,gantry-left,1,20,0.1,up,{value}\n"
        for value in ("0.5", other)
    )
    machine_id = shelf.import_(toml, first)
    assert shelf.holding(toml, first)[0] == machine_id
    assert shelf.holding(toml, corrected) == (None, machine_id)
