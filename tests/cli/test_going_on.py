"""`plumbrise capture` given again: another machine file, filled rows, a new series, another window."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
import time
from datetime import UTC, datetime

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook

from plumbrise.cli import main
from plumbrise.cli.hearing import Hearing
from plumbrise.store import Shelf
from plumbrise.store.sitters import Overtaken
from plumbrise.web.captures import Captures

MACHINE = """format = 1
name = "Shed"
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
HALF = SHEET.replace("0,0,,down", "0,0,0.0,down", 1).replace("1,1,,up", "1,1,0.62,up", 1)


@pytest.fixture
def place(tmp_path):
    (tmp_path / "machine.toml").write_text(MACHINE)
    (tmp_path / "sheet.csv").write_text(SHEET)
    return tmp_path


def words(place, *more):
    given = ["capture", place / "machine.toml", place / "sheet.csv", "--shelf", place / "s.sqlite"]
    return [str(word) for word in (*given, "--to", place / "out.csv", *more)]


def capture(place, typed, *more):
    return CliRunner().invoke(main, words(place, *more), input="".join(f"{t}\n" for t in typed))


def table(place):
    rows = csv.DictReader(io.StringIO((place / "out.csv").read_text()))
    return [(r["run"], r["reading_mm"]) for r in rows]


def shelf(place, *more):
    given = ["shelf", *map(str, more), "--shelf", str(place / "s.sqlite"), "--json"]
    done = CliRunner().invoke(main, given)
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)


def opened(place):
    return Shelf.open(place / "s.sqlite", now=lambda: datetime.now(UTC))


def test_a_comment_in_the_machine_file_asks_nothing_anew(place):
    capture(place, ["", "0.0", "0.62", "q"])
    (place / "machine.toml").write_text("# seen on Sunday\n" + MACHINE)
    done = capture(place, ["", "1.6", "", "0.0", "1.0"])
    assert "Going on: 3 readings are still asked for." in done.output
    assert done.exit_code == 0, done.output
    assert [value for _, value in table(place)] == ["0", "0.62", "1.6", "0", "1"]


def test_another_gauge_is_said_and_gone_on_with_by_a_word(place):
    capture(place, ["", "0.0", "0.62", "q"])
    (place / "machine.toml").write_text(MACHINE.replace("0.01", "0.001"))
    done = capture(place, ["", "perhaps", "on", "", "1.61", "s", "s"])
    assert "begun with Shed described otherwise" in done.output, done.output
    assert "gauge.resolution_mm was 0.01, is 0.001" in done.output
    assert "2 readings stand" in done.output
    assert [value for _, value in table(place)] == ["0", "0.62", "1.61"]
    assert len(shelf(place, "list")["machines"]) == 1


def test_anew_leaves_what_was_read_where_it_is(place):
    capture(place, ["", "0.0", "0.62", "q"])
    (place / "machine.toml").write_text(MACHINE.replace("0.01", "0.001"))
    done = capture(place, ["anew", "", "0.001", "q"])
    assert "Going on" not in done.output
    machines = shelf(place, "list")["machines"]
    assert [machine["readings"] for machine in machines] == [2, 1]


@pytest.mark.parametrize("typed", [["q"], []], ids=["q", "end of input"])
def test_who_wants_neither_changes_nothing(place, typed):
    capture(place, ["", "0.0", "q"])
    before = shelf(place, "list")
    (place / "machine.toml").write_text(MACHINE.replace("0.01", "0.001"))
    done = capture(place, typed)
    assert done.exit_code == 1
    assert "Nothing was begun." in done.output
    assert shelf(place, "list") == before


def test_filled_rows_go_on_the_shelf_and_only_blanks_are_asked_for(place):
    (place / "sheet.csv").write_text(HALF)
    done = capture(place, ["", "1.6", "", "0.0", "1.0"])
    assert "2 readings of sheet.csv were put on the shelf." in done.output
    assert done.exit_code == 0, done.output
    assert [value for _, value in table(place)] == ["0", "0.62", "1.6", "0", "1"]
    (machine,) = shelf(place, "list")["machines"]
    assert (machine["readings"], len(machine["runs"])) == (5, 2)


def test_a_sheet_filled_in_on_the_way_brings_only_what_is_new(place):
    capture(place, ["", "0.0", "q"])
    (place / "sheet.csv").write_text(HALF)
    done = capture(place, ["q"])
    assert "1 readings of sheet.csv were put on the shelf." in done.output
    assert "Going on: 3 readings" in done.output
    assert "put on the shelf" not in capture(place, ["q"]).output


