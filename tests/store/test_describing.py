"""A machine described again."""

import pytest

from plumbrise.errors import InputError
from plumbrise.machine import STATIONS
from plumbrise.readings.kinds import REVERSAL

EIGHT = 'arrangement = "one-screw"\nname = "Shed"\nscrew = { lead_mm = 8.0 }\n'
FOUR = EIGHT.replace("8.0", "4.0")
BED = 'arrangement = "three-screw-bed"\n'


def test_a_machine_described_again_keeps_its_readings_and_its_number(shelf):
    machine = shelf.add_machine(EIGHT)
    shelf.begin_run(machine, kind=REVERSAL, station=STATIONS["nut"])
    assert shelf.describe(machine, FOUR)
    assert shelf.machine(machine).screw.common.lead_mm == 4.0
    assert len(shelf.runs(machine)) == 1


def test_descriptions_are_put_back_one_after_the_other(shelf):
    machine = shelf.add_machine(EIGHT)
    shelf.describe(machine, FOUR)
    shelf.describe(machine, FOUR.replace("4.0", "2.0"))
    leads = []
    while shelf.put_back(machine):
        leads.append(shelf.machine(machine).screw.common.lead_mm)
    assert leads == [4.0, 8.0]


def test_the_same_words_again_are_no_change(shelf):
    machine = shelf.add_machine(EIGHT)
    assert not shelf.describe(machine, EIGHT)
    assert shelf.descriptions_before(machine) == 0


def test_an_arrangement_without_a_station_that_was_read_is_refused(shelf):
    machine = shelf.add_machine(EIGHT)
    shelf.begin_run(machine, kind=REVERSAL, station=STATIONS["gantry-left"])
    with pytest.raises(InputError, match="gantry-left"):
        shelf.describe(machine, BED)
    assert shelf.machine(machine).arrangement.id == "one-screw"


def test_a_text_that_describes_no_machine_changes_nothing(shelf):
    machine = shelf.add_machine(EIGHT)
    with pytest.raises(ValueError, match="arrangement"):
        shelf.describe(machine, 'arrangement = "no-screw"')
    assert shelf.export(machine)[0] == EIGHT
