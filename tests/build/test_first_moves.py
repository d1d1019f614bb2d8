"""The first moves are few, slow, away from both ends, and pass the checker."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.build import build_steps
from plumbrise.build.first_moves import CLEAR_MM, first_moves
from plumbrise.machine import ARRANGEMENTS, blank
from plumbrise.machine.description import Controller, Travel
from plumbrise.measure.program_check import check_program


@given(
    st.sampled_from(sorted(ARRANGEMENTS)),
    st.floats(4 * CLEAR_MM, 2_000.0),
    st.sampled_from(["up", "down"]),
    st.sampled_from([True, False, None]),
    st.sampled_from(["seconds", "milliseconds", None]),
)
def test_the_program_passes_the_checker_and_keeps_clear_of_both_ends(
    arrangement, height, home, waits, unit
):
    controller = Controller(home=home, stop_waits=waits, dwell_unit=unit)
    machine = replace(blank(arrangement), travel=Travel(height_mm=height), controller=controller)
    made = first_moves(machine)
    assert made.text, made.missing
    found = check_program(machine, made.text)
    assert found.safe
    assert found.fingerprint is not None
    told = [move.to_mm for move in found.moves if not move.homes]
    assert min(told) >= CLEAR_MM - 1e-6
    assert max(told) <= height - CLEAR_MM + 1e-6
    feeds = [move.feed_mm_per_min for move in found.moves if not move.homes]
    assert max(feeds) <= 120
    assert abs(told[1] - told[0]) <= 1 + 1e-6
    homed = found.moves[0]
    assert homed.homes
    assert abs(told[0] - homed.to_mm) <= CLEAR_MM + 0.1  # it begins beside its switch


def test_it_stops_or_waits_after_every_move():
    machine = replace(blank("one-screw"), travel=Travel(height_mm=200.0))
    for waits, word in ((True, "M0"), (False, "G4")):
        made = first_moves(replace(machine, controller=Controller(stop_waits=waits)))
        lines = made.text.splitlines()
        moves = [i for i, line in enumerate(lines) if line.startswith("G1 ")]
        assert len(moves) == len(made.heights_mm)
        assert all(lines[i + 1].startswith(word) for i in moves)


def test_what_the_machine_file_leaves_open_is_said_in_the_program():
    machine = replace(blank("three-screw-bed"), travel=Travel(height_mm=200.0))
    told = Controller(home="up", stop_waits=False, dwell_unit="seconds")
    open_text, told_text = (
        first_moves(one).text for one in (machine, replace(machine, controller=told))
    )
    for words in ("which way the axis homes", "how a dwell is counted"):
        assert words in open_text
        assert words not in told_text
    assert "waits 20 s and goes on by itself" in open_text


@pytest.mark.parametrize("travel", [None, 20.0])
def test_without_a_travel_to_keep_to_there_is_no_program(travel):
    machine = replace(blank("one-screw"), travel=Travel(height_mm=travel))
    made = build_steps(machine, ["new-nut"]).moves
    assert made.text == ""
    assert "travel" in made.missing
    assert made.check is None


def test_own_lines_that_are_not_safe_leave_no_program():
    machine = replace(
        blank("one-screw"),
        travel=Travel(height_mm=200.0),
        controller=Controller(begin=("M104 S200",)),
    )
    made = first_moves(machine)
    assert made.text == ""
    assert "heater" in made.missing
