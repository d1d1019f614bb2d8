"""The invented machine, explained once, and its prospects."""

import numpy as np
import pytest

from plumbrise.demo import scenario
from plumbrise.explain import explain
from plumbrise.redesign import prospects_for


@pytest.fixture(scope="session")
def example():
    return scenario()


@pytest.fixture(scope="session")
def explanation(example):
    return explain(example.machine, example.readings, rng=np.random.default_rng(0))


@pytest.fixture(scope="session")
def prospects(example, explanation):
    return prospects_for(example.machine, explanation, rng=np.random.default_rng(1))
