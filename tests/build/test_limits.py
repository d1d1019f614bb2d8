"""Limits of acceptance follow the machine and what was promised, and say so where they cannot."""

from dataclasses import replace

import pytest

from plumbrise.build import build_steps
from plumbrise.machine import ARRANGEMENTS, PerSide, blank, known
from plumbrise.machine.description import Drive, Gauge, Guide, Screw


def _limit(order, step):
    return next(task.accept.bounds for task in order.tasks if task.id == step)


def test_a_wider_gantry_may_differ_more_for_the_same_lean_of_a_wall(machine):
    narrow = build_steps(replace(machine, guide=Guide(span_mm=200.0)), ["align-nut"])
    wide = build_steps(replace(machine, guide=Guide(span_mm=400.0)), ["align-nut"])
    one, other = (_limit(order, "level-beam").high for order in (narrow, wide))
    assert other == pytest.approx(2 * one)


def test_a_longer_screw_may_bow_more_and_grows_more(machine):
    def with_length(mm):
        screw = replace(machine.screw.common, length_mm=mm, top_end="held")
        return build_steps(replace(machine, screw=PerSide(screw)), ["straight-screw"])

    short, long = with_length(200.0), with_length(400.0)
    bow = [_limit(order, "fit-lead-screw").high for order in (short, long)]
    assert bow[1] == pytest.approx(4 * bow[0])
    gap = [_limit(order, "top-floats-left").low for order in (short, long)]
    assert gap[1] == pytest.approx(2 * gap[0])


def test_a_belt_that_ties_two_screws_gears_no_step(machine):
    geared = replace(machine, drive=Drive(motor_teeth=20, screw_teeth=40))
    tied = replace(geared, arrangement=ARRANGEMENTS["two-screw-tied"])
    grids = [
        _limit(build_steps(m, ["four-step-layers"]), "layer-heights").multiple
        for m in (machine, geared, tied)
    ]
    assert grids == pytest.approx([0.16, 0.08, 0.16])


def test_the_layer_grid_needs_the_lead(machine):
    known_lead = build_steps(machine, ["four-step-layers"])
    unknown = build_steps(blank("one-screw"), ["four-step-layers"])
    assert _limit(known_lead, "layer-heights").multiple == pytest.approx(0.16)
    assert "lead" in _limit(unknown, "layer-heights").missing


def test_a_shorter_lead_changes_steps_and_grid_of_the_machine_as_it_will_be(machine):
    order = build_steps(machine, ["short-lead-screw", "four-step-layers"])
    bounds = _limit(order, "set-lead")
    assert bounds.low < 1600 < bounds.high
    assert _limit(order, "layer-heights").multiple == pytest.approx(0.04)
    setting = next(one for one in order.settings if one.id == "steps-per-mm")
    assert (setting.old, setting.new) == ("400", "1600")


def test_what_is_promised_bounds_what_is_accepted(machine):
    """The better nut is accepted at less play than the plain one."""
    plain = build_steps(machine, ["new-nut"])
    split = build_steps(machine, ["split-nut"])
    assert 0 < _limit(split, "nut-left").high < _limit(plain, "nut-left").high


def test_a_rigid_coupling_asks_for_less_swing_than_a_helical_one(machine):
    helical = build_steps(machine, ["new-nut"])
    rigid = build_steps(machine, ["new-nut", "rigid-coupling"])
    assert _limit(rigid, "coupling-on-left").high < _limit(helical, "coupling-on-left").high


def test_the_weight_that_is_carried_is_a_quarter_of_the_gantry(machine):
    bounds = _limit(build_steps(machine, ["counterweight"]), "spring")
    assert bounds.low < 0.25 * 1.1 * 9.80665 < bounds.high
    assert "as weighed" in bounds.source
    guessed = _limit(build_steps(blank("one-screw"), ["counterweight"]), "spring")
    assert "weigh it" in guessed.source


def test_no_shake_is_asked_for_that_the_gauge_cannot_show(machine):
    fine, coarse = (
        _limit(build_steps(replace(machine, gauge=Gauge(resolution_mm=mm)), ["set-rollers"]),
               "rollers-left")
        for mm in (0.01, 0.1)
    )  # fmt: skip
    assert fine.high < coarse.high == 0.1
    assert "gauge" in coarse.source


def test_a_size_below_zero_is_outside_as_it_is_above(machine):
    order = build_steps(machine, ["thrust-bearing"])
    centred = next(task.accept for task in order.tasks if task.id == "block-centred-left")
    assert centred.takes(-centred.bounds.high)
    assert not centred.takes(-2 * centred.bounds.high)


def test_the_belt_sounds_lower_over_a_longer_span(machine):
    tones = []
    for span in (250.0, 500.0):
        order = build_steps(replace(machine, guide=Guide(span_mm=span)), ["second-screw-tied"])
        bounds = _limit(order, "belt-tension")
        assert bounds.low < bounds.high
        tones.append(bounds.low)
    assert tones[1] == pytest.approx(tones[0] / 2)


def test_a_screw_that_no_washer_fits_leaves_the_limit_open(machine):
    odd = replace(machine, screw=PerSide(Screw(lead_mm=8.0, diameter_mm=9.3)))
    bounds = _limit(build_steps(odd, ["thrust-bearing"]), "collar-left")
    assert bounds.high is None
    assert bounds.missing
    assert known(odd, "screw.diameter_mm").value == 9.3
