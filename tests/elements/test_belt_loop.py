"""The way of a belt round its pulleys."""

from dataclasses import replace
from math import asin, cos, hypot, pi, radians, sin, sqrt, tau

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from plumbrise.elements import belt_pair
from plumbrise.elements.belt_loop import loop
from plumbrise.elements.belt_pulley import Pulley, pitch_line_diameter_mm, radius_mm
from plumbrise.errors import InputError

LEFT = Pulley(name="left", x_mm=0, y_mm=0, teeth=20)
RIGHT = Pulley(name="right", x_mm=350, y_mm=0, teeth=36)
MOTOR = Pulley(name="motor", x_mm=160, y_mm=-70, teeth=16)
ROLLER = Pulley(name="roller", x_mm=120, y_mm=8, diameter_mm=12, outside=True)
ALL_FOUR = (LEFT, MOTOR, RIGHT, ROLLER)

angles = st.floats(0, 360)
shifts = st.floats(-500, 500)


def _placed(pulley, turn_deg, dx, dy, mirror):
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    x, y = pulley.x_mm, -pulley.y_mm if mirror else pulley.y_mm
    return replace(pulley, x_mm=c * x - s * y + dx, y_mm=s * x + c * y + dy)


@given(angles, shifts, shifts, st.booleans())
def test_it_does_not_matter_where_a_layout_stands_or_from_which_side_it_is_seen(
    turn_deg, dx, dy, mirror
):
    seen = [_placed(pulley, turn_deg, dx, dy, mirror) for pulley in ALL_FOUR]
    here, there = loop(ALL_FOUR), loop(seen)
    assert there.length_mm == pytest.approx(here.length_mm, rel=1e-9)
    for arc in here.arcs:
        assert there.arcs[there.at(arc.pulley.name)].wrap_deg == pytest.approx(arc.wrap_deg)


@given(st.integers(0, 3), st.booleans())
def test_it_does_not_matter_where_one_begins_and_which_way_round_one_goes(first, backwards):
    order = (*ALL_FOUR[first:], *ALL_FOUR[:first])
    found = loop(tuple(reversed(order)) if backwards else order)
    assert found.length_mm == pytest.approx(loop(ALL_FOUR).length_mm, rel=1e-12)


@given(st.integers(10, 80), st.integers(10, 80), st.floats(0, 400))
def test_two_pulleys_take_the_open_belt_of_the_handbook(teeth, other_teeth, apart_mm):
    large, small = (max(teeth, other_teeth) * 2 / pi, min(teeth, other_teeth) * 2 / pi)
    distance = (large + small) / 2 + 0.01 + apart_mm
    half = asin((large - small) / (2 * distance))
    handbook = (
        2 * distance * cos(half) + pi * (large + small) / 2 + half * (large - small)
    )  # the same belt, cut at the line of centres
    two = (
        Pulley(name="one", x_mm=0, y_mm=0, teeth=teeth),
        Pulley(name="other", x_mm=distance, y_mm=0, teeth=other_teeth),
    )
    formula = belt_pair.length_mm(
        centre_distance_mm=distance,
        diameter_mm=teeth * 2 / pi,
        other_diameter_mm=other_teeth * 2 / pi,
    )
    assert loop(two).length_mm == pytest.approx(handbook, rel=1e-12)
    assert formula == pytest.approx(handbook, rel=1e-12)


@given(st.lists(st.tuples(st.floats(25, 60), st.integers(8, 24)), min_size=3, max_size=9))
def test_equal_pulleys_on_a_ring_take_its_polygon_and_one_pulley_more(places):
    """Steiner: the outline of a convex figure made wider by r is longer by 2 π r."""
    count, teeth = len(places), places[0][1]
    centres = [(200 * cos(tau * i / count), 200 * sin(tau * i / count)) for i in range(count)]
    ring = [Pulley(name=str(i), x_mm=x, y_mm=y, teeth=teeth) for i, (x, y) in enumerate(centres)]
    polygon = count * 400 * sin(pi / count)
    assert loop(ring).length_mm == pytest.approx(polygon + teeth * 2, rel=1e-12)


@given(st.floats(-4, 4), st.floats(40, 300))
def test_spans_touch_the_pulleys_they_join_and_stand_square_on_their_radii(dy, x):
    roller = replace(ROLLER, x_mm=x, y_mm=8 + dy)
    found = loop((LEFT, MOTOR, RIGHT, roller))
    by_name = {arc.pulley.name: arc for arc in found.arcs}
    for span in found.spans:
        for name, (px, py) in ((span.start, span.start_xy_mm), (span.end, span.end_xy_mm)):
            arc = by_name[name]
            rx, ry = px - arc.pulley.x_mm, py - arc.pulley.y_mm
            assert hypot(rx, ry) == pytest.approx(arc.radius_mm)
            across = rx * cos(span.direction_rad) + ry * sin(span.direction_rad)
            assert across == pytest.approx(0, abs=1e-6)
        ends = [b - a for a, b in zip(span.start_xy_mm, span.end_xy_mm, strict=True)]
        assert hypot(*ends) == pytest.approx(span.length_mm)


