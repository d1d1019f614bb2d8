"""Arguments and options that several commands share, each written once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

Decorated = Callable[..., Any]


class Number(click.ParamType[float]):
    """A number with a point or a decimal comma."""

    name = "number"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """What was typed as a number."""
        try:
            return float(str(value).replace(",", ".", 1))
        except ValueError:
            self.fail(f"{value!r} is not a number such as 0.01 or 0,01.", param, ctx)


class Length(click.ParamType[float]):
    """A length above nothing, with a unit or in mm: as the machine file takes it."""

    name = "length"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """What was typed, in mm."""
        from plumbrise.errors import InputError
        from plumbrise.quantity import typed

        place = param.opts[0] if param is not None else "length"
        made = typed(str(value), "length", place)
        if made <= 0:
            raise InputError(
                place=place,
                value=value,
                allowed="a length above 0",
                remedy="Type a length such as 0.2, 0.2mm or 0.008in.",
            )
        return made


NUMBER = Number()
LENGTH = Length()
EXISTING = click.Path(exists=True, dir_okay=False, path_type=Path)

MACHINE = click.argument("machine_path", metavar="MACHINE", type=EXISTING)
READINGS = click.argument("readings_path", metavar="READINGS", type=EXISTING)
AS_JSON = click.option(
    "--json", "as_json", is_flag=True, help="Print JSON and nothing else to standard output."
)
TEST = click.option("--test", help="Test kind of a table that does not say it: fine-steps, ...")
STATION = click.option(
    "--station", help="Station of a table that does not say it: gantry-left, ..."
)
INCHES = click.option("--inches", is_flag=True, help="The table's lengths are inches.")
SEED = click.option(
    "--seed", type=click.IntRange(min=0), default=0, show_default=True, help="Seed of the draws."
)


def takes_a_session(command: Decorated) -> Decorated:
    """MACHINE READINGS and the options that say how to read a short table."""
    for decorate in (INCHES, STATION, TEST, READINGS, MACHINE):
        command = decorate(command)
    return command


def takes_indicators(command: Decorated) -> Decorated:
    """The ports of one indicator or two, and how their lines are read."""
    ports = click.option(
        "--indicator",
        "indicators",
        multiple=True,
        help="Serial port of a digital indicator; of a second one beside it, given again.",
    )
    return _takes_lines(ports(command))


def _takes_lines(command: Decorated) -> Decorated:
    for decorate in (
        click.option(
            "--ask",
            default="",
            help="What makes the indicator send a value, if it must be asked.",
        ),
        click.option(
            "--line",
            "template",
            help="How its lines look, such as '{value:3} {unit}'; learnt if left out.",
        ),
        click.option("--indicator-baud", default=9600, show_default=True),
    ):
        command = decorate(command)
    return command


STOP_BYTES = click.option(
    "--stop-bytes",
    default="",
    help="What your controller stops on at once, such as '!' or '\\x18': sent when you stop it.",
)


def takes_a_controller(command: Decorated) -> Decorated:
    """The controller's port and what it says unasked."""
    for decorate in (
        click.option("--chatter", multiple=True, help="How a line begins that it sends by itself."),
        click.option("--controller-baud", default=115200, show_default=True),
        click.option("--controller", help="Serial port of the motion controller."),
    ):
        command = decorate(command)
    return command
