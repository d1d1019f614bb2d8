"""Every command explains itself, and asking for help stays cheap."""

import json
import subprocess
import sys

import pytest
from click.testing import CliRunner

from plumbrise.cli import COMMANDS, main

HEAVY = (
    "numpy",
    "scipy",
    "numba",
    "pydantic",
    "typst",
    "jinja2",
    "rich",
    "python_calamine",
    "starlette",
    "uvicorn",
    "segno",
)
WITHOUT_JSON = {"completion"}


def _command(name):
    return main.get_command(None, name)


def _found(words):
    command = _command(words[0])
    return command if len(words) == 1 else command.commands[words[1]]


def _parts(words):
    """The commands within a command, as `list` is within `shelf`."""
    return list(getattr(_found(words), "commands", ()))


EVERY = [
    words for name in COMMANDS for words in [(name,), *((name, part) for part in _parts((name,)))]
]


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_says_in_one_line_what_the_list_says(name):
    first = _command(name).help.partition("\n\n")[0]
    assert " ".join(first.split()) == COMMANDS[name]


@pytest.mark.parametrize("words", EVERY, ids=" ".join)
def test_a_command_shows_an_example_of_itself(words):
    shown = CliRunner().invoke(main, [*words, "--help"])
    assert shown.exit_code == 0
    example = shown.output.partition("Example:")[2]
    assert f"plumbrise {' '.join(words)}" in example


@pytest.mark.parametrize(
    "words", [w for w in EVERY if w[0] not in WITHOUT_JSON and not _parts(w)], ids=" ".join
)
def test_a_command_speaks_json(words):
    assert "--json" in [option for parameter in _found(words).params for option in parameter.opts]


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_has_its_place_in_the_manual(name, repository):
    page = (repository / "docs" / "reference" / "commands.md").read_text(encoding="utf-8")
    assert f"## plumbrise {name}\n" in page


def test_the_help_lists_every_command_in_the_order_of_the_work():
    shown = " ".join(CliRunner().invoke(main, ["--help"]).output.partition("Commands:")[2].split())
    listed = " ".join(f"{name} {summary}" for name, summary in COMMANDS.items())
    assert shown == listed


@pytest.mark.parametrize("arguments", [["--help"], *([name, "--help"] for name in COMMANDS)])
def test_help_loads_no_numerics(arguments):
    program = (
        "import json, sys\n"
        "from plumbrise.cli import main\n"
        "try:\n"
        f"    main({arguments!r}, standalone_mode=False)\n"
        "finally:\n"
        "    json.dump(sorted(sys.modules), sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    loaded = set(json.loads(done.stderr))
    assert loaded.isdisjoint(HEAVY)


def test_an_unknown_command_is_named_and_ends_with_2():
    wrong = CliRunner().invoke(main, ["explian"])
    assert wrong.exit_code == 2
    assert "explian" in wrong.output
