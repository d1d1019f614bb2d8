"""Random labelled sessions."""

import sys
from pathlib import Path

import numpy as np
import pytest

from plumbrise.demo.truth import MENDED
from plumbrise.explain.causes import CAUSES
from plumbrise.machine import ARRANGEMENTS

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))
import sessions


def test_every_cause_can_be_put_in_and_put_right():
    assert set(sessions.FAULTS) == set(MENDED) == set(CAUSES)


@pytest.mark.parametrize("cause", sorted(CAUSES))
def test_putting_a_cause_right_undoes_its_fault(cause):
    rng = np.random.default_rng(3)
    where = next(one for one in ARRANGEMENTS.values() if CAUSES[cause].occurs_on(one))
    faulty = sessions.FAULTS[cause](sessions.sound_axis(where.id, rng), rng)
    mended = MENDED[cause](faulty)
    assert mended != faulty
    assert MENDED[cause](mended) == mended


def test_the_same_seed_gives_the_same_session_and_another_another():
    first, second, other = (
        sessions.session("five-minutes", "two-screw", np.random.default_rng(seed))
        for seed in (8, 8, 9)
    )
    assert first == second
    assert first.readings != other.readings
