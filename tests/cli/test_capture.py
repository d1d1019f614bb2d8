"""`plumbrise capture`: typed readings, an indicator, a controller, and going on after a stop."""

from __future__ import annotations

import csv
import io

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
    assert "does not say which way the axis homes: down is taken" in done.output
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
    typed = ["", "0.0", "0.9", "u", "0.6", "n a lorry", "m 2 0.61", "x"]
    done = capture(place, [*typed, "", "0.0", "1.0"])
    assert done.exit_code == 0, done.output
    assert "0.90 mm taken back." in done.output
    rows = list(csv.DictReader(io.StringIO((place / "out.csv").read_text())))
    assert rows[1]["note"] == "a lorry"
    assert rows[2]["reading_mm"] == ""
    assert rows[1]["reading_mm"] == "0.61"


def test_what_is_no_reading_is_told_and_asked_again(place):
    done = capture(place, ["", "0.0", "abc", "m 9 1", "t 500", "0.6", "q"])
    assert "Type it again" in done.output
    assert "Traceback" not in done.output
    assert table(place)[1][2] == "0.6"


def test_a_set_up_may_be_left_or_done_again(place):
    done = capture(place, ["", "0.0", "r", "", "0.01", "0.6", "1.6", "s"])
    assert done.exit_code == 0, done.output
    assert {row[0] for row in table(place)} == {"left", "left again 1"}


def test_an_indicator_fills_the_reading_in_and_the_person_keeps_it(place, stand_ins):
    far = stand_ins.StandInIndicator(show=0.25)
    try:
        done = capture(
            place, ["", "", "", "0.6", "q"], "--indicator", far.name, "--line", "{value:3} {unit}"
        )
    finally:
        far.close()
    assert "0.25" in done.output
    assert table(place)[0][2] == "0.25"


@pytest.fixture
def driven(place, stand_ins, quick):
    """Capture with a controller, and the stand-in that it moved."""
    (place / "sheet.csv").write_text("\n".join(SHEET.splitlines()[:4]) + "\n")
    made = []

    def start(typed, *more, **how):
        far = stand_ins.StandInController(queue=0, slow=0.02, **how)
        made.append(far)
        return capture(place, typed, "--controller", far.name, *more), far

    yield start
    for far in made:
        far.close()


def test_indicator_and_controller_make_a_whole_session(place, stand_ins, driven):
    indicator = stand_ins.StandInIndicator(show=0.5)
    try:
        done, _ = driven(
            ["move", *[""] * 12], "--indicator", indicator.name, "--line", "{value:3} {unit}"
        )
    finally:
        indicator.close()
    assert "All is read." in done.output, done.output
    assert [row[2] for row in table(place)] == ["0.5"] * 3


def test_nothing_moves_without_the_word(place, driven):
    done, far = driven(["", "yes", "0.0", "q"])
    assert done.output.count("Nothing was done.") == 3
    assert far.height_mm == 0.0
    assert done.exit_code == 1


def test_taking_back_moves_nothing(place, driven):
    more = [f"left,coarse-steps,gantry-left,{i},{i},,up" for i in range(3, 7)]
    (place / "sheet.csv").write_text("\n".join(SHEET.splitlines()[:4] + more) + "\n")
    done, far = driven(["move", "", "0.0", "u", "x", "s"])
    assert "The axis is past this one and stays" in done.output, done.output
    assert far.height_mm == pytest.approx(1.0, abs=0.01)  # where the second reading was asked for


def two_driven(place, driven, typed, **how):
    """Two readings of the left end, then two of the right."""
    lines = SHEET.splitlines()
    (place / "sheet.csv").write_text("\n".join([*lines[:3], *lines[4:]]) + "\n")
    return driven(typed, **how)


def test_taking_back_before_the_next_set_up_begins_leaves_the_axis_and_the_zero(place, driven):
    typed = ["move", "", "0.0", "0.6", "u", "0.61", "q"]
    done, far = two_driven(place, driven, typed)
    assert [row[2] for row in table(place)] == ["0", "0.61"], done.output
    assert far.got.count("G21") == 1  # one program
    assert far.height_mm == pytest.approx(1.0, abs=0.01)


def test_taking_back_into_a_set_up_whose_home_is_gone_reads_it_anew_only_on_a_word(place, driven):
    to_right = ["move", "", "0.0", "0.6", "move", ""]
    typed = [*to_right, "u", "yes", "move", "", "0.02", "q"]
    done, far = two_driven(place, driven, typed)
    assert "read this set-up again from its start" in " ".join(done.output.split())
    assert [(row[0], row[2]) for row in table(place) if row[2]] == [
        ("left", "0"),
        ("left again 1", "0.02"),
    ], done.output
    assert far.got.count("G21") == 3  # for the left, the right, and the left again
    assert "untouched" not in done.output


def test_leaving_what_was_taken_back_into_goes_on_where_the_axis_stands(place, driven):
    typed = ["move", "", "0.0", "0.6", "move", "", "u", "s", "0.1", "q"]
    done, far = two_driven(place, driven, typed)
    assert ("right", "0", "0.1") in table(place), done.output
    assert far.got.count("G21") == 2


def test_a_machine_without_its_travel_is_told_once_and_can_be_left(place, driven):
    (place / "machine.toml").write_text(MACHINE.replace("travel = { height_mm = 200.0 }\n", ""))
    done, _ = driven(["move", "s"])
    assert done.output.count("travel.height_mm") <= 2, done.output
    assert "Enter tries again" in done.output


def test_a_pulled_cable_keeps_what_was_read_and_ends(place, driven):
    done, _ = driven(["move", "", "0.0", "0.9"], faults={12: "unplug"})
    assert "Motion has stopped" in done.output, done.output
    assert "Plug it in again" in done.output
    assert table(place)[0][2] == "0"


def test_the_bytes_given_for_a_stop_go_to_the_controller_when_the_person_stops(driven):
    done, far = driven(["move", "", "0.0"], "--stop-bytes", r"HOLD\n")  # then the input ends
    assert "The input ended." in done.output, done.output
    assert far.got[-1] == "HOLD"


def test_without_them_a_stop_sends_nothing(driven):
    done, far = driven(["move", "", "0.0"])
    assert "The input ended." in done.output, done.output
    assert far.got[-1].startswith("G1 Z1")


def test_what_stands_for_no_bytes_is_told(place):
    done = capture(place, [], "--controller", "none", "--stop-bytes", "\N{POUND SIGN}")
    assert done.exit_code == 2
    assert "--stop-bytes" in done.output


def test_a_plan_is_not_written_over_a_filled_worksheet(place):
    folder = place / "evening"
    words = ["plan", str(place / "machine.toml"), "--minutes", "12", "--folder", str(folder)]
    assert CliRunner().invoke(main, words).exit_code == 0
    again = CliRunner().invoke(main, words)
    assert again.exit_code == 2
    assert "--force" in again.output
    assert CliRunner().invoke(main, [*words, "--force"]).exit_code == 0


def test_the_table_may_not_take_the_worksheets_place(place):
    sheet = place / "sheet.csv"
    words = ["capture", place / "machine.toml", sheet, "--to", sheet, "--shelf", place / "s.sqlite"]
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exit_code == 2
    assert sheet.read_text() == SHEET


def test_a_table_taken_in_two_sittings_is_read_by_every_command(place):
    capture(place, ["", "0.0", "0.62", "q"])
    capture(place, ["", "1.6", "", "0.0", "1.0"])
    done = CliRunner().invoke(
        main, ["analyse", str(place / "machine.toml"), str(place / "out.csv")]
    )
    assert done.exit_code == 0, done.output


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
