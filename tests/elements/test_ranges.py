"""What a formula refuses, and how it says so."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements.ranges import above_zero, finite, not_negative, unit_of, within
from plumbrise.errors import InputError


@pytest.mark.parametrize("check", [above_zero, not_negative, finite])
@pytest.mark.parametrize("value", [nan, inf, -inf])
def test_what_is_no_length_is_refused_by_name(check, value):
    with pytest.raises(InputError, match="span_mm"):
        check(span_mm=value)


@given(st.floats(1e-9, 1e9))
def test_a_length_is_taken(value):
    above_zero(span_mm=value)
    not_negative(span_mm=value)
    finite(span_mm=-value)


def test_zero_is_a_size_but_no_length():
    not_negative(play_mm=0.0)
    with pytest.raises(InputError, match="above 0 mm allowed"):
        above_zero(play_mm=0.0)


@pytest.mark.parametrize("value", [-0.1, 1.1, nan])
def test_a_share_ends_at_the_whole(value):
    within(0, 1, remedy="Give a share.", share=1.0)
    with pytest.raises(InputError, match="0 to 1 allowed. Give a share"):
        within(0, 1, remedy="Give a share.", share=value)


@pytest.mark.parametrize(
    ("name", "unit"),
    [("torque_nmm", " N·mm"), ("rate_n_per_mm", " N/mm"), ("load_n", " N"), ("current_a", " A")],
)
def test_the_unit_is_read_off_the_name(name, unit):
    assert unit_of(name) == unit
