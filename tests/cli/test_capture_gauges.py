"""`plumbrise capture` with a gauge that counts down, with the gauge of the plan, and with two."""

from __future__ import annotations

import csv
import io
import json

import pytest
from click.testing import CliRunner

from plumbrise.cli import main

MACHINE = """format = 1
arrangement = "two-screw"
travel = { height_mm = 200.0 }
screw = { lead_mm = 8.0 }
gauge = { resolution_mm = 0.01 }
"""
HEAD = "run,test,station,seq,target_mm,reading_mm,approach\n"
STEPS = ((0, "down"), (1, "up"), (2, "up"))


def sheet_of(*stations):
    rows = [
        f"{station},coarse-steps,gantry-{station},{i},{target},,{way}"
        for station in stations
        for i, (target, way) in enumerate(STEPS)
    ]
    return HEAD + "\n".join(rows) + "\n"


@pytest.fixture
def place(tmp_path):
    (tmp_path / "machine.toml").write_text(MACHINE)
    (tmp_path / "sheet.csv").write_text(sheet_of("left", "right"))
    return tmp_path


def capture(place, typed, *more):
    words = ["capture", place / "machine.toml", place / "sheet.csv", "--shelf", place / "s.sqlite"]
    words += ["--to", place / "out.csv", *more]
    return CliRunner().invoke(main, [str(w) for w in words], input="\n".join(typed) + "\n")


def unfolded(done):
    """What was said, whatever the width it was folded to."""
    return " ".join(done.output.split())


def table(place):
    """Run and value of all that was read."""
    rows = list(csv.DictReader(io.StringIO((place / "out.csv").read_text())))
    return [(r["run"], r["reading_mm"]) for r in rows if r["reading_mm"]]


def values(place, run):
    return [value for name, value in table(place) if name == run]


def shelved(place, run):
    """What the shelf tells of a run."""
    words = ["shelf", "list", "1", "--json", "--shelf", str(place / "s.sqlite")]
    shown = CliRunner().invoke(main, words)
    assert shown.exit_code == 0, shown.output
    return next(
        one for one in json.loads(shown.stdout)["machines"][0]["runs"] if one["name"] == run
    )


# --- a gauge that counts down


def test_a_dial_that_counts_down_is_said_at_the_set_up_and_kept_positive_upwards(place):
    done = capture(place, ["d", "", "0.00", "", "38", "", "-1.61", "", "q"])
    assert "Its figure is taken to rise when what the tip rests on rises." in done.output
    assert "what is kept is turned round" in unfolded(done)
    assert "[0.62 mm, Enter keeps]" in done.output  # shown before it is kept
    assert "[1.61 mm, Enter keeps]" in done.output
    assert values(place, "left") == ["0", "0.62", "1.61"]


def test_the_option_says_it_for_every_set_up(place):
    typed = ["", "0.00", "", "-0.62", "", "-1.61", ""]
    done = capture(place, [*typed, *typed], "--counts-down")
    assert done.exit_code == 0, done.output
    assert [value for _, value in table(place)] == ["0", "0.62", "1.61"] * 2


def test_what_was_said_of_a_gauge_holds_for_the_set_ups_that_follow(place):
    typed = ["0.00", "", "-0.62", "", "-1.61", ""]
    done = capture(place, ["d", "", *typed, "", *typed])
    assert done.exit_code == 0, done.output
    assert values(place, "right") == ["0", "0.62", "1.61"]


def test_said_late_it_turns_round_what_was_read_in_this_set_up(place):
    done = capture(place, ["", "5.00", "4.38", "", "d", "3.39", "", "q"])
    assert "2 readings of this set-up are turned round with it." in done.output
    assert values(place, "left") == ["-5", "-4.38", "-3.39"]


def test_it_is_on_the_shelf_and_holds_when_the_same_command_goes_on(place):
    capture(place, ["d", "", "0.00", "", "-0.62", "", "q"])
    marks = shelved(place, "left")["marks"]
    assert [m["words"].split(",")[0] for m in marks if m["what"] == "counts"] == ["down"]
    done = capture(place, ["", "39", "", "q"])
    assert "what is kept is turned round" in unfolded(done)
    assert values(place, "left") == ["0", "0.62", "1.61"]


