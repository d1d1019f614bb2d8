"""Numbers that no gauge or axis gives are refused; all others pass."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputError
from plumbrise.readings import COLUMNS, Reading
from plumbrise.readings.checks import BOUNDS, checked, faults_of_order


def test_every_column_of_numbers_has_its_bounds():
    assert set(BOUNDS) == {column.name for column in COLUMNS if column.number}


@pytest.mark.parametrize("column", BOUNDS)
@given(share=st.floats(0, 1))
def test_what_lies_between_the_bounds_passes_as_it_is(column, share):
    bound = BOUNDS[column]
    value = min(bound.high, bound.low + share * (bound.high - bound.low))
    assert checked(column, value, "typed") == value


@pytest.mark.parametrize("column", BOUNDS)
@pytest.mark.parametrize("what", ["below", "above", "nan", "inf"])
def test_what_lies_beyond_is_refused_with_what_was_typed(column, what):
    bound = BOUNDS[column]
    value = {"below": bound.low - 1, "above": bound.high + 1, "nan": nan, "inf": inf}[what]
    with pytest.raises(InputError) as told:
        checked(column, value, "as typed")
    assert (told.value.place, told.value.value) == (column, "as typed")
    assert f"{bound.high:g}" in told.value.allowed


def _reading(seq, time_s=None):
    return Reading(seq=seq, target_mm=0, reading_mm=0, approach="up", time_s=time_s, row=seq + 2)


@given(st.lists(st.floats(0, 1e4), max_size=8))
def test_readings_in_order_have_no_fault(times):
    readings = [_reading(i, t) for i, t in enumerate(sorted(times))]
    assert list(faults_of_order(readings)) == []


def test_time_may_stand_still_or_be_left_out_but_not_run_back():
    times = [0, None, 5, 5, 4, 6]
    readings = [_reading(i, t) for i, t in enumerate(times)]
    assert [reading.seq for reading, _ in faults_of_order(readings)] == [4]


def test_a_number_used_three_times_is_told_twice():
    readings = [_reading(0), _reading(0), _reading(1), _reading(0)]
    assert [problem.place for _, problem in faults_of_order(readings)] == ["seq", "seq"]
