"""A machine is what its owner said of it; what is missing has a default with its trust."""

from dataclasses import fields, replace

import pytest

from plumbrise.machine import (
    ARRANGEMENTS,
    DEFAULTS,
    LINK_STATIONS,
    ONE_SCREW,
    STATIONS,
    THREE_SCREW_BED,
    TWO_SCREW,
    TWO_SCREW_TIED,
    PerSide,
    Trust,
    blank,
    centre_of_mass_mm,
    known,
    lead_mm,
    stations_of,
)
from plumbrise.machine.description import Gantry, Guide, Nut, Screw
from plumbrise.readings import KINDS


@pytest.mark.parametrize("arrangement", ARRANGEMENTS.values(), ids=lambda a: a.id)
def test_every_arrangement_has_a_screw_stations_and_a_blank_machine(arrangement):
    assert arrangement.sides
    assert set(arrangement.sides) <= set(arrangement.ends)
    assert blank(arrangement.id).arrangement is arrangement
    assert len({station.id for station in stations_of(arrangement)}) == len(
        stations_of(arrangement)
    )


def test_only_a_belt_lets_one_motor_turn_two_screws():
    assert (TWO_SCREW.motors, TWO_SCREW_TIED.motors) == (2, 1)
    assert TWO_SCREW_TIED.tied
    assert THREE_SCREW_BED.motors == len(THREE_SCREW_BED.sides)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS.values(), ids=lambda a: a.id)
def test_the_gauge_can_stand_at_both_ends_of_every_link_and_at_every_end_of_the_body(arrangement):
    ids = [station.id for station in stations_of(arrangement)]
    for side in arrangement.sides:
        ending = "" if len(arrangement.sides) == 1 else f"-{side}"
        places = [ids.index(f"{link}{ending}") for link in LINK_STATIONS]
        assert places == sorted(places)
    for end in arrangement.ends:
        assert f"{arrangement.body}-{end}" in ids
    assert ids[-1] == "block"


def test_what_is_turned_does_not_rise_and_what_is_lifted_does():
    rising = {name for name, station in STATIONS.items() if station.follows_command}
    for name, station in STATIONS.items():
        lifted = station.link_station.split("-")[0] in ("nut", "gantry", "bed")
        assert (name in rising) == lifted


@pytest.mark.parametrize("key", DEFAULTS)
def test_every_default_belongs_to_a_field_and_stands_in_for_it(key):
    part, name = key.split(".")
    machine = blank("one-screw")
    if part == "drive":
        assert known(machine, key).value == DEFAULTS[key].value
        return
    described = getattr(machine, part)
    described = described.common if isinstance(described, PerSide) else described
    assert name in {field.name for field in fields(described)}
    found = known(machine, key)
    assert found.assumed
    assert (found.value, found.trust) == (DEFAULTS[key].value, DEFAULTS[key].trust)


def test_what_a_person_said_wins_over_what_is_usual():
    machine = replace(blank("one-screw"), guide=Guide(span_mm=300.0))
    found = known(machine, "guide.span_mm")
    assert (found.value, found.trust, found.assumed) == (300.0, Trust.GIVEN, False)


def test_a_lead_is_never_assumed():
    assert "screw.lead_mm" not in DEFAULTS
    assert lead_mm(blank("one-screw")) is None
    with pytest.raises(KeyError):
        known(blank("one-screw"), "screw.lead_mm")


def test_one_side_may_differ_from_the_others():
    nut = PerSide(Nut(kind="plain"), (("right", Nut(kind="split")),))
    machine = replace(blank("two-screw"), nut=nut)
    assert known(machine, "nut.kind", "right").value == "split"
    assert known(machine, "nut.kind", "left").value == "plain"
    assert known(machine, "nut.kind").value == "plain"


def test_the_centre_of_mass_lies_in_the_middle_unless_given():
    machine = replace(blank("one-screw"), guide=Guide(span_mm=300.0))
    assert centre_of_mass_mm(machine).value == 150
    moved = replace(machine, gantry=Gantry(centre_of_mass_mm=100.0))
    assert (centre_of_mass_mm(moved).value, centre_of_mass_mm(moved).assumed) == (100, False)


def test_the_only_screw_may_stand_on_the_right():
    right = replace(blank("one-screw"), screw=PerSide(Screw(side="right")))
    assert right.screw_sides == ("right",)
    assert blank("one-screw").screw_sides == ONE_SCREW.sides
    assert blank("three-screw-bed").screw_sides == ("left", "right", "back")


def test_stations_and_test_kinds_can_be_told_apart_by_their_words():
    assert not set(STATIONS) & set(KINDS)
