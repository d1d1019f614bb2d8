"""What a belt does to the height, and to the shafts."""

from dataclasses import replace
from math import inf, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import belt_drive, belt_tension
from plumbrise.elements.belt_loop import loop
from plumbrise.elements.belt_pulley import Pulley
from plumbrise.errors import InputError

LEFT = Pulley(name="left", x_mm=0, y_mm=0, teeth=20)
RIGHT = Pulley(name="right", x_mm=350, y_mm=0, teeth=20)
MOTOR = Pulley(name="motor", x_mm=160, y_mm=-70, teeth=16)
ROLLER = Pulley(name="roller", x_mm=120, y_mm=4, diameter_mm=12, outside=True)
LAYOUT = loop((LEFT, MOTOR, RIGHT, ROLLER))

sizes = st.floats(0.5, 50)


@given(sizes, st.integers(10, 80), st.integers(10, 80), st.integers(1, 256))
def test_as_many_steps_as_the_controller_is_told_make_a_millimetre(lead, motor, screw, micro):
    ratio = belt_drive.screw_turns_per_motor_turn(motor_teeth=motor, screw_teeth=screw)
    told = {"lead_mm": lead, "screw_turns_per_motor_turn": ratio, "microsteps": micro}
    step = belt_drive.travel_per_step_mm(**told)
    assert step * belt_drive.steps_per_mm(**told) == pytest.approx(1)
    assert step * 200 * micro == pytest.approx(lead * motor / screw)


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(1e3, 1e5))
def test_work_of_one_torque_at_the_other_pulley_is_the_same_both_ways(left, right, stiffness):
    """Maxwell's law of reciprocal deflections."""
    one = belt_drive.wind_up(
        LAYOUT, axial_stiffness_n=stiffness, held="motor", torques_nmm={"left": left}
    )
    other = belt_drive.wind_up(
        LAYOUT, axial_stiffness_n=stiffness, held="motor", torques_nmm={"right": right}
    )
    assert one.turned_rad["right"] * right == pytest.approx(
        other.turned_rad["left"] * left, abs=1e-12
    )


@given(st.floats(1, 50), st.floats(1e3, 1e5))
def test_a_stiffer_belt_winds_up_less_in_proportion(torque, stiffness):
    soft, stiff = (
        belt_drive.wind_up(LAYOUT, axial_stiffness_n=s, held="motor", torques_nmm={"right": torque})
        for s in (stiffness, 2 * stiffness)
    )
    assert soft.turned_rad["right"] == pytest.approx(2 * stiff.turned_rad["right"])
    assert soft.tension_changes_n == pytest.approx(stiff.tension_changes_n)


@given(st.floats(-50, 50), st.floats(-50, 50))
def test_the_strands_balance_the_torque_on_every_free_pulley(left, right):
    found = belt_drive.wind_up(
        LAYOUT, axial_stiffness_n=1e4, held="motor", torques_nmm={"left": left, "right": right}
    )
    outside = {"left": left, "right": right, "roller": 0.0}
    for index, arc in enumerate(LAYOUT.arcs):
        if arc.pulley.name == "motor":
            continue
        pull = found.tension_changes_n[index] - found.tension_changes_n[index - 1]
        side = -1 if arc.pulley.outside else 1
        balance = pull * side * arc.radius_mm + outside[arc.pulley.name]
        assert balance == pytest.approx(0, abs=1e-6)


def test_the_held_pulley_stays_and_the_belt_keeps_its_length():
    found = belt_drive.wind_up(
        LAYOUT, axial_stiffness_n=1e4, held="motor", torques_nmm={"right": 20}
    )
    assert found.turned_rad["motor"] == 0
    stretches = [
        c * s.length_mm for c, s in zip(found.tension_changes_n, LAYOUT.spans, strict=True)
    ]
    assert sum(stretches) == pytest.approx(0, abs=1e-6)


def test_the_long_strand_carries_less():
    found = belt_drive.wind_up(
        LAYOUT, axial_stiffness_n=1e4, held="motor", torques_nmm={"right": 20}
    )
    by_span = {
        (s.start, s.end): abs(c) for s, c in zip(LAYOUT.spans, found.tension_changes_n, strict=True)
    }
    assert by_span["motor", "right"] > by_span["left", "motor"]


