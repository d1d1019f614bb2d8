"""`plumbrise redesign` as a person runs it."""

import csv
import json
from dataclasses import replace

import jsonschema
import pytest
from click.testing import CliRunner

from plumbrise.cli import main
from plumbrise.demo import scenario
from plumbrise.files import schema, write_machine, write_readings


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The invented machine with two of its set-ups: soon answered."""
    where = tmp_path_factory.mktemp("redesign")
    example = scenario()
    few = replace(example.readings, runs=example.readings.runs[1:3])
    (where / "machine.toml").write_text(write_machine(example.machine), encoding="utf-8")
    (where / "readings.csv").write_text(write_readings(few), encoding="utf-8")
    return where


def _ran(folder, *options):
    session = [str(folder / "machine.toml"), str(folder / "readings.csv")]
    return CliRunner().invoke(main, ["redesign", *session, *options], prog_name="plumbrise")


def _plain(*words):
    return CliRunner().invoke(main, ["redesign", *words], prog_name="plumbrise")


def test_it_proposes_in_words_with_cost_sums_parts_and_cautions(folder):
    done = _ran(folder, "--probability", "0.3", "--parts", str(folder / "parts.csv"))
    assert done.exit_code == 0, done.output
    for words in (
        "Proposed: about ",
        "Cost against result",
        "For no money:",
        "Sums it rests on",
        "Before ordering, measure:",
        "Falling gantry or bed:",
        "sets of changes were looked at",
    ):
        assert words in done.stdout
    rows = list(csv.DictReader((folder / "parts.csv").open(encoding="utf-8")))
    assert rows
    assert all(int(row["count"]) >= 1 and row["part"] for row in rows)


def test_json_keeps_to_its_schema_and_stands_alone(folder):
    done = _ran(folder, "--json", "--bands", "0.02", "--stays-up", "--lost-motion", "0.1")
    proposal = json.loads(done.stdout)
    jsonschema.validate(proposal, schema("proposal"))
    figures = [target["figure"] for target in proposal["targets"]]
    assert figures == ["lost-motion", "bands", "stays-up"]
    assert proposal["chosen"]["probability"] <= 1


def test_out_of_reach_ends_with_status_1_and_says_what_limits_it(folder):
    done = _ran(folder, "--lost-motion", "0.001", "--budget", "5")
    assert done.exit_code == 1
    assert "Not reachable as asked" in done.stdout
    assert "What fails most often is" in " ".join(done.stdout.split())


def test_where_nothing_can_be_chosen_no_parts_list_is_written_and_that_is_said(folder):
    path = folder / "none.csv"
    done = _ran(folder, "--push", "0.1", "--parts", str(path))
    assert done.exit_code == 1
    assert "no upright was read" in done.stdout
    assert "No parts list was written" in done.stderr
    assert not path.exists()


def test_an_unknown_change_is_told_with_all_that_are_known(folder):
    done = _ran(folder, "--without", "second-scew")
    assert done.exit_code == 2
    assert "--without: 'second-scew' given" in done.stderr
    assert "second-screw-tied" in done.stderr


def test_changes_can_be_listed_without_readings_and_without_a_machine(folder):
    machine = str(folder / "machine.toml")
    own, every = (_plain("--list", *some) for some in ((machine,), ()))
    assert (own.exit_code, every.exit_code) == (0, 0)
    assert "set-rollers" in own.stdout
    assert "free-top" not in own.stdout  # the top of this screw is free
    assert "free-top" in every.stdout


def test_without_readings_there_is_nothing_to_propose_from(folder):
    done = _plain(str(folder / "machine.toml"))
    assert done.exit_code == 2
    assert "Give MACHINE and READINGS" in done.stderr


def test_targets_come_in_any_unit_and_a_probability_in_per_cent(folder):
    done = _ran(folder, "--json", "--lost-motion", "100um", "--height", "0.2%",
                "--probability", "30%", "--budget", "60")  # fmt: skip
    asked = json.loads(done.stdout)
    assert {t["figure"]: t["at_most"] for t in asked["targets"]} == {
        "lost-motion": 0.1,
        "height": 0.2,
    }
    assert asked["asked_probability"] == 0.3


@pytest.mark.parametrize("options", [("--lost-motion", "3kg"), ("--probability", "0"),
                                     ("--probability", "120%"), ("--height", "x"),
                                     ("--budget", "nan"), ("--hour-worth", "inf"),
                                     ("--budget", "-1")])  # fmt: skip
def test_a_target_that_cannot_be_is_refused_at_its_option(folder, options):
    done = _ran(folder, *options)
    assert done.exit_code == 2
    assert options[0] in done.stderr


def test_the_sums_are_of_the_axis_after_the_changes_and_say_what_was_guessed(folder):
    done = _ran(folder, "--probability", "0.3", "--sums", "--budget", "200")
    said = " ".join(done.stdout.split())
    assert "by the prices to be expected" in said
    assert "Guessed: " in said
    assert "As usual, not given: " in said
    assert said.count("What goes in") >= 1


def test_a_workshop_file_is_written_and_taken(folder):
    path = folder / "workshop.toml"
    assert _ran(folder, "--new-workshop", str(path)).exit_code == 0
    again = _ran(folder, "--new-workshop", str(path))
    assert again.exit_code == 2  # somebody's own prices may stand in it
    assert "--force" in again.stderr
    text = path.read_text(encoding="utf-8").replace("hour_worth = 10", "hour_worth = 0", 1)
    path.write_text(text, encoding="utf-8")
    done = _ran(folder, "--json", "--workshop", str(path))
    assert json.loads(done.stdout)["hour_worth"] == 0
