"""Step motors: at rest, at speed, and on their drivers."""

from dataclasses import replace
from math import hypot, inf, pi, sqrt

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from plumbrise.elements import motor, motor_current, motor_holding, motor_speed
from plumbrise.elements.motor_speed import Winding
from plumbrise.errors import InputError

LIFT = Winding(
    resistance_ohm=2,
    inductance_mh=3,
    rated_current_a=1,
    holding_torque_nmm=400,
    current_a=1,
    supply_v=24,
)

windings = st.builds(
    Winding,
    resistance_ohm=st.floats(0.5, 8),
    inductance_mh=st.floats(0.5, 12),
    rated_current_a=st.floats(0.4, 2),
    holding_torque_nmm=st.floats(50, 800),
    current_a=st.floats(0.1, 1.2),
    supply_v=st.floats(10, 48),
)
speeds = st.floats(0, 60)


def _by_search(winding, turns_per_s):
    """The most torque by trying currents on a grid, and what the grid leaves open."""
    omega = 2 * pi * turns_per_s
    k = winding.torque_nmm_per_a * 1e-3
    x = winding.rotor_teeth * omega * winding.inductance_mh * 1e-3
    along_d, along_q = np.meshgrid(
        np.linspace(-1, 1, 801) * winding.current_a, np.linspace(0, 1, 401) * winding.current_a
    )
    volts = np.hypot(
        winding.resistance_ohm * along_q + x * along_d + k * omega,
        winding.resistance_ohm * along_d - x * along_q,
    )
    allowed = (np.hypot(along_d, along_q) <= winding.current_a * 1.000001) & (
        volts <= winding.supply_v
    )
    return 1e3 * k * max(along_q[allowed], default=0.0), 1e3 * k * winding.current_a / 400


@given(windings, speeds)
def test_torque_at_speed_is_the_most_that_current_and_supply_allow(winding, turns_per_s):
    assume(winding.current_a * winding.resistance_ohm < winding.supply_v)
    found = motor_speed.torque_at_speed_nmm(winding, turns_per_s=turns_per_s)
    searched, open_nmm = _by_search(winding, turns_per_s)
    assert searched <= found * (1 + 1e-5) + 1e-9
    # near the edge a grid point can miss the crossing of two circles by a few cells
    assert found <= searched + 12 * open_nmm


@given(windings, speeds, st.floats(0, 10))
def test_torque_falls_with_speed(winding, slow, more):
    assume(winding.current_a * winding.resistance_ohm < winding.supply_v)
    at_slow = motor_speed.torque_at_speed_nmm(winding, turns_per_s=slow)
    assert motor_speed.torque_at_speed_nmm(winding, turns_per_s=slow + more) <= at_slow + 1e-6


@given(windings, speeds)
def test_a_higher_supply_never_costs_torque(winding, turns_per_s):
    assume(winding.current_a * winding.resistance_ohm < winding.supply_v)
    higher = replace(winding, supply_v=2 * winding.supply_v)
    low, high = (
        motor_speed.torque_at_speed_nmm(w, turns_per_s=turns_per_s) for w in (winding, higher)
    )
    assert high >= low - 1e-9


@given(windings)
def test_up_to_the_knee_torque_is_that_at_rest(winding):
    assume(winding.current_a * winding.resistance_ohm < winding.supply_v * 0.99)
    knee = motor_speed.knee_turns_per_s(
        resistance_ohm=winding.resistance_ohm,
        inductance_mh=winding.inductance_mh,
        supply_v=winding.supply_v,
        current_a=winding.current_a,
        torque_nmm_per_a=winding.torque_nmm_per_a,
    )
    below, above = (
        motor_speed.torque_at_speed_nmm(winding, turns_per_s=knee * share) for share in (0.999, 1.3)
    )
    assert below == pytest.approx(winding.torque_at_rest_nmm)
    assert above < below


