"""Uncertainty against the worked examples of the GUM, its Supplement 1 and NIST TN 1900."""

import csv
from math import cos, sin, sqrt

import numpy as np
import pytest

from plumbrise.analyse import propagation as p
from plumbrise.analyse.statistics import mean_of, runs_test, sample, widening
from plumbrise.quantity import combined, student_factor

NOMINAL_NM = 50_000_000.0


def _end_gauge():
    u_d, dof_d = combined([(5.8, 24), (3.9, 5), (6.7, 8)])
    u_alpha = p.u_rectangular(1e-6)
    u_theta_difference = p.u_rectangular(0.05)
    terms = [
        (25.0, 18.0),
        (u_d, dof_d),
        (50_000_623 * 0.1 * u_alpha, 50.0),
        (50_000_623 * 11.5e-6 * u_theta_difference, 2.0),
    ]
    return u_d, dof_d, terms


def test_UNC_01_end_gauge():
    """GUM (JCGM 100:2008) H.1 (seen); it prints 25.6 and 16.7 where its own data give 25.4, 16.75."""
    u_d, dof_d, terms = _end_gauge()
    assert 50_000_623 + 215 == 50_000_838
    assert u_d == pytest.approx(9.7, abs=0.051)
    assert dof_d == pytest.approx(25.4, abs=0.051)
    assert [u for u, _ in terms] == pytest.approx([25, 9.7, 2.9, 16.6], abs=0.051)
    u, dof = combined(terms)
    assert u == pytest.approx(32, abs=0.51)
    assert dof == pytest.approx(16.75, abs=0.051)
    assert student_factor(16, 0.99) == pytest.approx(2.92, abs=0.0051)
    assert student_factor(16, 0.99) * round(u) == pytest.approx(93, abs=0.51)


def test_UNC_02_second_order_terms():
    """GUM H.1.7 (seen): l_s δα θ and l_s α δθ, the products of two uncertainties."""
    u_theta = sqrt(0.2**2 + p.u_arcsine(0.5) ** 2)
    first = 50_000_623 * p.u_rectangular(1e-6) * u_theta
    second = 50_000_623 * p.u_rectangular(2e-6) * p.u_rectangular(0.05)
    assert (first, second) == pytest.approx((11.7, 1.7), abs=0.051)
    _, _, terms = _end_gauge()
    assert combined([*terms, (first, np.inf), (second, np.inf)])[0] == pytest.approx(34, abs=0.51)


def test_UNC_03_resistance_and_reactance():
    """GUM H.2 (seen); u(X) 0.295 in print, 0.2956 by its own data."""
    v = np.array((5.007, 4.994, 5.005, 4.990, 4.999))
    i = np.array((19.663, 19.639, 19.640, 19.685, 19.678)) * 1e-3
    phi = np.array((1.0456, 1.0438, 1.0468, 1.0428, 1.0433))
    means = [x.mean() for x in (v, i, phi)]
    u = [sample(list(x)).sd / sqrt(5) for x in (v, i, phi)]
    r = np.corrcoef([v, i, phi])
    assert means == pytest.approx((4.9990, 19.6610e-3, 1.04446), rel=1e-6)
    assert u == pytest.approx((0.0032, 0.0095e-3, 0.00075), rel=0.01)
    assert (r[0, 1], r[0, 2], r[1, 2]) == pytest.approx((-0.36, 0.86, -0.65), abs=0.0051)
    functions = (
        lambda v, i, f: v / i * cos(f),
        lambda v, i, f: v / i * sin(f),
        lambda v, i, _: v / i,
    )
    found = [p.propagate(f, means, u, r) for f in functions]
    assert [f.value for f in found] == pytest.approx((127.732, 219.847, 254.260), abs=0.001)
    assert [f.u for f in found] == pytest.approx((0.071, 0.2956, 0.236), abs=0.001)
    shares = np.array([f.shares for f in found])
    covariance = shares @ r @ shares.T
    size = np.sqrt(np.diag(covariance))
    between = covariance / np.outer(size, size)
    assert (between[0, 1], between[0, 2], between[1, 2]) == pytest.approx(
        (-0.588, -0.485, 0.993), abs=0.001
    )


def test_UNC_04_effective_degrees_of_freedom():
    """GUM G.4.1, Welch-Satterthwaite (from memory, recomputed)."""
    u, dof = combined([(0.25, 9), (0.57, 4), (0.82, 14)])
    assert u == pytest.approx(1.03, abs=0.0051)
    assert dof == pytest.approx(19.0, abs=0.051)
    assert student_factor(19) == pytest.approx(2.09, abs=0.0051)
    assert student_factor(19) * u == pytest.approx(2.2, abs=0.051)