def test_a_value_that_differs_from_what_stands_is_said_and_marked(place):
    capture(place, ["", "0.1", "q"])
    (place / "sheet.csv").write_text(HALF)
    done = capture(place, ["q"])
    assert "Reading 1 of left stands as 0.1 mm; the worksheet's, 0 mm, is marked" in done.output
    marks = [m["words"] for m in shelf(place, "list")["machines"][0]["runs"][0]["marks"]]
    assert "reading 1: 0 mm" in marks


def test_a_half_filled_workbook_is_gone_on_with(place):
    made = ["plan", str(place / "machine.toml"), "--minutes", "12", "--folder", str(place / "e")]
    assert CliRunner().invoke(main, made).exit_code == 0
    book = load_workbook(place / "e" / "worksheet.xlsx")
    sheet = book.worksheets[0]
    titles = [cell.value for cell in sheet[1]]
    for row in (2, 3):
        sheet.cell(row, titles.index("reading_mm") + 1, 0.01 * row)
    book.save(place / "e" / "worksheet.xlsx")
    given = words(place)
    given[2] = str(place / "e" / "worksheet.xlsx")
    done = CliRunner().invoke(main, given, input="q\n")
    assert "2 readings of worksheet.xlsx were put on the shelf." in done.output, done.output
    given[2] = str(place / "e" / "worksheet.csv")  # the same plan, on paper and as text
    done = CliRunner().invoke(main, given, input="q\n")
    assert "Going on" in done.output
    assert len(table(place)) >= 2


def test_an_imported_half_filled_worksheet_is_gone_on_with(place):
    (place / "sheet.csv").write_text(HALF)
    made = shelf(place, "import", place / "machine.toml", place / "sheet.csv")
    assert (made["readings"], made["blanks"]) == (2, 3)
    done = capture(place, ["", "1.6", "", "0.0", "1.0"])
    assert "Going on: 3 readings are still asked for." in done.output
    assert done.exit_code == 0, done.output
    assert [value for _, value in table(place)] == ["0", "0.62", "1.6", "0", "1"]
    (machine,) = shelf(place, "list")["machines"]
    assert (machine["readings"], len(machine["runs"])) == (5, 2)


def test_what_was_read_on_another_computer_is_gone_on_with_here(place, tmp_path):
    capture(place, ["", "0.0", "0.62", "q"])
    shelf(place, "export", 1, place / "taken")
    other = ["--shelf", str(tmp_path / "other.sqlite")]
    files = [str(place / "taken" / name) for name in ("machine.toml", "readings.csv")]
    assert CliRunner().invoke(main, ["shelf", "import", *files, *other]).exit_code == 0
    given = [*words(place), *other]
    asked = CliRunner().invoke(main, given, input="q\n")
    assert "2 readings of set-ups like these, put there from readings.csv" in asked.output
    done = CliRunner().invoke(main, given, input="on\n\n1.6\n\n0.0\n1.0\n")
    assert done.exit_code == 0, done.output
    assert [value for _, value in table(place)] == ["0", "0.62", "1.6", "0", "1"]
    assert "Nothing is left" in CliRunner().invoke(main, given).output


def test_readings_that_came_as_a_table_may_be_left_for_a_series_of_its_own(place):
    capture(place, ["", "0.0", "0.62", "q"])
    shelf(place, "export", 1, place / "taken")
    (place / "s.sqlite").unlink()
    shelf(place, "import", place / "taken" / "machine.toml", place / "taken" / "readings.csv")
    done = capture(place, ["anew", "", "0.01", "q"])
    assert "Going on" not in done.output
    assert [value for _, value in table(place) if value] == ["0.01"]


def test_a_finished_worksheet_says_how_to_read_it_anew(place):
    capture(place, ["", "0.0", "0.62", "1.6", "", "0.0", "1.0"])
    done = capture(place, [])
    assert "--anew" in done.output
    done = capture(place, ["", "0.01", "q"], "--anew")
    assert "A series of its own is begun." in done.output
    done = capture(place, ["", "0.63", "1.61", "", "0.0", "1.01"])
    assert "Going on: 4 readings are still asked for." in done.output
    assert done.exit_code == 0, done.output
    (machine,) = shelf(place, "list")["machines"]
    assert machine["readings"] == 10
    assert [run["name"] for run in machine["runs"]] == ["left", "right", "left 2", "right 2"]


def test_a_filled_worksheet_is_first_kept_and_then_read_anew(place):
    (place / "sheet.csv").write_text(HALF)
    done = capture(place, ["", "0.01", "q"], "--anew")
    assert "2 readings of sheet.csv were put on the shelf." in done.output
    assert [run["readings"] for run in shelf(place, "list")["machines"][0]["runs"]] == [2, 1]
    assert "Going on: 4 readings" in capture(place, ["q"]).output


