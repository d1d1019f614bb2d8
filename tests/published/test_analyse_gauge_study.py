"""Gauge study: AIAG, Measurement Systems Analysis, 4th ed., 2010, worked example (seen)."""

from math import sqrt

import numpy as np
import pytest

from plumbrise.analyse.gauge_study import gauge_study, gauge_study_by_ranges

READ = """
0.29 -0.56 1.34 0.47 -0.80 0.02 0.59 -0.31 2.26 -1.36
0.41 -0.68 1.17 0.50 -0.92 -0.11 0.75 -0.20 1.99 -1.25
0.64 -0.58 1.27 0.64 -0.84 -0.21 0.66 -0.17 2.01 -1.31
0.08 -0.47 1.19 0.01 -0.56 -0.20 0.47 -0.63 1.80 -1.68
0.25 -1.22 0.94 1.03 -1.20 0.22 0.55 0.08 2.12 -1.62
0.07 -0.68 1.34 0.20 -1.28 0.06 0.83 -0.34 2.19 -1.50
0.04 -1.38 0.88 0.14 -1.46 -0.29 0.02 -0.46 1.77 -1.49
-0.11 -1.13 1.09 0.20 -1.07 -0.67 0.01 -0.56 1.45 -1.77
-0.15 -0.96 0.67 0.11 -1.45 -0.49 0.21 -0.49 1.87 -2.16
"""
VALUES = np.array([float(x) for x in READ.split()]).reshape(3, 3, 10)


@pytest.fixture
def study():
    """Three appraisers, ten parts, three trials."""
    return gauge_study(VALUES)


@pytest.fixture
def ranges():
    """The same by ranges."""
    return gauge_study_by_ranges(VALUES, k_trials=0.5908, k_appraisers=0.5231, k_parts=0.3146)


def test_GRR_01_sums_of_squares(study):
    """Printed in the manual (seen)."""
    s = study.squares
    found = (s.appraiser, s.part, s.interaction, s.equipment, s.total)
    assert found == pytest.approx((3.16726, 88.36193, 0.35898, 2.75893, 94.64711), abs=1e-5)


def test_GRR_02_interaction(study):
    """Printed in the manual (seen)."""
    assert study.interaction.statistic == pytest.approx(0.43372, abs=1e-4)
    assert study.interaction.p == pytest.approx(0.974, abs=5e-4)
    assert study.pooled


def test_GRR_03_components(study):
    """Printed in the manual (seen)."""
    found = (study.repeatability, study.appraiser, study.part, study.gauge)
    assert found == pytest.approx((0.039973, 0.051455, 1.086447, 0.091429), abs=1e-6)


def test_GRR_04_deviations_and_shares(study):
    """Printed in the manual (seen)."""
    parts = (study.repeatability, study.appraiser, study.part, study.gauge)
    assert [sqrt(v) for v in parts] == pytest.approx((0.19993, 0.22684, 1.04233, 0.30237), abs=1e-5)
    shares = [100 * study.share(v) for v in parts]
    assert shares == pytest.approx((18.42, 20.90, 96.04, 27.86), abs=0.0051)
    assert sqrt(study.total) == pytest.approx(1.08530, abs=1e-5)


def test_GRR_05_ranges(ranges):
    """Printed in the manual (seen)."""
    found = (ranges.mean_range, ranges.appraiser_difference, ranges.part_range)
    assert found == pytest.approx((0.34167, 0.44467, 3.51111), abs=1e-5)


def test_GRR_06_deviations_by_ranges(ranges):
    """Printed with rounded factors in the manual (seen); recomputed here."""
    found = (ranges.equipment, ranges.appraiser, ranges.gauge, ranges.part, ranges.total)
    assert found == pytest.approx((0.20186, 0.22967, 0.30577, 1.10460, 1.14613), abs=1e-4)


def test_GRR_07_shares_and_categories(ranges, study):
    """Printed in the manual (seen)."""
    shares = [
        100 * v / ranges.total
        for v in (ranges.equipment, ranges.appraiser, ranges.gauge, ranges.part)
    ]
    assert shares == pytest.approx((17.6, 20.0, 26.7, 96.4), abs=0.1)
    assert ranges.categories == pytest.approx(5.09, abs=0.0051)
    assert int(ranges.categories) == 5
    assert study.categories == pytest.approx(4.86, abs=0.0051)
    assert int(study.categories) == 4
