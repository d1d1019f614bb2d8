"""Bearings: choice by bore, both ways along the axis, washers, a pulley that must run clear."""

from dataclasses import replace
from math import cos, inf, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import bearing, bearing_contact, bearing_groove, bearing_life
from plumbrise.elements.bearing_capture import (
    Held,
    Support,
    capture,
    pulley_gap,
    washer_places,
)
from plumbrise.errors import InputError

FORCES = st.floats(0, 200)
BELOW = Support("thrust bearing", at_top=False, against_sinking=True, against_rising=False)
COLLAR = Support("collar", at_top=False, against_sinking=False, against_rising=True)
BOTH_BELOW = Support("pair below", at_top=False, against_sinking=True, against_rising=True)
BOTH_ABOVE = Support("pair above", at_top=True, against_sinking=True, against_rising=True)
NUT_ABOVE = Support("nut above", at_top=True, against_sinking=False, against_rising=True)


@pytest.mark.parametrize("table", [bearing.RADIAL, bearing.THRUST], ids=["radial", "thrust"])
def test_every_bearing_is_found_by_its_bore_and_is_a_ring(table):
    choose = bearing.radial_for if table is bearing.RADIAL else bearing.thrust_for
    for designation, one in table.items():
        assert designation == one.designation
        assert one.outer_mm > one.bore_mm > 0
        assert one in choose(bore_mm=one.bore_mm)


def test_the_smallest_that_fits_comes_first():
    outers = [one.outer_mm for one in bearing.radial_for(bore_mm=10)]
    assert outers == sorted(outers)
    assert len(outers) > 1


def test_a_journal_without_a_bearing_is_told_the_bores():
    with pytest.raises(InputError, match="8, 10, 12"):
        bearing.thrust_for(bore_mm=9)


@pytest.mark.parametrize(
    ("supports", "drag", "held"),
    [
        ([BELOW], 2, Held.RIGHT),
        ([BELOW], 12, Held.LOOSE),
        ([BELOW, COLLAR], 12, Held.RIGHT),
        ([BOTH_BELOW], 12, Held.RIGHT),
        ([COLLAR], 2, Held.LOOSE),
        ([], 2, Held.LOOSE),
        ([BELOW, NUT_ABOVE], 12, Held.CROSSED),
        ([BOTH_BELOW, BOTH_ABOVE], 2, Held.TWICE),
        ([BELOW, replace(BELOW, at_top=True)], 2, Held.TWICE),
        ([BELOW, BOTH_BELOW], 2, Held.SHARED),  # a thrust bearing, and the motor's own seat
    ],
)
def test_a_screw_should_be_stopped_both_ways_at_one_end(supports, drag, held):
    assert capture(supports=supports, weight_n=10, drag_n=drag).held is held


@given(FORCES, FORCES)
def test_the_screw_is_pulled_up_by_the_drag_that_the_weight_does_not_take(weight, drag):
    found = capture(supports=[BOTH_BELOW], weight_n=weight, drag_n=drag)
    assert found.sinking_n == weight + drag
    assert found.rising_n == max(drag - weight, 0)


def test_end_float_is_lost_where_the_screw_is_pulled_up():
    floating = Support("motor", False, True, True, float_mm=0.1)
    assert capture(supports=[floating], weight_n=6, drag_n=8).lifts_mm == 0.1
    assert capture(supports=[floating], weight_n=8, drag_n=6).lifts_mm == 0


@given(st.permutations([10.0, 11.0]))
def test_the_washer_bored_to_the_shaft_turns(bores):
    found = washer_places(first_bore_mm=bores[0], second_bore_mm=bores[1], shaft_mm=9.98)
    assert bores[found.shaft_washer] == 10.0
    assert bores[found.housing_washer] == 11.0
    assert found.runs_clear_mm == pytest.approx(1.02)


@pytest.mark.parametrize(
    ("bores", "shaft", "place"),
    [
        ((10, 10.01), 9.9, "second_bore_mm"),
        ((10, 11), 10.2, "shaft_mm"),
        ((10, 10.15), 10.05, "shaft_mm"),
    ],
)
def test_washers_that_cannot_be_told_apart_or_rub_are_refused(bores, shaft, place):
    with pytest.raises(InputError, match=place):
        washer_places(first_bore_mm=bores[0], second_bore_mm=bores[1], shaft_mm=shaft)


