"""A machine's description after changes."""

from dataclasses import replace

import pytest

from plumbrise.files import read_machine, write_machine
from plumbrise.machine import PerSide, blank
from plumbrise.machine import description as part
from plumbrise.redesign import CATALOGUE
from plumbrise.redesign.machine_changed import machine_changed


@pytest.mark.parametrize("change", CATALOGUE.values(), ids=lambda c: c.id)
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_machine_after_a_change_can_be_written_and_read(change, side):
    machine = replace(
        blank("one-screw"), screw=PerSide(part.Screw(side=side, lead_mm=8.0, diameter_mm=8.0))
    )
    after = machine_changed(machine, [change])
    assert read_machine(write_machine(after), name="after.toml") == after


def test_two_screws_of_one_moving_part_have_one_lead():
    both = [CATALOGUE["short-lead-screw"], CATALOGUE["second-screw-motor"]]
    after = machine_changed(replace(blank("one-screw"), screw=PerSide(part.Screw(starts=4))), both)
    for side in ("left", "right"):
        assert (after.screw.at(side).lead_mm, after.screw.at(side).starts) == (2.0, 1)


@pytest.mark.parametrize(("lead_mm", "offered"), [(8.0, True), (2.0, False), (1.5, False)])
def test_a_shorter_lead_is_offered_only_where_it_is_shorter(lead_mm, offered):
    machine = replace(blank("one-screw"), screw=PerSide(part.Screw(lead_mm=lead_mm)))
    assert CATALOGUE["short-lead-screw"].applies_to(machine) is offered


def test_a_screw_turned_by_a_tie_belt_keeps_the_bearing_beside_its_pulley():
    after = machine_changed(blank("one-screw"), [CATALOGUE["second-screw-tied"]])
    assert [after.screw.at(side).top_end for side in after.screw_sides] == ["held", "held"]
    assert not CATALOGUE["free-top"].applies_to(after)


@pytest.mark.parametrize(("starts", "factor"), [(4, 0.25), (2, 0.5)])
def test_a_shorter_lead_makes_less_of_uneven_steps_in_the_ratio_of_the_leads(starts, factor):
    machine = replace(blank("one-screw"), screw=PerSide(part.Screw(starts=starts)))
    effects = CATALOGUE["short-lead-screw"].made_on(machine).effects
    assert [e.middle for e in effects if e.entry == "term:microstep-error"] == [factor]


def test_a_change_of_the_screw_that_was_there_is_not_made_on_the_one_that_comes():
    both = [CATALOGUE["thrust-bearing"], CATALOGUE["second-screw-motor"]]
    for order in (both, both[::-1]):
        after = machine_changed(blank("one-screw"), order)
        assert after.bearing.at("left").carries_weight == "thrust-bearing"
        assert after.bearing.at("right").carries_weight is None
