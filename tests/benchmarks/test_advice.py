"""Following advice: when the right set counts as reached, and readings that stay as they were."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

from advice import Stop, growing, minutes_to_right, score_at

from plumbrise.demo.plans import plan
from plumbrise.machine import blank


def test_a_right_set_that_is_lost_again_does_not_count():
    stops = [Stop(0, 0.4, True), Stop(7, 0.5, False), Stop(15, 0.3, True), Stop(23, 0.2, True)]
    assert minutes_to_right(stops) == 15


def test_a_set_that_ends_wrong_was_never_reached():
    assert minutes_to_right([Stop(0, 0.4, True), Stop(7, 0.5, False)]) is None


def test_the_score_stands_until_the_next_test_is_read():
    stops = [Stop(0, 0.4, False), Stop(8, 0.2, True)]
    assert [score_at(stops, minutes) for minutes in (0, 7.9, 8, 30)] == [0.4, 0.4, 0.2, 0.2]


@pytest.mark.parametrize("field", ["drag", "run", "clamp", "home", "stand", "person", "slips"])
def test_readings_already_taken_keep_their_chance_when_a_run_is_added(field):
    runs = plan(blank("one-screw"), "gantry-only")
    short, long = (getattr(growing(runs[:n], number=3), field) for n in (2, 3))
    assert len(long) > len(short)
    assert np.array_equal(long[: len(short)], short)
