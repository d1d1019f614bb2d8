"""`plumbrise capture` as a person reads by hand: what is asked for, slips, and going on after a
break."""

from __future__ import annotations

import csv
import io
import re
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime, timedelta

import pytest
from click.testing import CliRunner

from plumbrise.cli import main

MACHINE = """format = 1
name = "Shed"
arrangement = "one-screw"
travel = { height_mm = 200.0 }
screw = { lead_mm = 8.0 }
gauge = { resolution_mm = 0.01 }
"""
STEPS = """run,test,station,seq,target_mm,reading_mm,approach
left,coarse-steps,gantry-left,0,0,,down
left,coarse-steps,gantry-left,1,1,,up
left,coarse-steps,gantry-left,2,2,,up
"""
TURN = """run,test,station,seq,target_mm,reading_mm,approach
left,reversal,gantry-left,0,20,,up
left,reversal,gantry-left,1,21,,up
left,reversal,gantry-left,2,21,,down
left,reversal,gantry-left,3,20,,down
"""
PULLS = """run,test,station,seq,target_mm,reading_mm,approach,force_n
left,dead-weight,gantry-left,0,20,,up,0
left,dead-weight,gantry-left,1,20,,up,5
left,dead-weight,gantry-left,2,20,,up,-5
left,dead-weight,gantry-left,3,20,,up,0
"""


@pytest.fixture
def place(tmp_path):
    (tmp_path / "machine.toml").write_text(MACHINE)
    (tmp_path / "sheet.csv").write_text(STEPS)
    return tmp_path


def words(place, *more):
    given = ["capture", place / "machine.toml", place / "sheet.csv", "--shelf", place / "s.sqlite"]
    return [str(word) for word in (*given, "--to", place / "out.csv", *more)]


def capture(place, typed, *more, sheet=""):
    if sheet:
        (place / "sheet.csv").write_text(sheet)
    done = CliRunner().invoke(main, words(place, *more), input="".join(f"{t}\n" for t in typed))
    assert done.exception is None or isinstance(done.exception, SystemExit), done.output
    return " ".join(done.output.split())


def table(place):
    """What was read."""
    rows = csv.DictReader(io.StringIO((place / "out.csv").read_text()))
    return [row for row in rows if row["reading_mm"]]


def values(place):
    return [row["reading_mm"] for row in table(place)]


def hours_ago(place, hours):
    """As if all that is kept had been kept so long ago."""
    then = datetime.now(UTC) - timedelta(hours=hours)
    with sqlite3.connect(place / "s.sqlite") as shelf:
        shelf.execute("UPDATE readings SET kept_at = ?", (then.isoformat(),))
    shelf.close()


def marks(place):
    with sqlite3.connect(place / "s.sqlite") as shelf:
        found = shelf.execute("SELECT what, words FROM marks").fetchall()
    shelf.close()
    return dict(found)


# --- what is asked for


def test_a_spring_balance_pulls_and_nothing_is_hung(place):
    told = capture(place, ["", "0.0", "0.05", "-0.05", "0.0"], sheet=PULLS)
    assert "spring balance, left end of the gantry" in told
    assert "dead weight" not in told
    assert "hung" not in told
    assert "told 20 mm, pulled up by 5 N" in told
    assert "told 20 mm, pulled down by 5 N" in told


def test_the_way_is_said_at_each_reading_and_the_overshoot_where_it_turns(place):
    told = capture(place, ["", "0.0", "0.8", "0.9", "0.1"], sheet=TURN)
    assert "Move it first to 23 mm, then to 14 mm, then up to 20 mm. 1/4 told 20 mm" in told
    assert "2/4 told 21 mm, coming up" in told
    assert "Move it first to 22 mm, then down to 21 mm. 3/4 told 21 mm, coming down" in told
    assert told.count("Move it") == 2


def test_the_way_is_said_once_however_often_a_line_is_typed(place):
    told = capture(place, ["", "abc", "abd", "q"], sheet=TURN)
    assert told.count("Move it") == 1


def test_no_line_is_wider_than_a_small_terminal(place):
    done = CliRunner().invoke(main, words(place, "--counts-down"), input="?\n\n?\nq\n")
    shown = re.sub(r"(ends\)|coming down): ", r"\1:\n", done.output)  # a person's Enter ends it
    lines = [line for line in shown.splitlines() if str(place) not in line]
    assert max(map(len, lines)) <= 78
    assert "  Enter     keep what is shown" in shown


