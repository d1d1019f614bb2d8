"""By how much less an end truly loses, and how often that is seen."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))
import pairs
import power
from sessions import sound_axis


@pytest.fixture(scope="module")
def axis():
    sound = sound_axis("one-screw", np.random.default_rng(4))
    return replace(sound, guides=tuple(replace(one, drag_n=8.0) for one in sound.guides))


def test_an_axis_with_less_drag_truly_loses_less_at_both_ends(axis):
    was, eased = (power.true_losses_mm(one, None) for one in (axis, pairs.eased_to(axis, 0.3)))
    assert was.keys() == {"gantry-left", "gantry-right"}
    for end, loss in was.items():
        assert 0 < eased[end] < loss


def test_gauge_person_lead_and_home_do_not_change_what_is_truly_lost(axis):
    gauge = replace(axis.gauge, tilt=-0.02, stick_mm=0.02)
    other = replace(
        axis,
        gauge=gauge,
        home_scatter_mm=0.05,
        drag_breathes=0.3,
        lifts=tuple(replace(lift, lead_error=0.01) for lift in axis.lifts),
    )
    assert power.true_losses_mm(other, None) == pytest.approx(power.true_losses_mm(axis, None))


def test_each_machine_counts_once_in_the_interval_of_a_share():
    """Forty ends of two machines say no more of others than two."""
    ends = [
        power.End(f"machine {n % 2}", "0.3", 0.15, 0.15, better=True, worse=False, doubt=False)
        for n in range(40)
    ]
    (found,) = power.by_true(ends)
    assert (found["ends"], found["machines"], found["called_better"]) == (40, 2, 40)
    low, high = found["share_between"]
    assert low < 0.5
    assert high == 1.0
