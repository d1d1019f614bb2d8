"""What tests are expected to tell, against integrals and against known chances."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbrise.explain.gain import bits_told
from plumbrise.explain.scores import entropy_bits

AXES = 4000


def mutual_bits(apart: float, chance: float) -> float:
    """Bits that one reading of unit noise tells of a cause: Cover and Thomas, Elements of
    Information Theory, chapter 8, h(y) - h(y | cause), by quadrature."""
    from scipy.integrate import quad
    from scipy.stats import norm

    def part(y: float) -> float:
        p = chance * norm.pdf(y - apart) + (1 - chance) * norm.pdf(y)
        return -p * np.log2(p) if p > 0 else 0.0

    mixed, _ = quad(part, -12, 12 + apart, limit=400, points=[0.0, apart])
    return float(mixed - 0.5 * np.log2(2 * np.pi * np.e))


def told(apart: float, chance: float, seed: int, size: int = 1) -> float:
    """Bits told by `size` readings, one of which lies so far off where the cause is."""
    rng = np.random.default_rng(seed)
    there = rng.permutation(np.arange(AXES) < round(chance * AXES))
    figures = rng.standard_normal((AXES, size))
    figures[:, 0] += apart * there
    return bits_told([figures - figures.mean(axis=0)], {"racking": there})["racking"]


@pytest.mark.parametrize("chance", [0.11, 0.5, 0.8])
@pytest.mark.parametrize("apart", [0.5, 1.0, 2.0, 4.0])
def test_one_figure_tells_as_many_bits_as_the_integral(apart, chance):
    found = [told(apart, chance, seed) for seed in range(12)]
    error = np.std(found, ddof=1) / np.sqrt(len(found))
    assert np.mean(found) == pytest.approx(mutual_bits(apart, chance), abs=4 * error + 0.01)


def test_a_wave_of_any_phase_is_told_by_its_size():
    """A signed figure says nothing by its mean, its size does: both stand among the figures."""
    rng = np.random.default_rng(5)
    there = rng.random(AXES) < 0.3
    wave = rng.standard_normal(AXES) * np.where(there, 12.0, 1.0)
    figures = np.stack([wave, np.log1p(np.abs(wave))], axis=1)
    shown = bits_told([figures - figures.mean(axis=0)], {"screw-bend": there})["screw-bend"]
    assert shown > 0.4 * entropy_bits([0.3, 0.7])


@pytest.mark.parametrize("size", [1, 12, 60])
def test_figures_of_nothing_tell_nothing(size):
    assert abs(np.mean([told(0.0, 0.11, seed, size) for seed in range(6)])) < 0.015


def test_copies_of_one_draw_do_not_give_it_away():
    rng = np.random.default_rng(2)
    of_draw = rng.integers(0, 60, 1000)
    there = {"guide-drag": (rng.random(60) < 0.3)[of_draw]}
    figures = rng.standard_normal((60, 8))[of_draw]
    figures -= figures.mean(axis=0)
    assert bits_told([figures], there, of_draw)["guide-drag"] < 0.05
    assert bits_told([figures], there)["guide-drag"] > 0.1


@settings(max_examples=15)
@given(apart=st.floats(0, 50), chance=st.floats(0.02, 0.98), seed=st.integers(0, 1000))
def test_no_test_tells_more_than_there_is(apart, chance, seed):
    assert told(apart, chance, seed) <= entropy_bits([chance, 1 - chance]) + 0.02
