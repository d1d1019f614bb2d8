"""When a gauge stands still, and when it does not yet."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputError
from plumbrise.measure.stillness import StillnessRule, taken, watched

RULE = StillnessRule(within_mm=0.001, values=5, seconds=1.0)


def seen(rule, values, every_s=0.1, start_s=0.0):
    watch = ()
    for index, mm in enumerate(values):
        watch = watched(rule, watch, mm, start_s + index * every_s)
    return taken(rule, watch)


def test_a_standing_value_is_taken_after_its_time():
    assert seen(RULE, [1.25] * 10) is None
    assert seen(RULE, [1.25] * 12).mm == 1.25


def test_a_flicker_of_one_count_is_still():
    assert seen(RULE, [1.250, 1.251] * 8).mm in (1.250, 1.251)


def test_an_axis_that_moves_is_never_taken():
    assert seen(RULE, [0.01 * i for i in range(100)]) is None


def test_what_was_seen_before_the_last_move_does_not_count():
    assert seen(RULE, [1.0] * 50 + [2.0] * 5) is None
    assert seen(RULE, [1.0] * 50 + [2.0] * 12).mm == 2.0


def test_a_single_damaged_value_only_costs_time():
    assert seen(RULE, [1.25] * 8 + [12.5] + [1.25] * 8) is None
    assert seen(RULE, [1.25] * 8 + [12.5] + [1.25] * 12).mm == 1.25


def test_after_a_silence_it_begins_anew():
    watch = ()
    for time_s in (0.0, 0.3, 0.6, 0.9, 9.0):
        watch = watched(RULE, watch, 1.25, time_s)
    assert taken(RULE, watch) is None
    assert len(watch) == 1


def test_a_clock_that_goes_back_begins_anew():
    assert len(watched(RULE, watched(RULE, (), 1.0, 5.0), 1.0, 4.0)) == 1


def test_a_slow_indicator_is_still_when_it_has_sent_enough():
    assert seen(RULE, [1.25] * 4, every_s=1.0) is None
    assert seen(RULE, [1.25] * 5, every_s=1.0).mm == 1.25


@given(st.lists(st.integers(-3, 3), min_size=1, max_size=60))
def test_what_is_taken_was_shown_and_agrees_with_the_newest(counts):
    values = [count / 1000 for count in counts]
    still = seen(RULE, values, every_s=0.2)
    if still is not None:
        assert still.mm in values
        assert abs(still.mm - values[-1]) <= RULE.within_mm + 1e-9
        assert still.values >= RULE.values
        assert still.to_s - still.from_s >= RULE.seconds - 1e-9


@pytest.mark.parametrize(
    "wrong", [{"within_mm": -1.0}, {"values": 1}, {"seconds": float("nan")}, {"gap_s": 0.0}]
)
def test_a_rule_that_nothing_can_meet_is_refused(wrong):
    with pytest.raises(InputError):
        StillnessRule(**({"within_mm": 0.001} | wrong))
