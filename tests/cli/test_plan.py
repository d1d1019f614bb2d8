"""`plumbrise plan`: text, JSON, and a folder that can be taken to the machine."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from plumbrise.cli import main
from plumbrise.explain.symptoms import SYMPTOMS

MACHINE = """format = 1
name = "Heron"
arrangement = "one-screw"
travel = { height_mm = 200.0 }
screw = { lead_mm = 8.0 }
gauge = { resolution_mm = 0.01, range_mm = 12.0 }
"""


@pytest.fixture
def machine(tmp_path):
    path = tmp_path / "machine.toml"
    path.write_text(MACHINE)
    return path


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def test_the_plan_is_told_in_walking_order_with_cautions(machine):
    done = run("plan", machine, "--minutes", "30")
    assert done.exit_code == 0, done.output
    assert "1. Gauge check, solid block" in done.output
    assert "Local electrical and safety codes" in done.output
    assert "alling gantry" in done.output


def test_the_folder_holds_plan_and_worksheets_that_read_back(machine, tmp_path):
    folder = tmp_path / "evening"
    assert run("plan", machine, "--minutes", "30", "--folder", folder).exit_code == 0
    assert (folder / "plan.pdf").read_bytes().startswith(b"%PDF")
    sheet = folder / "worksheet.csv"
    lines = sheet.read_text().splitlines()
    header = lines[0].split(",")
    filled = [lines[0]]
    for line in lines[1:12]:  # the gauge check alone is filled in, the rest stays blank
        cells = line.split(",")
        cells[header.index("reading_mm")] = cells[header.index("target_mm")]
        filled.append(",".join(cells))
    sheet.write_text("\n".join(filled + lines[12:]) + "\n")
    done = run("analyse", machine, sheet, "--json")
    assert done.exit_code == 0, done.output
    assert json.loads(done.output)["runs"][0]["test"] == "gauge-check"


def test_the_workbook_holds_the_same_targets(machine, tmp_path):
    from openpyxl import load_workbook

    folder = tmp_path / "evening"
    run("plan", machine, "--minutes", "20", "--folder", folder)
    sheet = load_workbook(folder / "worksheet.xlsx").active
    rows = list(sheet.iter_rows(values_only=True))
    lines = (folder / "worksheet.csv").read_text().splitlines()
    assert len(rows) == len(lines)
    place = rows[0].index("target_mm")
    told = [float(line.split(",")[4]) for line in lines[1:]]
    assert [row[place] for row in rows[1:]] == told
    assert rows[0].index("reading_mm") >= 0
    assert all(row[rows[0].index("reading_mm")] is None for row in rows[1:])


def test_json_holds_every_target(machine):
    done = run("plan", machine, "--minutes", "20", "--json")
    made = json.loads(done.output)
    assert made["minutes"] <= 20
    assert all(one["readings"] for one in made["set_ups"])


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--minutes", "2"), "5 to 600"),
        (("--symptom", "wobbles"), "one-side-low"),
        (("--resolution", "7"), "0.0001 to 0.1 mm"),
    ],
)
def test_what_cannot_be_is_told_with_what_may(machine, words, told):
    done = run("plan", machine, *words)
    assert done.exit_code == 2
    assert told in done.output


def test_the_gauge_that_a_plan_is_for_heads_its_worksheets(machine, tmp_path):
    from plumbrise.files.plan import at_hand_of
    from plumbrise.measure.at_hand import AtHand

    folder = tmp_path / "evening"
    words = ("--resolution", "0.001", "--stroke", "5", "--gauges", "2")
    assert run("plan", machine, "--minutes", "20", "--folder", folder, *words).exit_code == 0
    given = AtHand(resolution_mm=0.001, stroke_mm=5.0, at_once=2)
    for name in ("worksheet.csv", "worksheet.xlsx"):
        sheet = folder / name
        assert at_hand_of(sheet.read_bytes(), name=name) == given


def test_a_worksheet_headed_by_a_gauge_is_read_by_every_command(machine, tmp_path):
    folder = tmp_path / "evening"
    run("plan", machine, "--minutes", "20", "--folder", folder, "--resolution", "0.001")
    sheet = folder / "worksheet.csv"
    head, titles, *lines = sheet.read_text().splitlines()
    column = titles.split(",").index("reading_mm")
    filled = [
        [*cells[:column], cells[4], *cells[column + 1 :]] for cells in (x.split(",") for x in lines)
    ]
    rows = [head, titles, *(",".join(cells) for cells in filled)]
    sheet.write_text("\n".join(rows) + "\n")
    done = run("analyse", machine, sheet)
    assert done.exit_code == 0, done.output
    assert "above the header" not in done.output


def test_the_plan_says_what_two_gauges_read_together(tmp_path):
    path = tmp_path / "two.toml"
    path.write_text(MACHINE.replace("one-screw", "two-screw"))
    words = ("plan", path, "--minutes", "90", "--gauges", "2")
    made = json.loads(run(*words, "--json").output)
    pairs = {one["run"]: one["read_with"] for one in made["set_ups"] if one["read_with"]}
    assert pairs
    assert all(pairs[other] == one for one, other in pairs.items())
    names = [one["run"] for one in made["set_ups"]]
    for one, other in pairs.items():
        assert abs(names.index(one) - names.index(other)) == 1  # one after the other in the walk
    folder = tmp_path / "evening"
    told = " ".join(run(*words, "--folder", folder).output.split())
    assert told.count("Read together with set-up") == len(pairs) // 2
    assert told.count("read together with set-up") == len(pairs) // 2
    moved = [path.name for path in folder.glob("*.gcode")]
    assert len(moved) == len([one for one in names if "gauge-check" not in one]) - len(pairs) // 2
    assert not any(
        one["read_with"] for one in json.loads(run(*words[:-1], "1", "--json").output)["set_ups"]
    )


def test_the_help_names_every_symptom():
    words = " ".join(run("plan", "--help").output.split())
    assert all(symptom in words for symptom in SYMPTOMS)


def test_readings_taken_before_shorten_the_plan(machine, tmp_path):
    table = tmp_path / "readings.csv"
    rows = ["run,test,station,seq,target_mm,reading_mm,approach"]
    rows += [f"a,coarse-steps,gantry-left,{i},{i},{max(0, i - 0.3):.2f},up" for i in range(9)]
    table.write_text("\n".join(rows) + "\n")
    made = json.loads(run("plan", machine, table, "--minutes", "30", "--json").output)
    pairs = {(one["test"], one["station"]) for one in made["set_ups"]}
    assert ("coarse-steps", "gantry-left") not in pairs


def test_numbers_may_have_a_decimal_comma(machine):
    words = ("plan", machine, "--minutes", "20,5", "--resolution", "0,01", "--json")
    done = run(*words)
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout)["gauge"]["resolution_mm"] == 0.01
    assert "0.01 or 0,01" in run("plan", machine, "--minutes", "soon").output


def test_a_stroke_that_nobody_gave_is_said_and_keeps_long_tests_out(tmp_path):
    bare = tmp_path / "bare.toml"
    bare.write_text(MACHINE.replace(", range_mm = 12.0", ""))
    told = " ".join(run("plan", bare, "--minutes", "60").output.split())
    assert "10 mm is taken, as a common dial has it" in told
    assert "Full travel and one turn would need more" in told
    tests = {
        one["test"]
        for one in json.loads(run("plan", bare, "--minutes", "240", "--json").stdout)["set_ups"]
    }
    assert not tests & {"full-travel", "one-turn"}


def test_the_minutes_of_a_plan_are_those_of_its_programs(machine, tmp_path):
    folder = tmp_path / "evening"
    assert run("plan", machine, "--minutes", "40", "--folder", folder).exit_code == 0
    made = json.loads(run("plan", machine, "--minutes", "40", "--json").stdout)
    for number, one in enumerate(made["set_ups"], start=1):
        if one["test"] == "gauge-check":
            continue
        (program,) = folder.glob(f"{number:02}-*.gcode")
        assert f"Takes about {one['minutes']:.0f} min" in program.read_text()


def test_the_gauge_is_set_anew_for_each_set_up_and_looks_with_it_come_last(machine):
    told = " ".join(run("plan", machine, "--minutes", "90", "--symptom", "binds").output.split())
    assert "The stand stays. The axis waits at" in told
    assert told.index("First, without the gauge") < told.index("1. Gauge check")
    first = told[told.index("First, without the gauge") : told.index("1. Gauge check")]
    assert "gauge stands" not in first
    assert "Rest the tip" not in first