def test_far_above_the_knee_it_is_the_pull_out_torque_of_the_supply_alone():
    """Acarnley's K V / Z - K² ω R / Z², with the current limit far away."""
    winding, turns = replace(LIFT, current_a=11.9, resistance_ohm=2.0), 12.0
    omega, k = 2 * pi * turns, winding.torque_nmm_per_a * 1e-3
    z = hypot(2.0, 50 * omega * 3e-3)
    expected = 1e3 * (k * 24 / z - k**2 * omega * 2.0 / z**2)
    assert motor_speed.torque_at_speed_nmm(winding, turns_per_s=turns) == pytest.approx(expected)


@given(windings, speeds)
def test_turning_the_other_way_gives_the_same_torque(winding, turns_per_s):
    assume(winding.current_a * winding.resistance_ohm < winding.supply_v)
    up, down = (
        motor_speed.torque_at_speed_nmm(winding, turns_per_s=n) for n in (turns_per_s, -turns_per_s)
    )
    assert up == down


@given(st.floats(0.1, 6))
def test_current_rises_faster_with_more_volts(current_a):
    low, high = (
        motor_speed.current_rise_s(
            resistance_ohm=2, inductance_mh=3, supply_v=v, current_a=current_a
        )
        for v in (13, 26)
    )
    assert high < low
    assert high > 3e-3 * current_a / 26  # resistance only slows it down


@given(st.floats(0, 100), st.floats(0, 5), st.floats(1, 20), st.floats(0, 1000))
def test_the_torque_to_speed_up_does_the_work_of_the_motion(inertia, mass, lead, acceleration):
    """In a time t power is torque times turning speed, and kinetic energy grows by as much."""
    torque = motor_speed.acceleration_torque_nmm(
        inertia_kgmm2=inertia, mass_kg=mass, lead_mm=lead, acceleration_mm_per_s2=acceleration
    )
    omega = 2 * pi * acceleration / lead  # after one second
    energy_mj = mass * acceleration**2 / 2 * 1e-3 + inertia * omega**2 / 2 * 1e-3
    assert torque * omega / 2 == pytest.approx(energy_mj, abs=1e-9)


def test_a_motor_that_has_nothing_to_turn_has_endless_margin():
    assert motor_speed.torque_margin(available_nmm=100, needed_nmm=0) == inf
    assert motor_speed.torque_margin(available_nmm=100, needed_nmm=40) == 2.5


@pytest.mark.parametrize(
    "change", [{"current_a": 12.0}, {"inductance_mh": 0}, {"supply_v": -24}, {"rotor_teeth": 0}]
)
def test_a_winding_that_is_none_is_refused(change):
    with pytest.raises(InputError):
        motor_speed.torque_at_speed_nmm(replace(LIFT, **change), turns_per_s=1)


@given(st.floats(0.01, 1), st.sampled_from([50, 100]), st.floats(1, 20))
def test_a_loaded_motor_is_behind_by_less_than_a_step(share, teeth, lead):
    behind = motor.load_error_mm(
        torque_nmm=share * 400, holding_torque_nmm=400, lead_mm=lead, rotor_teeth=teeth
    )
    other_way = motor.load_error_mm(
        torque_nmm=-share * 400, holding_torque_nmm=400, lead_mm=lead, rotor_teeth=teeth
    )
    assert 0 < behind <= motor.largest_error_mm(lead_mm=lead, rotor_teeth=teeth) * (1 + 1e-12)
    assert other_way == pytest.approx(-behind)


def test_more_than_a_motor_holds_is_refused():
    with pytest.raises(InputError, match="slips"):
        motor.load_angle_deg(torque_nmm=401, holding_torque_nmm=400)


@given(st.floats(0, 90))
def test_a_sine_driver_keeps_the_torque_and_turns_in_step(angle):
    found = motor.phases_on(
        current_a_share=np.cos(np.radians(angle)), current_b_share=np.sin(np.radians(angle))
    )
    assert found.share == pytest.approx(1)
    assert found.position_steps == pytest.approx(angle / 90, abs=1e-12)


def test_without_current_no_phase_holds():
    with pytest.raises(InputError, match="detent"):
        motor.phases_on(current_a_share=0, current_b_share=0)


@given(st.integers(1, 256))
def test_all_microsteps_of_a_step_add_up_to_the_holding_torque(microsteps):
    parts = [
        np.sin(pi / 2 * (i + 1) / microsteps) - np.sin(pi / 2 * i / microsteps)
        for i in range(microsteps)
    ]
    assert sum(parts) == pytest.approx(1)
    assert parts[0] == pytest.approx(motor.microstep_torque_share(microsteps=microsteps))


