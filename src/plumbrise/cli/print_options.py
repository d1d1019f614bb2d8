"""Options that say what is printed, and how it starts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from plumbrise.foresee import Print

ABOVE_ZERO = click.FloatRange(min=0, min_open=True)
NAMES = (
    "layer_mm",
    "layers",
    "first_mm",
    "width_mm",
    "start",
    "lift",
    "lift_mm",
    "offset_mm",
    "place_mm",
    "probe_n",
    "spiral",
)
"""By which names a command gets these options."""


def takes_a_print(command: click.decorators.FC) -> click.decorators.FC:
    """What is printed, and how it starts."""
    for decorate in (
        click.option(
            "--spiral", is_flag=True, help="The nozzle rises all through a layer, without a seam."
        ),
        click.option(
            "--probe-force",
            "probe_n",
            type=click.FloatRange(min=0),
            default=0.0,
            metavar="N",
            help="With what force nozzle or probe presses when homing stops.",
        ),
        click.option(
            "--place",
            "place_mm",
            type=click.FloatRange(min=0),
            metavar="MM",
            help="Where the part stands from the left guide.  [default: the middle]",
        ),
        click.option(
            "--offset",
            "offset_mm",
            type=float,
            default=0.0,
            metavar="MM",
            help="Raise the whole print by so much.",
        ),
        click.option(
            "--lift-by",
            "lift_mm",
            type=ABOVE_ZERO,
            default=0.4,
            show_default=True,
            metavar="MM",
            help="How high a lift goes.",
        ),
        click.option(
            "--lift",
            type=click.Choice(["none", "some", "every"]),
            default="none",
            show_default=True,
            help="Whether the nozzle is lifted between moves: never, at some, at every layer.",
        ),
        click.option(
            "--start",
            type=click.Choice(["down", "up", "dip"]),
            default="down",
            show_default=True,
            help="The last move before layer one: down from clear, up from home, or a dip.",
        ),
        click.option(
            "--width",
            "width_mm",
            type=ABOVE_ZERO,
            default=0.45,
            show_default=True,
            metavar="MM",
            help="Width of a line.",
        ),
        click.option(
            "--first", "first_mm", type=ABOVE_ZERO, metavar="MM", help="Height of layer one."
        ),
        click.option(
            "--layers",
            type=click.IntRange(1, 5000),
            default=10,
            show_default=True,
            help="How many layers.",
        ),
        click.option(
            "--layer",
            "layer_mm",
            type=ABOVE_ZERO,
            default=0.2,
            show_default=True,
            metavar="MM",
            help="Height of a layer.",
        ),
    ):
        command = decorate(command)
    return command


def asks_for_a_print() -> bool:
    """Whether any of these options was given to the command that runs."""
    context = click.get_current_context()
    return any(
        context.get_parameter_source(name) is click.core.ParameterSource.COMMANDLINE
        for name in NAMES
    )


def print_of(given: Mapping[str, Any]) -> Print:
    """The print that these options tell of; others among them are passed over.

    Raises:
        InputError: what no print can be.
    """
    from plumbrise.foresee import Lift, Print, Start

    taken = {name: given[name] for name in NAMES if given[name] is not None}
    return Print(**{**taken, "start": Start(given["start"]), "lift": Lift(given["lift"])})
