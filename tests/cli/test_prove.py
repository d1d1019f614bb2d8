"""`plumbrise prove` from the files on disk."""

import json
from importlib.resources import files
from pathlib import Path

import pytest
from click.testing import CliRunner
from jsonschema import validate

from plumbrise.cli import main
from plumbrise.files import write_machine, write_readings
from plumbrise.files.results import schema


def ran(*words: object) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, [str(word) for word in words])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from plumbrise.demo import scenario

    made = tmp_path_factory.mktemp("story")
    example = scenario()
    (made / "machine.toml").write_text(write_machine(example.machine), encoding="utf-8")
    (made / "before.csv").write_text(write_readings(example.readings), encoding="utf-8")
    kept = files("plumbrise.demo").joinpath("session")
    for name, source in (("after.toml", "after-machine.toml"), ("after.csv", "after-readings.csv")):
        (made / name).write_bytes(kept.joinpath(source).read_bytes())
    return made


def proved(folder: Path, *more: object) -> tuple[int, str, str]:
    return ran(
        "prove",
        folder / "machine.toml",
        folder / "before.csv",
        folder / "after.csv",
        "--after-machine",
        folder / "after.toml",
        *more,
    )


def test_before_and_after_are_told_in_words(folder):
    status, shown, _ = proved(folder)
    assert status == 0
    assert "Better" in shown
    assert "Was it a fair comparison?" in shown


def test_json_is_all_that_stands_on_standard_output_and_meets_its_schema(folder):
    status, shown, _ = proved(folder, "--json")
    assert status == 0
    validate(json.loads(shown), schema("proof"))


def test_the_same_session_twice_is_never_better(folder):
    status, shown, _ = ran(
        "prove", folder / "machine.toml", folder / "before.csv", folder / "before.csv", "--json"
    )
    assert status == 0
    (proof,) = json.loads(shown)["proofs"]
    said = {figure["verdict"] for figure in proof["figures"]}
    assert said <= {"no difference shown", "cannot tell"}


def test_prints_join_as_figures(folder):
    head = "what,place,told_mm,read_mm\n"
    for name, mm in (("worse.csv", 0.08), ("good.csv", 0.2)):
        rows = "".join(f"layer 1,right,0.2,{mm + d}\n" for d in (0.0, 0.004, -0.003))
        (folder / name).write_text(head + rows, encoding="utf-8")
    status, shown, _ = proved(
        folder, "--prints-before", folder / "worse.csv", "--prints-after", folder / "good.csv"
    )
    assert status == 0
    assert "Layer 1 of the print, off, right" in shown


def test_a_machine_file_for_each_session_or_one_for_all(folder):
    status, _, complaint = ran(
        "prove",
        folder / "machine.toml",
        folder / "before.csv",
        *[folder / "after.csv"] * 3,
        *["--after-machine", folder / "after.toml"] * 2,
    )
    assert status == 2
    assert "--after-machine" in complaint


def test_readings_of_another_machine_ask_for_its_file(folder):
    """The most likely slip: a second screw is in, and the old machine file is given for both."""
    session = [folder / name for name in ("machine.toml", "before.csv", "after.csv")]
    status, _, complaint = ran("prove", *session)
    assert status == 2
    assert "nut-right" in complaint
    assert "--after-machine: 'nothing' given" in complaint
