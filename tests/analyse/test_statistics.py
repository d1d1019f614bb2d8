"""Statistics of a handful of readings: limit cases, laws, and slow twins."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.analyse.changes import change_of_mean, probability_of_place
from plumbrise.analyse.lines import fit as fit_columns
from plumbrise.analyse.lines import fit_line, line_doubts, odd_one
from plumbrise.analyse.periodic import alias, can_be_seen, fit_waves
from plumbrise.analyse.propagation import shortest_interval, symmetric_interval
from plumbrise.analyse.statistics import (
    grubbs_limit,
    mean_of,
    relative_u_of_range,
    robust_sd,
    sample,
    widening,
)

values = st.lists(st.floats(-100, 100), min_size=3, max_size=30)


@given(read=values, zero=st.integers(-1000, 1000))
def test_a_common_part_changes_the_mean_only(read, zero):
    before, after = sample(read), sample([x + zero for x in read])
    assert after.mean - zero == pytest.approx(before.mean, abs=1e-9)
    assert after.sd == pytest.approx(before.sd, abs=1e-9)


def test_a_mean_of_plain_scatter_is_not_widened():
    read = np.random.default_rng(1).normal(size=50)
    found = mean_of(list(read))
    assert found.u == pytest.approx(read.std(ddof=1) / np.sqrt(50))


@pytest.mark.parametrize("lag1", [None, 0.1, -0.1])
def test_a_correlation_that_chance_gives_widens_nothing(lag1):
    assert widening(lag1, 20) == 1


@pytest.mark.parametrize("n", [3, 5, 10])
def test_the_range_scatters_as_the_chart_factors_say(n):
    ranges = np.ptp(np.random.default_rng(2).normal(size=(40_000, n)), axis=1)
    assert relative_u_of_range(n) == pytest.approx(ranges.std() / ranges.mean(), rel=0.02)


def test_one_wild_value_hardly_moves_the_robust_scatter():
    read = np.random.default_rng(3).normal(size=101)
    wild = read.copy()
    wild[0] = 1e6
    assert robust_sd(list(wild)) == pytest.approx(robust_sd(list(read)), rel=0.1)


@pytest.mark.parametrize("n", [5, 10])
def test_the_furthest_of_sound_values_passes_its_limit_as_often_as_stated(n):
    read = np.random.default_rng(4).normal(size=(20_000, n))
    far = np.abs(read - read.mean(axis=1, keepdims=True)).max(axis=1) / read.std(axis=1, ddof=1)
    assert (far > grubbs_limit(n, 0.05)).mean() == pytest.approx(0.05, abs=0.006)


@given(slope=st.floats(-5, 5), start=st.floats(-5, 5))
def test_readings_on_a_line_give_the_line(slope, start):
    x = [0.0, 1.0, 2.5, 4.0]
    found = fit_line(x, [start + slope * place for place in x])
    assert (found.slope, found.intercept) == pytest.approx((slope, start), abs=1e-9)
    assert found.sd == pytest.approx(0, abs=1e-9)


def test_the_interval_of_a_slope_holds_it_nineteen_times_in_twenty():
    from plumbrise.quantity import student_factor

    rng = np.random.default_rng(5)
    x = np.arange(6.0)
    held = 0
    for _ in range(2000):
        found = fit_line(x, 2 * x + rng.normal(size=6))
        held += abs(found.slope - 2) <= student_factor(found.dof) * found.u_slope
    assert held / 2000 == pytest.approx(0.95, abs=0.015)


def test_sound_lines_are_seldom_accused_of_an_odd_reading():
    rng = np.random.default_rng(6)
    x = np.arange(12.0)
    accused = sum(
        odd_one(fit_columns([np.ones(12), x], rng.normal(size=12)), risk=0.01) is not None
        for _ in range(2000)
    )
    assert accused / 2000 <= 0.016


def test_a_sound_line_has_no_doubts_about_it():
    rng = np.random.default_rng(7)
    x = np.arange(15.0)
    doubts = [line_doubts(x, x + rng.normal(0, 0.1, 15)) for _ in range(300)]
    assert sum(d.curved or d.odd is not None or d.decides is not None for d in doubts) <= 12


def test_a_bend_over_two_places_cannot_be_claimed():
    assert not line_doubts([0, 0, 0, 1, 1, 1], [0, 1, 2, 1, 2, 9]).curved


@given(first=st.integers(2, 18), size=st.floats(5, 50))
def test_a_large_change_is_found_where_it_is(first, size):
    rng = np.random.default_rng(8)
    read = rng.normal(size=20)
    read[first:] += 3 * size
    assert change_of_mean(list(read)).last_before == first - 1
    assert probability_of_place(list(read)).argmax() == first - 1


@given(
    period=st.floats(0.1, 10),
    step=st.floats(0.01, 3),
)
def test_an_alias_is_at_most_half_a_wave_a_reading(period, step):
    assert 0 <= alias(period, step) <= 0.5
    assert alias(period, step) == pytest.approx(alias(period, step + period), abs=1e-6)


def test_places_that_meet_one_phase_only_see_no_wave():
    assert not can_be_seen(np.arange(20) * 8.0, 8.0)
    assert not can_be_seen(np.arange(20) * 4.0, 8.0)
    assert can_be_seen(np.arange(20) * 0.5, 8.0)


@given(shift=st.floats(0, 8))
def test_moving_the_places_turns_the_phase_and_keeps_the_amplitude(shift):
    x = np.arange(32) / 2
    y = 0.3 * np.cos(2 * np.pi * x / 8 - 1)
    (still,) = fit_waves(x, y, [8.0]).waves
    (moved,) = fit_waves(x + shift, y, [8.0]).waves
    turned = (moved.phase_rad - still.phase_rad) * 8 / (2 * np.pi)
    assert moved.amplitude == pytest.approx(0.3)
    assert (turned - shift + 4) % 8 - 4 == pytest.approx(0, abs=1e-6)


def test_the_shortest_interval_is_no_longer_than_the_symmetric():
    drawn = np.random.default_rng(9).exponential(size=20_000)
    short, plain = shortest_interval(drawn), symmetric_interval(drawn)
    assert short[1] - short[0] < plain[1] - plain[0]
    assert short[0] == pytest.approx(0, abs=0.01)
