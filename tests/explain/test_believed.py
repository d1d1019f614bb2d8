"""Axes that are believed after reading."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.demo import scenario
from plumbrise.explain import explain
from plumbrise.explain.believed import weighed


@pytest.fixture(scope="module")
def explanation():
    example = scenario()
    return explain(example.machine, example.readings, rng=np.random.default_rng(0))


def test_every_believed_axis_has_a_weight_and_its_terms(explanation):
    found = explanation.believed
    assert found.weight.sum() == pytest.approx(1.0)
    assert found.thetas.shape[0] == found.count
    assert all(len(values) == found.count for values in found.terms.values())


def test_causes_matter_in_the_draws_as_often_as_is_stated(explanation):
    found = explanation.believed
    stated = {c.cause: c.probability for c in explanation.causes if c.could_be_seen}
    for cause, takes in found.takes.items():
        share = float(found.weight[takes].sum()) * found.keep[cause]
        assert share <= stated[cause] + 0.03, cause


@given(st.lists(st.booleans(), min_size=6, max_size=30), st.floats(0.05, 0.95))
def test_weighing_meets_a_single_aim_that_bounds_allow(there, aim):
    takes = np.array(there)
    weight = np.full(len(takes), 1 / len(takes))
    made = weighed(weight, {"a": takes}, {"a": aim})
    assert made.sum() == pytest.approx(1.0)
    held, free = takes.sum(), (~takes).sum()
    if min(held, free) < 2:
        assert made == pytest.approx(weight)
    elif 1 / 6 < aim * len(takes) / held < 6 and 1 / 6 < (1 - aim) * len(takes) / free < 6:
        assert made[takes].sum() == pytest.approx(aim, abs=1e-6)
