"""What has to be put right before any loss means anything."""

import numpy as np
import pytest

from plumbrise.analyse import analyse
from plumbrise.analyse.proportion import NOT_COUNTED, OUT_OF_PROPORTION
from plumbrise.machine import STATIONS
from plumbrise.readings import KINDS, Reading, Readings, Run, Scale


def kinds_found(told, read, wrap_mm=None, kind="coarse-steps"):
    rows = tuple(
        Reading(seq=i, target_mm=t, reading_mm=round(v, 2), approach="up" if i else "down")
        for i, (t, v) in enumerate(zip(told, read, strict=True))
    )
    run = Run(name="a", kind=KINDS[kind], station=STATIONS["gantry-left"], readings=rows)
    made = analyse(Readings((run,)), Scale(lead_mm=8.0, resolution_mm=0.01, wrap_mm=wrap_mm))
    return {oddity.kind for oddity in made.runs[0].oddities}


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


def test_an_axis_in_order_is_in_proportion():
    told = np.arange(0.0, 9.0)
    assert not kinds_found(told, told) & {OUT_OF_PROPORTION, NOT_COUNTED}


def test_a_dial_without_a_turns_counter_is_seen():
    """Told 1 mm a step, one turn of the dial a millimetre: only what is lost shows."""
    told = np.arange(0.0, 7.0)
    read = np.concatenate([[0.0], (told[1:] - 0.5 + 0.15 * np.exp(-told[1:])) % 1.0])
    assert NOT_COUNTED in kinds_found(told, read)
    assert NOT_COUNTED not in kinds_found(told, read, wrap_mm=1.0)
