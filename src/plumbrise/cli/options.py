"""Arguments and options that several commands share, each written once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

Decorated = Callable[..., Any]

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
