"""Scores of probabilities: worked values and identities from outside sources."""

import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))
import scoring

statements = st.lists(
    st.tuples(st.sampled_from([0.0, 0.1, 0.25, 0.5, 0.9, 1.0]), st.booleans()), min_size=1
)


def test_EVI_07_brier_score_of_four_forecasts():
    """Brier (1950); the worked value stands in the documentation of a statistics library."""
    stated = [(0.1, False), (0.9, True), (0.8, True), (0.3, False)]
    assert scoring.brier(stated) == pytest.approx(0.0375, abs=1e-12)


def test_EVI_08_log_score_of_four_forecasts():
    """Worked value of the documentation of a statistics library."""
    stated = [(0.9, True), (0.1, False), (0.2, False), (0.65, True)]
    assert scoring.log_score(stated) == pytest.approx(0.21616187, abs=1e-8)


@given(statements)
def test_EVI_09_brier_is_reliability_less_resolution_plus_uncertainty(stated):
    """Murphy, J. Appl. Meteorol. 12 (1973) 595; closed form."""
    parts = scoring.murphy(stated)
    whole = parts.reliability - parts.resolution + parts.uncertainty
    assert scoring.brier(stated) == pytest.approx(whole, abs=1e-12)


def test_EVI_10_sixteen_wrong_of_a_hundred_refute_one_in_ten():
    """Binomial law: 0.040 for 16 or more, 0.073 for 15 or more."""
    assert scoring.chance_of_as_many_wrong(16, 100, 0.1) == pytest.approx(0.040, abs=5e-4)
    assert scoring.chance_of_as_many_wrong(15, 100, 0.1) == pytest.approx(0.073, abs=5e-4)


@given(statements)
def test_every_statement_falls_in_one_bin(stated):
    assert sum(b.count for b in scoring.reliability_table(stated)) == len(stated)


def test_precision_counts_what_is_said_and_recall_what_is_so():
    stated = [(0.9, True), (0.8, False), (0.1, True), (0.0, False)]
    assert scoring.precision_recall(stated) == (0.5, 0.5)


def test_only_statements_at_ninety_per_cent_are_held_against_it():
    stated = [(0.95, True), (0.9, False), (0.89, False)]
    assert scoring.wrong_of_stated(stated) == (1, 2)


def test_a_doubtful_cause_counts_as_right_either_way():
    answers = [
        ({"racking"}, {"racking", "nut-play"}, {"nut-play"}),
        ({"racking"}, {"nut-play"}, ()),
    ]
    assert scoring.exact_share(answers) == 0.5


def test_a_group_is_there_if_one_of_its_causes_is():
    there = {"motor-seat": False, "coupling-stretch": True, "racking": False}
    groups = [
        (("motor-seat", "coupling-stretch"), 0.9),
        (("racking",), 0.2),
        (("racking", "doubtful-one"), 0.4),
    ]
    assert scoring.group_statements(groups, there) == [(0.9, True), (0.2, False)]


def test_half_the_intervals_hold():
    assert scoring.coverage([(0, 1, 0.5), (0, 1, 2)]) == 0.5
