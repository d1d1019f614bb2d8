"""Options that commands share: the same words wherever the same thing is given."""

from importlib import import_module

import click
import pytest

from plumbrise.cli import COMMANDS, main
from plumbrise.cli.options import LENGTH
from plumbrise.cli.session import session_at
from plumbrise.errors import InputError, InputErrors


def commands_with_a_table():
    for name in COMMANDS:
        command = import_module(f"plumbrise.cli.{name}").command
        parts = command.commands.values() if isinstance(command, click.Group) else [command]
        for one in parts:
            if any("READINGS" in (param.metavar or "") for param in one.params):
                yield pytest.param(one, id=f"{name} {one.name}")


@pytest.mark.parametrize("command", [*commands_with_a_table()])
def test_whatever_takes_a_table_of_readings_is_told_what_a_short_one_leaves_out(command):
    options = {option for param in command.params for option in param.opts}
    assert {"--test", "--station", "--inches"} <= options


@pytest.mark.parametrize("typed", ["0.2", "0,2", "0.2mm", "0,2 mm", "200um"])
def test_a_length_is_taken_with_its_unit_as_the_machine_file_takes_it(typed):
    assert LENGTH.convert(typed, None, None) == pytest.approx(0.2)


def test_files_given_in_the_wrong_order_are_said_to_be(tmp_path):
    from plumbrise.api import read_machine, read_readings
    from plumbrise.machine import blank

    table, machine = tmp_path / "a.csv", tmp_path / "b.toml"
    table.write_text("run;test;station;target_mm;reading_mm\na;hold;nut;0;0\n", encoding="utf-8")
    machine.write_text('# mine\nformat = 1\narrangement = "one-screw"\n', encoding="utf-8")
    with pytest.raises(InputErrors, match="This is a readings table"):
        read_machine(table)
    with pytest.raises(InputErrors, match="This is a machine file"):
        read_readings(machine, blank("one-screw"))


def test_a_worksheet_of_blanks_is_no_session(tmp_path):
    (tmp_path / "m.toml").write_text('format = 1\narrangement = "one-screw"\n', encoding="utf-8")
    table = tmp_path / "w.csv"
    table.write_text(
        "run,test,station,target_mm,reading_mm\na,reversal,nut,0,\na,reversal,nut,1,\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError, match=r"w\.csv.*'no reading' given"):
        session_at(tmp_path / "m.toml", table, test=None, station=None, inches=False)


def test_a_command_that_is_none_brings_the_nearest_to_mind():
    with pytest.raises(click.UsageError, match="Did you mean explain"):
        main.main(["expain"], standalone_mode=False)


@pytest.mark.parametrize("typed", ["0", "-1 mm", "0.2 kg", "thick"])
def test_what_is_no_length_is_refused(typed):
    with pytest.raises(InputError):
        LENGTH.convert(typed, None, None)
