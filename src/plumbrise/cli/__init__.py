"""The command line: one file a command."""

from __future__ import annotations

import os
import sys
from difflib import get_close_matches
from importlib import import_module

import click

from plumbrise import __version__
from plumbrise.errors import InputError, InputErrors

COMMANDS = {
    "demo": "Do the whole job on an invented machine and write its folder.",
    "bench": "Open the local page: the whole job in a browser.",
    "describe": "Make a machine file, by asking or from options.",
    "plan": "The set-ups most worth the minutes there are, in walking order.",
    "program": "Prove a motion program safe on your machine before it runs.",
    "capture": "Take the readings of a worksheet, one by one; each is on disk before the next.",
    "analyse": "What the readings say by themselves, without a model of the machine.",
    "explain": "Which links lose how much, why, how sure that is, and what to read next.",
    "foresee": "What a print will show: layers, bands, and remedies that cost nothing.",
    "redesign": "Which changes reach the targets for the least money, and what they rest on.",
    "build": "Chosen changes as ordered work: what accepts each step, wiring first, then power.",
    "wiring": "Prove a motor harness before power: go, no-go, or what to measure next.",
    "prove": "Before and after, figure by figure, with what may be said of each.",
    "report": "Write the report: one HTML file that stands alone, one PDF, and the drawing.",
    "size": "Size one part: each sum with its equation, its inputs and how far to trust them.",
    "pack": "A story to publish, before and after, as one file; and another person's.",
    "shelf": "What has been kept: list it, take it in and out as files, back it up.",
    "completion": "Print the line that switches on completion in your shell.",
}
"""Command -> its line in the help. The files of the same names are loaded only when called."""


class Commands(click.Group):
    """Loads a command only when it is called; shows what the person can mend, status 2."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of this name, its file loaded now."""
        if cmd_name not in COMMANDS:
            return None
        found: click.Command = import_module(f"plumbrise.cli.{cmd_name}").command
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that was typed; of one that is none, the nearest by its letters."""
        near = get_close_matches(args[0], COMMANDS, 1) if args[0] not in COMMANDS else []
        if near:
            ctx.fail(f"No such command {args[0]!r}. Did you mean {near[0]}?")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, without loading any."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def invoke(self, ctx: click.Context) -> object:
        """Run the command; what the person can mend becomes a message and status 2."""
        try:
            return super().invoke(ctx)
        except (InputError, InputErrors) as problem:
            click.echo(problem, err=True)
            ctx.exit(2)
        except OSError as problem:
            where = f"{problem.filename}: " if problem.filename else ""
            click.echo(f"{where}{problem.strerror or problem}.", err=True)
            ctx.exit(2)


@click.command(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="plumbrise")
def main() -> None:
    """Find out what a screw-raised axis loses, where, why, and what to do about it.

    \b
    Example:
        plumbrise demo
        plumbrise explain machine.toml readings.csv
    """


def run() -> None:
    """Entry point. Ctrl-C ends with the usual status and leaves nothing half-written."""
    for library in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(library, "1")  # small solves are slower on more threads
    try:
        sys.exit(main(prog_name="plumbrise", standalone_mode=False))
    except click.ClickException as problem:
        problem.show()
        sys.exit(problem.exit_code)
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped. No file was left half-written.", err=True)
        sys.exit(130)
