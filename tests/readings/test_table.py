"""Runs, kinds and columns: what a reading means before anything is computed from it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.machine import STATIONS, PerSide, blank
from plumbrise.machine.description import Drive, Gauge, Motor, Screw
from plumbrise.readings import COLUMNS, KINDS, Reading, Readings, Run, scale_of
from plumbrise.readings.columns import BY_NAME, REQUIRED
from plumbrise.readings.kinds import (
    COARSE_STEPS,
    FINE_STEPS,
    HOLD,
    REPEAT_HOME,
    REVERSAL,
    STEP_KINDS,
    kind_of_steps,
)
from plumbrise.readings.table import approaches


def _reading(seq=0, **given):
    return Reading(**{"seq": seq, "target_mm": 1.0, "reading_mm": 0.5, "approach": "up", **given})


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.id)
def test_every_kind_says_what_is_done_and_how_many_readings_it_takes(kind):
    assert KINDS[kind.id] is kind
    assert kind.words.endswith(".")
    assert kind.fewest >= 3
    assert kind.moves or not kind.homes


def test_staircases_home_first():
    assert all(kind.homes for kind in (*STEP_KINDS, REPEAT_HOME))
    assert not REVERSAL.homes


@given(st.floats(0.001, 10))
def test_a_staircase_is_fine_up_to_three_tenths(step_mm):
    assert kind_of_steps(step_mm) is (FINE_STEPS if step_mm <= 0.3 + 1e-9 else COARSE_STEPS)


def test_columns_are_found_by_name_and_none_answers_to_two():
    names = [name for column in COLUMNS for name in (column.name, *column.other_names)]
    assert len(names) == len(set(names))
    assert all(BY_NAME[column.name] is column for column in COLUMNS)
    assert REQUIRED == ("run", "test", "station", "seq", "target_mm", "reading_mm")


def test_a_row_that_nobody_read_does_not_count():
    run = Run(
        name="a",
        kind=HOLD,
        station=STATIONS["nut"],
        readings=(_reading(0, assumed=True), _reading(1), _reading(2, reading_mm=None)),
    )
    session = Readings((run,))
    assert (session.count, run.taken_count) == (1, 1)  # a blank and a zero put in are not taken
    assert [r.seq for r in run.taken] == [0, 1]
    assert session.of_kind(HOLD) == (run,)
    assert session.of_kind(REVERSAL) == ()


def test_the_told_motion_is_seen_only_upright_at_a_lifted_place_while_it_moves():
    run = Run(name="a", kind=REVERSAL, station=STATIONS["nut"], readings=())
    assert run.follows_command
    assert not replace(run, station=STATIONS["screw"]).follows_command
    assert not replace(run, axis="left-right").follows_command
    assert not replace(run, kind=HOLD).follows_command


TARGETS = st.lists(st.integers(0, 20).map(float), min_size=1, max_size=12)


@given(TARGETS, st.sampled_from(list(KINDS.values())))
def test_a_direction_is_that_of_the_last_move(targets, kind):
    found = approaches(targets, kind, [None] * len(targets))
    for before, after, direction in zip(targets, targets[1:], found[1:], strict=False):
        if after != before:
            assert direction == ("up" if after > before else "down")


@given(TARGETS, st.data())
def test_a_direction_that_was_written_down_stands(targets, data):
    said = data.draw(
        st.lists(
            st.sampled_from(["up", "down", None]), min_size=len(targets), max_size=len(targets)
        )
    )
    found = approaches(targets, REVERSAL, said)
    assert all(f == s for f, s in zip(found, said, strict=True) if s is not None)
    assert set(found) <= {"up", "down"}


def test_a_staircase_came_down_to_its_zero():
    assert approaches([0, 1, 2], COARSE_STEPS, [None] * 3) == ("down", "up", "up")
    assert approaches([0, 1, 0], REVERSAL, [None] * 3) == ("up", "up", "down")


def test_a_full_step_of_a_lead_of_8_mm_is_four_hundredths():
    machine = replace(
        blank("one-screw"),
        screw=PerSide(Screw(lead_mm=8.0, side="right")),
        motor=PerSide(Motor(full_steps_per_turn=200)),
        gauge=Gauge(resolution_mm=0.001, wrap_mm=1.0),
    )
    scale = scale_of(machine)
    assert scale.full_step_mm == pytest.approx(0.04)
    assert (scale.resolution_mm, scale.wrap_mm, scale.screw_side) == (0.001, 1.0, "right")


def test_a_belt_that_gears_down_makes_the_full_step_smaller():
    machine = replace(
        blank("one-screw"),
        screw=PerSide(Screw(lead_mm=8.0)),
        drive=Drive(motor_teeth=16, screw_teeth=32),
    )
    assert scale_of(machine).full_step_mm == pytest.approx(8 * 16 / 32 / 200)


def test_a_belt_that_only_ties_two_screws_gears_nothing():
    machine = replace(
        blank("two-screw-tied"),
        screw=PerSide(Screw(lead_mm=8.0)),
        drive=Drive(motor_teeth=16, screw_teeth=32),
    )
    assert scale_of(machine).full_step_mm == pytest.approx(0.04)
    assert scale_of(machine).screw_side is None


def test_without_a_lead_no_full_step_is_told():
    assert scale_of(blank("one-screw")).full_step_mm is None
