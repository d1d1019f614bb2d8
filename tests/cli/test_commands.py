"""Every command on the invented example, from the files on disk to what the person sees."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from jsonschema import validate

from plumbrise.cli import main
from plumbrise.files.results import schema


def ran(*words: object) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, [str(word) for word in words])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


@pytest.fixture
def example(demo: Path) -> Path:
    return demo


def test_the_demo_writes_its_whole_folder_over_what_a_stopped_one_left(example):
    names = {path.name for path in example.iterdir()}
    assert {"machine.toml", "readings.csv", "report.html", "report.pdf", "load-path.svg"} <= names
    assert not [name for name in names if name.startswith(".")]
    assert (example / "report.pdf").read_bytes().startswith(b"%PDF")
    assert (example / "report.html").read_text(encoding="utf-8").startswith("<!doctype html>")


def test_the_demo_runs_on_to_its_proof(example):
    proposal = json.loads((example / "proposal.json").read_text(encoding="utf-8"))
    done = ["set-rollers", "second-screw-tied"]
    assert proposal["chosen"]["changes"] == done  # what the invented owner then does
    proof = json.loads((example / "proof.json").read_text(encoding="utf-8"))
    validate(proof, schema("proof"))
    said = {one["verdict"] for one in proof["proofs"][0]["figures"]}
    assert "better" in said
    assert "worse" not in said
    assert all(one["kept"] for one in proof["proofs"][0]["promises"])
    assert (example / "story.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    wired = CliRunner().invoke(main, ["wiring", str(example / "harness.toml")])
    assert wired.exit_code == 1
    assert "No go." in wired.output


def test_the_demo_leaves_a_folder_of_other_things_alone(tmp_path):
    (tmp_path / "letter.txt").write_text("dear aunt", encoding="utf-8")
    status, _, complaint = ran("demo", tmp_path)
    assert status == 2
    assert "FOLDER" in complaint
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


@pytest.mark.parametrize("command", ["analyse", "explain"])
def test_json_is_all_that_stands_on_standard_output_and_meets_its_schema(example, command):
    status, shown, _ = ran(command, example / "machine.toml", example / "readings.csv", "--json")
    assert status == 0
    name = {"analyse": "analysis", "explain": "explanation"}[command]
    validate(json.loads(shown), schema(name))


def test_the_demo_finds_what_its_maker_put_in(example):
    from plumbrise.demo import scenario

    explanation = json.loads((example / "explanation.json").read_text(encoding="utf-8"))
    probable = {c["cause"]: c["probability"] for c in explanation["causes"]}
    in_groups = {
        cause: group["probability"] for group in explanation["groups"] for cause in group["causes"]
    }
    for cause in scenario().truth:
        assert max(probable[cause], in_groups.get(cause, 0)) > 0.5
    assert [c for c, p in probable.items() if p > 0.9 and c not in scenario().truth] == []


def test_a_short_table_without_names_is_explained(tmp_path):
    machine = tmp_path / "machine.toml"
    machine.write_text('format = 1\narrangement = "one-screw"\n', encoding="utf-8")
    table = tmp_path / "steps.csv"
    table.write_text("told,read\n0,0\n1,0.62\n2,1.58\n3,2.57\n4,3.56\n", encoding="utf-8")
    status, shown, _ = ran(
        "explain", machine, table, "--test", "coarse-steps", "--station", "gantry-left"
    )
    assert status == 0
    assert "cannot tell yet" in shown.lower()


def test_explain_writes_the_drawing_and_the_page_it_was_asked_for(example, tmp_path):
    drawing, page = tmp_path / "axis.svg", tmp_path / "axis.html"
    status, shown, _ = ran(
        "explain",
        example / "machine.toml",
        example / "readings.csv",
        "--drawing",
        drawing,
        "--page",
        page,
    )
    assert status == 0
    assert drawing.read_text(encoding="utf-8").startswith("<svg")
    assert page.read_text(encoding="utf-8").lstrip().lower().startswith("<!doctype html")
    assert str(drawing) in shown


def test_the_same_seed_gives_the_same_answer(example, anew):
    again = ran("explain", example / "machine.toml", example / "readings.csv", "--json")[1]
    first = (example / "explanation.json").read_text(encoding="utf-8")
    assert json.loads(again) == json.loads(first)


def test_a_broken_table_is_refused_with_row_and_column_and_status_2(tmp_path, example):
    table = tmp_path / "evening.csv"
    table.write_text(
        "run,test,station,seq,target_mm,reading_mm\n"
        'a,coarse-steps,gantry-left,0,0,"0,3,5"\n'
        "a,coarse-steps,gantry-left,1,one,0.5\n",
        encoding="utf-8",
    )
    status, shown, complaint = ran("analyse", example / "machine.toml", table)
    assert (status, shown) == (2, "")
    assert "row 2, reading_mm" in complaint
    assert "row 3, target_mm" in complaint


def test_a_file_that_is_not_there_ends_with_status_2(tmp_path):
    status, _, complaint = ran("analyse", tmp_path / "no.toml", tmp_path / "no.csv")
    assert status == 2
    assert "no.toml" in complaint


def test_nothing_half_written_is_left_when_the_place_cannot_be_written(example, tmp_path):
    status, _, complaint = ran(
        "explain",
        example / "machine.toml",
        example / "readings.csv",
        "--page",
        tmp_path / "nowhere" / "axis.html",
    )
    assert status == 2
    assert "Traceback" not in complaint
    assert list(tmp_path.iterdir()) == []


def test_stopping_it_leaves_no_half_written_file(tmp_path):
    """Ctrl-C is a KeyboardInterrupt at any place: here at the first write."""
    program = (
        "import plumbrise.cli.reading as reading\n"
        "def stop(path, content):\n"
        "    raise KeyboardInterrupt\n"
        "reading.write_file = stop\n"
        "import sys; sys.argv = ['plumbrise', 'describe', 'axis.toml',"
        " '--arrangement', 'one-screw']\n"
        "from plumbrise.cli import run; run()\n"
    )
    ended = subprocess.run(
        [sys.executable, "-c", program], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert ended.returncode == 130
    assert "Stopped" in ended.stderr
    assert list(tmp_path.iterdir()) == []
