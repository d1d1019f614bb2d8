"""The invented example: marked as invented, and what neglected axes do."""

import numpy as np
import pytest

from plumbrise.demo import scenario
from plumbrise.demo.bramble import AXIS, BUMPED, MISREAD, evening, readings
from plumbrise.demo.truth import truth


@pytest.fixture(scope="module")
def example():
    return scenario()


def rises(example, name):
    run = next(run for run in example.readings.runs if run.name == name)
    values = np.array([r.reading_mm for r in run.readings])
    return np.array([r.target_mm for r in run.readings]), values - values[0]


def test_it_says_everywhere_that_it_is_invented(example):
    assert example.machine.invented
    assert "invented example" in example.machine.name
    assert "Invented example" in example.machine.note
    assert "invented example" in example.story


def test_its_table_is_what_the_simulator_gives_today(example):
    fresh = readings()
    assert [run.name for run in fresh.runs] == [run.name for run in example.readings.runs]
    for new, kept in zip(fresh.runs, example.readings.runs, strict=True):
        for a, b in zip(new.readings, kept.readings, strict=True):
            assert (a.target_mm, a.approach, a.mass_kg) == (b.target_mm, b.approach, b.mass_kg)
            if a.reading_mm is not None:
                assert a.reading_mm == pytest.approx(b.reading_mm, abs=0.003)


def test_fine_steps_after_homing_deliver_about_half_and_improve_slowly(example):
    told, risen = rises(example, "fine-steps gantry-left")
    gain = np.diff(risen) / np.diff(told)
    assert 0.4 < np.mean(gain[:5]) < 0.65
    assert np.mean(gain[5:10]) > np.mean(gain[:5]) + 0.05
    assert np.mean(gain[10:15]) < 0.95


def test_the_driven_side_misses_a_third_after_one_millimetre_and_more_after_two(example):
    told, risen = rises(example, "coarse-steps gantry-left")
    missing = told - risen
    assert missing[1] == pytest.approx(0.3, abs=0.07)
    assert missing[2] - missing[1] == pytest.approx(0.2, abs=0.07)


def test_the_side_without_a_screw_misses_most_of_a_millimetre_of_two(example):
    told, risen = rises(example, "coarse-steps gantry-right")
    assert told[2] - risen[2] == pytest.approx(0.8, abs=0.08)


def test_one_reading_is_a_dial_turn_out(example):
    told, risen = rises(example, MISREAD[0])
    off = np.diff(risen - told)
    assert np.flatnonzero(np.abs(off) > 0.5).tolist() == [MISREAD[1] - 1, MISREAD[1]]


def test_the_stand_is_knocked_once(example):
    _, risen = rises(example, BUMPED[0])
    assert risen[BUMPED[1]] - risen[BUMPED[1] - 1] > -0.13
    assert risen[BUMPED[1] + 1] - risen[BUMPED[1]] < -0.15


def test_what_is_called_true_takes_what_a_cause_takes(example):
    runs, draws = evening()
    labels = truth(AXIS, runs, draws)
    there = {cause for cause, label in labels.items() if label.there}
    assert there == set(example.truth)
    assert not any(label.doubtful for label in labels.values())


def test_nothing_had_to_be_assumed_to_read_its_table(example):
    assert example.readings.remarks == ()
    assert example.readings.unknown_columns == ()
