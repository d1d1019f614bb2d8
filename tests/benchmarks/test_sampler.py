"""The sampler beside explain's evidence, on a likelihood whose evidence is known."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))
import sampler


def test_nested_sampling_finds_a_normal_evidence():
    """Closed form: one reading 1.5 of a mean with unit prior, noise 0.5: N(1.5 | 0, 1.25)."""
    pytest.importorskip("dynesty")

    def log_likelihood(v):
        return float(-0.5 * ((1.5 - v[0]) / 0.5) ** 2 - np.log(0.5) - 0.5 * np.log(2 * np.pi))

    log_z, error, draws, calls = sampler.nested(log_likelihood, 1, seed=1)
    exact = -0.5 * 1.5**2 / 1.25 - 0.5 * np.log(2 * np.pi * 1.25)
    assert log_z == pytest.approx(exact, abs=max(4 * error, 0.3))
    assert np.mean(draws) == pytest.approx(1.2, abs=0.15)
    assert calls > 100
