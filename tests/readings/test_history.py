"""What the axis did between the readings, so that plan, model and simulator tell one story."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.machine import STATIONS
from plumbrise.readings import KINDS, Reading, Run, moves
from plumbrise.readings.history import (
    APPROACH_FAR_MM,
    APPROACH_NEAR_MM,
    HOME_FROM_MM,
)
from plumbrise.readings.kinds import COARSE_STEPS, DEAD_WEIGHT, HOLD, REPEAT_HOME, REVERSAL
from plumbrise.readings.table import approaches


def _run(kind, targets, directions=None, **given):
    directions = directions or approaches(targets, kind, [None] * len(targets))
    return Run(
        name="a",
        kind=kind,
        station=STATIONS["nut"],
        readings=tuple(
            Reading(seq=i, target_mm=t, reading_mm=0.0, approach=d, **given)
            for i, (t, d) in enumerate(zip(targets, directions, strict=True))
        ),
    )


RUNS = st.builds(
    _run,
    st.sampled_from(list(KINDS.values())),
    st.lists(st.integers(0, 40).map(float), min_size=1, max_size=10),
)


@given(RUNS, st.floats(0.5, 5))
def test_every_reading_has_its_move_in_the_order_taken(run, overrun_mm):
    made = moves(run, overrun_mm=overrun_mm)
    assert [m.reading for m in made if m.reading is not None] == list(range(len(run.readings)))
    for move in made:
        if move.reading is not None:
            assert move.target_mm == run.readings[move.reading].target_mm


@given(RUNS, st.floats(0.5, 5))
def test_the_axis_is_never_told_below_0(run, overrun_mm):
    assert all(move.target_mm >= 0 for move in moves(run, overrun_mm=overrun_mm))


@given(RUNS, st.floats(0.5, 5))
def test_the_last_move_before_a_reading_has_the_direction_it_names(run, overrun_mm):
    if not run.kind.moves or run.kind is REPEAT_HOME:
        return
    made = moves(run, overrun_mm=overrun_mm)
    for before, after in pairwise(made):
        if after.reading is None or before.target_mm == after.target_mm:
            continue
        if run.kind.homes and after.reading == 0:
            continue  # a home comes down to 0, whatever the first row is
        rises = after.target_mm > before.target_mm
        assert run.readings[after.reading].approach == ("up" if rises else "down")


def test_a_staircase_comes_down_to_its_zero_and_sets_it():
    home, zero, first = moves(_run(COARSE_STEPS, [0, 1]))
    assert home.target_mm >= HOME_FROM_MM
    assert (zero.target_mm, zero.homes, zero.reading) == (0, True, 0)
    assert first.target_mm == 1


def test_homing_again_and_again_homes_before_every_reading():
    made = moves(_run(REPEAT_HOME, [1, 1, 1], ["up"] * 3))
    assert sum(move.homes for move in made) == 3
    assert sum(move.target_mm >= HOME_FROM_MM for move in made) == 3


@pytest.mark.parametrize("direction", ["up", "down"])
def test_every_other_run_comes_from_the_side_that_it_goes_on_from(direction):
    targets = [20, 21] if direction == "up" else [20, 19]
    first, second, *_ = moves(_run(REVERSAL, targets))
    sign = 1 if direction == "up" else -1
    assert first.target_mm == 20 + sign * APPROACH_NEAR_MM
    assert second.target_mm == 20 - sign * APPROACH_FAR_MM


def test_where_a_run_turns_it_goes_on_past_the_turning_point_first():
    made = moves(_run(REVERSAL, [10, 11, 11], ["up", "up", "down"]), overrun_mm=2.5)
    assert [m.target_mm for m in made][-2:] == [13.5, 11]


@pytest.mark.parametrize("kind", [HOLD, DEAD_WEIGHT], ids=lambda kind: kind.id)
def test_what_holds_still_moves_only_on_the_way_there(kind):
    made = moves(_run(kind, [10, 10, 10], mass_kg=1.0))
    assert [m.target_mm for m in made if m.reading is not None] == [10, 10, 10]
    assert len(made) == 3 + 2


def test_a_hung_mass_hangs_while_its_reading_is_taken():
    made = moves(_run(DEAD_WEIGHT, [10, 10], mass_kg=1.5, mass_at_mm=80.0))
    assert all((m.mass_kg, m.mass_at_mm) == (1.5, 80) for m in made if m.reading is not None)


def test_a_pull_at_the_beam_is_a_load_and_a_push_at_the_frame_is_not():
    pulled = moves(_run(DEAD_WEIGHT, [10], force_n=5.0))
    pushed = moves(_run(KINDS["side-push"], [10], force_n=5.0))
    assert (pulled[-1].pull_n, pushed[-1].pull_n) == (5.0, 0.0)


def test_a_staircase_that_starts_higher_up_comes_down_to_its_first_row():
    run = Run(
        name="a",
        kind=KINDS["coarse-steps"],
        station=STATIONS["gantry-left"],
        readings=tuple(
            Reading(seq=i, target_mm=10.0 + i, reading_mm=0.0, approach="up" if i else "down")
            for i in range(3)
        ),
    )
    assert [move.target_mm for move in moves(run)] == [18.0, 10.0, 11.0, 12.0]