class Window:
    """The command in another process, typed at line by line."""

    def __init__(self, place):
        self.process = subprocess.Popen(
            [sys.executable, "-m", "plumbrise", *words(place)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        self.heard = ""

    def says(self, words):
        """Read on until it says this."""
        until = time.monotonic() + 60
        while words not in self.heard:
            assert time.monotonic() < until, self.heard
            came = self.process.stdout.read1()
            assert came, self.heard
            self.heard += came.decode()
        self.heard = self.heard.partition(words)[2]

    def type(self, words):
        self.process.stdin.write(f"{words}\n".encode())
        self.process.stdin.flush()


@pytest.fixture
def windows(place):
    made = []

    def opens():
        made.append(Window(place))
        made[-1].says("Enter when the gauge stands")
        return made[-1]

    yield opens
    for one in made:
        one.process.kill()
        one.process.communicate()


def test_two_windows_at_one_worksheet_lose_and_double_nothing(place, windows):
    one = windows()
    one.type("")
    one.says("1/3")
    other = windows()
    other.type("")
    other.says("1/3")
    one.type("0.0")
    one.says("2/3")
    other.type("0.05")  # typed for the reading that the other window has kept meanwhile
    other.says("Reading 1 of left stands as 0 mm; yours, 0.05 mm, is marked beside it.")
    other.says("2/3")
    other.type("0.62")
    other.says("3/3")
    one.type("u")  # something else is the last by now
    one.says("Nothing was done here")
    one.says("3/3")
    one.type("1.6")
    one.says("Enter when the gauge stands")
    for window in (one, other):
        window.process.communicate(timeout=60)  # the end of input ends it
    (machine,) = shelf(place, "list")["machines"]
    assert [run["readings"] for run in machine["runs"]] == [3]
    assert capture(place, ["q"]).exit_code == 1
    assert table(place) == [("left", "0"), ("left", "0.62"), ("left", "1.6")]


def test_a_window_kept_meanwhile_says_so_before_it_asks(place, windows):
    one, other = windows(), windows()
    other.type("")
    other.says("1/3")
    other.type("0.0")
    other.says("2/3")
    one.type("")
    one.says("gone on with in another window or on the page")
    one.says("2/3")


def keep(reading, text):
    return {"do": "keep", "at": ["left", reading], "token": f"token-{reading}-{text}", "text": text}


def test_a_value_for_a_set_up_that_was_taken_back_on_the_page_is_told_and_kept_nowhere(place):
    capture(place, ["", "0.0", "r", "q"])
    with opened(place) as here, opened(place) as there:
        page, sitting = of_plan(there), of_plan(here).sitting
        asks, said = sitting.session.asks, []
        assert sitting.session.runs[asks.run].name == "left again 1"

        def typed(_):
            assert page.do({"do": "undo", "of": page.undoes()["of"]}).said == "done"
            return "0.5"

        hearing = Hearing(sitting, (), 1, typed, said.append)
        with pytest.raises(Overtaken):
            hearing.hear(asks)
        assert (hearing.shown, hearing.held, said) == ({}, {}, [])
        assert sitting.session.runs[sitting.session.asks.run].name == "left"
        assert [k.reading.reading_mm for run in here.runs() for k in here.kept(run.id)] == [0.0]


def of_plan(shelf):
    """The one plan on a shelf, as a page has it."""
    return Captures(lambda: datetime.now(UTC)).of(shelf, 1, 1)


def test_the_page_and_the_terminal_see_what_each_other_kept(place):
    """One plan, on the page's bench that stays open and in commands beside it."""
    capture(place, ["q"])
    with opened(place) as bench:
        captures = Captures(lambda: datetime.now(UTC))
        (machine,) = bench.machines()
        (plan,) = bench.plans(machine.id)
        page = captures.of(bench, machine.id, plan.id)
        assert page.do(keep(0, "0.0")).said == "done"
        done = capture(place, ["", "0.62", "q"])
        assert "Going on: 4 readings" in done.output
        answer = page.do(keep(1, "0.7"))  # the page has not seen it, and typed its own
        assert answer.said == "elsewhere"
        assert "stands as 0.62 mm" in answer.words
        version = page.version
        capture(place, ["u", "", "0.63", "q"])
        assert captures.of(bench, machine.id, plan.id).version > version
        assert page.sitting.session.runs[0].readings[1].reading_mm == 0.63
        assert page.do(keep(2, "1.6")).said == "done"
    capture(place, ["q"])
    assert table(place) == [("left", "0"), ("left", "0.63"), ("left", "1.6")]
