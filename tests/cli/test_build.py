"""`plumbrise build` as a person runs it."""

import json
import re

import jsonschema
import pytest
from click.testing import CliRunner

from plumbrise.cli import main
from plumbrise.files import schema

MACHINE = """format = 1
name = "Shed printer"
arrangement = "one-screw"
travel = { height_mm = 250 }
screw = { lead_mm = 8, starts = 4, diameter_mm = 8, length_mm = 330 }
controller = { dwell_unit = "milliseconds", stop_waits = true, home = "down" }
"""
SENTENCE = "I measured every wire myself today"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "machine.toml").write_text(MACHINE, encoding="utf-8")
    _chose(tmp_path, "clean-screw")
    for verdict in ("go", "no-go"):
        text = json.dumps({"version": 1, "verdict": verdict})
        (tmp_path / f"{verdict}.json").write_text(text, encoding="utf-8")
    return tmp_path


def _chose(folder, *changes):
    chosen = {"version": 1, "chosen": {"changes": changes}}
    (folder / "proposal.json").write_text(json.dumps(chosen), encoding="utf-8")


def _ran(folder, *options, kept=True):
    files = [str(folder / "machine.toml"), str(folder / "proposal.json")]
    progress = ["--progress", str(folder / "work.json")] if kept else []
    return CliRunner().invoke(main, ["build", *files, *progress, *options], prog_name="plumbrise")


def _up_to(folder, stop):
    """Everything before a step, entered in one go with values that are within their limits."""
    steps = json.loads(_ran(folder, "--json").output)["steps"]
    done = []
    for step in steps:
        if step["step"] == stop:
            break
        accept = step["accept"]
        value = "done"
        if accept is not None:
            low, high = accept["low"], accept["high"]
            value = low if high is None else high if low is None else (low + high) / 2
        if step["step"] == "wiring-go":
            done += ["--wiring", str(folder / "go.json")]
        else:
            done += ["--done", f"{step['step']}={value}"]
    return done


def test_the_whole_order_is_told_with_limits_cautions_and_scope(folder):
    done = _ran(folder, kept=False)
    assert done.exit_code == 0, done.output
    for words in (
        "Work order for Shed printer",
        "Blocks under the moving part, left",
        "Accept: gap between block and moving part, by feeler, 0 to 1 mm",
        "Otherwise: Shim the block.",
        "Power stays shut",
        "Falling gantry or bed:",
        "Not in this order: anything on mains",
        "Local electrical and safety codes",
    ):
        assert words in " ".join(done.output.split())
    assert not (folder / "work.json").exists()


def test_json_is_what_its_schema_says_and_is_what_is_kept(folder):
    done = _ran(folder, "--json", "--done", "read-before=kept in before.csv")
    made = json.loads(done.output)
    jsonschema.validate(made, schema("work-order"))
    assert made == json.loads((folder / "work.json").read_text(encoding="utf-8"))
    assert made["entries"][0]["words"] == "kept in before.csv"


def test_work_is_left_and_taken_up_another_day(folder):
    first = _ran(folder, "--done", "read-before=kept", "--done", "write-down=kept")
    assert "Write the settings down: kept, done." in first.output
    again = _ran(folder)
    assert again.exit_code == 0
    assert "2 of" in again.output
    assert "[x] 1. Take the readings before" in again.output


def test_a_value_outside_its_limit_is_status_1_and_says_what_to_do(folder):
    done = _ran(folder, *_up_to(folder, "blocks-left"), "--done", "blocks-left=5")
    assert done.exit_code == 1
    assert "not done" in done.output
    assert "Shim the block." in done.output
    assert json.loads((folder / "work.json").read_text())["entries"][-1]["holds"] is False


def test_a_step_out_of_turn_is_status_2_and_nothing_is_kept(folder):
    done = _ran(folder, "--done", "clean-left=done")
    assert done.exit_code == 2
    assert "out of turn" in done.output
    assert not (folder / "work.json").exists()


