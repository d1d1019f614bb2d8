"""Parts lists and the sums behind them."""

import re

import numpy as np
import pytest

from plumbrise.axis import sound
from plumbrise.cautions import HAZARDS
from plumbrise.elements.calculators import KINDS, calculator
from plumbrise.explain import CAUSES
from plumbrise.machine import ARRANGEMENTS, Machine, PerSide, blank
from plumbrise.machine import description as part
from plumbrise.redesign import CATALOGUE
from plumbrise.redesign.load import load_of
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.parts import UNKNOWN, parts_of
from plumbrise.redesign.sums import sizes_in, sums_for


def test_a_size_that_nobody_gave_is_to_be_measured():
    lines = parts_of(blank("one-screw"), [CATALOGUE["thrust-bearing"]])
    assert UNKNOWN in lines[0].size


def test_two_screws_need_two_nuts():
    one, two = (parts_of(blank(a), [CATALOGUE["new-nut"]])[0] for a in ("one-screw", "two-screw"))
    assert (one.count, two.count) == (1, 2)


def test_a_screw_that_is_added_brings_its_own_parts_in_the_size_of_the_others(prospects):
    ids = ("short-lead-screw", "second-screw-motor")
    lines = parts_of(prospects.machine, [CATALOGUE[one] for one in ids])
    screws = [line for line in lines if line.part.name == "Lead screw"]
    assert [line.count for line in screws] == [1, 1]
    assert all("lead 2 mm" in line.size for line in screws)


def test_the_belt_is_the_nearest_that_can_be_bought(prospects):
    change = CATALOGUE["second-screw-tied"]
    after = machine_changed(prospects.machine, [change])
    load = load_of(prospects.draws, sound(after), [change], np.array([1]), gear=1.0)
    sums = sums_for(after, [change], load)
    size = sizes_in(sums)["belt"]
    length = float(re.match(r"(\d+) mm", size)[1])
    loop = next(s.sheet.worked["length_mm"] for s in sums if s.kind == "belt-loop")
    span = prospects.machine.guide.span_mm or 340.0
    assert loop == pytest.approx(2 * span + 40 * 2.0)  # two equal pulleys: 2 C + Z p
    assert abs(length - loop) <= 10
    belt = next(
        p for p in parts_of(prospects.machine, [change], {"belt": size}) if "belt" in p.part.name
    )
    assert belt.size == size


@pytest.mark.parametrize("change", CATALOGUE.values(), ids=lambda c: c.id)
def test_each_change_names_only_what_there_is(change, prospects):
    assert set(change.needs) | set(change.excludes) <= set(CATALOGUE)
    assert set(change.hazards) <= set(HAZARDS)
    assert set(change.sizing) <= set(KINDS)
    assert {e.cause for e in change.effects if e.cause} <= set(CAUSES)
    assert change.cost.low <= change.cost.likely <= change.cost.high
    assert 0 < change.hours.low <= change.hours.likely <= change.hours.high
    asked = {one.name for kind in change.sizing for one in calculator(kind).asked}
    assert {name for name, _ in change.sizes} <= asked
    for arrangement in ARRANGEMENTS:
        if change.applies_to(blank(arrangement)):
            machine_changed(blank(arrangement), [change])


HARMS = {
    "drill": "metal-chips",
    "fine file or stone": "metal-chips",
    "multimeter": "plugging",
    "Constant-force spring": "stored-tension",
    "Closed timing belt": "stored-tension",
    "Step motor": "mains",
    "weight": "hung-mass",
}
"""A tool, a part or a word, and what it can do to whoever has it in hand."""


@pytest.mark.parametrize("change", CATALOGUE.values(), ids=lambda c: c.id)
def test_each_change_warns_of_what_its_tools_and_parts_can_do(change):
    at_work = {*change.tools, *(one.name for one in change.parts)}
    if "cord" in change.words:
        at_work.add("weight")
    assert {HARMS[one] for one in at_work if one in HARMS} <= set(change.hazards)
    if change.moves_zero and change.parts:
        assert "pinch" in change.hazards


@pytest.mark.parametrize("change", CATALOGUE.values(), ids=lambda c: c.id)
def test_of_a_machine_that_is_described_every_size_is_known(change):
    described = Machine(
        arrangement=ARRANGEMENTS["one-screw"],
        screw=PerSide(part.Screw(lead_mm=8.0, diameter_mm=8.0, length_mm=330.0)),
        motor=PerSide(part.Motor(frame_size_mm=42.0)),
        frame=part.Frame(upright_width_mm=20.0),
    )
    for line in parts_of(described, [change], {"belt": "760 mm long"}):
        assert UNKNOWN not in line.size
        assert "{" not in line.size
        assert line.count >= 1


def test_a_nut_that_two_changes_bring_for_one_screw_is_had_once():
    def nuts(*ids):
        made = parts_of(blank("two-screw"), [CATALOGUE[one] for one in ids])
        return sum(line.count for line in made if line.part.name == "Nut")

    assert nuts("new-nut", "short-lead-screw") == nuts("new-nut") == 2
    one_screw = parts_of(
        blank("one-screw"), [CATALOGUE[one] for one in ("new-nut", "second-screw-tied")]
    )
    assert sum(line.count for line in one_screw if line.part.name == "Nut") == 2