def test_two_screws_can_part_by_one_cycle_at_power_up():
    apart = 2 * motor.power_up_jump_mm(lead_mm=8)
    assert apart == pytest.approx(motor_current.out_of_step_mm("parallel", lead_mm=8))
    assert motor_current.out_of_step_mm("separate", lead_mm=8) is None


@given(st.sampled_from(list(motor_current.CONNECTIONS)))
def test_every_connection_makes_the_same_heat(connection):
    made = motor_current.joined(
        connection, half_resistance_ohm=3, half_inductance_mh=4, half_current_a=1.1
    )
    assert made.current_a**2 * made.resistance_ohm == pytest.approx(1.1**2 * 3)


@pytest.mark.parametrize("sharing", ["series", "parallel", "separate"])
def test_two_motors_on_one_driver_take_its_current_and_volts_between_them(sharing):
    """Power in is the sum of what the motors take: current and voltage shares against 2 motors."""
    found = motor_current.SHARINGS[sharing]
    on_one_driver = found.current * found.supply * 2
    assert on_one_driver == (2.0 if sharing == "separate" else 1.0)
    assert found.driver_resistance == pytest.approx(found.supply**-1 * found.current)


@given(st.floats(0.1, 1), st.floats(0.3, 2), st.floats(0.5, 6))
def test_a_setting_in_peak_and_in_rms_is_the_same_current(share, rated, resistance):
    found = motor_current.current_setting(
        rated_current_a=rated, resistance_ohm=resistance, share=share
    )
    assert motor_current.rms_a(peak_a=found.peak_a) == pytest.approx(found.rms_a)
    # at the whole rated current it heats as much as both phases on at the rated current
    assert found.loss_w == pytest.approx(2 * resistance * (share * rated) ** 2)


@given(st.floats(0.1, 2), st.floats(0.05, 0.2), st.floats(4, 10))
def test_the_trimmer_goes_with_the_current(peak, sense, gain):
    one, two = (
        motor_current.reference_v(peak_a=p, sense_ohm=sense, gain=gain) for p in (peak, 2 * peak)
    )
    assert two == pytest.approx(2 * one)


@pytest.mark.parametrize("name", ["star", ""])
def test_unknown_words_are_refused(name):
    with pytest.raises(InputError):
        motor_current.joined(name, half_resistance_ohm=3, half_inductance_mh=4, half_current_a=1.1)
    with pytest.raises(InputError):
        motor_current.out_of_step_mm(name, lead_mm=8)


RESTING = {"holding_torque_nmm": 400, "idle_share": 0.5, "detent_torque_nmm": 12, "lead_mm": 8}


@given(st.floats(-50, 0))
def test_a_thread_that_holds_by_itself_asks_nothing_of_the_motor(back):
    found = motor_holding.holding(back_torque_nmm=back, **RESTING)
    assert found.holds_idle
    assert found.off_margin > 1
    assert found.settles_mm == 0


@given(st.floats(0.1, 600))
def test_the_axis_stays_exactly_while_there_is_more_torque_than_pulls(back):
    found = motor_holding.holding(back_torque_nmm=back, **RESTING)
    assert found.holds_idle == (back < 200)
    assert (found.off_margin > 1) == (back < 12)
    assert (found.settles_mm is None) == (not found.holds_idle)


@given(st.floats(0.1, 199), st.floats(0.5, 1))
def test_less_current_lets_the_height_settle_and_full_current_does_not(back, share):
    found = motor_holding.holding(back_torque_nmm=back, **{**RESTING, "idle_share": share})
    if found.settles_mm is not None:
        assert found.settles_mm >= 0
    full = motor_holding.holding(back_torque_nmm=back, **{**RESTING, "idle_share": 1})
    assert full.settles_mm == pytest.approx(0, abs=1e-12)


def test_both_phases_on_at_the_rated_current_hold_what_the_data_sheet_says():
    assert LIFT.torque_nmm_per_a * LIFT.rated_current_a * sqrt(2) == pytest.approx(400)
