"""Axes that are believed after reading."""

import numpy as np
import pytest

from plumbrise.demo import scenario
from plumbrise.explain import explain


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


def test_whoever_watches_gets_the_same_answer(explanation):
    example = scenario()
    watched = explain(
        example.machine, example.readings, rng=np.random.default_rng(0), progress=lambda _: True
    )
    assert watched == explanation
