"""Cross sections agree with each other where one turns into another."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import sections
from plumbrise.errors import InputError

SIDES = st.floats(1, 200)


@given(SIDES, SIDES)
def test_a_bar_on_its_side_is_the_same_bar(width, height):
    one = sections.bar(width_mm=width, height_mm=height)
    other = sections.bar(width_mm=height, height_mm=width)
    assert one.tall_mm4 == pytest.approx(other.flat_mm4)
    assert one.torsion_mm4 == pytest.approx(other.torsion_mm4)


@given(SIDES, SIDES, st.floats(0.01, 0.49))
def test_a_tube_is_the_bar_less_its_hollow(width, height, share):
    wall = share * min(width, height)
    whole = sections.bar(width_mm=width, height_mm=height)
    hollow = sections.bar(width_mm=width - 2 * wall, height_mm=height - 2 * wall)
    tube = sections.tube(width_mm=width, height_mm=height, wall_mm=wall)
    assert tube.area_mm2 == pytest.approx(whole.area_mm2 - hollow.area_mm2)
    assert tube.tall_mm4 == pytest.approx(whole.tall_mm4 - hollow.tall_mm4)
    assert tube.flat_mm4 == pytest.approx(whole.flat_mm4 - hollow.flat_mm4)


@given(SIDES)
def test_a_thin_pipe_twists_as_a_closed_thin_wall_does(diameter):
    wall = diameter / 1000
    pipe = sections.pipe(diameter_mm=diameter, wall_mm=wall)
    middle = diameter - wall
    bredt = 4 * (pi * middle**2 / 4) ** 2 * wall / (pi * middle)
    assert pipe.torsion_mm4 == pytest.approx(bredt, rel=1e-5)


@given(st.floats(1, 50))
def test_a_pipe_with_hardly_a_hollow_is_a_rod(diameter):
    pipe = sections.pipe(diameter_mm=diameter, wall_mm=0.4999 * diameter)
    rod = sections.rod(diameter_mm=diameter)
    assert pipe.tall_mm4 == pytest.approx(rod.tall_mm4)
    assert pipe.torsion_mm4 == pytest.approx(rod.torsion_mm4)


@given(st.floats(1, 1e4))
def test_the_short_formula_for_torsion_keeps_to_the_series(ratio):
    exact = sections.rectangle_torsion(ratio=ratio)[1]
    assert sections.rectangle_torsion_short(ratio=ratio) == pytest.approx(exact, rel=5e-3)


@given(st.floats(1, 100), st.floats(1, 100))
def test_the_longer_the_rectangle_the_more_of_it_sets_itself_against_twist(one, other):
    short, long = sorted((one, other))
    assert (
        sections.rectangle_torsion(ratio=short)[1]
        <= sections.rectangle_torsion(ratio=long)[1] + 1e-12
    )


@pytest.mark.parametrize("wall", [0.0, -1.0, 10.0, float("nan")])
def test_a_wall_that_leaves_no_hollow_is_refused(wall):
    with pytest.raises(InputError) as told:
        sections.tube(width_mm=20, height_mm=40, wall_mm=wall)
    assert told.value.place == "wall_mm"


def test_a_slotted_profile_of_twice_the_height_is_stiffer_only_that_way():
    single, double = (sections.EXTRUSIONS[f"extrusion-20x{h}"] for h in (20, 40))
    assert double.tall_mm4 > 4 * single.tall_mm4
    assert double.flat_mm4 == pytest.approx(2 * single.flat_mm4, rel=0.25)
