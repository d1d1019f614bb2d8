"""Remedies on axes whose losses are known, and their motion lines."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbrise.axis import sound
from plumbrise.errors import InputError
from plumbrise.foresee import Axes, Lift, Print, Start, foresee_on, one_axis
from plumbrise.foresee.heights import heights
from plumbrise.foresee.motion_lines import motion_lines
from plumbrise.foresee.remedies import remedies_for
from plumbrise.foresee.waves import bands_of
from plumbrise.machine import PerSide, blank
from plumbrise.machine.description import Controller, Screw, Travel
from plumbrise.measure.program_check import check_program

MACHINE = replace(blank("two-screw"), travel=Travel(height_mm=250.0))
BED = replace(
    blank("three-screw-bed"), travel=Travel(height_mm=250.0), controller=Controller(home="up")
)


def _for(axis, job=None, machine=MACHINE):
    axes = one_axis(axis)

    def laid(other):
        return heights(axes, other, np.random.default_rng(0))

    return {one.id: one for one in remedies_for(machine, job or Print(), laid)}


def test_a_dip_with_its_offset_gives_back_what_a_layer_can_take_up(losing):
    dip = _for(losing(0.10))["dip"]
    assert dip.job.offset_mm == pytest.approx(0.10, abs=0.011)
    assert dip.first_gap_mm.estimate == pytest.approx(0.20, abs=0.02)
    assert dip.worst_mm.estimate < 0.03 < dip.worst_before_mm.estimate


def test_a_lift_at_every_layer_is_just_high_enough(losing):
    lift = _for(losing(0.10))["lift-every-layer"]
    assert lift.job.lift_mm == 0.6
    assert lift.worst_mm.estimate < 0.02
    assert lift.total_mm.estimate == pytest.approx(0.0, abs=0.02)


def test_started_from_below_an_offset_alone_does(losing):
    found = _for(losing(0.10), Print(start=Start.UP))
    assert found["offset"].job.offset_mm == pytest.approx(0.10, abs=0.011)
    assert found["offset"].first_gap_mm.estimate == pytest.approx(0.2, abs=0.02)


def test_lifts_at_some_moves_are_better_left_out(losing):
    found = _for(losing(0.10), Print(lift=Lift.SOME))
    assert found["no-lift"].job.lift is Lift.NONE
    assert found["no-lift"].worst_mm.estimate < 0.5 * found["no-lift"].worst_before_mm.estimate


@pytest.mark.parametrize("job", [Print(layer_mm=0.04), Print(offset_mm=-0.17)])
def test_no_dip_where_layer_one_lies_closer_to_the_bed_than_a_dip_goes(losing, job):
    assert not {"dip", "no-lift"} & set(_for(losing(0.10), job))


def test_an_axis_that_loses_nothing_needs_no_remedy(losing):
    assert _for(losing(0.0)) == {}


def test_none_is_offered_that_makes_it_worse_and_the_best_comes_first(losing):
    found = list(_for(losing(0.25)).values())
    assert all(one.worst_mm.estimate < one.worst_before_mm.estimate for one in found)
    worst = [one.worst_mm.estimate for one in found]
    assert worst == sorted(worst)


def test_every_remedy_says_its_risk_and_its_lines_pass_the_checker(losing):
    for machine in (MACHINE, BED):
        found = _for(losing(0.10, machine.arrangement.id), machine=machine)
        assert {"dip", "lift-every-layer"} <= set(found)
        for one in found.values():
            assert one.risk
            assert (one.job.start is Start.DIP) == ("close to the bed" in one.risk)
            check = check_program(machine, _text(one.lines))
            assert check.safe, check.findings
            assert check.lowest_mm >= 0


def _text(lines):
    return "\n".join(lines) + "\n"


@settings(max_examples=60)
@given(
    start=st.sampled_from(Start),
    lift=st.sampled_from(Lift),
    layer=st.floats(0.05, 0.4),
    offset=st.floats(0.0, 0.5),
    machine=st.sampled_from([MACHINE, BED]),
)
def test_lines_hold_standard_words_only_and_never_go_below_the_bed(
    start, lift, layer, offset, machine
):
    job = Print(layer_mm=layer, width_mm=0.6, start=start, lift=lift, offset_mm=offset)
    lines = motion_lines(machine, job)
    check = check_program(machine, _text(lines))
    assert check.safe
    assert check.lowest_mm >= 0.0
    words = {word for line in lines if not line.startswith(";") for word in line.split()}
    assert {word[0] for word in words} <= set("GZF")
    assert {word for word in words if word[0] == "G"} <= {"G1", "G21", "G28", "G90", "G91"}


def test_the_last_line_is_layer_one_where_nothing_lifts():
    lines = motion_lines(MACHINE, Print(start=Start.DIP, dip_to_mm=0.05, offset_mm=0.1))
    assert [line.split()[1] for line in lines[-3:]] == ["Z5", "Z0.05", "Z0.3"]


def test_without_a_travel_nothing_is_proved_and_the_remedy_says_so(losing):
    with pytest.raises(InputError, match="Measure the travel"):
        motion_lines(blank("two-screw"), Print())
    dip = _for(losing(0.10), machine=blank("two-screw"))["dip"]
    assert dip.lines == ()
    assert "travel" in dip.not_proved


SCREWED = replace(MACHINE, screw=PerSide(Screw(lead_mm=8.0)))


def _uneven(size):
    """An axis whose motor steps are uneven by so much, and that loses nothing."""
    one = one_axis(sound(SCREWED))
    terms = {"microstep-error:four:cos": np.array([size]), "microstep-error:four:sin": np.zeros(1)}
    return Axes(one.base, one.thetas, terms)


def _of(axes, job):
    found = foresee_on(SCREWED, axes, job, rng=np.random.default_rng(0))
    return {one.id: one for one in found.remedies}


def test_layers_that_meet_the_same_phase_are_offered_where_uneven_steps_are_seen():
    found = _of(_uneven(0.03), Print())["same-phase"]
    assert found.job.layer_mm == pytest.approx(0.16)
    assert found.job.first == pytest.approx(0.2)
    assert "± " in found.words
    assert [line.split()[1] for line in found.lines[-3:]] == ["Z0.2", "Z0.36", "Z0.52"]
    assert check_program(SCREWED, _text(found.lines)).safe
    after = bands_of(_uneven(0.03), found.job).waves[0]
    assert after.wall_mm.estimate == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("size", "job"), [(0.0005, Print()), (0.03, Print(layer_mm=0.16))])
def test_no_other_layer_height_is_offered_where_no_band_of_steps_is_seen(size, job):
    assert "same-phase" not in _of(_uneven(size), job)


def test_a_spiral_is_never_told_to_lift(losing):
    found = _for(losing(0.10), Print(spiral=True))
    assert found
    assert all(one.job.lift is Lift.NONE for one in found.values())
    with pytest.raises(InputError, match="spiral"):
        Print(spiral=True, lift=Lift.SOME)


def test_a_lift_at_every_layer_takes_back_an_offset_that_was_set_for_a_start_from_below(losing):
    job = Print(start=Start.UP, offset_mm=0.15)
    lift = _for(losing(0.10), job)["lift-every-layer"]
    assert lift.job.offset_mm == pytest.approx(0.0, abs=0.011)
    assert lift.worst_mm.estimate < 0.02
