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


def test_a_change_of_the_screw_that_was_there_is_not_made_on_the_one_that_comes():
    both = [CATALOGUE["thrust-bearing"], CATALOGUE["second-screw-motor"]]
    for order in (both, both[::-1]):
        after = machine_changed(blank("one-screw"), order)
        assert after.bearing.at("left").carries_weight == "thrust-bearing"
        assert after.bearing.at("right").carries_weight is None