def test_power_stays_shut_at_a_no_go_and_opens_at_a_go_or_on_ones_own_word(folder):
    before = _up_to(folder, "wiring-go")
    refused = _ran(folder, *before, "--wiring", str(folder / "no-go.json"))
    assert refused.exit_code == 1
    shut = _ran(folder, "--done", "plug-in=done")
    assert shut.exit_code == 2
    assert "wiring-go" in shut.output
    short = _ran(folder, "--on-my-word", "fine")
    assert short.exit_code == 2
    own = _ran(folder, "--on-my-word", SENTENCE)
    assert own.exit_code == 0, own.output
    assert f"on my own word: {SENTENCE}" in " ".join(own.output.split())
    kept = json.loads((folder / "work.json").read_text())["entries"][-1]
    assert kept["accepted"] == SENTENCE
    opened = _ran(folder, "--wiring", str(folder / "go.json"), "--done", "plug-in=done")
    assert opened.exit_code == 0, opened.output


def test_a_change_of_mind_is_told(folder):
    _ran(folder, "--done", "read-before=kept")
    _chose(folder, "clean-screw", "tighten-clamps")
    told = " ".join(_ran(folder).output.split())
    assert "New since the last time: Clean and tighten the clamps." in told
    assert "1 of" in told
    _ran(folder, "--done", "write-down=kept")
    assert "New since" not in _ran(folder).output


def test_the_way_back_is_told_from_a_part_that_fails(folder):
    _chose(folder, "new-nut", "clean-screw")
    done = _ran(folder, *_up_to(folder, "nut-left"), "--back-from", "nut-left")
    assert done.exit_code == 0, done.output
    told = " ".join(done.output.split())
    assert "Given up: New plain nut." in told
    assert "Put the old nut back." in told
    assert "Set the nozzle's height anew (nozzle)" in told
    assert "still prints" in " ".join(
        _ran(folder, "--back-from", "fit-nut", kept=False).output.split()
    )


def test_the_moves_are_written_and_pass_the_checker(folder):
    where = folder / "first.gcode"
    early = _ran(folder, *_up_to(folder, "wiring-go"), "--moves", str(where))
    assert early.exit_code == 2
    assert "a go for the wiring" in early.output
    assert not where.exists()
    assert "G28" not in _ran(folder, "--json").output
    proved = _ran(folder, *_up_to(folder, "plug-in"), "--moves", str(where))
    assert proved.exit_code == 0, proved.output
    assert f"Written: {where}" in proved.output
    machine = str(folder / "machine.toml")
    checked = CliRunner().invoke(main, ["program", "check", machine, str(where)])
    assert checked.exit_code == 0, checked.output
    (folder / "machine.toml").write_text('format = 1\narrangement = "one-screw"\n')
    without = _ran(folder, "--moves", str(where), kept=False)
    assert without.exit_code == 2
    assert "travel" in without.output


@pytest.mark.parametrize("name", ["sheet.html", "sheet.pdf"])
def test_a_sheet_is_written_alike_each_time(folder, name):
    made = []
    for number in ("1", "2"):
        where = folder / f"{number}-{name}"
        done = _ran(folder, "--sheet", str(where), kept=False)
        assert done.exit_code == 0, done.output
        made.append(where.read_bytes())
    assert made[0] == made[1]
    if name.endswith("html"):
        assert b"Blocks under the moving part, right" in made[0]
        assert not re.search(rb"""(src|href)=["']?http|url\(["']?http""", made[0])
    else:
        assert made[0].startswith(b"%PDF")
    done = ("--done", "read-before=kept in a.csv")
    assert _ran(folder, *done, "--sheet", str(folder / "sheet.doc")).exit_code == 2
    assert not (folder / "work.json").exists()  # so that the same line can be given again


@pytest.mark.parametrize("option", ["--done", "--accept"])
def test_an_option_without_an_equals_sign_is_refused(folder, option):
    done = _ran(folder, option, "read-before")
    assert done.exit_code == 2
    assert "STEP=VALUE" in done.output
