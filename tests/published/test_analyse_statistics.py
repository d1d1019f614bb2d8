"""Statistics against certified reference data and worked examples.

NIST StRD: certified by the National Institute of Standards and Technology, doi:10.18434/M32189.
e-Handbook: NIST/SEMATECH e-Handbook of Statistical Methods.
"""

import csv
from importlib.resources import files
from math import sqrt

import numpy as np
import pytest

from plumbrise.analyse import changes, statistics
from plumbrise.quantity import student_factor

NILE = (
    "1120 1160 963 1210 1160 1160 813 1230 1370 1140 995 935 1110 994 1020 960 1180 799 958 1140 "
    "1100 1210 1150 1250 1260 1220 1030 1100 774 840 874 694 940 833 701 916 692 1020 1050 969 "
    "831 726 456 824 702 1120 1100 832 764 821 768 845 864 862 698 845 744 796 1040 759 781 865 "
    "845 944 984 897 822 1010 771 676 649 846 812 742 801 1040 860 874 848 890 744 749 838 1050 "
    "918 986 797 923 975 815 1020 906 901 1170 912 746 919 718 714 740"
)
"""Yearly flow at Aswan, 1871 to 1970, 1e8 m³: Cobb, Biometrika 65 (1978) 243."""


def _column(published, name, column):
    with (published / name).open(encoding="utf-8") as file:
        return [float(row[column]) for row in csv.DictReader(file)]


def _groups(published, name, value, group):
    made = {}
    with (published / name).open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            made.setdefault(row[group], []).append(float(row[value]))
    return list(made.values())


def test_STA_01_lew(published):
    """NIST StRD Lew, certified (seen)."""
    found = statistics.sample(_column(published, "nist_lew.csv", "deflection"))
    assert found.mean == pytest.approx(-177.435, rel=1e-12)
    assert found.sd == pytest.approx(277.332168044316, rel=1e-12)
    assert found.lag1 == pytest.approx(-0.307304800605679, rel=1e-12)


def test_STA_02_numacc4():
    """NIST StRD NumAcc4, certified (seen): the differences drown in the common part."""
    found = statistics.sample([10000000.2] + [10000000.1, 10000000.3] * 500)
    assert found.mean == pytest.approx(10000000.2, rel=1e-14)
    assert found.sd == pytest.approx(0.1, rel=1e-7)
    assert found.lag1 == pytest.approx(-0.999, rel=1e-7)


def test_STA_03_scatter_of_a_standard_deviation():
    """GUM (JCGM 100:2008) table E.1 (from memory, recomputed)."""
    printed = {2: 76, 3: 52, 4: 42, 5: 36, 10: 24, 20: 16, 30: 13, 50: 10}
    for n, per_cent in printed.items():
        assert 100 * statistics.relative_u_of_sd(n) == pytest.approx(per_cent, abs=0.5)


def test_STA_04_student_factors():
    """GUM table G.2, 95 % (from memory, recomputed)."""
    dofs = (1, 2, 3, 4, 5, 8, 9, 10, 16, 19, 20, 50)
    printed = (12.71, 4.30, 3.18, 2.78, 2.57, 2.31, 2.26, 2.23, 2.12, 2.09, 2.09, 2.01)
    assert [student_factor(dof) for dof in dofs] == pytest.approx(printed, abs=0.0051)


def test_STA_04b_student_factors_two_sigma():
    """GUM table G.2, 95.45 % (from memory, recomputed)."""
    dofs = (1, 2, 3, 4, 5, 10, 20, 50)
    printed = (13.97, 4.53, 3.31, 2.87, 2.65, 2.28, 2.13, 2.05)
    assert [student_factor(dof, 0.9545) for dof in dofs] == pytest.approx(printed, abs=0.0051)


def test_STA_05_interval_of_a_mean(published):
    """e-Handbook 1.3.5.2 (from memory, recomputed). Its interval takes readings as independent."""
    values = _column(published, "nist_zarr13.csv", "calibration_factor")
    found = statistics.sample(values)
    half = student_factor(found.n - 1) * found.sd / sqrt(found.n)
    assert (found.mean, found.sd) == pytest.approx((9.261460, 0.022789), abs=1e-6)
    assert (found.mean - half, found.mean + half) == pytest.approx((9.258242, 9.264679), abs=1e-6)


def test_STA_06_pooled_t(published):
    """e-Handbook 1.3.5.3 (from memory, recomputed)."""
    a, b = _groups(published, "nist_auto83b.csv", *_auto(published))
    assert [statistics.sample(g).mean for g in (a, b)] == pytest.approx(
        [20.14458, 30.48101], abs=1e-5
    )
    assert [statistics.sample(g).sd for g in (a, b)] == pytest.approx([6.41470, 6.10771], abs=1e-5)
    found = statistics.pooled_t(a, b)
    assert found.statistic == pytest.approx(-12.62059, abs=1e-5)
    assert found.dof == (326,)
    assert student_factor(326) == pytest.approx(1.9673, abs=5e-5)


