"""Lines, curves and calibration against certified data and worked examples.

NIST StRD: certified by the National Institute of Standards and Technology, doi:10.18434/M32189.
"""

import csv
from math import sqrt

import numpy as np
import pytest

from plumbrise.analyse.lines import (
    fit,
    fit_line,
    fit_line_errors_in_both,
    fit_line_orthogonal,
    fit_polynomial,
    line_doubts,
)

PEARSON_X = (0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4)
PEARSON_Y = (5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5)


def _columns(published, name, x, y):
    with (published / name).open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return [float(row[x]) for row in rows], [float(row[y]) for row in rows]


def test_REG_01_norris(published):
    """NIST StRD Norris, certified (seen)."""
    found = fit_line(*_columns(published, "nist_norris.csv", "x", "y"))
    assert found.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert found.slope == pytest.approx(1.00211681802045, rel=1e-9)
    assert found.u_intercept == pytest.approx(0.232818234301152, rel=1e-9)
    assert found.u_slope == pytest.approx(0.000429796848199937, rel=1e-9)
    assert found.sd == pytest.approx(0.884796396144373, rel=1e-9)


def test_REG_02_pontius(published):
    """NIST StRD Pontius, certified (from memory, recomputed in 40 digits)."""
    found = fit_polynomial(*_columns(published, "nist_pontius.csv", "load", "deflection"), 2)
    certified = (6.73565789473684e-4, 7.32059160401003e-7, -3.16081871345029e-15)
    deviations = (1.07938612033077e-4, 1.57817399981659e-10, 4.86652849992036e-17)
    assert found.coefficients == pytest.approx(certified, rel=1e-7, abs=0)
    assert found.u == pytest.approx(deviations, rel=1e-7, abs=0)
    assert found.sd == pytest.approx(2.05177424076185e-4, rel=1e-7)


def test_REG_03_load_cell(published):
    """e-Handbook 2.3.6.5 (from memory, recomputed)."""
    found = fit_polynomial(*_columns(published, "nist_loadcell.csv", "load_level", "response"), 2)
    assert found.coefficients == pytest.approx(
        (-1.83980e-5, 0.100102485, 7.03187e-6), rel=1e-5, abs=0
    )
    assert found.u == pytest.approx((2.4507e-5, 4.8387e-6, 2.0136e-7), rel=3e-5, abs=0)
    assert found.sd == pytest.approx(3.76403e-5, rel=1e-5)
    assert found.dof == 30


def test_REG_04_line_width_calibration(published):
    """e-Handbook 2.3.6.7 (from memory, recomputed)."""
    data = _columns(published, "nist_linewidth_calibration.csv", "reference_um", "measured_um")
    found = fit_line(*data)
    assert (found.intercept, found.u_intercept) == pytest.approx((0.23576, 0.02430), abs=1e-5)
    assert (found.slope, found.u_slope) == pytest.approx((0.98704, 0.00344), abs=1e-5)
    assert found.sd == pytest.approx(0.06203, abs=1e-5)


def test_REG_05_elastic_modulus_against_temperature():
    """Natrella, NBS Handbook 91, worksheet 5-4.1 (seen)."""
    x = [30, *range(100, 1600, 100)]
    y = (4642, 4612, 4565, 4513, 4476, 4433, 4389, 4347, 4303, 4251, 4201, 4140, 4100, 4073, 4024)
    found = fit_line(x, [*y, 3999])
    assert found.slope == pytest.approx(-0.44985482, rel=1e-6)
    assert found.intercept == pytest.approx(4654.9846, rel=1e-6)
    assert found.u_slope**2 == pytest.approx(2.5649045e-5, rel=1e-6)
    assert found.u_intercept**2 == pytest.approx(19.879452, rel=1e-6)
    assert found.sd == pytest.approx(9.277617, rel=1e-6)
    assert found.u_at(1200) ** 2 == pytest.approx(10.53, abs=0.0051)
    assert found.u_of_reading(750) ** 2 == pytest.approx(91.45, abs=0.0051)


