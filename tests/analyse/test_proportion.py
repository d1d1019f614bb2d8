"""What has to be put right before any loss means anything."""

import itertools

import numpy as np
import pytest

from plumbrise.analyse import analyse
from plumbrise.analyse.proportion import ALONE, NOT_COUNTED, OUT_OF_PROPORTION
from plumbrise.machine import STATIONS
from plumbrise.readings import KINDS, Reading, Readings, Run, Scale


def a_run(told, read, kind="coarse-steps", name="a", station="gantry-left"):
    """Readings after a home, going down where told falls."""
    told = list(told)
    ways = ["down"] + ["up" if b > a else "down" for a, b in itertools.pairwise(told)]
    rows = tuple(
        Reading(seq=i, target_mm=t, reading_mm=round(v, 2), approach=ways[i])
        for i, (t, v) in enumerate(zip(told, read, strict=True))
    )
    return Run(name=name, kind=KINDS[kind], station=STATIONS[station], readings=rows)


def kinds_by_run(*runs, wrap_mm=None):
    made = analyse(Readings(runs), Scale(lead_mm=8.0, resolution_mm=0.01, wrap_mm=wrap_mm))
    return [{oddity.kind for oddity in one.oddities} for one in made.runs]


def kinds_found(told, read, wrap_mm=None):
    return kinds_by_run(a_run(told, read), wrap_mm=wrap_mm)[0]


def taken_up(told, lost, over):
    """A loss that builds up evenly over some millimetres."""
    return told - lost * np.minimum(1, told / over)


@pytest.mark.parametrize("gain", [0.5, 0.9, 0.96, 1.05, 2.0])
@pytest.mark.parametrize("lost", [0.0, 0.2])
def test_steps_that_all_arrive_in_one_proportion_are_said_to(gain, lost):
    told = np.arange(0.0, 13.0)
    read = gain * np.maximum(told - lost, 0.0)
    assert OUT_OF_PROPORTION in kinds_found(told, read)


@pytest.mark.parametrize("reach", [0.3, 1.0, 2.0])
def test_a_take_up_is_no_wrong_proportion(reach):
    told = np.arange(0.0, 9.0)
    read = told - 0.8 * (1 - np.exp(-told / reach))
    assert OUT_OF_PROPORTION not in kinds_found(told, read)


@pytest.mark.parametrize("lost", [0.3, 0.5])
def test_fine_steps_that_end_within_the_take_up_say_nothing_of_the_scale(lost):
    fine, coarse = np.arange(0.0, 1.51, 0.05), np.arange(0.0, 9.0)
    alone = a_run(fine, taken_up(fine, lost, 1.5), "fine-steps")
    assert OUT_OF_PROPORTION not in kinds_by_run(alone)[0]
    both = kinds_by_run(alone, a_run(coarse, taken_up(coarse, lost, 1.5), name="b"))
    assert not {OUT_OF_PROPORTION, ALONE} & set.union(*both)


def test_a_wrong_scale_is_not_said_where_another_set_up_arrives_in_full():
    told = np.arange(0.0, 13.0)
    left = a_run(told, 0.9 * told)
    right = a_run(told, taken_up(told, 0.4, 1.5), name="b", station="gantry-right")
    found = kinds_by_run(left, right)
    assert ALONE in found[0]
    assert OUT_OF_PROPORTION not in set.union(*found)


def test_a_wrong_scale_holds_in_every_set_up():
    told, fine = np.arange(0.0, 13.0), np.arange(0.0, 1.51, 0.05)
    found = kinds_by_run(
        a_run(told, 0.9 * told),
        a_run(fine, 0.9 * taken_up(fine, 0.3, 1.5), "fine-steps", name="b"),
        a_run(told, 0.9 * told, name="c", station="gantry-right"),
    )
    assert [OUT_OF_PROPORTION in each for each in found] == [True, False, True]


def test_what_is_short_on_the_way_up_alone_is_no_wrong_scale():
    """A coupling that slips under the weight lets the axis down in full."""
    heights = np.arange(0.0, 101.0, 20.0)
    told = np.concatenate([heights, heights[::-1][1:]])
    read = np.concatenate([0.9 * heights, 90.0 - (100.0 - heights[::-1][1:])])
    both_ways = np.concatenate([0.9 * heights, 0.9 * heights[::-1][1:]])
    assert ALONE in kinds_by_run(a_run(told, read, "full-travel"))[0]
    assert OUT_OF_PROPORTION in kinds_by_run(a_run(told, both_ways, "full-travel"))[0]


def test_an_axis_in_order_is_in_proportion():
    told = np.arange(0.0, 9.0)
    assert not kinds_found(told, told) & {OUT_OF_PROPORTION, NOT_COUNTED}


def test_a_dial_without_a_turns_counter_is_seen():
    """Told 1 mm a step, one turn of the dial a millimetre: only what is lost shows."""
    told = np.arange(0.0, 7.0)
    read = np.concatenate([[0.0], (told[1:] - 0.5 + 0.15 * np.exp(-told[1:])) % 1.0])
    assert NOT_COUNTED in kinds_found(told, read)
    assert NOT_COUNTED not in kinds_found(told, read, wrap_mm=1.0)
