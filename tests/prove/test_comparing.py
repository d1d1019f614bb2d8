"""What may be said of two values."""

from itertools import pairwise
from math import inf, isclose
from statistics import stdev

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from plumbrise.prove import Verdict
from plumbrise.prove.comparing import RISK, chance, could_show, difference, minded, ratio, verdict
from plumbrise.prove.scatter_power import chances, share_left
from plumbrise.prove.scatters import (
    from_reading_to_reading,
    scatter_chance,
    scatter_could_show,
    scatter_ratio,
)
from plumbrise.quantity import Measured, Unit

LOSSES = st.builds(
    Measured,
    st.floats(0.0, 2.0),
    st.floats(1e-4, 0.5),
    st.just(Unit.MM),
    st.one_of(st.floats(1.0, 200.0), st.just(inf)),
)
SCATTERS = st.builds(
    lambda sd, dof: Measured(sd, sd / (2 * dof) ** 0.5, Unit.MM, dof),
    st.floats(1e-4, 0.5),
    st.integers(2, 30).map(float),
)
CHANCES = st.lists(st.floats(0.0, 1.0), min_size=1, max_size=30)


@given(LOSSES, LOSSES)
def test_turning_before_and_after_round_turns_the_change(one, two):
    there, back = difference(one, two), difference(two, one)
    assert there.value == -back.value
    assert isclose(there.u, back.u)
    assert isclose(chance(there), chance(back))


@given(LOSSES, LOSSES, st.floats(0.0, 0.3))
def test_what_was_not_alike_never_makes_a_change_surer(one, two, extra):
    alike, unlike = difference(one, two), difference(one, two, extra)
    assert unlike.u >= alike.u
    assert unlike.value == alike.value


@given(LOSSES)
def test_no_change_has_a_chance_of_one(one):
    assert chance(difference(one, one)) == 1.0


@given(CHANCES)
def test_minding_many_figures_never_makes_one_more_sure(chances):
    for raw, careful in zip(chances, minded(chances), strict=True):
        assert raw <= careful <= 1.0


@given(CHANCES)
def test_minding_keeps_the_order_of_figures(chances):
    careful = minded(chances)
    order = sorted(range(len(chances)), key=lambda i: chances[i])
    assert [careful[i] for i in order] == sorted(careful)


@given(st.floats(1e-6, 1.0))
def test_one_figure_alone_needs_no_minding(p):
    assert minded([p]) == [p]


@given(LOSSES, st.integers(1, 40))
def test_more_figures_ask_for_a_larger_change(change, judged):
    assert could_show(change, judged + 1) >= could_show(change, judged) > 0


@given(LOSSES, LOSSES)
def test_a_change_that_could_show_is_judged_when_it_comes(one, two):
    change = difference(one, two)
    least = could_show(change)
    came = Measured(-1.001 * least, change.u, change.unit, change.dof)
    assert verdict(one, came, chance(came), least) is Verdict.BETTER


@given(LOSSES, LOSSES, st.floats(0.0, 1.0))
def test_better_means_less_and_worse_means_more(one, two, p):
    change = difference(one, two)
    said = verdict(one, change, p, could_show(change))
    assert (said is Verdict.BETTER) == (p < RISK and change.value < 0)
    assert (said is Verdict.WORSE) == (p < RISK and change.value > 0)


@given(LOSSES, LOSSES)
def test_a_ratio_lies_in_its_interval(one, two):
    found = ratio(one, two)
    assume(found is not None)
    assert found.low <= found.estimate <= found.high


def test_a_ratio_to_nearly_nothing_has_no_bound():
    nothing = Measured(0.01, 0.02, Unit.MM)
    assert ratio(nothing, Measured(0.1, 0.01, Unit.MM)) is None


