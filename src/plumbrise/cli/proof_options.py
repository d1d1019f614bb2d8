"""Options of a command that may also prove: what was read before the work, what was promised."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from plumbrise.cli.options import EXISTING


def takes_what_was(command: Callable[..., Any]) -> Callable[..., Any]:
    """The session before the work, with what else a proof can take in."""
    options = (
        click.option(
            "--prove",
            "was",
            nargs=2,
            type=EXISTING,
            metavar="MACHINE READINGS",
            help="Add what changed since these were read, before the work.",
        ),
        click.option(
            "--promised",
            type=EXISTING,
            metavar="PROPOSAL",
            help="With --prove: what `redesign --json` printed, to hold what came against it.",
        ),
        click.option(
            "--prints-before",
            type=EXISTING,
            help="With --prove: measured on a print before: what, place, told_mm, read_mm.",
        ),
        click.option("--prints-after", type=EXISTING, help="With --prove: the same after."),
    )
    for option in reversed(options):
        command = option(command)
    return command
