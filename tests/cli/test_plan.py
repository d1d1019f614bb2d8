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
    told = run(*words).output
    assert told.count("Read together") == len(pairs) // 2
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