@given(SCATTERS, SCATTERS)
def test_a_scatter_ratio_without_one_in_its_interval_is_unlikely_by_chance(one, two):
    found = scatter_ratio(one, two)
    p = scatter_chance(one, two)
    assume(abs(p - RISK) > 1e-6)
    assert (p > RISK) == (found.low < 1 < found.high)


@given(LOSSES, LOSSES, st.floats(0.05, 20.0))
def test_a_ratio_does_not_ask_in_which_unit_each_was_read(one, two, factor):
    """The sum of squares that gives the degrees of freedom must be that of a - r b."""
    found = ratio(one, two)
    scaled = ratio(Measured(factor * one.value, factor * one.u, one.unit, one.dof), two)
    assume(found is not None and scaled is not None)
    for this, that in ((found.low, scaled.low), (found.high, scaled.high)):
        assert isclose(this, factor * that, rel_tol=1e-6, abs_tol=1e-9)


@given(SCATTERS, SCATTERS)
def test_a_fall_of_a_scatter_that_could_show_is_less_than_all_of_it(one, two):
    fall, rise = scatter_could_show(one, two)
    assert 0 < fall < one.value
    assert rise > 0


@pytest.mark.parametrize("judged", [1, 5])
def test_a_fall_that_could_show_is_shown_four_times_out_of_five(judged):
    """Other chance readings than those that it was found on: 1500 of them, 3.5 standard
    deviations of the binomial about 80 %."""
    count, risk = 20, RISK / judged
    draws = np.random.default_rng(5).standard_normal((2, 1500, count))
    share = share_left(count, count, risk)
    assert np.mean(chances(draws[0], share * draws[1]) < risk) == pytest.approx(0.8, abs=0.06)


def test_of_five_homings_against_five_not_even_a_fall_to_nothing_is_shown():
    """Distances from the median of five readings are too few for it, as one misread may be all."""
    assert share_left(5, 5, RISK) == 0.0
    few = Measured(0.012, 0.004, Unit.MM, 4.0)
    fall, rise = scatter_could_show(few, few, ((0.0,) * 5, (0.0,) * 5))
    assert fall == few.value
    assert rise == inf
    assert verdict(few, difference(few, few), 1.0, fall, rise) is Verdict.CANNOT_TELL


@given(st.lists(st.floats(-1, 1), min_size=3, max_size=9), st.integers(0, 99))
def test_chances_of_many_rows_are_those_of_each(places, seed):
    assume(stdev(places) > 1e-3)
    other = np.random.default_rng(seed).standard_normal(7).tolist()
    assume(any(a != b for a, b in pairwise(places)))
    one, two = (Measured(stdev(x), 0.1, Unit.MM, len(x) - 1.0) for x in (places, other))
    (p,) = chances(np.array([places]), np.array([other]))
    assert p == pytest.approx(scatter_chance(one, two, (places, other)), abs=1e-9)


@given(st.lists(st.floats(-0.01, 0.01), min_size=6, max_size=10), st.floats(0.2, 2.0))
def test_a_knock_on_the_stand_is_not_taken_for_a_worse_home(places, knock):
    """All later readings are shifted; only one step from reading to reading is."""
    half = len(places) // 2
    knocked = [mm + (knock if i >= half else 0.0) for i, mm in enumerate(places)]
    sd, _ = from_reading_to_reading(knocked)
    spread = (sum((x - sum(knocked) / len(knocked)) ** 2 for x in knocked) / len(knocked)) ** 0.5
    assert sd < spread


@pytest.mark.parametrize("wild", [0.05, 0.3])
def test_one_wild_homing_is_not_taken_for_a_worse_home(wild):
    steady = (0.001, -0.002, 0.0, 0.003, -0.001, 0.002, -0.003, 0.0)
    odd = (*steady[:-1], wild)
    one, two = (Measured(sd, sd / 14**0.5, Unit.MM, 7.0) for sd in (0.002, wild / 8**0.5))
    assert scatter_chance(one, two) < RISK
    assert scatter_chance(one, two, (steady, odd)) > RISK
