"""`plumbrise capture`: typed readings, an indicator, a controller, and going on after a stop."""

from __future__ import annotations

import csv
import io
import os
import sys
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import pytest
from click.testing import CliRunner

from plumbrise.cli import main

MACHINE = """format = 1
arrangement = "one-screw"
travel = { height_mm = 200.0 }
screw = { lead_mm = 8.0 }
gauge = { resolution_mm = 0.01 }
"""
SHEET = """run,test,station,seq,target_mm,reading_mm,approach
left,coarse-steps,gantry-left,0,0,,down
left,coarse-steps,gantry-left,1,1,,up
left,coarse-steps,gantry-left,2,2,,up
right,coarse-steps,gantry-right,0,0,,down
right,coarse-steps,gantry-right,1,1,,up
"""


@pytest.fixture
def place(tmp_path):
    (tmp_path / "machine.toml").write_text(MACHINE)
    (tmp_path / "sheet.csv").write_text(SHEET)
    return tmp_path


def capture(place, typed, *more):
    words = ["capture", place / "machine.toml", place / "sheet.csv", "--shelf", place / "s.sqlite"]
    words += ["--to", place / "out.csv", *more]
    return CliRunner().invoke(main, [str(w) for w in words], input="\n".join(typed) + "\n")


def table(place):
    rows = list(csv.DictReader(io.StringIO((place / "out.csv").read_text())))
    return [(r["run"], r["target_mm"], r["reading_mm"]) for r in rows]


def test_typed_readings_end_in_the_table(place):
    done = capture(place, ["", "0.0", "0.62", "63", "", "", "0.00", "1,01"])
    assert done.exit_code == 0, done.output
    assert "All is read." in done.output
    assert "[1.63 mm, Enter keeps]" in done.output
    assert table(place) == [
        ("left", "0", "0"),
        ("left", "1", "0.62"),
        ("left", "2", "1.63"),
        ("right", "0", "0"),
        ("right", "1", "1.01"),
    ]


def test_cautions_stand_before_the_first_reading(place):
    done = capture(place, ["q"])
    assert "crushes fingers" in done.output
    assert done.exit_code == 1


def test_the_same_command_goes_on_where_it_stopped(place):
    assert capture(place, ["", "0.0", "0.62", "q"]).exit_code == 1
    done = capture(place, ["", "1.6", "", "0.0", "1.0"])
    assert done.exit_code == 0, done.output
    assert "Going on: 3 readings are still asked for." in done.output
    assert [row[2] for row in table(place)] == ["0", "0.62", "1.6", "0", "1"]


def test_a_suspicious_value_is_asked_about_once_and_kept_by_enter(place):
    done = capture(place, ["", "0.0", "3.1", "", "q"])
    assert "Keep it, or read again?" in done.output
    assert table(place)[1][2] == "3.1"


def test_undo_note_mend_and_a_reading_that_cannot_be_had(place):
    typed = ["", "0.0", "0.9", "u", "0.6", "n a lorry", "x", "m 2 0.61"]
    done = capture(place, [*typed, "", "0", "", "1.0"])
    assert "0.90 mm taken back." in done.output
    rows = list(csv.DictReader(io.StringIO((place / "out.csv").read_text())))
    assert rows[1]["note"] == "a lorry"
    assert rows[2]["reading_mm"] == ""
    assert rows[1]["reading_mm"] in ("0.6", "0.61")


def test_what_is_no_reading_is_told_and_asked_again(place):
    done = capture(place, ["", "0.0", "abc", "m 9 1", "t 500", "0.6", "q"])
    assert "Type it again" in done.output
    assert "Traceback" not in done.output
    assert table(place)[1][2] == "0.6"


def test_a_set_up_may_be_left_or_done_again(place):
    done = capture(place, ["", "0.0", "r", "", "0.01", "0.6", "1.6", "s"])
    assert done.exit_code == 0, done.output
    assert {row[0] for row in table(place)} == {"left", "left again 1"}


@pytest.fixture
def stand_ins():
    if os.name == "nt":
        pytest.skip("stand-ins talk over pseudo-terminals, which this system has not")
    name = "plumbrise_stand_ins"
    if name not in sys.modules:
        beside = Path(__file__).parents[1] / "hardware" / "stand_ins.py"
        spec = spec_from_file_location(name, beside)
        sys.modules[name] = module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


def test_an_indicator_fills_the_reading_in_and_the_person_keeps_it(place, stand_ins):
    far = stand_ins.StandInIndicator(show=0.25)
    try:
        done = capture(
            place, ["", "", "0.6", "q"], "--indicator", far.name, "--line", "{value:3} {unit}"
        )
    finally:
        far.close()
    assert "0.25" in done.output
    assert table(place)[0][2] == "0.25"


def test_indicator_and_controller_make_a_whole_session(place, stand_ins):
    indicator = stand_ins.StandInIndicator(show=0.5)
    controller = stand_ins.StandInController()
    enough = [""] * 40
    try:
        done = capture(
            place,
            enough,
            "--indicator",
            indicator.name,
            "--line",
            "{value:3} {unit}",
            "--controller",
            controller.name,
        )
    finally:
        indicator.close()
        controller.close()
    assert "All is read." in done.output, done.output
    assert [row[2] for row in table(place)] == ["0.5"] * 5


def test_what_was_captured_is_explained_as_its_table_is(place):
    """The shelf's export and the table written at the end are the same session."""
    import json

    capture(place, ["", "0.0", "0.62", "1.61", "", "0.00", "0.4"])
    words = ["shelf", "export", "1", place / "x", "--shelf", place / "s.sqlite"]
    out = CliRunner().invoke(main, [str(word) for word in words])
    assert out.exit_code == 0, out.output
    answers = []
    for table in (place / "out.csv", place / "x" / "readings.csv"):
        words = ["explain", str(place / "machine.toml"), str(table), "--json"]
        answers.append(json.loads(CliRunner().invoke(main, words).stdout))
    assert answers[0]["causes"] == answers[1]["causes"]
    assert answers[0]["sets"] == answers[1]["sets"]
