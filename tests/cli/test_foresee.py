"""`plumbrise foresee` as a person runs it."""

import csv
import json

import jsonschema
import pytest
from click.testing import CliRunner

from plumbrise.cli import main
from plumbrise.demo import scenario
from plumbrise.files import schema, write_machine, write_readings
from plumbrise.files.printed_part import print_in
from plumbrise.foresee import Print
from plumbrise.readings import Readings

READ = ("fine-steps gantry-left", "fine-steps gantry-right", "fine-steps motor-shaft",
        "one-turn gantry-left")  # fmt: skip
"""Enough of the invented session for an answer, and explained in a third of the time."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    where = tmp_path_factory.mktemp("foresee")
    example = scenario()
    some = Readings(tuple(run for run in example.readings.runs if run.name in READ))
    (where / "machine.toml").write_text(write_machine(example.machine), encoding="utf-8")
    (where / "readings.csv").write_text(write_readings(some), encoding="utf-8")
    return where


@pytest.fixture(scope="module")
def measured(folder):
    """A part as it was measured: half a millimetre is missing at the top."""
    table = folder / "measured.csv"
    rows = [f"{place},{n},{0.2 * n - min(0.5, 0.1 * (n - 1)):.3f}" for place in (68, 272)
            for n in (1, 2, 3, 5, 10)]  # fmt: skip
    table.write_text("\n".join(["place_mm,layers,thickness_mm", *rows]), encoding="utf-8")
    return table


@pytest.fixture(scope="module")
def now(folder, measured):
    """The forecast of the axis as it is, with a part to print and what was measured on one."""
    asked = ("--test-part", str(folder / "part.csv"), "--measured", str(measured))
    return json.loads(_ran(folder, "--json", *asked).stdout)


def _ran(folder, *options, readings=True):
    session = [str(folder / "machine.toml")]
    if readings:
        session.append(str(folder / "readings.csv"))
    return CliRunner().invoke(main, ["foresee", *session, *options], prog_name="plumbrise")


def test_it_says_layers_remedies_with_lines_and_bands_and_draws_them(folder):
    drawing = folder / "wall.svg"
    done = _ran(folder, "--drawing", str(drawing))
    assert done.exit_code == 0, done.output
    for words in (
        "comes out thin at the",
        "Remedies that cost nothing",
        "Lines, proved safe on this machine",
        "G28 Z0",
        "Risk:",
        "Bands",
        "how to tell",
        "Taken as given:",
    ):
        assert words in done.stdout
    assert drawing.read_text(encoding="utf-8").startswith("<svg")


def test_json_keeps_to_its_schema_with_a_part_to_print(folder, now):
    jsonschema.validate(now, schema("forecast"))
    assert now["test_part"]["patches"]
    rows = list(csv.DictReader((folder / "part.csv").open(encoding="utf-8")))
    assert len(rows) == len(now["test_part"]["patches"])
    assert print_in((folder / "part.csv").read_text(encoding="utf-8"), name="part.csv") == Print(
        layers=10
    )


def test_explain_says_of_a_measured_part_what_foresee_says(folder, now, measured):
    session = [str(folder / "machine.toml"), str(folder / "readings.csv")]
    asked = ["explain", *session, "--measured", str(measured), "--json"]
    answer = json.loads(CliRunner().invoke(main, asked).stdout)
    jsonschema.validate(answer, schema("explanation"))
    assert now["part_evidence"]["verdict"] in ("fits", "hint", "odd")
    assert answer["part_evidence"] == now["part_evidence"]


def test_a_staircase_alone_gives_layers_without_a_model(folder):
    done = _ran(folder, "--no-model", "--json", "--layers", "4")
    forecast = json.loads(done.stdout)
    jsonschema.validate(forecast, schema("forecast"))
    assert forecast["source"] == "staircase"
    assert forecast["bands"] is None


def test_after_a_change_less_is_lost(folder, now):
    then = json.loads(_ran(folder, "--json", "--with", "thrust-bearing").stdout)
    jsonschema.validate(then, schema("forecast"))
    assert (then["source"], then["changes"]) == ("changed axis", ["thrust-bearing"])
    assert then["before"]["layers"] == now["layers"]
    assert then["total_mm"]["left"]["estimate"] > now["total_mm"]["left"]["estimate"] + 0.1


def test_a_spacing_alone_needs_neither_readings_nor_machine(folder):
    alone = CliRunner().invoke(main, ["foresee", "--spacing", "1.6"], prog_name="plumbrise")
    assert "A motor of 200 steps on a lead of 8 mm" in alone.stdout
    assert "Heater of nozzle or bed" in alone.stdout
    done = _ran(folder, "--spacing", "8", "--json", readings=False)
    found = json.loads(done.stdout)
    jsonschema.validate(found, schema("spacing"))
    assert found["fits"][0]["cause"] == "screw-bend"
    said = _ran(folder, "--spacing", "8", readings=False)
    assert "The screw, once a turn" in said.stdout


def test_what_is_wrong_is_said_with_status_2(folder):
    assert _ran(folder, readings=False).exit_code == 2
    unknown = _ran(folder, "--with", "magic")
    assert unknown.exit_code == 2
    assert "redesign --list" in unknown.output
    narrow = _ran(folder, "--width", "0.1")
    assert narrow.exit_code == 2
    assert "at least as wide" in narrow.output
    bare = _ran(folder, "--no-model", "--test-part", str(folder / "x.csv"))
    assert bare.exit_code == 2


def test_what_does_not_go_with_a_spacing_is_said_and_a_thick_layer_needs_no_line_width(folder):
    def ran(*asked):
        return CliRunner().invoke(main, ["foresee", *asked], prog_name="plumbrise")

    assert "on layers of 0.8 mm" in ran("--spacing", "8", "--layer", "0.8").stdout
    for other in (["--drawing", "x.svg"], ["--with", "new-nut"], ["--no-model"]):
        refused = ran("--spacing", "8", *other)
        assert refused.exit_code == 2
        assert "--spacing goes with" in refused.output
    for time in ("nan", "inf", "0.001"):
        refused = ran("--spacing", "8", "--layer-time", time)
        assert refused.exit_code == 2
        assert " s allowed" in refused.output
    assert _ran(folder, "--layer-time", "3").exit_code == 2
