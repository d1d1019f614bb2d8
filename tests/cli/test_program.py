"""`plumbrise program`: what a person sees, and what a script reads."""

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner

from plumbrise.cli import main
from plumbrise.files import read_machine, write_machine
from plumbrise.machine import STATIONS, blank
from plumbrise.machine.description import Controller, Travel
from plumbrise.measure.motion_program import motion_program
from plumbrise.measure.setups import candidates
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import COARSE_STEPS

MACHINE = replace(
    blank("two-screw"),
    travel=Travel(height_mm=200.0),
    controller=Controller(dwell_unit="seconds", stop_waits=True, home="up", end=("M84",)),
)


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "machine.toml").write_text(write_machine(MACHINE), encoding="utf-8")
    program = motion_program(MACHINE, candidates(MACHINE)[1].run)
    (tmp_path / "steps.gcode").write_text(program.text, encoding="ascii")
    return tmp_path


def check(folder, *options, file="steps.gcode"):
    arguments = ["program", "check", str(folder / "machine.toml"), str(folder / file), *options]
    return CliRunner().invoke(main, arguments)


def test_a_written_program_is_safe_on_the_machine_of_its_file(folder):
    done = check(folder)
    assert done.exit_code == 0
    assert "Safe: steps.gcode" in done.output


def test_an_unsafe_program_ends_with_1_and_says_where(folder):
    (folder / "hot.gcode").write_text("G21\nG90\nG28\nM104 S200\n", encoding="ascii")
    done = check(folder, file="hot.gcode")
    assert done.exit_code == 1
    assert "Line 4, M104: it sets a heater" in done.output
    assert "Not safe" in done.output


def test_a_program_for_another_machine_ends_with_1(folder):
    other = replace(MACHINE, travel=Travel(height_mm=180.0))
    (folder / "machine.toml").write_text(write_machine(other), encoding="utf-8")
    assert check(folder).exit_code == 1


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", b"G21\r\xe9", b"", b"\x00" * 3_000_000])
def test_bytes_that_are_no_program_are_not_safe(folder, data):
    (folder / "odd.gcode").write_bytes(data)
    assert check(folder, file="odd.gcode").exit_code == 1


def test_a_file_that_is_not_there_ends_with_2(folder):
    assert check(folder, file="none.gcode").exit_code == 2


def test_a_broken_machine_file_ends_with_2(folder):
    (folder / "machine.toml").write_text("arrangement = 'five-screw'", encoding="utf-8")
    assert check(folder).exit_code == 2


@pytest.mark.parametrize(("extra", "status"), [("", 0), ("G1 Z-1 F100\n", 1)])
def test_json_says_the_same_and_nothing_else(folder, extra, status):
    path = folder / "steps.gcode"
    text = path.read_text(encoding="ascii").replace("\nM84\n", f"\n{extra}M84\n")
    path.write_text(text, encoding="ascii")
    done = check(folder, "--json")
    assert done.exit_code == status
    found = json.loads(done.stdout)
    assert found["version"] == 1
    assert found["safe"] is (status == 0)
    assert any(one["refuses"] for one in found["findings"]) is (status == 1)
    if status:
        assert found["findings"][0]["finding"] == "below-bed"


@pytest.mark.parametrize(("waits", "told"), [("true", "5 stops"), ("false", "5 waits")])
def test_how_often_a_program_waits_is_counted_by_stops_and_by_dwells(tmp_path, waits, told):
    """Four readings, and the wait in which the gauge is set, longer than one dwell may be."""
    told_machine = f"""arrangement = "one-screw"
travel = {{ height_mm = 250.0 }}
controller = {{ dwell_unit = "seconds", stop_waits = {waits}, home = "down" }}
"""
    machine = read_machine(told_machine, name="machine")
    rows = tuple(
        Reading(seq=i, target_mm=float(i), reading_mm=None, approach="up" if i else "down")
        for i in range(4)
    )
    stairs = Run(name="a", kind=COARSE_STEPS, station=STATIONS["gantry-left"], readings=rows)
    (tmp_path / "machine.toml").write_text(told_machine)
    (tmp_path / "a.gcode").write_text(motion_program(machine, stairs, set_in_s=200.0).text)
    words = ["program", "check", str(tmp_path / "machine.toml"), str(tmp_path / "a.gcode")]
    assert told in CliRunner().invoke(main, words).output
