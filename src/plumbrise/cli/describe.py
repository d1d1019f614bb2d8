"""`plumbrise describe`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from plumbrise.cli.options import AS_JSON
from plumbrise.errors import InputError

OPTIONS = {
    "lead": ("screw.lead_mm", "Travel for one turn of the screw: 8, or 0.315in."),
    "starts": ("screw.starts", "Threads side by side."),
    "side": ("screw.side", "Where the only screw stands: left or right."),
    "top-end": ("screw.top_end", "Top end of the screw: free or held."),
    "height": ("travel.height_mm", "How far the axis goes."),
    "nut": ("nut.kind", "Kind of nut: plain, split or floating."),
    "nut-mount": ("nut.mount", "Nut standing or hanging on its bracket."),
    "coupling": ("coupling.kind", "Coupling: rigid, helical, jaw, slotted-disc or none."),
    "weight-on": ("bearing.carries_weight", "What carries the weight: motor or thrust-bearing."),
    "full-steps": ("motor.full_steps_per_turn", "Full steps of the motor for one turn."),
    "microsteps": ("motor.microsteps", "Microsteps to a full step."),
    "motor-teeth": ("drive.motor_teeth", "Teeth of the motor's pulley, if a belt drives."),
    "screw-teeth": ("drive.screw_teeth", "Teeth of the screw's pulley."),
    "guide": ("guide.kind", "Guides: rollers, rods or rails."),
    "span": ("guide.span_mm", "From left guide to right guide."),
    "carriage-height": ("guide.carriage_height_mm", "From upper to lower roller of a carriage."),
    "mass": ("gantry.mass_kg", "Mass that the screws carry."),
    "centre-of-mass": ("gantry.centre_of_mass_mm", "Its centre of mass, from the left guide."),
    "base-width": ("frame.base_width_mm", "Width of the base."),
    "resolution": ("gauge.resolution_mm", "Smallest division or digit of the gauge."),
    "stroke": ("gauge.range_mm", "How far the gauge's plunger goes; 10 mm where nobody says."),
    "wrap": ("gauge.wrap_mm", "One turn of a dial without a turns counter."),
}
"""Option -> the field it fills, and its line in the help. `--set` reaches all others."""


def _with_field_options(command: Callable[..., Any]) -> Callable[..., Any]:
    for option, (_, words) in reversed(OPTIONS.items()):
        command = click.option(f"--{option}", help=words)(command)
    return command


@click.command()
@click.argument(
    "path", metavar="[FILE]", required=False, type=click.Path(dir_okay=False, path_type=Path)
)
@click.option("--arrangement", help="one-screw, two-screw, two-screw-tied or three-screw-bed.")
@click.option("--name", help="What you call the machine.")
@_with_field_options
@click.option(
    "--set",
    "settings",
    metavar="PART.FIELD=VALUE",
    multiple=True,
    help="Any other field; for one screw alone PART.SIDE.FIELD=VALUE.",
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@AS_JSON
def command(
    path: Path | None,
    arrangement: str | None,
    name: str | None,
    settings: tuple[str, ...],
    force: bool,
    as_json: bool,
    **given: str | None,
) -> None:
    """Make a machine file, by asking or from options.

    Without options it asks, question by question; "I do not know" is always an answer. FILE is
    machine.toml unless you name another.

    \b
    Example:
        plumbrise describe
        plumbrise describe shed.toml --arrangement one-screw --lead 8 --span 340
        plumbrise describe shed.toml --arrangement two-screw --set nut.play_mm=0.04
    """
    from plumbrise.cli.questions import asked
    from plumbrise.files import machine_dict, machine_from, machine_remarks, write_machine

    target = path or (None if as_json else Path("machine.toml"))
    if target is not None:
        _refuse_to_write_over(target, force)
    tree = _from_options(arrangement, name, settings, given)
    if not tree:
        tree = asked(_ask, _say, tree)
    machine = machine_from(tree)
    if target is not None:
        from plumbrise.cli.reading import write_file

        write_file(target, write_machine(machine))
    for remark in machine_remarks(machine):
        _say(remark)
    if as_json:
        from plumbrise.cli.session import show_json

        show_json(machine_dict(machine))
    else:
        click.echo(f"Written: {target}")


def _ask(words: str) -> str:
    answer: str = click.prompt(words, default="", show_default=False, prompt_suffix="> ", err=True)
    return answer


def _say(words: str) -> None:
    """Questions and remarks go to the error stream: standard output is for the result."""
    click.echo(words, err=True)


def _refuse_to_write_over(path: Path, force: bool) -> None:
    if path.exists() and not force:
        raise InputError(
            place="FILE",
            value=str(path),
            allowed="only a new file is",
            remedy="Name another file, or say --force to write over it.",
        )


def _from_options(
    arrangement: str | None,
    name: str | None,
    settings: tuple[str, ...],
    given: dict[str, str | None],
) -> dict[str, Any]:
    """The tree that the options describe, empty without options; all faults told together."""
    from plumbrise.errors import InputErrors
    from plumbrise.files.machine_typed import set_in

    tree: dict[str, Any] = {}
    problems: list[InputError] = []
    pairs = [
        (f"--{option}", key, given[option.replace("-", "_")] or "")
        for option, (key, _) in OPTIONS.items()
        if given[option.replace("-", "_")] is not None
    ]
    for setting in settings:
        key, equals, value = setting.partition("=")
        if not equals:
            problems.append(
                InputError(
                    place="--set",
                    value=setting,
                    allowed="PART.FIELD=VALUE",
                    remedy="Write it without spaces, such as nut.play_mm=0.04.",
                )
            )
            continue
        pairs.append(("--set", key.strip(), value))
    for _, key, value in pairs:
        try:
            set_in(tree, key, value)
        except InputError as problem:
            problems.append(problem)
        except InputErrors as several:
            problems += several.problems
    if name is not None:
        tree["name"] = name
    if arrangement is not None:
        tree["arrangement"] = arrangement
    elif pairs or settings or name is not None:
        problems.append(
            InputError(
                place="--arrangement",
                value="",
                allowed="one-screw, two-screw, two-screw-tied or three-screw-bed",
                remedy="Say how many screws carry the moving part, or give no options to be asked.",
            )
        )
    if problems:
        raise InputErrors(problems)
    return tree
