"""What holds too much or too little, in words."""

from dataclasses import replace

import pytest

from plumbrise.cautions import HAZARDS
from plumbrise.machine import ARRANGEMENTS, PerSide, blank
from plumbrise.machine import description as part
from plumbrise.redesign import CATALOGUE
from plumbrise.redesign.constraints import constraints_of


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_arrangement_is_counted(arrangement):
    first = constraints_of(blank(arrangement), ())[0]
    count = {1: "One", 2: "Two", 3: "Three"}[len(blank(arrangement).screw_sides)]
    assert first.startswith(f"{count} screw")


def test_what_holds_of_every_screw_is_said_once():
    machine = replace(
        blank("three-screw-bed"), bearing=PerSide(part.Bearing(carries_weight="thrust-bearing"))
    )
    found = [one for one in constraints_of(machine, ()) if "thrust bearing" in one]
    assert found == [one for one in found if "of every screw" in one]
    assert len(found) == 1


def test_a_belt_at_the_top_wants_a_bearing_beside_its_pulley():
    tied, apart = (constraints_of(blank(a), ()) for a in ("two-screw-tied", "two-screw"))
    assert any("A bearing must hold the screw there" in one for one in tied)
    assert not any("belt" in one for one in apart)


def test_a_machine_that_carries_its_bed_is_told_of_no_gantry():
    machine = blank("three-screw-bed")
    changes = [c for c in CATALOGUE.values() if c.applies_to(machine)]
    said = [*constraints_of(machine, changes)]
    for change in changes:
        said += [change.title, change.words, *change.side_effects]
        said += [text for p in change.parts for text in (p.size, p.note, p.measure_first)]
    assert not [words for words in said if "gantry" in words or " beam" in words]
    warned = {HAZARDS[one].words for change in changes for one in change.hazards}
    assert not [words for words in warned if "gantry" in words and "bed" not in words]
