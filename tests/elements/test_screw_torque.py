"""Torque at a screw, and whether it holds: energy, limits, and which way friction works."""

from dataclasses import replace
from math import pi

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from plumbrise.elements import nut, screw_holding
from plumbrise.elements.screw_holding import Standing, back_drive, least_holding_friction, standing
from plumbrise.elements.screw_torque import (
    collar_torque_nmm,
    holding_friction,
    lift_torque_nmm,
    lower_torque_nmm,
    thread_efficiency,
)
from plumbrise.errors import InputError

LOADS = st.floats(0.1, 500)
LEADS = st.floats(1, 15)
FRICTIONS = st.floats(0.01, 0.4)
TR8 = {"lead_mm": 8, "pitch_diameter_mm": 7}


@given(LOADS, LEADS)
def test_without_friction_a_turn_does_the_work_of_one_lead_both_ways(load, lead):
    shape = {
        "axial_load_n": load, "lead_mm": lead, "pitch_diameter_mm": 7, "thread_friction": 0,
    }  # fmt: skip
    assert 2 * pi * lift_torque_nmm(**shape) == pytest.approx(load * lead)
    assert 2 * pi * lower_torque_nmm(**shape) == pytest.approx(-load * lead)


@given(LOADS, LEADS, FRICTIONS)
def test_friction_never_gives_work(load, lead, friction):
    shape = {
        "axial_load_n": load, "lead_mm": lead, "pitch_diameter_mm": 7, "thread_friction": friction,
    }  # fmt: skip
    lifted = 2 * pi * lift_torque_nmm(**shape)
    lowered = 2 * pi * lower_torque_nmm(**shape)
    assert lifted >= load * lead
    assert lifted + lowered > 0  # up and down again costs work


@given(LOADS, LEADS, FRICTIONS, st.floats(1.01, 3))
def test_torque_goes_with_the_load_and_grows_with_friction(load, lead, friction, more):
    shape = {"lead_mm": lead, "pitch_diameter_mm": 9}
    for torque in (lift_torque_nmm, lower_torque_nmm):
        once = torque(axial_load_n=load, thread_friction=friction, **shape)
        assert torque(axial_load_n=more * load, thread_friction=friction, **shape) == pytest.approx(
            more * once
        )
        assert torque(axial_load_n=load, thread_friction=more * friction, **shape) > once


@given(LEADS, FRICTIONS)
def test_a_thread_that_lifts_with_more_than_half_has_to_be_held(lead, friction):
    found = thread_efficiency(lead_mm=lead, pitch_diameter_mm=7, thread_friction=friction)
    assume(found > 0.5)
    assert friction < holding_friction(lead_mm=lead, pitch_diameter_mm=7)


@given(LEADS)
def test_at_the_holding_friction_lowering_takes_no_torque(lead):
    limit = holding_friction(lead_mm=lead, pitch_diameter_mm=7)
    found = lower_torque_nmm(
        axial_load_n=12, lead_mm=lead, pitch_diameter_mm=7, thread_friction=limit
    )
    assert found == pytest.approx(0, abs=1e-9)


def test_so_much_friction_that_nothing_turns_is_refused():
    with pytest.raises(InputError, match="thread_friction"):
        lift_torque_nmm(axial_load_n=1, thread_friction=3, **TR8)
    with pytest.raises(InputError, match="flank_angle_deg"):
        lift_torque_nmm(axial_load_n=1, thread_friction=0.1, flank_angle_deg=60, **TR8)


@given(LOADS, st.floats(1, 50), FRICTIONS)
def test_a_collar_brakes_in_proportion_to_its_width(load, width, friction):
    narrow = collar_torque_nmm(axial_load_n=load, friction=friction, mean_diameter_mm=width)
    wide = collar_torque_nmm(axial_load_n=load, friction=friction, mean_diameter_mm=2 * width)
    assert wide == pytest.approx(2 * narrow)


@given(st.floats(1, 100), LEADS, st.floats(0, 30))
def test_at_the_least_holding_friction_the_balance_is_even(load, lead, holding):
    friction = least_holding_friction(
        load_n=load, holding_torque_nmm=holding, lead_mm=lead, pitch_diameter_mm=7
    )
    found = back_drive(
        weight_n=load, guide_drag_n=0, lead_mm=lead, pitch_diameter_mm=7,
        thread_friction=friction, detent_torque_nmm=holding,
    )  # fmt: skip
    if friction > 0:
        assert found.margin_nmm == pytest.approx(0, abs=1e-6)
    else:
        assert not found.falls


def test_guides_that_carry_the_whole_weight_leave_nothing_to_fall():
    found = back_drive(weight_n=10, guide_drag_n=12, thread_friction=0.01, **TR8)
    assert not found.falls
    assert found.load_n == 0


@given(st.floats(0, 12), st.floats(0, 12))
def test_easing_the_guides_never_makes_a_gantry_safer(drag, less):
    common = {"weight_n": 12, "thread_friction": 0.15, "detent_torque_nmm": 5, **TR8}
    before = back_drive(guide_drag_n=drag, **common)
    after = back_drive(guide_drag_n=max(drag - less, 0), **common)
    assert after.margin_nmm <= before.margin_nmm + 1e-9


def test_a_belt_that_slows_the_screw_holds_with_more_of_the_motor():
    common = {
        "weight_n": 12, "guide_drag_n": 2, "thread_friction": 0.1, "detent_torque_nmm": 5, **TR8,
    }  # fmt: skip
    assert back_drive(**common).falls
    assert not back_drive(motor_turns_per_screw_turn=2, **common).falls


def test_between_falling_and_holding_nothing_is_claimed():
    worst = screw_holding.BackDrive(load_n=10, driving_nmm=8, holding_nmm=5)
    best = replace(worst, driving_nmm=2)
    assert standing(at_worst=worst, at_best=best) is Standing.CLOSE
    assert standing(at_worst=best, at_best=best) is Standing.HOLDS
    assert standing(at_worst=worst, at_best=worst) is Standing.FALLS


@given(st.floats(0.1, 50), FRICTIONS)
def test_a_split_nuts_spring_costs_no_torque_without_friction(spring, friction):
    free = nut.spring_drag_nmm(spring_n=spring, thread_friction=0, **TR8)
    assert free == pytest.approx(0, abs=1e-9)
    assert nut.spring_drag_nmm(spring_n=spring, thread_friction=friction, **TR8) > 0
