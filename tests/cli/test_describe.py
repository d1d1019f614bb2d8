"""A machine file comes about by answering, and not knowing is an answer."""

import json
import os

import pytest
from click.testing import CliRunner
from jsonschema import validate

from plumbrise.cli import main
from plumbrise.cli.describe import OPTIONS
from plumbrise.cli.questions import FIRST
from plumbrise.cli.reading import machine_at, readings_at, write_file
from plumbrise.errors import InputErrors
from plumbrise.files import schema
from plumbrise.files.machine_fields import FIELDS
from plumbrise.files.machine_writing import applies
from plumbrise.machine import ARRANGEMENTS, blank


def ran(*words, typed=None):
    done = CliRunner().invoke(main, ["describe", *map(str, words)], input=typed)
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


@pytest.fixture
def file(tmp_path):
    return tmp_path / "shed.toml"


@pytest.mark.parametrize("number", range(1, 5))
@pytest.mark.parametrize("unknown", ["\n", "?\n"])
def test_whoever_knows_only_the_screws_gets_a_machine(file, number, unknown):
    done = ran(file, typed=f"{number}\n\n" + unknown * 80)
    assert done.exit_code == 0
    arrangement = list(ARRANGEMENTS)[number - 1]
    described = machine_at(file)
    assert described == blank(arrangement) or described.drive is not None


def test_answers_land_in_their_fields(file):
    answers = ["one-screw", "Shed", "8", "4", "right"]
    done = ran(file, typed="\n".join(answers) + "\n" * 80)
    assert done.exit_code == 0
    machine = machine_at(file)
    assert (machine.name, machine.screw.common.lead_mm) == ("Shed", 8.0)
    assert (machine.screw.common.starts, machine.screw_sides) == (4, ("right",))


def test_inches_and_decimal_commas_are_understood_at_the_prompt(file):
    ran(file, typed="1\n\n0,5 in\n4\n" + "\n" * 80)
    assert machine_at(file).screw.common.lead_mm == 12.7


def test_a_wrong_answer_is_explained_and_asked_again(file):
    done = ran(file, typed="nine\n1\n\nlong\n-3\n8 kg\n8\n" + "\n" * 80)
    assert done.exit_code == 0
    for words in ("'nine'", "'long'", "above 0", "kg is a mass"):
        assert words in done.stderr
    assert machine_at(file).screw.common.lead_mm == 8


def test_every_question_shows_unit_example_and_what_is_assumed(file):
    asked = ran(file, typed="1\n\n" + "\n" * 80).stderr
    assert "In mm, for example 8." in asked
    assert "If unknown: 340 mm (guess)." in asked


def test_a_belt_and_finer_points_are_asked_for_on_request(file):
    known = "\n" * sum(applies(blank("one-screw"), FIELDS[key]) for key in FIRST)
    done = ran(file, typed="1\n\n" + known + "yes\n16\n32\n\nyes\n" + "\n" * 60)
    assert done.exit_code == 0
    drive = machine_at(file).drive
    assert (drive.motor_teeth, drive.screw_teeth) == (16, 32)
    assert "guide.drag_n" in done.stderr


def test_answers_that_end_early_leave_no_file(file):
    assert ran(file, typed="1\nShed\n8\n").exit_code != 0
    assert not file.exists()


def test_options_make_the_file_without_a_question(file):
    done = ran(
        file,
        "--arrangement",
        "one-screw",
        "--lead",
        "8",
        "--name",
        "Shed",
        "--span",
        "34 cm",
        "--set",
        "nut.play_mm=0.04",
        "--set",
        "controller.begin=G21; G90",
    )
    assert done.exit_code == 0
    assert ">" not in done.stderr
    machine = machine_at(file)
    assert (machine.guide.span_mm, machine.nut.common.play_mm) == (340, 0.04)
    assert machine.controller.begin == ("G21", "G90")


def test_one_screw_of_two_can_be_set_apart(file):
    ran(file, "--arrangement", "two-screw", "--lead", "8", "--set", "screw.right.lead_mm=4")
    screw = machine_at(file).screw
    assert (screw.at("left").lead_mm, screw.at("right").lead_mm) == (8, 4)


@pytest.mark.parametrize(("option", "field"), [(o, f) for o, (f, _) in OPTIONS.items()])
def test_every_option_fills_its_field(file, option, field):
    example = FIELDS[field].example
    extra = ["--starts", "4"] if option == "lead" else []
    done = ran("--arrangement", "one-screw", f"--{option}", example, *extra, "--json")
    part, name = field.split(".")
    assert json.loads(done.stdout)[part][name] == example


def test_do_not_know_is_an_answer_to_an_option_too():
    done = ran("--arrangement", "one-screw", "--lead", "?", "--json")
    assert done.exit_code == 0
    assert "lead_mm" not in json.loads(done.stdout).get("screw", {})


def test_all_wrong_options_are_told_at_once_and_nothing_is_written(file):
    done = ran(file, "--lead", "long", "--set", "nut.plai_mm=1", "--set", "nut")
    assert done.exit_code == 2
    for words in ("'long'", "Did you mean nut.play_mm?", "PART.FIELD=VALUE", "--arrangement"):
        assert words in done.stderr
    assert not file.exists()


def test_a_file_that_is_there_is_left_alone_unless_forced(file):
    file.write_text("precious", encoding="utf-8")
    assert ran(file, "--arrangement", "one-screw").exit_code == 2
    assert file.read_text(encoding="utf-8") == "precious"
    assert ran(file, "--arrangement", "one-screw", "--force").exit_code == 0
    assert machine_at(file) == blank("one-screw")


def test_json_is_all_on_standard_output_and_meets_its_schema(file):
    done = ran("--json", typed="2\nShed\n8\n" + "\n" * 80)
    validate(json.loads(done.stdout), schema("machine"))


def test_a_file_is_whole_or_as_before(tmp_path, monkeypatch):
    path = tmp_path / "kept.txt"
    write_file(path, "before")
    path.chmod(0o640)

    def full_disk(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr(os, "fsync", full_disk)
        with pytest.raises(OSError, match="No space"):
            write_file(path, "after")
    assert path.read_text(encoding="utf-8") == "before"
    assert list(tmp_path.iterdir()) == [path]
    write_file(path, b"after")
    assert path.read_bytes() == b"after"
    assert path.stat().st_mode & 0o777 == 0o640


def test_readings_are_read_with_what_the_machine_says(tmp_path):
    machine = blank("two-screw")
    table = tmp_path / "steps.csv"
    table.write_text("told,read\n0,0\n0.1,0.05\n0.2,0.1\n", encoding="utf-8")
    run = readings_at(table, machine, None, "nut-left", True).runs[0]
    assert run.readings[1].target_mm == 2.54
    with pytest.raises(InputErrors, match="nut-left or nut-right"):
        readings_at(table, machine, None, "nut")
