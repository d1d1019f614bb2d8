"""A plan takes what tells most a minute, keeps within the time, and says what it cannot tell."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from plumbrise.errors import InputError
from plumbrise.explain.causes import causes_of
from plumbrise.explain.plan import imagine, plan
from plumbrise.explain.symptoms import SYMPTOMS, chances
from plumbrise.machine import ARRANGEMENTS, blank, stations_of
from plumbrise.measure.setups import candidates, minutes_after
from plumbrise.readings.kinds import GAUGE_CHECK


def planned(arrangement="one-screw", minutes=40.0, **more):
    return plan(blank(arrangement), minutes=minutes, rng=np.random.default_rng(4), **more)


@pytest.mark.parametrize("arrangement", list(ARRANGEMENTS))
@pytest.mark.parametrize("minutes", [12.0, 60.0])
def test_a_plan_keeps_within_its_minutes_on_every_arrangement(arrangement, minutes):
    made = planned(arrangement, minutes)
    assert made.steps
    assert made.minutes <= minutes
    assert made.minutes == pytest.approx(sum(step.minutes for step in made.steps))
    stations = {s.id for s in stations_of(ARRANGEMENTS[arrangement])}
    assert {step.set_up.station.id for step in made.steps} <= stations


def test_the_gauge_is_checked_first_where_there_is_time():
    assert planned(minutes=40).steps[0].set_up.kind is GAUGE_CHECK


def test_more_minutes_tell_more():
    few, many = planned(minutes=15), planned(minutes=60)
    assert many.gain_bits > 1.3 * few.gain_bits


def test_the_stand_is_set_once_at_each_station():
    order = [step.set_up.station.id for step in planned(minutes=60).steps]
    changes = sum(a != b for a, b in itertools.pairwise(order))
    assert changes == len(set(order)) - 1


def test_the_share_told_grows_to_the_whole():
    shares = [step.share for step in planned(minutes=60).steps]
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0)


def test_symptoms_call_for_the_tests_that_show_them():
    ticked = planned(minutes=25, symptoms=["one-side-low"])
    assert "gantry-right" in [s.set_up.station.id for s in ticked.steps]
    plain, drifts = planned(minutes=25), planned(minutes=25, symptoms=["drifts"])
    assert "hold" in [s.set_up.kind.id for s in drifts.steps]
    assert "hold" not in [s.set_up.kind.id for s in plain.steps]


def test_what_was_read_is_not_planned_again_and_a_sure_cause_draws_no_test():
    first = planned(minutes=30)
    done = {(s.set_up.kind.id, s.set_up.station.id) for s in first.steps}
    again = planned(minutes=30, done=done)
    assert not done & {(s.set_up.kind.id, s.set_up.station.id) for s in again.steps}
    sure = dict.fromkeys(("gauge-stick", "gauge-tilt"), 0.0)
    assert planned(minutes=60, stated=sure).doubt_bits < planned(minutes=60).doubt_bits


def test_a_short_stroke_leaves_out_what_it_cannot_follow():
    from dataclasses import replace

    machine = blank("one-screw")
    machine = replace(machine, gauge=replace(machine.gauge, range_mm=10.0))
    made = plan(machine, minutes=60, rng=np.random.default_rng(4))
    for step in made.steps:
        if step.set_up.run.follows_command:
            told = [r.target_mm for r in step.set_up.run.readings]
            assert max(told) - min(told) <= 9.5


def test_a_second_gauge_saves_minutes():
    offered = candidates(blank("one-screw"))
    both = [i for i, s in enumerate(offered) if s.kind.id == "coarse-steps"]
    assert sum(minutes_after(offered, both, 2)) < sum(minutes_after(offered, both, 1))


def test_a_symptom_that_is_none_is_refused():
    with pytest.raises(InputError, match="one-side-low"):
        planned(symptoms=["wobbles"])
    assert set(chances(SYMPTOMS, ["racking", "nut-play"])) == {"racking", "nut-play"}


def test_a_push_at_one_upright_says_little_of_the_others():
    machine = blank("one-screw")
    pushes = [s for s in candidates(machine) if s.kind.id == "side-push"]
    imagined = imagine(machine, pushes, np.random.default_rng(3), {"frame-flex": 0.5})
    one = imagined.bits_told([0])["frame-flex"]
    every = imagined.bits_told(range(len(pushes)))["frame-flex"]
    # a third of the frames that give way do so there: what a sure look there tells, in bits
    sure = 1 - (5 / 6) * (-(0.4 * np.log2(0.4) + 0.6 * np.log2(0.6)))
    assert one < 1.15 * sure
    assert every > 2.2 * one


def test_a_test_tells_alike_at_either_of_two_equal_sides():
    machine = blank("two-screw")
    steps = [s for s in candidates(machine) if s.kind.id == "coarse-steps"]
    every = chances((), causes_of(machine.arrangement))
    imagined = imagine(machine, steps, np.random.default_rng(3), every)
    left, right = (sum(imagined.bits_told([side]).values()) for side in (0, 1))
    assert left == pytest.approx(right, abs=0.1)
    assert min(left, right) > 0.3


def test_a_frame_pushed_at_two_places_gives_way_at_the_third_or_nowhere():
    done = [("side-push", "frame-left"), ("side-push", "frame-right")]
    sound = planned(minutes=300, done=done, stated={"frame-flex": 0.075})
    found = planned(minutes=300, done=done, stated={"frame-flex": 0.9})
    assert found.doubt_bits == sound.doubt_bits  # what was found is known; the rest is as open


def test_blocks_bring_back_what_the_stroke_leaves_out():
    with_them = planned(minutes=90, blocks=True)
    assert "full-travel" in [s.set_up.kind.id for s in with_them.steps]
    assert with_them.gain_bits > planned(minutes=90).gain_bits


def test_a_fault_that_no_test_on_offer_shows_is_no_doubt_to_settle():
    """Play takes nothing where the weight holds the nut to one flank; a soft coupling does."""
    machine = blank("one-screw")
    stairs = [s for s in candidates(machine) if s.kind.id == "coarse-steps"]
    chance = {"nut-play": 0.5, "coupling-stretch": 0.5}
    there = imagine(machine, stairs, np.random.default_rng(6), chance, 400).there
    assert there["nut-play"].mean() < 0.2
    assert there["coupling-stretch"].mean() > 0.4


def test_both_ends_together_tell_of_racking_what_neither_tells_alone():
    machine = blank("one-screw")
    stairs = [s for s in candidates(machine) if s.kind.id == "fine-steps"]
    assert [s.station.id for s in stairs] == ["gantry-left", "gantry-right"]
    chance = {"racking": 0.3, "guide-drag": 0.3, "coupling-stretch": 0.3, "motor-seat": 0.3}
    imagined = imagine(machine, stairs, np.random.default_rng(8), chance)
    near, far, both = (imagined.bits_told(chosen)["racking"] for chosen in ([0], [1], [0, 1]))
    assert near < 0.05
    assert both > far + max(near, 0.0) + 0.05