def test_equal_torques_on_a_motor_in_the_middle_leave_no_left_right():
    middle = loop((LEFT, replace(MOTOR, x_mm=175), RIGHT))
    found = belt_drive.wind_up(
        middle, axial_stiffness_n=1e4, held="motor", torques_nmm={"left": 15, "right": 15}
    )
    # turned the same way the outer span takes nothing, and left follows the motor by one strand
    # that slackens where right's tightens: equal angles
    height = belt_drive.left_right_mm(found, left="left", right="right", lead_mm=8)
    assert height == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    "wrong",
    [{"held": "idler"}, {"torques_nmm": {"idler": 1}}, {"axial_stiffness_n": 0},
     {"torques_nmm": {"right": inf}}],
)  # fmt: skip
def test_a_wind_up_that_cannot_be_worked_out_is_refused(wrong):
    told = {"held": "motor", "axial_stiffness_n": 1e4, "torques_nmm": {"right": 20}}
    with pytest.raises(InputError):
        belt_drive.wind_up(LAYOUT, **{**told, **wrong})


def test_left_and_right_must_be_pulleys():
    found = belt_drive.wind_up(LAYOUT, axial_stiffness_n=1e4, held="motor", torques_nmm={})
    with pytest.raises(InputError, match="Name one of these"):
        belt_drive.left_right_mm(found, left="left", right="far", lead_mm=8)


@given(st.floats(0.01, 1), st.floats(100, 600))
def test_a_beam_off_by_as_much_as_it_is_wide_tilts_by_45_degrees(offset, span):
    assert belt_drive.tilt_deg(offset_mm=span, span_mm=span) == pytest.approx(45)
    small = belt_drive.tilt_deg(offset_mm=offset, span_mm=span)
    assert small * pi / 180 == pytest.approx(offset / span, rel=1e-4)


@given(st.floats(1, 100), st.floats(2, 20), st.floats(50, 600))
def test_a_tone_tells_the_tension_that_makes_it(tension, mass, length):
    tone = belt_tension.span_frequency_hz(tension_n=tension, mass_g_per_m=mass, length_mm=length)
    back = belt_tension.span_tension_n(frequency_hz=tone, mass_g_per_m=mass, length_mm=length)
    assert back == pytest.approx(tension)
    up = belt_tension.span_frequency_hz(tension_n=4 * tension, mass_g_per_m=mass, length_mm=length)
    assert up == pytest.approx(2 * tone)


@given(st.floats(1, 100), st.floats(10, 350))
def test_the_tension_for_a_side_load_makes_it(load, wrap):
    tension = belt_tension.tension_for_load_n(load_n=load, wrap_deg=wrap)
    assert belt_tension.shaft_load_n(tension_n=tension, wrap_deg=wrap) == pytest.approx(load)


def test_a_shaft_that_the_belt_runs_past_bears_any_tension():
    assert belt_tension.tension_for_load_n(load_n=28, wrap_deg=0) == inf


@given(st.floats(0, 2000), st.floats(5, 40), st.floats(1, 100))
def test_a_window_is_as_narrow_as_its_narrowest_bounds(torque, diameter, bearing):
    found = belt_tension.window(
        torque_nmm=torque, pitch_diameter_mm=diameter, bears=(belt_tension.Limit(bearing, "shaft"),)
    )
    assert found.lowest_n == max(limit.tension_n for limit in found.needs)
    assert found.highest_n == min(limit.tension_n for limit in found.bears)
    assert found.open == (found.lowest_n <= found.highest_n)
    assert found.highest_n <= bearing
    assert found.lowest_n * diameter / 2 >= torque / 2 - 1e-9  # the slack strand is not slack


def test_without_limits_of_shafts_the_belt_itself_rules():
    found = belt_tension.window(torque_nmm=1, pitch_diameter_mm=12.7)
    assert found.bears[0].because == "the belt itself"
    assert found.needs[0].because == "the belt does not sag"


@given(st.floats(1, 100), st.floats(5, 40))
def test_an_end_twice_as_long_bends_eight_times_as_far(load, overhang):
    end = {"load_n": load, "core_diameter_mm": 5.5, "modulus_n_per_mm2": 206e3}
    short = belt_tension.end_deflection_mm(overhang_mm=overhang, **end)
    assert belt_tension.end_deflection_mm(overhang_mm=2 * overhang, **end) == pytest.approx(
        8 * short
    )


@pytest.mark.parametrize("margin", [0.9, inf, float("nan")])
def test_a_margin_below_one_is_none(margin):
    with pytest.raises(InputError, match="1 or more"):
        belt_tension.window(torque_nmm=1, pitch_diameter_mm=12.7, margin=margin)


@given(st.floats(1, 200), st.floats(0.001, 1))
def test_at_the_furthest_overhang_the_end_bends_as_far_as_it_may(load, bend):
    end = {"load_n": load, "core_diameter_mm": 5.5, "modulus_n_per_mm2": 206_000}
    furthest = belt_tension.most_overhang_mm(deflection_mm=bend, **end)
    assert belt_tension.end_deflection_mm(overhang_mm=furthest, **end) == pytest.approx(bend)
