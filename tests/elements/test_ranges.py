"""What a formula refuses, and how it says so."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements.ranges import above_zero, between, not_below_zero, one_of
from plumbrise.errors import InputError


@pytest.mark.parametrize("check", [above_zero, not_below_zero])
@pytest.mark.parametrize("value", [nan, inf, -inf])
def test_what_is_no_length_is_refused_by_name(check, value):
    with pytest.raises(InputError, match="span_mm"):
        check(span_mm=value)


@given(st.floats(1e-9, 1e9))
def test_a_length_is_taken(value):
    above_zero(span_mm=value)
    not_below_zero(span_mm=value)


def test_zero_is_a_size_but_no_length():
    not_below_zero(play_mm=0.0)
    with pytest.raises(InputError, match="above 0 allowed"):
        above_zero(play_mm=0.0)


@pytest.mark.parametrize("value", [-0.1, 1.1, nan])
def test_a_share_ends_at_the_whole(value):
    between(0, 1, share=1.0)
    with pytest.raises(InputError, match=r"0 to 1 allowed\. Give a share"):
        between(0, 1, "Give a share.", share=value)


def test_an_unknown_name_is_answered_with_the_known_ones():
    one_of(("series", "parallel"), wiring="series")
    with pytest.raises(InputError, match="series, parallel allowed"):
        one_of(("series", "parallel"), wiring="star")
