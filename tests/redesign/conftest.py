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
def explanation(example, kept):
    rng = np.random.default_rng(0)
    return kept("explanation", lambda: explain(example.machine, example.readings, rng=rng))


@pytest.fixture(scope="session")
def prospects(example, explanation, kept):
    rng = np.random.default_rng(1)
    return kept("prospects", lambda: prospects_for(example.machine, explanation, rng=rng))
