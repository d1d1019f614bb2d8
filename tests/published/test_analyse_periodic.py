"""Waves: the beam data of NIST, and laws of the discrete Fourier basis."""

import csv
from math import pi

import numpy as np
import pytest

from plumbrise.analyse.periodic import alias, fit_waves, search_wave


def test_PER_01_the_best_frequency_of_all(published):
    """NIST StRD Lew data; the e-Handbook's 0.302596 (1.4.2.5.3, seen) is a valley beside it."""
    with (published / "nist_lew.csv").open(encoding="utf-8") as file:
        values = [float(row["deflection"]) for row in csv.DictReader(file)]
    found = search_wave(values)
    assert found.frequency == pytest.approx(0.301807, abs=1e-5)
    assert found.u_frequency == pytest.approx(0.000108, abs=5.1e-7)
    assert (found.amplitude, found.u_amplitude) == pytest.approx((343.29, 13.41), abs=0.0051)
    assert (found.level, found.u_level) == pytest.approx((-178.77, 9.48), abs=0.0051)
    assert found.sd == pytest.approx(134.066, abs=5.1e-4)


def test_PER_02_equal_parts_of_whole_turns():
    """Orthogonality of the discrete Fourier basis, closed form."""
    n, lead = 32, 8.0
    x = np.arange(n) * lead / 16
    angle = 2 * pi * x / lead
    y = np.random.default_rng(2).normal(size=n) + 3 * np.cos(angle) - 2 * np.sin(angle)
    found = fit_waves(x, y, [lead], slope=False)
    (wave,) = found.waves
    assert wave.cosine == pytest.approx(2 / n * (y @ np.cos(angle)), rel=1e-12)
    assert wave.sine == pytest.approx(2 / n * (y @ np.sin(angle)), rel=1e-12)
    assert wave.u_amplitude**2 == pytest.approx(2 * found.curve.sd**2 / n, rel=1e-12)


def test_PER_03_alias():
    """Sampling theorem, closed form: waves a layer that a period shows at a layer height."""
    pairs = [(8, 0.2), (2, 0.3), (0.16, 0.2), (0.16, 0.12), (0.16, 0.1), (0.04, 0.25), (2, 1.9)]
    layers = (40, 20 / 3, 4, 4, 8 / 3, 4, 20)
    assert [1 / alias(period, step) for period, step in pairs] == pytest.approx(layers, rel=1e-6)
    assert 1 / alias(0.04, 0.3) == pytest.approx(2, rel=1e-6)