@given(st.floats(0, 12), st.floats(0, 5), st.floats(3, 40), st.floats(0, 0.02))
def test_the_spacer_that_is_missing_stops_the_rubbing(depth, spacer, radius, tilt):
    def gap(spacer_mm):
        return pulley_gap(
            bearing_width_mm=9, seat_depth_mm=depth, spacer_mm=spacer_mm,
            pulley_radius_mm=radius, tilt_mm_per_mm=tilt,
        )  # fmt: skip

    first = gap(spacer)
    missing = max(first.needed_mm - first.gap_mm, 0)
    assert not gap(spacer + missing + 1e-9).rubs
    assert first.rubs == (missing > 0)


@given(st.floats(1, 1e4), st.floats(1, 100), st.floats(1.1, 5))
def test_half_the_load_lives_eight_times_as_long(rating, load, more):
    once = bearing_life.life_turns(dynamic_n=rating, load_n=load)
    assert bearing_life.life_turns(dynamic_n=rating, load_n=load / 2) == pytest.approx(8 * once)
    assert bearing_life.life_turns(dynamic_n=rating, load_n=0) == inf
    assert bearing_life.life_turns(dynamic_n=more * rating, load_n=load) > once


@given(st.floats(0.1, 500), st.floats(10, 1e5), st.floats(0.1, 3000))
def test_the_rating_needed_gives_the_life_asked(load, hours, speed):
    rating = bearing_life.dynamic_rating_needed_n(load_n=load, hours=hours, turns_per_min=speed)
    turns = bearing_life.life_turns(dynamic_n=rating, load_n=load)
    assert bearing_life.life_hours(turns=turns, turns_per_min=speed) == pytest.approx(hours)


@given(FORCES, FORCES)
def test_loads_to_reckon_with_are_never_below_the_radial_load(radial, axial):
    assert bearing_life.equivalent_load_n(radial_n=radial, axial_n=axial, static_n=1400) >= radial
    assert bearing_life.static_load_n(radial_n=radial, axial_n=axial) >= radial


@given(st.floats(0.9, 0.998), st.floats(1e-4, 1e-3))
def test_asking_for_more_surety_leaves_less_life(reliability, more):
    less = bearing_life.life_factor(reliability=reliability + more)
    assert less < bearing_life.life_factor(reliability=reliability) <= 1


@given(st.floats(0.1, 500), st.floats(0.5, 20))
def test_stiffness_of_a_contact_is_the_slope_of_its_approach(force, radius):
    low, here, high = (
        bearing_contact.sphere_on_flat(force_n=force * share, radius_mm=radius)
        for share in (0.999, 1, 1.001)
    )
    slope = 0.002 * force / (high.approach_mm - low.approach_mm)
    assert here.n_per_mm == pytest.approx(slope, rel=1e-4)


@given(st.floats(0.1, 500), st.integers(3, 30), st.floats(1, 10))
def test_stiffness_of_a_thrust_bearing_is_the_slope_of_its_approach(force, balls, diameter):
    shape = {"balls": balls, "ball_diameter_mm": diameter}
    low, high = (
        bearing_contact.thrust_approach_mm(thrust_n=force * share, **shape)
        for share in (0.999, 1.001)
    )
    found = bearing_contact.thrust_n_per_mm(thrust_n=force, **shape)
    assert found == pytest.approx(0.002 * force / (high - low), rel=1e-4)


@given(st.floats(1, 1e5), st.floats(10, 60))
def test_angular_contact_balances_the_thrust(thrust, free):
    found = bearing_contact.angular_contact(
        thrust_n=thrust, balls=16, ball_diameter_mm=22.23, free_angle_deg=free,
        groove_excess=0.0464, stiffness_n_per_mm2=896.7,
    )  # fmt: skip
    angle = radians(found.angle_deg)
    stretch = cos(radians(free)) / cos(angle) - 1
    carried = 16 * 22.23**2 * 896.7 * sin(angle) * max(stretch, 0) ** 1.5
    assert carried == pytest.approx(thrust, rel=1e-4)
    assert found.approach_mm > 0


@given(st.floats(0.51, 5), st.floats(1.01, 2), st.floats(0.1, 500))
def test_a_groove_nearer_to_the_ball_gives_way_less(ratio, wider, force):
    near, wide = (
        bearing_groove.groove_approach_mm(force_n=force, ball_diameter_mm=4, groove_ratio=one)
        for one in (ratio, ratio * wider)
    )
    assert near < wide


def test_an_almost_flat_groove_is_two_flats():
    """Between the grooves of ten diameters and two flats lie a few per cent."""
    flats = 2 * bearing_contact.sphere_on_flat(force_n=12, radius_mm=2).approach_mm
    groove = bearing_groove.groove_approach_mm(force_n=12, ball_diameter_mm=4, groove_ratio=10)
    assert 0.97 * flats < groove < flats