def test_REG_06_thermometer():
    """GUM (JCGM 100:2008) H.3 (seen)."""
    t = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
    b = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)
    found = fit_line([x - 20 for x in t], b)
    assert (found.intercept, found.u_intercept) == pytest.approx((-0.1712, 0.0029), abs=5.1e-5)
    assert (found.slope, found.u_slope) == pytest.approx((0.00218, 0.00067), abs=5.1e-6)
    r = found.covariance / (found.u_intercept * found.u_slope)
    assert r == pytest.approx(-0.930, abs=5.1e-4)
    assert found.sd == pytest.approx(0.0035, abs=5.1e-5)
    assert (found.at(10), found.u_at(10)) == pytest.approx((-0.1494, 0.0041), abs=5.1e-5)
    assert found.dof == 9


def test_REG_07_errors_in_both():
    """York, Can. J. Phys. 44 (1966) 1079; York et al., Am. J. Phys. 72 (2004) 367 (data seen)."""
    wx = (1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1)
    wy = (1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500)
    found = fit_line_errors_in_both(PEARSON_X, PEARSON_Y, wx, wy)
    assert found.slope == pytest.approx(-0.480533407, rel=1e-6)
    assert found.intercept == pytest.approx(5.479910220, rel=1e-6)
    assert found.misfit == pytest.approx(1.483294, rel=1e-6)
    assert (found.u_slope, found.u_intercept) == pytest.approx((0.0579850, 0.294971), rel=2e-6)


def test_REG_08_orthogonal_distance():
    """Pearson, Phil. Mag. 2 (1901) 559 (seen)."""
    intercept, slope = fit_line_orthogonal(PEARSON_X, PEARSON_Y)
    assert slope == pytest.approx(-0.54556, abs=1e-5)
    assert intercept == pytest.approx(5.784, abs=5e-4)
    assert intercept + slope * 3.82 == pytest.approx(3.70, abs=1e-9)


@pytest.mark.parametrize(
    ("number", "slope"), [("1", 0.5000909), ("2", 0.5), ("3", 0.4997273), ("4", 0.4999091)]
)
def test_REG_09_equal_fits(published, number, slope):
    """Anscombe, Am. Stat. 27 (1973) 17 (from memory, recomputed)."""
    x, y = _anscombe(published, number)
    found = fit_line(x, y)
    assert found.slope == pytest.approx(slope, rel=1e-6)
    assert (found.slope, found.intercept) == pytest.approx((0.500, 3.00), abs=0.005)
    assert np.corrcoef(x, y)[0, 1] == pytest.approx(0.816, abs=1e-3)
    assert found.u_slope == pytest.approx(0.118, abs=5.1e-4)


def test_REG_09_unlike_faults(published):
    """A fit alone proves nothing: each set names its own fault, the first none."""
    first, curved, odd, decides = (line_doubts(*_anscombe(published, n)) for n in "1234")
    assert (first.curved, first.odd, first.decides) == (False, None, None)
    assert curved.curved
    assert curved.odd is None
    assert not odd.curved
    x, y = _anscombe(published, "3")
    assert (x[odd.odd], y[odd.odd]) == (13, 12.74)
    x, _ = _anscombe(published, "4")
    assert x[decides.decides] == 19


def _anscombe(published, number):
    with (published / "anscombe.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["set"] == number]
    return [float(row["x"]) for row in rows], [float(row["y"]) for row in rows]


def test_REG_10_known_scatter():
    """Elster and Toman, Metrologia 48 (2011) 233, fig. 1 (points read off the figure, seen)."""
    x = np.arange(11) / 10
    y = [0.9823529, 0.6254902, 0.95490193, 0.7352941, 1.327451, 1.0764706, 1.382353, 1.382353]
    y += [1.7039216, 1.6921569, 2.1039217]
    found = fit([np.ones(11), x**2], y)
    known = 0.2 / found.sd
    assert found.coefficients[1] == pytest.approx(1.218, abs=0.01)
    assert sqrt(found.covariance[1, 1]) * known == pytest.approx(0.184, abs=0.01)
