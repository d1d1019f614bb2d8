"""Several acts of a sitting as one: two gauges are read at a target, and both are kept or neither."""

from __future__ import annotations

import pytest

from plumbrise.machine import STATIONS, blank
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import COARSE_STEPS
from plumbrise.store import Shelf
from plumbrise.store.beginning import begin


def stairs(station):
    rows = tuple(
        Reading(seq=i, target_mm=float(i), reading_mm=None, approach="up" if i else "down")
        for i in range(4)
    )
    return Run(name=station, kind=COARSE_STEPS, station=STATIONS[station], readings=rows)


PLAN = (stairs("gantry-left"), stairs("gantry-right"))


@pytest.fixture
def sitting(shelf):
    return begin(shelf, blank("one-screw"), PLAN, since_s=lambda: 1.5, label="evening")


def keep_both(sitting, value_mm, reading):
    with sitting.together():
        sitting.keep(value_mm, at=(0, reading))
        sitting.keep(value_mm, at=(1, reading))


@pytest.fixture
def stored(sitting, path, now):
    """How many readings of each run another program finds in the file at this moment."""
    with Shelf.open(path, now=now) as other:
        yield lambda: [len(run.taken) for run in other.readings(sitting.machine_id).runs]


def test_the_first_of_two_is_not_on_disk_before_the_second(sitting, stored):
    keep_both(sitting, 0.0, 0)
    with sitting.together():
        sitting.keep(0.6, at=(0, 1))
        assert stored() == [1, 1]
        sitting.keep(0.5, at=(1, 1))
    assert stored() == [2, 2]


def test_what_breaks_off_between_the_two_leaves_neither(sitting, stored):
    keep_both(sitting, 0.0, 0)
    before = sitting.session

    def broken_off():
        with sitting.together():
            sitting.keep(0.6, at=(0, 1))
            raise RuntimeError("the second was not heard")

    with pytest.raises(RuntimeError):
        broken_off()
    assert sitting.session == before
    assert stored() == [1, 1]
    sitting.catch_up()
    keep_both(sitting, 0.6, 1)
    assert stored() == [2, 2]


def test_another_run_than_the_one_that_is_asked_for_can_be_left(sitting):
    sitting.keep(0.0)
    sitting.skip(1)
    assert (sitting.session.is_left(0), sitting.session.is_left(1)) == (False, True)
