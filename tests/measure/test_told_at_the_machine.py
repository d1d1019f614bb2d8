"""What a person at the machine is told to do, by the texts of set-ups, looks and programs."""

import re
from dataclasses import replace

import pytest

from plumbrise.axis.parameters import sound
from plumbrise.cautions import HAZARDS
from plumbrise.machine import ARRANGEMENTS, STATIONS, blank, stations_of
from plumbrise.machine.description import Controller, Travel
from plumbrise.measure.home_guess import home_guess
from plumbrise.measure.motion_program import motion_program
from plumbrise.measure.mounting import LOOKS, doing_of, looks_for, mounting
from plumbrise.measure.setups import candidates
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import DEAD_WEIGHT, HAND_TURN

CAUSES = frozenset(cause for look in LOOKS for cause in look.causes)


def machine_of(arrangement="one-screw", **controller):
    return replace(
        blank(arrangement),
        travel=Travel(height_mm=300.0),
        controller=Controller(**controller),
    )


def said(text):
    """A program with comments that follow each other in one line."""
    return text.replace("\n; ", " ")


def looked(machine):
    return " ".join(look.words for look in looks_for(machine.arrangement, CAUSES))


@pytest.mark.parametrize("waits", [True, False])
def test_who_does_what_is_said_has_hung_what_the_table_says(waits):
    machine = machine_of(stop_waits=waits)
    masses = (0.5, 0.0, 0.5, 1.0, 1.5, 2.0, 1.5, 0.7, 0.0)
    rows = tuple(
        Reading(seq=i, target_mm=20, reading_mm=None, approach="up", mass_kg=m)
        for i, m in enumerate(masses)
    )
    run = Run(name="a", kind=DEAD_WEIGHT, station=STATIONS["nut"], readings=rows)
    on, done = 0.0, []
    for part in re.split(r"; Reading \d+ of \d+", motion_program(machine, run).text)[1:]:
        if act := re.search(r"(Hang|Take) ([\d.]+|all)", part):
            amount = on if act[2] == "all" else float(act[2])
            on += amount if act[1] == "Hang" else -amount
        done.append(on)
    assert done == pytest.approx(masses)


def test_masses_hang_where_the_axis_model_takes_them_to_hang():
    machine = machine_of()
    setup = next(s for s in candidates(machine) if s.kind is DEAD_WEIGHT and not s.with_balance)
    assert all(reading.mass_at_mm is None for reading in setup.run.readings)
    assert sound(machine).load_place == 0.5
    for words in (doing_of(setup.run).watch, said(motion_program(machine, setup.run).text)):
        assert "in the middle between the ends" in words
    placed = tuple(replace(reading, mass_at_mm=40.0) for reading in setup.run.readings)
    text = said(motion_program(machine, replace(setup.run, readings=placed)).text)
    assert "in the middle" not in text
    assert "all at 40 mm from the left guide" in text


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("home", [None, "down", "up"])
def test_no_axis_homes_beside_a_gauge_on_a_guess_that_is_not_said(arrangement, home):
    machine = machine_of(arrangement, home=home)
    for setup in candidates(machine):
        program = motion_program(machine, setup.run)
        head, _, after = program.text.partition("Set the gauge now")
        guess = home_guess(machine, setup.run)
        assert bool(guess) == ("G28" in after and home is None)
        assert not guess or (guess in program.remarks and "300 mm" in guess)
        assert bool(guess) == ("If it did not home down, stop here" in said(head))


def test_nothing_told_at_a_bed_is_that_of_a_gantry():
    machine = machine_of("three-screw-bed")
    told = [looked(machine), *map(mounting, stations_of(machine.arrangement))]
    for setup in candidates(machine, balance=True):
        doing = doing_of(setup.run)
        told += [doing.moves, doing.watch, said(motion_program(machine, setup.run).text)]
    for text in told:
        for hazard in HAZARDS.values():
            text = text.replace(f"{hazard.title}: {hazard.words}", "")
        assert not re.findall(r"\bgantry|\bbeam|both ends", text)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS.values(), ids=str)
def test_a_screw_is_turned_by_hand_without_harm_to_driver_or_level(arrangement):
    machine = machine_of(arrangement.id)
    rows = tuple(Reading(seq=i, target_mm=i, reading_mm=None, approach="up") for i in (10, 20))
    station = stations_of(arrangement)[1]
    run = Run(name="a", kind=HAND_TURN, station=station, readings=rows)
    look = next(one for one in looks_for(arrangement, CAUSES) if one.title == "Turn by hand")
    assert look.words.index("block") < look.words.index("unplug") < look.words.index("slowly")
    for words in (look.words, said(motion_program(machine, run).text)):
        assert "back into" in words
        assert "slowly" in words
        in_turn = "half a turn at each" in words.replace("Half", "half")
        assert in_turn == (arrangement.motors > 1)


def test_no_comment_of_a_program_is_cut():
    machine = replace(machine_of(), name="A printer in a shed " * 9)
    for setup in candidates(machine, balance=True):
        run = replace(setup.run, name=f"{setup.run.name} of a long evening " * 4)
        text = said(motion_program(machine, run).text)
        assert machine.name.strip() in text
        assert run.name.strip() in text
        assert setup.kind.words.rstrip(".") in text or setup.with_balance
