"""A table of readings that was written reads back as what it was written from."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st
from tables import read

from plumbrise.files import write_readings
from plumbrise.files.cells import number_in
from plumbrise.machine import STATIONS
from plumbrise.readings import COLUMNS, KINDS, Reading, Readings, Run
from plumbrise.readings.kinds import REVERSAL


@given(st.floats(-499, 499))
def test_every_number_reads_back_as_it_was_written(number):
    assert number_in(repr(number)) == number
    if "e" not in repr(number):
        assert number_in(repr(number).replace(".", ",")) == number


WORDS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp", "Zs")), max_size=8
)
NUMBERS = st.floats(-400, 400).map(lambda x: x + 0.0)


@st.composite
def sessions(draw):
    names = draw(st.lists(WORDS.filter(bool), min_size=1, max_size=3, unique=True))
    runs = []
    for name in names:
        count = draw(st.integers(1, 5))
        maybe = st.none() | NUMBERS
        readings = [
            Reading(
                seq=seq,
                target_mm=draw(st.floats(0, 300)),
                reading_mm=draw(maybe),
                approach=draw(st.sampled_from(["up", "down"])),
                mass_kg=draw(st.floats(0, 40)),
                mass_at_mm=draw(maybe),
                force_n=draw(maybe),
                torque_nmm=draw(maybe),
                time_s=draw(st.none() | st.just(float(seq))),
                temp_c=draw(st.none() | st.floats(0, 60)),
                note=draw(WORDS),
            )
            for seq in range(count)
        ]
        runs.append(
            Run(
                name=name,
                kind=draw(st.sampled_from(list(KINDS.values()))),
                station=draw(st.sampled_from(list(STATIONS.values()))),
                readings=tuple(readings),
                axis=draw(st.sampled_from(["up", "left-right", "front-back"])),
                stand_on=draw(st.sampled_from(["frame", "bed", "table", "gantry-left"])),
            )
        )
    return Readings(tuple(runs))


def _without_rows(readings):
    return tuple(
        replace(run, readings=tuple(replace(r, row=None) for r in run.readings))
        for run in readings.runs
    )


@given(sessions())
def test_a_written_table_reads_back_as_the_same_runs(readings):
    again = read(write_readings(readings), station=None, as_written=True)
    assert _without_rows(again) == readings.runs
    assert again.unknown_columns == ()


def test_a_zero_that_nobody_read_is_still_nobodys_after_writing():
    first = read("told,read,mood\n1,0.80,good\n2,1.80,\n3,2.79,bad\n")
    again = read(write_readings(first))
    assert _without_rows(again) == _without_rows(first)
    assert again.count == first.count == 3


def test_the_written_reversal_has_every_column_of_the_format():
    run = Run(
        name="a",
        kind=REVERSAL,
        station=STATIONS["nut"],
        readings=(Reading(seq=0, target_mm=10, reading_mm=0.125, approach="up"),),
    )
    header, row = write_readings(Readings((run,))).splitlines()
    assert header.split(",") == [column.name for column in COLUMNS]
    assert row.startswith("a,reversal,nut,0,10,0.125,up,0,")
