"""The sums speak of the axis after the changes, and of the load that its prediction carries."""

from dataclasses import replace

import numpy as np
import pytest

from plumbrise.axis import sound
from plumbrise.elements.asked import Trust
from plumbrise.machine import ARRANGEMENTS
from plumbrise.machine.description import Drive
from plumbrise.redesign import CATALOGUE
from plumbrise.redesign.figures import STAYS_UP
from plumbrise.redesign.load import gear_of, load_of
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.sums import sums_for


def _sheets(prospects, *ids):
    changes = [CATALOGUE[one] for one in ids]
    after = machine_changed(prospects.machine, changes)
    every = np.array([2 ** len(ids) - 1])
    load = load_of(prospects.draws, sound(after), changes, every, gear=gear_of(after))
    return {one.kind: one.sheet for one in sums_for(after, changes, load)}


def _value(sheet, name):
    return next(one for one in sheet.inputs if one.asked.name == name)


def test_the_lead_is_that_of_the_new_screw(prospects):
    assert _value(_sheets(prospects, "short-lead-screw")["screw"], "lead_mm").value == 2.0


@pytest.mark.parametrize("ids", [("clean-screw",), ("clean-screw", "second-screw-motor")])
def test_a_screw_holds_by_the_margin_that_is_predicted(prospects, ids):
    mask = sum(1 << [c.id for c in prospects.changes].index(one) for one in ids)
    predicted = np.median(prospects.of(STAYS_UP.id, mask))
    screws = 1 if len(ids) == 1 else 2
    margin = screws * _sheets(prospects, *ids)["screw"].worked["margin_nmm"]
    assert margin == pytest.approx(predicted, abs=2.0)


def test_the_motor_is_asked_to_hold_what_turns_the_screw_back(prospects):
    sheets = _sheets(prospects, "clean-screw", "short-lead-screw", "steps-per-mm")
    screw, motor = sheets["screw"], sheets["motor"]
    back = _value(motor, "back_nmm").value
    assert back == pytest.approx(max(0.0, -screw.worked["lower_nmm"]), abs=0.2)
    assert _value(motor, "lift_nmm").value == pytest.approx(screw.worked["lift_nmm"], rel=0.05)


def test_a_belt_that_slows_the_screw_lets_the_motor_hold_more(prospects):
    slow = replace(prospects.machine, drive=Drive(motor_teeth=20, screw_teeth=40))
    here, there = (_sheets(replace(prospects, machine=m), "steps-per-mm", "clean-screw")
                   for m in (prospects.machine, slow))  # fmt: skip
    assert _value(there["motor"], "ratio").value == 0.5
    one, other = (_value(sheets["motor"], "detent_nmm").value for sheets in (here, there))
    assert other == pytest.approx(one)
    one, other = (_value(sheets["screw"], "detent_nmm").value for sheets in (here, there))
    assert other == pytest.approx(2 * one)
    assert gear_of(replace(slow, arrangement=ARRANGEMENTS["two-screw-tied"])) == 1.0


def test_a_top_that_the_belt_brings_a_bearing_to_is_held_in_the_sums(prospects):
    sheet = _sheets(prospects, "second-screw-tied")["alignment"]
    assert _value(sheet, "fixing").value == "held-top"


def test_what_nobody_gave_is_marked_so(prospects):
    screw = _sheets(prospects, "clean-screw")["screw"]
    assert _value(screw, "drag_n").trust is Trust.MEASURED
    assert _value(screw, "thread_friction").trust is Trust.COMMON_PRACTICE
    assert _value(screw, "motor_nmm").trust is Trust.GUESS


def test_easier_guides_leave_less_drag_in_the_sums(prospects):
    eased = _sheets(prospects, "clean-screw", "set-rollers")["screw"]
    assert (
        _value(eased, "drag_n").value
        < _value(_sheets(prospects, "clean-screw")["screw"], "drag_n").value
    )