# --- slips


def test_a_reading_typed_while_the_gauge_is_set_up_is_the_first_one(place):
    told = capture(place, ["0.0", "0.62", "q"])
    assert values(place) == ["0", "0.62"]
    assert "Nothing was done" not in told


def test_what_is_no_answer_to_a_set_up_does_not_tell_it_all_again(place):
    told = capture(place, ["perhaps", "", "q"])
    assert told.count("Nothing was done.") == 1
    assert told.count("1 of 1: coarse steps") == 1


def test_taking_back_forgets_what_was_typed_and_is_not_kept_yet(place):
    told = capture(place, ["", "0.0", "3.1", "u", "0.62", "q"])
    assert "What was said for this target is forgotten." in told
    assert values(place) == ["0", "0.62"]


def test_a_mended_value_that_is_far_off_waits_for_a_word(place):
    told = capture(place, ["", "0.0", "0.62", "m 2 4.9", "no", "m 2 0.61", "q"])
    assert "Reading 2 stays as it was." in told
    assert values(place) == ["0", "0.61"]
    assert "Reading 2 is now 4.90 mm." in capture(place, ["", "m 2 4.9", "", "q"])


def test_two_numbers_are_not_one(place):
    told = capture(place, ["", "0.0", "1 5", "q"])
    assert "'1 5' given" in told
    assert values(place) == ["0"]


# --- after a break


def test_a_set_up_that_is_gone_on_with_asks_whether_the_gauge_was_touched(place):
    capture(place, ["", "0.0", "0.62", "q"])
    hours_ago(place, 1)
    told = capture(place, ["", "1.6"])
    assert "2 readings of it stand, the last kept 60 min ago." in told
    assert "touched or moved since" in told
    assert values(place) == ["0", "0.62", "1.6"]
    assert "untouched" in marks(place)["gone on"]


def test_a_gauge_that_was_touched_reads_the_set_up_again_and_what_was_read_stays(place):
    capture(place, ["", "0.0", "0.62", "q"])
    capture(place, ["r", "", "0.1", "0.72", "1.7"])
    rows = [(row["run"], row["reading_mm"]) for row in table(place)]
    assert rows[:2] == [("left", "0"), ("left", "0.62")]
    assert [value for run, value in rows if run == "left again 1"] == ["0.1", "0.72", "1.7"]


def test_the_time_goes_on_through_the_break(place):
    capture(place, ["", "0.0", "q"])
    hours_ago(place, 2)
    capture(place, ["", "0.62", "q"])
    first, second = (float(row["time_s"]) for row in table(place))
    assert second - first == pytest.approx(7200, abs=60)


def test_the_temperature_holds_after_a_break(place):
    capture(place, ["", "t 21.5", "0.0", "q"])
    assert "The air is taken at 21.5 °C as before." in capture(place, ["", "0.62", "q"])
    assert [row["temp_c"] for row in table(place)] == ["21.5", "21.5"]


def test_a_gauge_said_late_to_count_down_asks_for_what_was_read_already(place):
    capture(place, ["", "0.0", "-0.62", "", "q"])
    told = capture(place, ["yes", "", "-1.61", "", "q"], "--counts-down")
    assert "yes turns them round" in told
    assert values(place) == ["0", "0.62", "1.61"]


def test_a_gauge_that_counted_down_does_so_in_the_set_ups_after_the_break(place):
    two = STEPS + STEPS.split("\n", 1)[1].replace("left", "right")
    capture(place, ["d", "", "0.0", "", "q"], sheet=two)
    capture(place, ["", "s", "", "0.0", "", "-0.62", "", "q"])
    assert values(place)[-1] == "0.62"


def test_the_table_is_up_to_date_when_the_program_is_killed(place):
    process = subprocess.Popen(
        [sys.executable, "-m", "plumbrise", *words(place)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )
    process.stdin.write(b"\n0.0\n0.62\n")
    process.stdin.flush()
    heard = ""
    while "3/3" not in heard:
        came = process.stdout.read1()
        assert came, heard
        heard += came.decode()
    process.kill()
    process.communicate()
    assert values(place) == ["0", "0.62"]
