"""What was assumed shows in the figures that rest on it, and in nothing else."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements.calculators import calculator
from plumbrise.elements.doubt import FACTORS, doubt
from plumbrise.elements.worked import Asked, Calculator, Sum, Trust, Verdict, Worked, sheet


def area(given):
    """A sheet that any head can work: sides, their product and their difference."""
    a, b = given.number("a_mm"), given.number("b_mm")
    return Worked(
        (
            Sum("area_mm2", "area", "A", "a b", ("a_mm", "b_mm"), a * b, "mm²"),
            Sum("left_mm", "difference", "d", "a - b", ("a_mm", "b_mm"), a - b, "mm"),
            Sum("twice_mm", "twice a", "t", "2 a", ("a_mm",), 2 * a, "mm"),
        ),
        (Verdict("Large or not.", a * b >= given.number("allowed_mm2"), ("allowed_mm2",)),),
    )


def made(trust=Trust.GUESS, factor=None):
    side = {"low": 0.001, "high": 1e6}
    return Calculator(
        "area",
        "Area",
        "How large it is.",
        (
            Asked("a_mm", "side", "mm", 4.0, trust, factor=factor, **side),
            Asked("b_mm", "other side", "mm", 3.0, trust, factor=factor, **side),
            Asked("allowed_mm2", "wanted", "mm²", 11.0, Trust.HANDBOOK, **side),
        ),
        area,
        "",
    )


def test_what_is_given_leaves_no_doubt():
    found = doubt(sheet(made(), {"a_mm": 4, "b_mm": 3, "allowed_mm2": 11}))
    assert found.ranges == {}
    assert found.hangs_on == ()


def test_one_assumed_side_moves_what_rests_on_it_by_its_own_factor():
    found = doubt(sheet(made(), {"b_mm": 3})).ranges
    assert found["twice_mm"].low == pytest.approx(8 / FACTORS[Trust.GUESS])
    assert found["twice_mm"].high == pytest.approx(8 * FACTORS[Trust.GUESS])
    assert found["twice_mm"].mostly.asked.name == "a_mm"
    assert "twice_mm" not in doubt(sheet(made(), {"a_mm": 4})).ranges


@given(st.floats(1.01, 20))
def test_two_assumed_sides_widen_a_product_by_the_root_of_two_of_their_logarithms(factor):
    found = doubt(sheet(made(factor=factor), {})).ranges["area_mm2"]
    assert found.high == pytest.approx(12 * factor ** sqrt(2))
    assert found.low == pytest.approx(12 / factor ** sqrt(2))


@given(st.floats(1.01, 20))
def test_a_figure_that_cannot_change_sign_is_never_said_to(factor):
    assert doubt(sheet(made(factor=factor), {})).ranges["area_mm2"].low > 0


def test_a_difference_may_change_sign():
    found = doubt(sheet(made(factor=3), {})).ranges["left_mm"]
    assert found.low < 0 < found.high


def test_the_less_an_input_is_trusted_the_wider_what_rests_on_it():
    widths = [
        doubt(sheet(made(trust), {"b_mm": 3})).ranges["twice_mm"].high
        for trust in (Trust.HANDBOOK, Trust.COMMON_PRACTICE, Trust.GUESS)
    ]
    assert widths == sorted(widths)
    assert len(set(widths)) == 3


def test_a_verdict_hangs_on_the_inputs_that_turn_it_round():
    names = [one.asked.name for one in doubt(sheet(made(), {"b_mm": 3})).hangs_on]
    assert names == ["a_mm"]
    assert doubt(sheet(made(), {"allowed_mm2": 0.1})).hangs_on == ()


def test_what_is_wanted_is_in_no_doubt():
    assert doubt(sheet(made(), {"a_mm": 4, "b_mm": 3})).hangs_on == ()


def test_a_stiffer_joint_is_what_a_push_is_mostly_in_doubt_of():
    given = {"height_mm": 400, "span_mm": 340, "push_n": 10}
    found = doubt(sheet(calculator("frame"), given))
    assert found.ranges["reads_mm"].mostly.asked.name == "joint_nmm_per_rad"
    assert "rigid_n_per_mm" not in found.ranges
