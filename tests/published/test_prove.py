"""Before against after: published worked examples and closed forms.

e-Handbook: NIST/SEMATECH e-Handbook of Statistical Methods. Its figures are from memory and were
worked out anew from the data, to the last printed digit.
"""

import csv
from math import inf, sqrt
from statistics import mean, stdev

import numpy as np
import pytest

from plumbrise.demo import scenario
from plumbrise.prove import Verdict, prove
from plumbrise.prove.comparing import (
    chance,
    could_show,
    difference,
    minded,
    ratio,
    verdict,
)
from plumbrise.prove.results import Stage
from plumbrise.prove.scatters import (
    interval_of,
    limits,
    scatter_chance,
    scatter_could_show,
)
from plumbrise.quantity import Measured, Unit


def _groups(published, name, value, group):
    made = {}
    with (published / name).open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            made.setdefault(row[group], []).append(float(row[value]))
    return list(made.values())


def _mean_of(readings):
    return Measured(
        mean(readings), stdev(readings) / sqrt(len(readings)), Unit.MM, len(readings) - 1
    )


def _scatter(sd, count):
    dof = count - 1
    return Measured(sd, sd / sqrt(2 * dof), Unit.MM, dof)


def test_PRV_01_difference_of_two_means_by_welch(published):
    """e-Handbook 1.3.5.3, miles per gallon; Welch's interval from memory, recomputed."""
    before, after = _groups(published, "nist_auto83b.csv", "value", "group")
    change = difference(_mean_of(after), _mean_of(before))
    assert change.value == pytest.approx(-10.33643, abs=1e-5)
    assert change.dof == pytest.approx(136.8750, abs=1e-4)
    assert change.value - change.expanded == pytest.approx(-11.91525, abs=1e-5)
    assert change.value + change.expanded == pytest.approx(-8.75762, abs=1e-5)


def test_PRV_02_two_scatters_that_do_not_differ():
    """e-Handbook 1.3.5.9, ceramic strength: F 1.12304 lies within 0.7756 to 1.2894."""
    one, two = _scatter(61.85425, 240), _scatter(65.54909, 240)
    assert (two.value / one.value) ** 2 == pytest.approx(1.12304, abs=1e-4)
    assert limits(239, 239) == pytest.approx((0.7756, 1.2894), abs=1e-4)
    p = scatter_chance(one, two)
    change = difference(one, two)
    said = verdict(one, change, p, *scatter_could_show(one, two))
    assert said is Verdict.NO_DIFFERENCE


@pytest.mark.parametrize(("count", "low", "high"), [(5, 0.599, 2.874), (10, 0.688, 1.826)])
def test_PRV_03_interval_of_a_standard_deviation(count, low, high):
    """Closed form: √(ν / χ²)."""
    found = interval_of(1.0, count - 1)
    assert (found.low, found.high) == pytest.approx((low, high), abs=1e-3)


def test_PRV_04_five_readings_against_five_need_a_threefold_fall():
    """Closed form: F(4, 4) at 2.5 and 97.5 %."""
    low, high = limits(4, 4)
    assert (low, high) == pytest.approx((0.1041, 9.605), rel=1e-3)
    assert sqrt(high) == pytest.approx(3.1, abs=0.01)
    before = _scatter(0.031, 5)
    assert scatter_chance(before, _scatter(0.031 / 3.05, 5)) > 0.05
    assert scatter_chance(before, _scatter(0.031 / 3.15, 5)) < 0.05


def test_PRV_05_the_same_data_are_never_called_improved(published):
    """Identity: the difference is nothing and lies in its interval."""
    before, _ = _groups(published, "nist_auto83b.csv", "value", "group")
    one = _mean_of(before)
    change = difference(one, one)
    assert change.value == 0 < change.expanded
    assert chance(change) == 1.0
    assert verdict(one, change, chance(change), could_show(change)) is Verdict.NO_DIFFERENCE


def test_PRV_05_the_same_session_twice_is_never_called_improved():
    """Identity, for every figure of a session."""
    from plumbrise.analyse import analyse
    from plumbrise.readings import scale_of

    example = scenario()
    analysis = analyse(example.readings, scale_of(example.machine))
    stage = Stage("evening", example.machine, example.readings, analysis)
    proof = prove(stage, stage)
    assert len(proof.figures) > 10
    assert all(one.change.value == 0 for one in proof.figures)
    assert {one.verdict for one in proof.figures} <= {Verdict.NO_DIFFERENCE, Verdict.CANNOT_TELL}


def test_PRV_06_the_interval_of_a_difference_covers_what_it_should():
    """2000 normal pairs: 93.5 to 96.5 % at three standard deviations of the binomial."""
    rng = np.random.default_rng(6)
    covered = 0
    for _ in range(2000):
        before, after = rng.normal(0.3, 0.02, 6), rng.normal(0.2, 0.05, 9)
        change = difference(_mean_of(before.tolist()), _mean_of(after.tolist()))
        covered += abs(change.value + 0.1) <= change.expanded
    assert 0.935 <= covered / 2000 <= 0.965


def test_PRV_07_several_comparisons_by_holm():
    """The example that encyclopedias give for Holm's method, 0.01, 0.04, 0.03 and 0.005: at 5 %
    the fourth and the first are rejected and no other; from memory, worked out anew."""
    adjusted = minded([0.01, 0.04, 0.03, 0.005])
    assert adjusted == pytest.approx([0.03, 0.06, 0.06, 0.02], abs=1e-12)
    assert [p < 0.05 for p in adjusted] == [True, False, False, True]


def test_PRV_08_ratio_of_two_means_by_fieller():
    """Closed form: where the denominator is known, the interval is the plain one over it; where
    it is not surely above nothing, there is none."""
    known = Measured(0.4, 1e-9, Unit.MM, inf)
    found = ratio(known, Measured(0.1, 0.02, Unit.MM, inf))
    assert (found.low, found.high) == pytest.approx((0.152, 0.348), abs=1e-3)
    assert ratio(Measured(0.01, 0.02, Unit.MM, inf), Measured(0.1, 0.02, Unit.MM, inf)) is None


def test_an_unbounded_number_of_degrees_of_freedom_is_the_normal_law():
    """Closed form: two-sided 1.96 is 5 %."""
    assert chance(Measured(1.959964, 1.0, Unit.MM, inf)) == pytest.approx(0.05, abs=1e-6)
