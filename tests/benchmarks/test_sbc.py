"""Simulation-based calibration: the sums on ranks, the stored result, and a fresh slice."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

import ranks
import sbc

RESULTS = Path(__file__).parents[2] / "benchmarks" / "results"


def test_the_rank_of_a_truth_among_equal_draws_counts_those_below():
    draws = np.array([1.0, 2.0, 3.0, 4.0])
    weight = np.ones(4)
    assert ranks.rank(2.5, draws, weight, 0.5) == pytest.approx((2 + 0.5) / 5)
    assert ranks.rank(0.0, draws, weight, 0.0) == 0.0
    assert ranks.rank(9.0, draws, weight, 1.0) == pytest.approx(1.0)


def test_even_ranks_pass_and_ranks_from_too_narrow_draws_fail():
    rng = np.random.default_rng(1)
    truths, even, narrow = rng.standard_normal(400), [], []
    for truth in truths:
        seen = truth + 0.5 * rng.standard_normal()
        middle, sd = seen / 1.25, np.sqrt(0.25 / 1.25)
        draws = middle + sd * rng.standard_normal(60)
        even.append(ranks.rank(truth, draws, np.ones(60), rng.random()))
        draws = middle + 0.5 * sd * rng.standard_normal(60)
        narrow.append(ranks.rank(truth, draws, np.ones(60), rng.random()))
    assert ranks.chi_square(even)[1] > 0.001
    assert ranks.chi_square(narrow)[1] < 1e-6


def test_a_bin_of_even_ranks_lies_in_the_binomial_band():
    """Binomial law with n = 100, p = 0.1: 99 % between 3 and 18 (tables of the binomial law)."""
    assert ranks.bin_band(100, 10) == (3, 18)


def test_the_stored_result_holds_five_hundred_sessions_and_says_how_it_was_made():
    stored = json.loads((RESULTS / "sbc.json").read_text(encoding="utf-8"))
    kept = stored["as_stated"]
    depths = ("gantry-only", "five-minutes", "full")
    assert sum(kept[depth]["sessions"] for depth in depths) >= 500
    assert kept["how"]["command"].startswith("python benchmarks/sbc.py")
    for depth in depths:
        for name, figure in kept[depth]["figures"].items():
            again = kept["ranks"][depth][name]
            assert figure["count"] == len(again)
            within = np.mean([0.05 <= r <= 0.95 for r in again])
            assert figure["within_90"] == pytest.approx(within, abs=0.005)


def test_a_fresh_slice_ranks_as_evenly_as_chance_allows():
    """Ranks of a few fresh sessions, pooled: a broken engine puts them all at an end."""
    rows = [sbc.one("five-minutes", 5000 + k, power_one=False) for k in range(8)]
    pooled = [r for row in rows for name, r in row["ranks"].items() if name.startswith("loss")]
    assert 0.05 < np.mean(pooled) < 0.95
    assert np.ptp(pooled) > 0.2
    computed = sum(sum(row["computed"].values()) for row in rows)
    there = sum(len(row["there"]) for row in rows)
    assert abs(computed - there) < 5 * np.sqrt(max(computed, 1.0))