def test_UNC_05_shapes():
    """GUM 4.3.7, 4.3.9, H.1.3.4, F.2.2.1, F.2.2.2 (from memory, recomputed)."""
    assert p.u_rectangular(1) == pytest.approx(1 / sqrt(3))
    assert p.u_triangular(1) == pytest.approx(1 / sqrt(6))
    assert p.u_arcsine(1) == pytest.approx(1 / sqrt(2))
    assert p.u_of_step(1) == pytest.approx(0.29, abs=0.0051)


def test_UNC_06_four_rectangular():
    """JCGM 101:2008, 9.2.3 (from memory, recomputed); the interval is not ±3.92."""
    half = sqrt(3)
    inputs = {name: p.rectangular(-half, half) for name in "abcd"}
    found = p.propagate_by_drawing(
        lambda a, b, c, d: a + b + c + d, inputs, rng=np.random.default_rng(6), draws=4_000_000
    )
    assert found.u == pytest.approx(2.0, abs=0.005)
    assert found.symmetric == pytest.approx((-3.88, 3.88), abs=0.005)


def test_UNC_07_one_rectangular_rules():
    """JCGM 101:2008, 9.2.4 (from memory, recomputed)."""
    half = sqrt(3)
    inputs = {name: p.rectangular(-half, half) for name in "abc"}
    inputs["d"] = p.rectangular(-10 * half, 10 * half)
    found = p.propagate_by_drawing(
        lambda a, b, c, d: a + b + c + d, inputs, rng=np.random.default_rng(7), draws=1_000_000
    )
    assert found.symmetric == pytest.approx((-17.0, 17.0), abs=0.05)
    plain = p.propagate(lambda a, b, c, d: a + b + c + d, [0] * 4, [1, 1, 1, 10])
    assert plain.u == pytest.approx(10.1, abs=0.05)
    assert found.u == pytest.approx(plain.u, rel=0.002)
    assert 1.96 * plain.u == pytest.approx(19.9, abs=0.05)


def test_UNC_08_gauge_block_by_drawing():
    """JCGM 101:2008, 9.5, table 11 (from memory, recomputed)."""

    def deviation(standard, d, d1, d2, alpha, theta, swing, d_alpha, d_theta):
        warm = theta + swing
        length = standard * (1 + alpha * (warm - d_theta)) + d + d1 + d2
        return length / (1 + (alpha + d_alpha) * warm) - NOMINAL_NM

    inputs = {
        "standard": p.student(50_000_623, 25, 18),
        "d": p.student(215, 6, 24),
        "d1": p.student(0, 4, 5),
        "d2": p.student(0, 7, 8),
        "alpha": p.rectangular(9.5e-6, 13.5e-6),
        "theta": p.normal(-0.1, 0.2),
        "swing": p.arcsine(-0.5, 0.5),
        "d_alpha": p.rectangular_with_vague_limits(-1e-6, 1e-6, 0.1e-6),
        "d_theta": p.rectangular_with_vague_limits(-0.05, 0.05, 0.025),
    }
    found = p.propagate_by_drawing(
        deviation, inputs, rng=np.random.default_rng(8), draws=2_000_000, level=0.99
    )
    assert found.mean == pytest.approx(838, abs=1)
    assert found.u == pytest.approx(36, abs=1)
    assert found.symmetric == pytest.approx((745, 932), abs=1.5)
    assert found.shortest == pytest.approx((744, 931), abs=1.5)


def test_UNC_09_expansion_coefficient():
    """NIST TN 1900, example E13 (seen)."""
    found = p.propagate(
        lambda l0, l1, t0, t1: (l1 - l0) / (l0 * (t1 - t0)),
        (1.4999, 1.5021, 288.15, 373.10),
        (1e-4, 2e-4, 0.02, 0.05),
    )
    assert found.value == pytest.approx(1.727e-5, abs=5.1e-9)
    assert found.u == pytest.approx(1.76e-6, abs=5.1e-9)


def test_UNC_10_order_widens_a_mean(published):
    """NIST StRD Lew: 120 runs where 101 are expected, lag-1 -0.307: no plain scatter."""
    with (published / "nist_lew.csv").open(encoding="utf-8") as file:
        values = [float(row["deflection"]) for row in csv.DictReader(file)]
    found = sample(values)
    assert runs_test(values).p < 0.01
    assert mean_of(values).u > 1.2 * found.sd / sqrt(found.n)


@pytest.mark.parametrize("r", [0.3, 0.6])
def test_UNC_10_a_chain_of_first_order_widens_as_its_law_says(r):
    """Closed form, large-n limit: √((1 + r)/(1 - r)); checked on drawn chains."""
    rng = np.random.default_rng(10)
    n, trials = 400, 2000
    noise = rng.normal(size=(trials, n))
    chain = np.empty_like(noise)
    chain[:, 0] = noise[:, 0] / sqrt(1 - r**2)
    for i in range(1, n):
        chain[:, i] = r * chain[:, i - 1] + noise[:, i]
    true = chain.mean(axis=1).std() * sqrt(n) / chain.std()
    assert widening(r, n) == pytest.approx(true, rel=0.06)
