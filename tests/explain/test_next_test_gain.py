"""What a test is expected to tell, against integrals and against known classes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.explain.gain import expected_gain_bits
from plumbrise.explain.scores import entropy_bits

DRAWS = 400


def mutual_bits(apart: float, chance: float) -> float:
    """Bits that one reading of unit noise tells of two classes: Cover and Thomas, Elements of
    Information Theory, chapter 8, h(y) - h(y | class), by quadrature."""
    from scipy.integrate import quad
    from scipy.stats import norm

    def density(y: float) -> float:
        return chance * norm.pdf(y) + (1 - chance) * norm.pdf(y - apart)

    def part(y: float) -> float:
        p = density(y)
        return -p * np.log2(p) if p > 0 else 0.0

    mixed, _ = quad(part, -12, 12 + apart, limit=400, points=[0.0, apart])
    return float(mixed - 0.5 * np.log2(2 * np.pi * np.e))


def two_classes(apart: float, chance: float, size: int = 1) -> tuple[np.ndarray, ...]:
    """Outcomes without spread of their own: two classes so far apart in one reading."""
    of_class = np.arange(DRAWS) % 2
    outcomes = np.zeros((DRAWS, size))
    outcomes[:, 0] = apart * of_class
    weight = np.where(of_class == 0, chance, 1 - chance) / (DRAWS / 2)
    return outcomes, of_class, weight


@pytest.mark.parametrize("chance", [0.5, 0.8])
@pytest.mark.parametrize("apart", [0.5, 1.0, 2.0, 4.0])
def test_two_bells_tell_as_many_bits_as_the_integral(apart, chance):
    found = [
        expected_gain_bits(*two_classes(apart, chance), np.random.default_rng(seed))
        for seed in range(40)
    ]
    error = np.std(found, ddof=1) / np.sqrt(len(found))
    assert np.mean(found) == pytest.approx(mutual_bits(apart, chance), abs=4 * error + 1e-3)


def test_three_known_classes_tell_as_many_bits_as_brute_force():
    rng = np.random.default_rng(1)
    centres = np.array([[0.0, 0.0, 0.0], [2.0, 0.0, 1.0], [0.0, 1.5, -1.0]])
    chance = np.array([0.5, 0.3, 0.2])
    of_class = np.arange(600) % 3
    found = [
        expected_gain_bits(
            centres[of_class], of_class, chance[of_class] / 200, np.random.default_rng(s)
        )
        for s in range(30)
    ]
    truly = rng.choice(3, size=40_000, p=chance)
    seen = centres[truly] + rng.standard_normal((len(truly), 3))
    logs = np.log(chance) - 0.5 * np.sum((seen[:, None] - centres) ** 2, axis=2)
    p = np.exp(logs - logs.max(axis=1, keepdims=True))
    p /= p.sum(axis=1, keepdims=True)
    told = entropy_bits(chance) + np.sum(p * np.log2(np.maximum(p, 1e-300)), axis=1)
    error = np.hypot(np.std(found, ddof=1) / np.sqrt(len(found)), told.std() / np.sqrt(len(told)))
    assert np.mean(found) == pytest.approx(told.mean(), abs=4 * error)


@given(
    apart=st.floats(0, 50),
    chance=st.floats(0.02, 0.98),
    size=st.integers(1, 6),
    seed=st.integers(0, 1000),
)
def test_no_test_tells_less_than_nothing_or_more_than_there_is(apart, chance, size, seed):
    outcomes, of_class, weight = two_classes(apart, chance, size)
    outcomes = outcomes + np.random.default_rng(seed).normal(0, 0.3, outcomes.shape)
    gain = expected_gain_bits(outcomes, of_class, weight, np.random.default_rng(seed))
    assert 0.0 <= gain <= entropy_bits([chance, 1 - chance]) + 1e-9


@given(apart=st.floats(0.5, 6), louder=st.floats(1.5, 5))
def test_more_noise_never_tells_more(apart, louder):
    quiet, of_class, weight = two_classes(apart, 0.5)

    def mean(outcomes: np.ndarray) -> tuple[float, float]:
        all_of = [
            expected_gain_bits(outcomes, of_class, weight, np.random.default_rng(s))
            for s in range(12)
        ]
        return float(np.mean(all_of)), float(np.std(all_of, ddof=1) / np.sqrt(12))

    (least, doubt), (most, other) = mean(quiet / louder), mean(quiet)
    assert least <= most + 4 * np.hypot(doubt, other) + 1e-6
