"""A bent screw on blocks, with its end free, and held."""

from math import inf, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import screw_bow
from plumbrise.elements.screw import Ends
from plumbrise.errors import InputError

TR8 = 9.253e6
SHARES = st.floats(0.02, 0.98)
BOWS = st.floats(0.01, 1)


def test_a_free_end_swings_on_four_times_its_bow():
    radius = 330**2 / (8 * 0.15) + 0.15 / 2  # of the exact circle through ends and middle
    exact = radius - sqrt(radius**2 - 330**2)
    found = screw_bow.orbit_mm(
        bow_mm=0.15, length_mm=330 * (1 + 1e-12), height_mm=330, ends=Ends.HELD_FREE
    )
    assert found == pytest.approx(exact, rel=1e-5)
    assert found == pytest.approx(4 * 0.15)


@given(BOWS, SHARES)
def test_the_gauge_swings_by_twice_the_orbit_between_two_bearings(bow, share):
    swing = screw_bow.swing_mm(bow_mm=bow, length_mm=300, height_mm=300 * share)
    orbit = screw_bow.orbit_mm(
        bow_mm=bow, length_mm=300, height_mm=300 * share, ends=Ends.PINNED_PINNED
    )
    assert swing == pytest.approx(2 * orbit)


@given(BOWS)
def test_rolling_on_blocks_gives_the_bow_back(bow):
    swing = screw_bow.swing_mm(bow_mm=bow, length_mm=300, height_mm=150)
    assert screw_bow.bow_from_swing_mm(swing_mm=swing) == pytest.approx(bow)


@given(BOWS, st.floats(100, 400), st.floats(100, 400))
def test_the_same_arc_over_another_length_and_back(bow, first, second):
    there = screw_bow.bow_over_mm(bow_mm=bow, over_mm=first, length_mm=second)
    back = screw_bow.bow_over_mm(bow_mm=there, over_mm=second, length_mm=first)
    assert back == pytest.approx(bow)


@given(BOWS, SHARES)
def test_holding_the_top_never_pushes_less(bow, share):
    """The one by L / (L - z) of the other, whatever the bow."""
    free, held = (
        screw_bow.side_force_n(
            bow_mm=bow, bending_stiffness_nmm2=TR8, length_mm=330, height_mm=330 * share, ends=ends
        )
        for ends in screw_bow.BOW_ENDS
    )
    assert held == pytest.approx(free / (1 - share))


@given(BOWS, SHARES, st.floats(0.1, 1000))
def test_a_softer_guide_takes_less_force_and_more_way(bow, share, guide):
    def force_n(stiffness):
        return screw_bow.side_force_n(
            bow_mm=bow, bending_stiffness_nmm2=TR8, length_mm=330, height_mm=330 * share,
            ends=Ends.HELD_FREE, guide_n_per_mm=stiffness,
        )  # fmt: skip

    assert force_n(guide) < force_n(2 * guide) <= force_n(inf)
    soft, stiff = (
        screw_bow.wobble_mm(side_force_n=force_n(k), guide_n_per_mm=k) for k in (guide, 2 * guide)
    )
    orbit = screw_bow.orbit_mm(
        bow_mm=bow, length_mm=330, height_mm=330 * share, ends=Ends.HELD_FREE
    )
    assert stiff < soft <= orbit


def test_ends_that_are_not_worked_out_are_refused():
    with pytest.raises(InputError, match="held-free or pinned-pinned"):
        screw_bow.orbit_mm(bow_mm=0.1, length_mm=300, height_mm=100, ends=Ends.HELD_HELD)


@pytest.mark.parametrize("height", [0, 300, 400])
def test_a_nut_that_is_not_on_the_screw_is_refused(height):
    with pytest.raises(InputError, match="height_mm"):
        screw_bow.swing_mm(bow_mm=0.1, length_mm=300, height_mm=height)
