"""`plumbrise size`: the options of each kind are made from what its calculator asks."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from plumbrise.cli.options import AS_JSON, EXISTING
from plumbrise.elements.calculators import KINDS, calculator
from plumbrise.elements.worked import Asked, Calculator
from plumbrise.errors import InputError, InputErrors

SHEET = click.option(
    "--sheet", "whole", is_flag=True, help="Show each sum with its equation, inputs and source."
)
MACHINE = click.option(
    "--machine",
    "machine_path",
    type=EXISTING,
    help="Take from this machine file what it says; options come before it.",
)


class Answer(click.Option):
    """An option that answers one input; `group` is its heading in the help."""

    def __init__(self, asked: Asked) -> None:
        self.group = asked.group
        words = asked.words[0].upper() + asked.words[1:]
        if asked.choices:
            words += f": {asked.allowed}"
        if asked.each:
            words += ": " + "; ".join(map(_part, asked.each))
        word = asked.choices or asked.free
        super().__init__(
            [option_of(asked), asked.name],
            multiple=True,
            metavar=asked.shape if asked.each else "WORD" if word else "NUMBER",
            help=f"{words}.{_left_out(asked)}",
            shell_complete=lambda _ctx, _parameter, begun: [
                word for word in asked.choices if word.startswith(begun)
            ],
        )


class Sizing(click.Command):
    """A command whose help lists its options in the groups of its calculator."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The groups in the order in which their first inputs are asked, the rest last."""
        grouped: dict[str, list[tuple[str, str]]] = {}
        for parameter in self.get_params(ctx):
            record = parameter.get_help_record(ctx)
            if record is not None:
                group = parameter.group if isinstance(parameter, Answer) else ""
                grouped.setdefault(group or "Options", []).append(record)
        for group, records in grouped.items():
            with formatter.section(group):
                formatter.write_dl(records)


class Kinds(click.Group):
    """Lists the kinds in the order of the load path, each with its whole line."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """As `KINDS` has them."""
        return list(self.commands)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Their purposes, not cut."""
        with formatter.section("Kinds"):
            formatter.write_dl([(kind, calculator(kind).purpose) for kind in self.commands])


@click.group(cls=Kinds, subcommand_metavar="KIND [OPTIONS]")
def command() -> None:
    """Size one part: each sum with its equation, its inputs and how far to trust them.

    No machine file is needed. A length may be typed in inches, a force in kgf, and so on: 13.5in.

    \b
    Example:
        plumbrise size beam --help
        plumbrise size beam --span-mm 340 --force-n 6 --sheet
    """


def option_of(asked: Asked) -> str:
    """The option of an input: span_mm is --span-mm."""
    return "--" + asked.name.replace("_", "-")


def command_of(made: Calculator) -> click.Command:
    """The command that a calculator makes."""

    @SHEET
    @MACHINE
    @AS_JSON
    def run(whole: bool, machine_path: Path | None, as_json: bool, **texts: Any) -> None:
        _run(made, whole, machine_path, as_json, texts)

    example = f"\b\nExample:\n    plumbrise size {made.kind} {made.example}"
    found = click.command(made.kind, cls=Sizing, help=f"{made.purpose}\n\n{example}")(run)
    found.params[:0] = [Answer(one) for one in made.asked]
    return found


def _part(asked: Asked) -> str:
    """One part of an item, and what it is taken as."""
    words = f"{asked.words} ({asked.allowed})" if asked.choices else asked.words
    return f"{words}{_left_out(asked)}" if asked.default is not None else words


def _left_out(asked: Asked) -> str:
    """What an input is taken as, and how far to trust that."""
    if asked.default is not None:
        value = f"{asked.default:g}" if not isinstance(asked.default, str) else asked.default
        return f" [{f'{value} {asked.unit}'.strip()}, {asked.trust}]"
    if asked.each:
        return f" [{asked.fewest} or more]" if asked.fewest else ""
    return "" if asked.optional else " [needed]"


def _run(
    made: Calculator,
    whole: bool,
    machine_path: Path | None,
    as_json: bool,
    texts: dict[str, Sequence[str]],
) -> None:
    from plumbrise.cli.reading import machine_at
    from plumbrise.elements.answered import answered
    from plumbrise.elements.worked import sheet
    from plumbrise.machine.said import said_of

    try:
        known = {} if machine_path is None else said_of(machine_at(machine_path), made.asked)
        worked = sheet(made, answered(made.asked, texts, known))
    except InputError as problem:
        raise _named(made, problem) from None
    except InputErrors as several:
        raise InputErrors([_named(made, one) for one in several.problems]) from None
    if as_json:
        from plumbrise.cli.session import show_json
        from plumbrise.files.sizing import sheet_dict

        show_json(sheet_dict(worked))
    else:
        from plumbrise.report.sizing import sheet_text

        click.echo(sheet_text(worked, whole=whole))
    if not worked.holds:
        click.get_current_context().exit(1)


def _named(made: Calculator, problem: InputError) -> InputError:
    """The same problem at the option that the person typed."""
    place = problem.place
    for asked in made.asked:
        if place == asked.name or place.startswith(f"{asked.name} "):
            place = option_of(asked) + place.removeprefix(asked.name)
    return InputError(
        place=place, value=problem.value, allowed=problem.allowed, remedy=problem.remedy
    )


for kind in KINDS:
    command.add_command(command_of(calculator(kind)))