def test_said_twice_it_counts_up_again(place):
    capture(place, ["d", "d", "", "0.00", "d", "d", "0.62", "q"])
    assert values(place, "left") == ["0", "0.62"]
    assert not [m for m in shelved(place, "left")["marks"] if m["what"] == "counts"][2:]


def test_the_value_of_an_indicator_is_turned_round_too(place, stand_ins):
    far = stand_ins.StandInIndicator(show=-0.62)
    try:
        done = capture(
            place, ["d", "", "", "", "q"], "--indicator", far.name, "--line", "{value:3} {unit}"
        )
    finally:
        far.close()
    assert "[0.62 mm, Enter keeps]" in done.output, done.output
    assert values(place, "left") == ["0.62"]


# --- the gauge that the plan was made for


def test_the_gauge_of_the_plan_is_used_and_stored(place):
    sheet = "gauge at hand,resolution_mm=0.001,stroke_mm=1.2\n" + sheet_of("left")
    (place / "sheet.csv").write_text(sheet)
    done = capture(place, ["", "0.000", "0.621", "1.615", "", "q"])
    assert "0.621 mm kept" in done.output
    assert "the plunger goes 1.2 mm" in done.output
    assert values(place, "left") == ["0", "0.621", "1.615"]
    assert shelved(place, "left")["gauge"]["resolution_mm"] == 0.001


def test_a_line_of_the_gauge_that_cannot_be_read_is_told(place):
    (place / "sheet.csv").write_text("gauge at hand,colour=red\n" + sheet_of("left"))
    done = capture(place, [])
    assert done.exit_code == 2
    assert "colour=red" in done.output


def test_a_plan_for_a_gauge_is_captured_with_it(place):
    folder = place / "evening"
    words = ["plan", place / "machine.toml", "--minutes", "12", "--folder", folder]
    words += ["--resolution", "0.001"]
    assert CliRunner().invoke(main, [str(w) for w in words]).exit_code == 0
    (folder / "worksheet.csv").rename(place / "sheet.csv")
    done = capture(place, ["", "0.123", "q"])
    assert "0.123 mm kept" in done.output, done.output


# --- two gauges


def test_two_gauges_are_read_at_each_target_and_kept_in_two_runs(place):
    typed = ["", "0.00", "0.00", "0.62", "0.55", "61", "", "54", ""]
    done = capture(place, typed, "--gauges", "2")
    assert done.exit_code == 0, done.output
    assert "left end of the gantry and right end of the gantry, 3 readings" in unfolded(done)
    assert values(place, "left") == ["0", "0.62", "1.61"]
    assert values(place, "right") == ["0", "0.55", "1.54"]


def test_both_are_taken_back_together(place):
    done = capture(place, ["", "0.00", "0.00", "0.62", "0.99", "u", "q"], "--gauges", "2")
    assert done.output.count("taken back.") == 2
    assert table(place) == [("left", "0"), ("right", "0")]


def test_both_are_taken_back_together_in_another_sitting(place):
    capture(place, ["", "0.00", "0.00", "0.62", "0.55", "q"], "--gauges", "2")
    done = capture(place, ["", "u", "0.60", "0.50", "q"], "--gauges", "2")
    assert done.output.count("taken back.") == 2
    assert (values(place, "left"), values(place, "right")) == (["0", "0.6"], ["0", "0.5"])


def test_until_the_second_is_said_neither_is_kept(place):
    done = capture(place, ["", "0.00", "u", "0.01", "0.02", "0.62", "q"], "--gauges", "2")
    assert "forgotten" in done.output
    assert table(place) == [("left", "0.01"), ("right", "0.02")]


def test_one_of_two_may_have_no_reading(place):
    capture(place, ["", "0.00", "0.00", "x", "0.55", "1.6", "x", "q"], "--gauges", "2")
    assert values(place, "left") == ["0", "1.6"]
    assert values(place, "right") == ["0", "0.55"]


def test_both_set_ups_are_done_again_or_left_together(place):
    typed = ["", "0.00", "0.00", "r", "", "0.01", "0.02", "s"]
    done = capture(place, typed, "--gauges", "2")
    assert done.exit_code == 0, done.output
    assert table(place) == [
        ("left", "0"),
        ("left again 1", "0.01"),
        ("right", "0"),
        ("right again 1", "0.02"),
    ]


