"""Straight lines and flat planes stay so, whatever the gauge's zero and the level are."""

from math import cos, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements.straightness import (
    corner_warp_mm,
    least_squares_line,
    minimum_zone_line,
    plane_through,
    reversed_straightedge_mm,
    skew_rad,
)
from plumbrise.errors import InputError

HEIGHTS = st.lists(st.floats(-1, 1), min_size=2, max_size=12)
SMALL = st.floats(-0.5, 0.5)


@given(HEIGHTS)
def test_the_narrowest_strip_is_never_wider_than_that_of_least_squares(heights):
    places = list(range(len(heights)))
    zone = minimum_zone_line(places, heights).spread_mm
    assert zone <= least_squares_line(places, heights).spread_mm + 1e-12


@given(HEIGHTS, SMALL, SMALL)
def test_zero_and_level_of_the_gauge_do_not_matter(heights, zero, level):
    places = list(range(len(heights)))
    tilted = [h + zero + level * x for x, h in zip(places, heights, strict=True)]
    for line in (least_squares_line, minimum_zone_line):
        plain, moved = line(places, heights), line(places, tilted)
        assert moved.spread_mm == pytest.approx(plain.spread_mm, abs=1e-9)


@given(HEIGHTS)
def test_the_strip_holds_every_height(heights):
    places = list(range(len(heights)))
    line = minimum_zone_line(places, heights)
    over = [h - line.start_mm - line.slope * x for x, h in zip(places, heights, strict=True)]
    assert max(map(abs, over)) == pytest.approx(line.spread_mm / 2, abs=1e-9)


@pytest.mark.parametrize("places", [[], [1.0], [2.0, 2.0]])
def test_one_place_makes_no_line(places):
    with pytest.raises(InputError):
        least_squares_line(places, [0.0] * len(places))


@given(SMALL, SMALL, SMALL)
def test_a_plane_is_found_again_from_three_of_its_points(height, a, b):
    points = [(x, y, height + a * x + b * y) for x, y in ((0, 0), (300, 20), (150, 260))]
    plane = plane_through(*points)
    assert plane.at_mm(77, 33) == pytest.approx(height + 77 * a + 33 * b, abs=1e-9)


def test_three_points_in_a_line_make_no_plane():
    with pytest.raises(InputError):
        plane_through((0, 0, 0), (1, 1, 0), (2, 2, 1))


@given(SMALL, SMALL, SMALL)
def test_four_corners_of_a_tilted_plane_show_no_warp(height, a, b):
    corners = [height + a * x + b * y for x, y in ((0, 0), (3, 0), (3, 2), (0, 2))]
    assert corner_warp_mm(*corners) == pytest.approx((0, 0), abs=1e-12)


@given(st.floats(50, 1000), st.floats(50, 1000), st.floats(-0.5, 0.5))
def test_skew_is_found_again_from_the_diagonals_it_makes(width, height, skew):
    long = (width + height * sin(skew)) ** 2 + (height * cos(skew)) ** 2
    short = (width - height * sin(skew)) ** 2 + (height * cos(skew)) ** 2
    found = skew_rad(
        width_mm=width, height_mm=height, diagonal_mm=long**0.5, other_diagonal_mm=short**0.5
    )
    assert found == pytest.approx(skew, abs=1e-9)


def test_diagonals_that_no_frame_has_are_refused():
    with pytest.raises(InputError, match="corner"):
        skew_rad(width_mm=100, height_mm=100, diagonal_mm=900, other_diagonal_mm=10)


@given(SMALL, SMALL)
def test_turning_the_straightedge_over_parts_its_bow_from_the_machine(machine, edge):
    found = reversed_straightedge_mm(edge + machine, edge - machine)
    assert found == pytest.approx((machine, edge), abs=1e-12)