def test_STA_07_welch_t(published):
    """e-Handbook 1.3.5.3 (from memory, recomputed)."""
    found = statistics.welch_t(*_groups(published, "nist_auto83b.csv", *_auto(published)))
    assert found.statistic == pytest.approx(-12.94627, abs=1e-5)
    assert found.dof[0] == pytest.approx(136.8750, abs=1e-4)


def _auto(published):
    header = (published / "nist_auto83b.csv").read_text(encoding="utf-8").split("\n")[0].split(",")
    return header[1].strip(), header[0].strip()


def test_STA_08_bartlett(published):
    """e-Handbook 1.3.5.7 (from memory, recomputed)."""
    found = statistics.bartlett(_groups(published, "nist_gear.csv", "diameter", "batch"))
    assert found.statistic == pytest.approx(20.7859, abs=1e-4)
    assert found.p == pytest.approx(0.0136, abs=1e-4)


def test_STA_09_levene(published):
    """e-Handbook 1.3.5.10, median form (from memory, recomputed)."""
    found = statistics.levene(_groups(published, "nist_gear.csv", "diameter", "batch"))
    assert found.statistic == pytest.approx(1.7059, abs=1e-4)
    assert found.p == pytest.approx(0.099, abs=5e-4)


def test_STA_10_ratio_of_variances():
    """e-Handbook 1.3.5.9 (from memory, recomputed)."""
    from scipy.special import fdtri

    found = statistics.variance_ratio(65.54909, 240, 61.85425, 240)
    assert found.statistic == pytest.approx(1.12304, abs=1e-4)
    low, high = fdtri(239, 239, 0.025), fdtri(239, 239, 0.975)
    assert (low, high) == pytest.approx((0.7756, 1.2894), abs=1e-4)
    assert low < found.statistic < high
    assert found.p > 0.05


def test_STA_11_grubbs():
    """Grubbs test, e-Handbook 1.3.5.17 (from memory, recomputed)."""
    values = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
    assert statistics.grubbs(values) == (7, pytest.approx(2.4687646, abs=1e-4))
    assert statistics.grubbs_limit(8, sides=1) == pytest.approx(2.0317, abs=1e-4)
    assert statistics.grubbs_limit(8) == pytest.approx(2.1266, abs=1e-4)


def test_STA_12_runs(published):
    """e-Handbook 1.3.5.13 (from memory, recomputed)."""
    found = statistics.runs_test(_column(published, "nist_lew.csv", "deflection"))
    assert found.dof == (120,)
    assert statistics.expected_runs(100, 100) == pytest.approx((101, 7.0533), abs=1e-4)
    assert found.statistic == pytest.approx(2.6938, abs=1e-4)


def test_STA_13_one_way():
    """NIST StRD SiRstv, certified (seen; its data ship with scipy's tests)."""
    folder = files("scipy.stats") / "tests" / "data" / "nist_anova" / "SiRstv.dat"
    if not folder.is_file():
        pytest.skip("scipy was installed without its test data")
    rows = [line.split() for line in folder.read_text(encoding="utf-8").split("\n")[60:]]
    groups = {}
    for row in rows:
        if len(row) == 2:
            groups.setdefault(row[0], []).append(float(row[1]))
    found = statistics.one_way(list(groups.values()))
    assert found.test.statistic == pytest.approx(1.18046237440255, rel=1e-9)
    assert found.between_squares == pytest.approx(5.11462616e-2, rel=1e-8)
    assert found.residual_sd == pytest.approx(1.04076068334656e-1, rel=1e-9)


def test_STA_14_the_nile_changed_once():
    """Change after 1898: Cobb, Biometrika 65 (1978) 243-251 (from memory, recomputed)."""
    flow = [float(x) for x in NILE.split()]
    found = changes.change_of_mean(flow)
    assert 1871 + found.last_before == 1898
    assert (found.mean_before, found.mean_after) == pytest.approx((1097.75, 849.9722), abs=1e-4)
    assert found.squares == pytest.approx(1597457.19, abs=0.01)


def test_STA_15_how_sure_the_year_is():
    """Closed form, flat prior on the year, equal scatter."""
    p = changes.probability_of_place([float(x) for x in NILE.split()])
    years = {1898: 0.764, 1897: 0.121, 1896: 0.057, 1899: 0.044}
    for year, expected in years.items():
        assert p[year - 1871] == pytest.approx(expected, abs=0.002)
    assert np.sum(p) == pytest.approx(1)