def test_two_indicators_are_taken_together(place, stand_ins):
    far = [stand_ins.StandInIndicator(show=show) for show in (0.25, 0.125)]
    ports = [word for one in far for word in ("--indicator", one.name)]
    try:
        done = capture(
            place,
            ["", "", "", "q"],
            *ports,
            "--line",
            "{value:3} {unit}",
            "--gauge",
            "A",
            "--gauge",
            "B",
        )
    finally:
        for one in far:
            one.close()
    both = "left end of the gantry and right end of the gantry [0.25 mm and 0.12 mm, Enter keeps]"
    assert both in unfolded(done), done.output
    assert table(place) == [("left", "0.25"), ("right", "0.125")]
    assert [shelved(place, run)["gauge"]["serial"] for run in ("left", "right")] == ["A", "B"]


def test_one_indicator_and_a_dial_read_together(place, stand_ins):
    far = stand_ins.StandInIndicator(show=0.25)
    try:
        done = capture(
            place,
            ["", "", "", "0.13", "q"],
            *("--indicator", far.name, "--line", "{value:3} {unit}", "--gauges", "2"),
        )
    finally:
        far.close()
    assert table(place) == [("left", "0.25"), ("right", "0.13")], done.output
    assert [shelved(place, run)["source"] for run in ("left", "right")] == ["indicator", "keyboard"]


def test_one_indicator_that_falls_silent_does_not_cost_the_value_of_the_other(
    place, stand_ins, quick
):
    far = stand_ins.StandInIndicator(show=0.25)
    quiet = stand_ins.StandInIndicator(show=0.5, spoil=lambda *_: None)
    ports = ("--indicator", far.name, "--indicator", quiet.name)
    try:
        done = capture(place, ["", "", "", "0.13", "q"], *ports, "--line", "{value:3} {unit}")
    finally:
        far.close()
        quiet.close()
    assert "right end of the gantry: No line for" in done.output, done.output
    assert table(place) == [("left", "0.25"), ("right", "0.13")]


def test_a_second_gauge_reads_where_the_plan_has_no_pair(place):
    (place / "sheet.csv").write_text(sheet_of("left"))
    done = capture(place, ["", "0.00", "0.00", "q"], "--second", "gantry-right")
    assert table(place) == [("left", "0"), ("coarse-steps at gantry-right", "0")], done.output


def test_a_second_station_that_is_none_is_told(place):
    done = capture(place, [], "--second", "attic")
    assert done.exit_code == 2
    assert "gantry-right" in done.output


def test_a_second_dial_may_count_the_other_way(place):
    done = capture(
        place, ["d 2", "", "0.00", "0.00", "", "0.62", "-0.55", "", "q"], "--gauges", "2"
    )
    assert "right end of the gantry: Its figure falls" in done.output
    assert values(place, "left") == ["0", "0.62"]
    assert values(place, "right") == ["0", "0.55"]


def test_a_worksheet_for_two_gauges_is_read_with_two(place):
    (place / "sheet.csv").write_text("gauge at hand,at_once=2\n" + sheet_of("left", "right"))
    capture(place, ["", "0.00", "0.01", "q"])
    assert table(place) == [("left", "0"), ("right", "0.01")]


def test_driven_to_each_target_both_are_taken_and_an_alarm_breaks_both_off(place, stand_ins, quick):
    far = [stand_ins.StandInIndicator(show=show) for show in (0.25, 0.125)]
    mover = stand_ins.StandInController(queue=0, slow=0.02, faults={13: "alarm"})
    ports = [word for one in far for word in ("--indicator", one.name)]
    try:
        done = capture(
            place,
            ["move", "", "", "", "q"],
            *(*ports, "--line", "{value:3} {unit}", "--controller", mover.name),
        )
    finally:
        for one in (*far, mover):
            one.close()
    assert "reports an alarm" in done.output, done.output
    assert ("left", "0.25") in table(place)
    assert ("right", "0.125") in table(place)
    names = [
        run["run"]
        for run in json.loads(capture(place, ["q"], "--gauges", "2", "--json").stdout)["runs"]
    ]
    assert names == ["left", "left again 1", "right", "right again 1"]