@given(st.floats(0.01, 9))
def test_a_roller_pressed_in_further_takes_up_more_belt(press_mm):
    straight = loop((LEFT, MOTOR, RIGHT)).length_mm
    top = 20 / pi + (36 - 20) / pi * 120 / 350 / sqrt(1 - (16 / pi / 350) ** 2)
    touching = Pulley(name="roller", x_mm=120, y_mm=top + 6, diameter_mm=12, outside=True)
    pressed = replace(touching, y_mm=touching.y_mm - 1 - press_mm)
    less = replace(touching, y_mm=touching.y_mm - 1 - press_mm / 2)
    assert (
        loop((LEFT, MOTOR, RIGHT, pressed)).length_mm > loop((LEFT, MOTOR, RIGHT, less)).length_mm
    )
    assert loop((LEFT, MOTOR, RIGHT, less)).length_mm > straight


@given(st.floats(60, 290), st.floats(-30, 60))
def test_a_roller_somewhere_gives_a_tight_belt_or_is_refused(x, y):
    roller = replace(ROLLER, x_mm=x, y_mm=y)
    try:
        found = loop((LEFT, MOTOR, RIGHT, roller))
    except InputError:  # anything else, such as a division by zero, fails the test
        return
    assert sum((-1 if a.pulley.outside else 1) * a.wrap_deg for a in found.arcs) == pytest.approx(
        360
    )
    assert found.length_mm >= loop((LEFT, MOTOR, RIGHT)).length_mm - 1e-9


@pytest.mark.parametrize(
    ("pulleys", "words"),
    [
        ((LEFT,), "two or more"),
        ((LEFT, replace(RIGHT, name="left")), "a name of its own"),
        ((LEFT, replace(RIGHT, x_mm=5)), "distance of left and right"),
        ((LEFT, replace(RIGHT, x_mm=float("nan"))), "distance of left and right"),
        ((LEFT, replace(RIGHT, teeth=None)), "teeth or a diameter"),
        ((LEFT, replace(RIGHT, diameter_mm=20)), "teeth or a diameter"),
        ((LEFT, replace(RIGHT, teeth=0)), "right, teeth"),
        ((LEFT, replace(RIGHT, outside=True)), "back of the belt"),
        (
            (LEFT, RIGHT, replace(ROLLER, y_mm=40)),
            "pulley roller: 'a pulley that the belt does not touch'",
        ),
        ((LEFT, RIGHT, replace(MOTOR, y_mm=0)), "does not touch"),
        ((LEFT, RIGHT, MOTOR, ROLLER), "crosses|touch|through"),
    ],
)
def test_a_layout_that_is_none_is_refused_with_its_reason(pulleys, words):
    with pytest.raises(InputError, match=words):
        loop(pulleys)


def test_a_pulley_that_is_not_there_cannot_be_asked_for():
    with pytest.raises(InputError, match="left, right"):
        loop((LEFT, RIGHT)).at("idler")


@given(st.floats(1, 100), st.floats(0.1, 2))
def test_the_cord_runs_outside_a_smooth_roller(roller_mm, to_pitch_line_mm):
    diameter = pitch_line_diameter_mm(
        roller_diameter_mm=roller_mm, to_pitch_line_mm=to_pitch_line_mm
    )
    pulley = Pulley(name="roller", x_mm=0, y_mm=0, diameter_mm=diameter)
    assert radius_mm(pulley) == pytest.approx(roller_mm / 2 + to_pitch_line_mm)


@given(st.integers(8, 80), st.integers(8, 80), st.floats(60, 600))
def test_a_belt_of_the_length_of_a_layout_wants_its_distance(teeth, other_teeth, distance):
    assume(distance > (teeth + other_teeth) / pi)
    length = belt_pair.length_mm(
        centre_distance_mm=distance,
        diameter_mm=teeth * 2 / pi,
        other_diameter_mm=other_teeth * 2 / pi,
    )
    back = belt_pair.centre_distance_mm(belt_length_mm=length, teeth=teeth, other_teeth=other_teeth)
    assert back == pytest.approx(distance, abs=1e-6)


def test_a_belt_too_short_for_two_pulleys_is_refused():
    with pytest.raises(InputError, match="Take a longer belt"):
        belt_pair.centre_distance_mm(belt_length_mm=60, teeth=20, other_teeth=20)
    with pytest.raises(InputError, match="overlap"):
        belt_pair.length_mm(centre_distance_mm=10, diameter_mm=12, other_diameter_mm=12)
