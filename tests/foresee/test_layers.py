"""What is said of layers: intervals, what bonds and scrapes, from where on all is well."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.foresee import Axes, Lift, Print, one_axis
from plumbrise.foresee.axes import resampled, taken_over
from plumbrise.foresee.heights import heights
from plumbrise.foresee.layers import intervals, layers_of, scatter_mm, settled_from

DRAWS = 400


def _rng():
    return np.random.default_rng(3)


def _many(axis, home_sd=None):
    """So many prints on one axis."""
    one = one_axis(axis)
    return Axes(
        one.base,
        np.repeat(one.thetas, DRAWS, axis=0),
        {name: np.repeat(values, DRAWS) for name, values in one.terms.items()},
        None if home_sd is None else np.full(DRAWS, home_sd),
    )


def _layers(axis, job, home_sd=None):
    return layers_of(heights(_many(axis, home_sd), job, _rng()), _rng())


def test_a_layer_that_loses_more_than_half_scrapes(losing):
    at = _layers(losing(0.15), Print())[1].at["part"]
    assert at.scrapes > 0.95
    assert at.bonds_poorly == 0.0
    assert at.bulge_mm.estimate > 0.3


def test_a_print_raised_too_far_bonds_poorly_and_then_leaves_a_gap(losing):
    near = _layers(losing(0.0), Print(offset_mm=0.08))[0].at["part"]
    far = _layers(losing(0.0), Print(offset_mm=0.3))[0].at["part"]
    assert near.bonds_poorly > 0.95
    assert near.open_gap == 0.0
    assert far.open_gap == 1.0
    assert far.width_mm is None


def test_all_settles_on_the_layer_after_the_loss(losing):
    assert settled_from(_layers(losing(0.10), Print())) == 3
    assert settled_from(_layers(losing(0.0), Print())) == 1
    assert settled_from(_layers(losing(0.10), Print(layers=2))) is None


def test_a_home_that_differs_spreads_layer_one_and_no_other(losing):
    layers = _layers(losing(0.0), Print(), home_sd=0.02)
    wide = [layer.at["part"].gap_mm.high - layer.at["part"].gap_mm.low for layer in layers]
    assert wide[0] == pytest.approx(2 * 1.645 * 0.02, rel=0.15)
    assert max(wide[1:]) < 0.5 * wide[0]


def test_scatter_from_print_to_print_is_told_only_where_homing_was_repeated(losing):
    made = heights(_many(losing(0.0), 0.02), Print(), _rng())
    assert scatter_mm(made, home_known=True)["part"] == pytest.approx(0.02, rel=0.15)
    assert scatter_mm(made, home_known=False)["part"] is None


def test_where_some_moves_lift_a_layer_differs_by_all_that_is_lost(losing):
    layers = _layers(losing(0.10), Print(lift=Lift.SOME))
    within = layers[3].at["part"].within_mm
    assert within.estimate == pytest.approx(0.10, abs=0.015)
    wide = layers[3].at["part"].gap_mm
    assert wide.high - wide.low > 0.15


def test_a_thicker_first_layer_is_held_against_its_own_height(losing):
    first = _layers(losing(0.0), Print(first_mm=0.3))[0]
    assert first.nominal_mm == 0.3
    assert first.at["part"].bulge_mm.estimate == pytest.approx(0.0, abs=0.01)


def test_resampling_takes_each_axis_as_often_as_its_weight_says():
    weight = np.array([0.5, 0.125, 0.3, 0.075])
    counts = np.bincount(resampled(weight, 1000, _rng()), minlength=4)
    assert np.abs(counts - 1000 * weight).max() <= 1


def test_how_far_homing_differs_is_known_only_from_repeated_homes(losing):
    one = one_axis(losing(0.0))
    homes = {f"home-scatter:{k}": np.array([value]) for k, value in enumerate((0.03, -0.04))}
    assert taken_over(one.base, one.thetas, one.terms).home_sd_mm is None
    known = taken_over(one.base, one.thetas, {**one.terms, **homes}).home_sd_mm
    assert known == pytest.approx(np.sqrt((0.03**2 + 0.04**2) / 2))


def test_another_day_leaves_an_axis_without_drag_as_it_is(losing):
    made = heights(_many(losing(0.0)), replace(Print(), layers=3), _rng())
    assert made.print_mm == pytest.approx(made.usual_mm, abs=1e-9)


@given(st.integers(0, 2**32 - 1), st.integers(1, 60), st.floats(0.0, 0.6))
def test_intervals_are_the_quantiles_of_the_draws_that_are_there(seed, draws, missing):
    rng = np.random.default_rng(seed)
    values = rng.normal(size=(draws, 3, 2))
    values[rng.random(values.shape) < missing] = np.nan
    for k, row in enumerate(intervals(values)):
        for p, found in enumerate(row):
            there = values[:, k, p][~np.isnan(values[:, k, p])]
            if len(there):
                expected = np.quantile(there, (0.5, 0.05, 0.95))
                assert (found.estimate, found.low, found.high) == pytest.approx(expected)
