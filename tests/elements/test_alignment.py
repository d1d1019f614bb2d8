"""A screw that stands out pushes the nut, the less the further from where it is held."""

from math import inf, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import alignment
from plumbrise.elements.alignment import FIXINGS, permitted, side_n_per_mm
from plumbrise.elements.screw import STEEL_N_PER_MM2
from plumbrise.elements.sections import rod
from plumbrise.errors import InputError

SCREW = {"length_mm": 330.0, "core_diameter_mm": 5.5}
HEIGHTS = tuple(range(50, 301, 25))


@pytest.mark.parametrize(("fixing", "end"), [("free-top", ()), ("held-top", (1,))])
@pytest.mark.parametrize("at", [3, 10, 17])
def test_a_screw_pushes_back_as_finite_elements_say(fixing, end, at, plane_frame):
    bending = STEEL_N_PER_MM2 * rod(diameter_mm=5.5).tall_mm4
    nodes = [(330.0 * i / 20, 0.0) for i in range(21)]
    bars = [(i, i + 1, bending) for i in range(20)]
    held = [(0, 0), (0, 1), (0, 2), *((20, d) for d in end)]
    moved = plane_frame(nodes, bars, held, {(at, 1): 1.0})
    found = side_n_per_mm(fixing, at_mm=330 * at / 20, **SCREW)
    assert found == pytest.approx(1 / moved[at, 1], rel=1e-6)


@given(st.floats(10, 320))
def test_a_bearing_at_the_top_only_ever_makes_the_nut_more_bound(at_mm):
    free, held = (side_n_per_mm(f, at_mm=at_mm, **SCREW) for f in ("free-top", "held-top"))
    assert held > free
    assert side_n_per_mm("pivoting", at_mm=at_mm, **SCREW) == 0


def test_a_nut_at_the_top_bearing_cannot_stand_beside_the_screw():
    assert side_n_per_mm("held-top", at_mm=330, **SCREW) == inf


def allowed(fixing, aligned_at_mm, **changes):
    given = {"side_force_n": 5.0, "heights_mm": HEIGHTS} | SCREW | changes
    return permitted(fixing, aligned_at_mm=aligned_at_mm, **given)


def test_a_free_screw_may_lean_most_when_it_was_tightened_with_the_nut_at_the_bottom():
    leans = [allowed("free-top", at).lean for at in HEIGHTS]
    assert max(leans) == leans[0]


def test_a_held_screw_may_lean_less_than_a_free_one():
    assert allowed("held-top", 50).lean < allowed("free-top", 50).lean


@given(st.floats(0, 1), st.floats(0.1, 20))
def test_a_floating_nut_permits_its_float_on_top_of_what_the_screw_bends(float_mm, force):
    fast = allowed("free-top", 50, side_force_n=force)
    floating = allowed("free-top", 50, side_force_n=force, float_mm=float_mm)
    assert floating.offset_mm == pytest.approx(fast.offset_mm + float_mm)
    assert floating.lean >= fast.lean


def test_a_screw_that_may_lean_as_a_whole_permits_what_its_coupling_bends():
    found = allowed("pivoting", 50, pivot_deg=2.0)
    assert found.offset_mm == pytest.approx(50 * tan(radians(2)))
    assert found.lean > tan(radians(2))
    assert allowed("pivoting", 50, pivot_deg=0.0) == alignment.Permitted(0, 0)


@given(st.floats(0.1, 20), st.floats(1.1, 5))
def test_twice_the_force_permits_twice_the_offset(force, factor):
    one, more = (allowed("held-top", 50, side_force_n=f) for f in (force, factor * force))
    assert more.offset_mm == pytest.approx(factor * one.offset_mm)


@given(st.floats(1, 100), st.floats(1, 100))
def test_a_centred_block_stands_out_alike_on_both_sides(block, bar):
    out = alignment.overhang_mm(block_mm=block, bar_mm=bar)
    assert bar + 2 * out == pytest.approx(block)
    assert alignment.off_centre_mm(left_mm=out, right_mm=out) == 0


@given(st.floats(-2, 2), st.floats(-5, 5))
def test_a_block_moved_to_the_left_is_off_by_as_much(moved, out):
    found = alignment.off_centre_mm(left_mm=out + moved, right_mm=out - moved)
    assert found == pytest.approx(moved)


@given(st.floats(0, 1), st.floats(5, 100), st.floats(5, 1000))
def test_the_further_up_the_more_a_seat_that_is_not_flat_shows(gap, seat, length):
    near, far = (
        alignment.seat_lean_mm(gap_mm=gap, seat_mm=seat, length_mm=part)
        for part in (length / 2, length)
    )
    assert far == pytest.approx(2 * near)


@pytest.mark.parametrize("at_mm", [0.0, 331.0, -1.0, float("nan")])
def test_a_nut_off_the_screw_is_refused(at_mm):
    with pytest.raises(InputError, match="at_mm"):
        side_n_per_mm("free-top", at_mm=at_mm, **SCREW)


def test_an_unknown_fixing_is_refused_with_those_there_are():
    with pytest.raises(InputError, match="free-top") as told:
        side_n_per_mm("glued", at_mm=50, **SCREW)
    assert all(fixing in told.value.allowed for fixing in FIXINGS)
