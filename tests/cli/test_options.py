"""Options that commands share: the same words wherever the same thing is given."""

from importlib import import_module

import click
import pytest

from plumbrise.cli import COMMANDS
from plumbrise.cli.options import LENGTH
from plumbrise.errors import InputError


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


@pytest.mark.parametrize("typed", ["0", "-1 mm", "0.2 kg", "thick"])
def test_what_is_no_length_is_refused(typed):
    with pytest.raises(InputError):
        LENGTH.convert(typed, None, None)
