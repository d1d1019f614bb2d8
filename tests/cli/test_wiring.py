"""`plumbrise wiring` on files."""

import json
from importlib.resources import files

from click.testing import CliRunner

from plumbrise.cli import main

DEMO = (files("plumbrise.demo") / "harness.toml").read_text(encoding="utf-8")
GO = """
[[line]]
name = "left"
board = { phases = [[1, 2], [3, 4]] }
measured = [
    { at = "board", between = [1, 2], ohm = 2.9 },
    { at = "board", between = [3, 4], ohm = 2.9 },
    { at = "board", between = [1, 3], open = true },
    { at = "board", between = [1, "frame"], open = true },
    { at = "board", between = [3, "frame"], open = true },
]
"""


def run(tmp_path, text, *options):
    path = tmp_path / "harness.toml"
    path.write_text(text, encoding="utf-8")
    return CliRunner().invoke(main, ["wiring", str(path), *options])


def test_status_0_is_a_go_and_nothing_else_is(tmp_path):
    assert run(tmp_path, GO).exit_code == 0
    assert run(tmp_path, DEMO).exit_code == 1
    assert run(tmp_path, GO.replace("open = true", "ohm = 3.0", 1)).exit_code == 1
    assert run(tmp_path, '[[line]]\nname = "left"').exit_code == 1
    assert run(tmp_path, "[[line]]").exit_code == 2


def test_json_goes_to_standard_output_alone(tmp_path):
    done = run(tmp_path, DEMO, "--json")
    found = json.loads(done.stdout)
    assert found["verdict"] == "no-go"
    assert found["swaps"] == [
        {"line": "carriage", "end": "motor", "contacts": [3, 4]},
        {"line": "carriage", "end": "motor", "contacts": [5, 6]},
    ]


def test_the_drawing_is_written_where_it_is_asked(tmp_path):
    drawn = tmp_path / "harness.svg"
    run(tmp_path, DEMO, "--drawing", str(drawn))
    assert drawn.read_text(encoding="utf-8").startswith("<svg")


def test_a_broken_file_is_told_by_name_and_line(tmp_path):
    done = run(tmp_path, '[[line]]\nname = "left"\nboard = { phases = [1, 2] }')
    assert done.exit_code == 2
    assert "harness.toml, line 3, left, board.phases" in done.stderr
