"""The solver: exact against a slow twin, blind to how a move is divided, never unsettled."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.axis import (
    follow_path,
    layout_of,
    predict_all,
    prepare,
    sound,
    vector_of,
    with_guide,
    with_lift,
)
from plumbrise.machine import ARRANGEMENTS, STATIONS, blank
from plumbrise.readings import KINDS, Move, Reading, Readings, Run

TWO_ENDS = [a.id for a in ARRANGEMENTS.values() if len(a.ends) == 2]


def going(told_mm, mass_kg=None):
    masses = [0.0] * len(told_mm) if mass_kg is None else mass_kg
    return [Move(target_mm=z, mass_kg=m) for z, m in zip(told_mm, masses, strict=True)]


@pytest.mark.parametrize(
    ("arrangement", "axes"), [*((a, 700) for a in TWO_ENDS), ("three-screw-bed", 6)]
)
def test_every_move_ends_where_the_slow_twin_says(arrangement, axes, any_axis, any_path, reference):
    rng = np.random.default_rng(7)
    worst = 0.0
    for _ in range(axes):
        axis, told = any_axis(arrangement, rng), any_path(rng, 20)
        path = follow_path(axis, going(told))
        assert path.unconverged == 0
        worst = max(worst, np.abs(path.height_mm - reference.heights_mm(axis, told)).max())
    assert worst < 1e-9


def test_hung_masses_move_the_body_as_the_slow_twin_says(any_axis, reference):
    rng = np.random.default_rng(8)
    told = [20.0, 30.0, *[30.0] * 6]
    masses = np.array([0, 0, 0.5, 1, 2, 1, 0.5, 0])
    for _ in range(100):
        axis = any_axis("two-screw", rng)
        place = float(rng.uniform(0, 1))
        loads = 9.80665 * np.outer(masses, [1 - place, place])
        path = follow_path(replace(axis, load_place=place), going(told, [float(m) for m in masses]))
        assert path.height_mm == pytest.approx(reference.heights_mm(axis, told, loads), abs=1e-9)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_dividing_a_move_changes_nothing(arrangement, any_axis, any_path):
    rng = np.random.default_rng(9)
    for _ in range(150):
        axis = any_axis(arrangement, rng)
        # a drag that is the same at every height: otherwise the divided move feels other drag
        axis = with_guide(axis, lambda g: replace(g, profile=(0.0,) * 13))
        axis = with_lift(axis, lambda i: replace(i, misalignment_n=0.0))
        if arrangement == "one-screw":  # with several, one screw's rise may unload another's clamp
            axis = with_lift(axis, lambda i: replace(i, hold_n=30.0))
        axis = replace(axis, tight_spot=replace(axis.tight_spot, strength=0.0))
        # a bed held far more stiffly front to back than across may swing to and fro on the way
        axis = replace(axis, tilting_n_per_mm=min(axis.tilting_n_per_mm, 4 * axis.racking_n_per_mm))
        told = any_path(rng, 12)
        parts = [told[0]]
        for before, after in pairwise(told):
            parts += [before + (after - before) * k / 7 for k in range(1, 8)]
        whole, divided = follow_path(axis, going(told)), follow_path(axis, going(parts))
        assert divided.height_mm[::7] == pytest.approx(whole.height_mm, abs=1e-10)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_no_move_of_many_axes_is_left_unsettled(arrangement, any_axis):
    rng = np.random.default_rng(10)
    told = [10.0, *np.round(10 + np.cumsum(rng.choice([-0.5, -0.05, 0.02, 0.4], 150)), 3)]
    readings = tuple(
        Reading(seq=i, target_mm=abs(float(z)), reading_mm=0.0, approach="up")
        for i, z in enumerate(told)
    )
    station = STATIONS["bed" if arrangement == "three-screw-bed" else "gantry-left"]
    run = Run(name="a", kind=KINDS["reversal"], station=station, readings=readings)
    session = prepare(sound(blank(arrangement)), Readings((run,)))
    thetas = np.array([vector_of(any_axis(arrangement, rng)) for _ in range(400)])
    assert predict_all(session, thetas).unconverged == 0


def test_eight_elements_stand_in_for_four(any_path):
    """The same drag in finer elements goes nearly the same way and ends at the same drag."""
    four = sound(blank("one-screw"), elements=4)
    eight = sound(blank("one-screw"), elements=8)
    told = [10.0, 20.0, *[20 - 0.05 * k for k in range(1, 60)]]
    a, b = follow_path(four, going(told)), follow_path(eight, going(told))
    assert a.height_mm[1] == pytest.approx(b.height_mm[1], abs=1e-9)
    assert a.height_mm[-1] == pytest.approx(b.height_mm[-1], abs=1e-9)
    assert np.abs(a.height_mm - b.height_mm).max() < 0.01


@given(drag_n=st.floats(0.5, 4), stiffness=st.floats(20, 500))
def test_reversal_loses_twice_drag_over_stiffness(drag_n, stiffness):
    axis = _plain(drag_n=drag_n, stiffness=stiffness)
    path = follow_path(axis, going([10.0, 20.0, 25.0, 20.0]))
    lost = path.height_mm[3] - path.height_mm[1]
    chain = 1 / (1 / stiffness + 1 / 1500 + 2e-12)
    assert lost[0] == pytest.approx(2 * 2 * drag_n / chain, abs=1e-9)


@given(drag_n=st.floats(0.5, 4), racking=st.floats(5, 500))
def test_far_side_lags_by_its_drag_over_the_racking_stiffness(drag_n, racking):
    axis = replace(_plain(drag_n=drag_n, stiffness=300.0), racking_n_per_mm=racking)
    path = follow_path(axis, going([10.0, 20.0, 25.0, 20.0]))
    lost = path.height_mm[3] - path.height_mm[1]
    assert lost[1] - lost[0] == pytest.approx(2 * drag_n / racking, abs=1e-9)


def test_a_clamp_sinks_where_the_load_passes_its_hold_and_stays_down():
    axis = with_lift(sound(blank("one-screw")), lambda i: replace(i, hold_n=14.0))
    path = follow_path(axis, going([10.0, 20.0, 10.0, 20.0, 10.0]))
    slid = path.slid_mm[:, 0]
    assert slid[1] > 0.01
    assert np.all(np.diff(slid) >= 0)
    assert slid[2] == slid[1]
    assert path.force_n.max() < 14.0 + 0.02 * slid[-1] + 1e-9


def test_a_shaft_rises_through_its_end_float_when_drag_passes_the_weight():
    def risen(end_float_mm):
        axis = with_guide(sound(blank("one-screw")), lambda g: replace(g, drag_n=12.0))
        axis = with_lift(axis, lambda i: replace(i, end_float_mm=end_float_mm, play_mm=0.03))
        path = follow_path(axis, going([40.0, 20.0]))
        return path.shaft_mm[1, 0] - 1 / 1500 * -path.force_n[1, 0]

    assert risen(0.0) == pytest.approx(0.0, abs=1e-12)
    assert risen(0.06) == pytest.approx(0.06, abs=1e-12)


def test_screws_that_stand_apart_tilt_the_body_at_rest():
    axis = sound(blank("two-screw"))
    axis = with_lift(axis, lambda i: replace(i, offset_mm=0.16), end="right")
    axis = replace(axis, racking_n_per_mm=1e-6)
    path = follow_path(axis, going([10.0]))
    assert path.height_mm[0, 1] - path.height_mm[0, 0] == pytest.approx(0.16, abs=1e-6)


def test_a_wound_up_tie_belt_lets_its_screw_lag_both_ways():
    axis = with_guide(sound(blank("two-screw-tied")), lambda g: replace(g, drag_n=1e-9))
    axis = with_lift(axis, lambda i: replace(i, lag_mm=0.05), end="right")
    axis = replace(axis, racking_n_per_mm=1e-6)
    path = follow_path(axis, going([10.0, 20.0, 25.0, 20.0]))
    lost = path.height_mm[3] - path.height_mm[1]
    assert lost[1] - lost[0] == pytest.approx(0.1, abs=1e-6)


def test_many_vectors_at_once_give_what_each_gives_alone(any_axis):
    rng = np.random.default_rng(11)
    session = prepare(sound(blank("one-screw")), Readings((_staircase(),)))
    thetas = np.array([vector_of(_driven_left(any_axis, rng)) for _ in range(9)])
    together = predict_all(session, thetas, threads=2).reading_mm
    alone = [predict_all(session, theta[None, :]).reading_mm[0] for theta in thetas]
    assert np.array_equal(together, np.array(alone))


def _driven_left(any_axis, rng):
    axis = any_axis("one-screw", rng)
    return replace(axis, lifts=(replace(axis.lifts[0], end="left"),))


def _staircase():
    return Run(
        name="a",
        kind=KINDS["fine-steps"],
        station=STATIONS["gantry-left"],
        readings=tuple(
            Reading(seq=k, target_mm=k / 10, reading_mm=0.0, approach="up" if k else "down")
            for k in range(30)
        ),
    )


def _plain(*, drag_n, stiffness):
    """One spring, drag that slips at once, heavy enough to keep the nut on its upper flank."""
    axis = with_lift(
        replace(sound(blank("one-screw")), weight_n=40.0),
        lambda i: replace(
            i,
            seat_stiffness_n_per_mm=1e12,
            coupling_stiffness_n_per_mm=stiffness,
            bracket_stiffness_n_per_mm=1e12,
        ),
    )
    axis = with_guide(axis, lambda g: replace(g, drag_n=drag_n, reach_mm=1e-4))
    return replace(axis, racking_n_per_mm=200.0)


def test_layout_names_every_number_once(any_axis):
    axis = any_axis("three-screw-bed", np.random.default_rng(12))
    names = layout_of(axis).names
    assert len(names) == len(set(names)) == len(vector_of(axis))
