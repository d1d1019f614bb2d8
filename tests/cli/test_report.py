"""`plumbrise report` as a person runs it, with and without what to change."""

import json
from dataclasses import replace
from importlib.resources import files

import pytest
from click.testing import CliRunner

from plumbrise.cli import main
from plumbrise.demo import scenario
from plumbrise.files import write_machine, write_readings


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The invented machine with two of its set-ups: enough to answer from, soon answered."""
    where = tmp_path_factory.mktemp("report")
    example = scenario()
    few = replace(example.readings, runs=example.readings.runs[1:3])
    (where / "machine.toml").write_text(write_machine(example.machine), encoding="utf-8")
    (where / "readings.csv").write_text(write_readings(few), encoding="utf-8")
    return where


def _page(folder, *options):
    session = [str(folder / "machine.toml"), str(folder / "readings.csv")]
    out = ["--out", str(folder / "told")]
    done = CliRunner().invoke(main, ["report", *session, *out, *options], prog_name="plumbrise")
    assert done.exit_code == 0, done.output
    return (folder / "told.html").read_text(encoding="utf-8").replace("\xa0", " ")


def test_a_target_brings_what_to_change_into_the_report(folder):
    page = _page(folder, "--lost-motion", "0.1", "--budget", "60", "--without", "new-nut")
    assert "What to change" in page
    assert "lost motion after homing at most 0.1 mm" in page
    assert "for at most 60 EUR" in page
    assert (folder / "told.pdf").read_bytes().startswith(b"%PDF")


def test_a_report_that_asks_for_nothing_beside_proposes_and_foresees_nothing(folder):
    page = _page(folder)
    assert "What to change" not in page
    assert "What a print will show" not in page
    assert "Before and after the work" not in page
    assert "The wiring" not in page


@pytest.fixture(scope="module")
def work(folder):
    """A work order that was begun for the same machine, as `build --progress` keeps it."""
    machine, proposal, kept = (str(folder / name) for name in ("machine.toml", "p.json", "w.json"))
    chosen = {"version": 1, "chosen": {"changes": ["clean-screw"]}}
    (folder / "p.json").write_text(json.dumps(chosen), encoding="utf-8")
    CliRunner().invoke(main, ["build", machine, proposal, "--progress", kept])
    return kept


@pytest.fixture(scope="module")
def harness(folder):
    """The harness of the invented machine, which has a fault."""
    text = (files("plumbrise.demo") / "harness.toml").read_text(encoding="utf-8")
    (folder / "harness.toml").write_text(text, encoding="utf-8")
    return str(folder / "harness.toml")


def test_a_print_the_session_before_work_and_wiring_come_in_where_they_are_given(
    folder, work, harness
):
    was = (str(folder / "machine.toml"), str(folder / "readings.csv"))
    page = _page(folder, "--layer", "0.16", "--layers", "3", "--prove", *was, "--build", work, "--wiring", harness)  # fmt: skip
    assert "What a print will show" in page
    assert "Layers of 0.16 mm" in page
    assert "What to change" not in page
    assert "Before and after the work" in page
    assert "Was it a fair comparison?" in page
    assert ">better<" not in page  # the very same session
    assert "No go. Leave the power off." in page
    assert "Clean and grease the screw. " in page
    assert "Take the readings before" in page


def test_a_promise_without_a_session_before_is_refused(folder):
    session = [str(folder / "machine.toml"), str(folder / "readings.csv")]
    done = CliRunner().invoke(main, ["report", *session, "--promised", session[0]])
    assert done.exit_code == 2
    assert "--prove" in done.stderr


def test_a_print_that_cannot_be_is_refused_before_anything_is_explained(folder):
    session = [str(folder / "machine.toml"), str(folder / "readings.csv")]
    done = CliRunner().invoke(main, ["report", *session, "--foresee", "--width", "0.1"])
    assert done.exit_code == 2
    assert "at least as wide" in done.stderr


def test_an_unknown_change_is_refused_by_the_report_too(folder):
    session = [str(folder / "machine.toml"), str(folder / "readings.csv")]
    done = CliRunner().invoke(main, ["report", *session, "--without", "second-scew"])
    assert done.exit_code == 2
    assert "--without: 'second-scew' given" in done.stderr
