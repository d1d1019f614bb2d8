"""A part is sized from options that are made from what its calculator asks."""

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner
from jsonschema import validate

from plumbrise.cli import main
from plumbrise.cli.size import option_of
from plumbrise.elements.calculators import KINDS, calculator
from plumbrise.files import schema, write_machine
from plumbrise.machine import ARRANGEMENTS, blank


def ran(*words):
    done = CliRunner().invoke(main, ["size", *map(str, words)])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


def figures(*words):
    told = json.loads(ran(*words, "--json").stdout)
    validate(told, schema("sheet"))
    return {one["name"]: one["value"] for one in told["sums"]}


def test_the_list_of_kinds_says_what_each_answers():
    shown = " ".join(ran("--help").output.split())
    assert all(calculator(kind).purpose[:40] in shown for kind in KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_lists_every_input_with_what_it_is_taken_as(kind):
    shown = " ".join(ran(kind, "--help").output.split())
    for one in calculator(kind).asked:
        assert option_of(one) in shown
        assert not one.group or f"{one.group}:" in shown


def test_a_length_is_the_same_in_inches_and_a_force_in_kilograms_of_force():
    metric = figures("beam", "--span-mm", 254, "--force-n", 9.80665)
    assert figures("beam", "--span-mm", "10 in", "--force-n", "1kgf") == metric


def test_all_that_cannot_be_used_is_told_at_once_each_at_its_option_with_its_range():
    done = ran("beam", "--span-mm", 0, "--force-n", -1)
    assert done.exit_code == 2
    first, second = done.stderr.splitlines()
    assert first.startswith("--span-mm: 0.0 given, 1 to 5000 mm allowed.")
    assert second.startswith("--force-n: -1.0 given, 0 to 10000 N allowed.")


def test_what_cannot_be_read_does_not_hide_what_is_out_of_range():
    done = ran("beam", "--span-mm", 0, "--force-n", "3kg")
    assert [line.partition(":")[0] for line in done.stderr.splitlines()] == [
        "--force-n",
        "--span-mm",
    ]


@pytest.mark.parametrize(
    ("words", "option"),
    [
        (("beam", "--case", "floating"), "--case"),
        (("beam", "--span-mm", "3 kg"), "--span-mm"),
        (("beam", "--case", "overhang"), "--at-mm"),
        (("beam", "--section", "tube", "--wall-mm", "30"), "--wall-mm"),
        (("alignment", "--left-mm", "2"), "--right-mm"),
    ],
)
def test_what_cannot_be_used_is_told_at_the_option_that_was_typed(words, option):
    done = ran(*words)
    assert done.exit_code == 2
    assert done.stderr.startswith(f"{option}: ")


def test_a_verdict_of_no_ends_with_1_and_says_what_would_do():
    enough = ran("beam", "--allowed-sag-mm", 1)
    too_little = ran("beam", "--allowed-sag-mm", 0.0005)
    assert (enough.exit_code, too_little.exit_code) == (0, 1)
    assert "times as stiff would do" in " ".join(too_little.output.split())


def test_the_sheet_shows_equations_trust_and_sources():
    shown = ran("beam", "--span-mm", 340, "--sheet").output
    assert "F L³ / (48 E I)" in shown
    assert "Roark" in shown
    given, assumed = (
        next(line for line in shown.splitlines() if line.strip().startswith(name))
        for name in ("span_mm", "force_n")
    )
    assert "given" in given
    assert "common practice" in assumed


def test_what_was_assumed_is_told_unless_it_was_given():
    assumed = ran("beam").output.partition("Assumed")[2]
    assert "340 mm" in assumed
    assert "340 mm" not in ran("beam", "--span-mm", 340).output.partition("Assumed")[2]


def test_a_machine_file_answers_what_it_says_and_an_option_comes_before_it(tmp_path):
    machine = blank("one-screw")
    machine = replace(machine, guide=replace(machine.guide, span_mm=500.0))
    file = tmp_path / "shed.toml"
    file.write_text(write_machine(machine), encoding="utf-8")
    by_file = figures("beam", "--machine", file)
    assert by_file == figures("beam", "--span-mm", 500)
    assert figures("beam", "--machine", file, "--span-mm", 100) == figures("beam", "--span-mm", 100)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("kind", ["beam", "frame"])
def test_a_machine_that_says_nothing_changes_nothing(kind, arrangement, tmp_path):
    file = tmp_path / "blank.toml"
    file.write_text(write_machine(blank(arrangement)), encoding="utf-8")
    assert figures(kind, "--machine", file) == figures(kind)


def test_words_that_may_be_given_are_completed():
    option = next(
        p for p in main.get_command(None, "size").commands["beam"].params if p.name == "case"
    )
    offered = option.shell_complete(None, "cant")
    assert {item.value for item in offered} == {"cantilever", "cantilever-at", "cantilever-spread"}


def test_in_words_steps_are_numbered_and_hazards_told():
    shown = ran("alignment").output
    assert "  1. " in shown
    assert "Falling gantry" in shown
