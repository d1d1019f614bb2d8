"""Options that say what is printed, and how it starts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from plumbrise.cli.options import EXISTING, LENGTH
from plumbrise.errors import InputError

if TYPE_CHECKING:
    import numpy as np

    from plumbrise.cli.session import Session
    from plumbrise.explain import Believed, Explanation
    from plumbrise.foresee import Forecast, Print
    from plumbrise.foresee.part_evidence import PartEvidence
    from plumbrise.machine import Machine

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
CHANGES = click.option(
    "--with",
    "changes",
    multiple=True,
    metavar="CHANGE",
    help="Foretell the print as after this change; may be given again.",
)
MEASURED = click.option(
    "--measured",
    "measured_path",
    type=EXISTING,
    help="The table of --test-part with its thicknesses filled in: how they change the causes.",
)


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
            type=LENGTH,
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
            type=LENGTH,
            default=0.45,
            show_default=True,
            metavar="MM",
            help="Width of a line.",
        ),
        click.option("--first", "first_mm", type=LENGTH, metavar="MM", help="Height of layer one."),
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
            type=LENGTH,
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
        for name in (*NAMES, "changes")
    )


def print_of(given: Mapping[str, Any]) -> Print:
    """The print that these options tell of; others among them are passed over.

    Raises:
        InputError: what no print can be.
    """
    from plumbrise.foresee import Lift, Print, Start

    taken = {name: given[name] for name in NAMES if given[name] is not None}
    return Print(**{**taken, "start": Start(given["start"]), "lift": Lift(given["lift"])})


def forecast_for(
    session: Session,
    explanation: Explanation | None,
    job: Print,
    changes: Sequence[str],
    rng: np.random.Generator,
) -> tuple[Machine, Forecast]:
    """The forecast of the axis as it is, or as it would be after changes, and the machine it is
    for; straight from a staircase where there is no explanation.

    Raises:
        InputError: the readings tell too little; a change that does not go with this machine; a
            print that does not fit it.
    """
    from plumbrise.foresee import foresee, foresee_from_readings

    machine, readings = session.machine, session.readings
    if changes:
        from plumbrise.redesign.foreseen import before_and_after, foresee_after

        believed = believed_of(explanation, "--with")
        axes = before_and_after(machine, believed, changes, rng, place="--with")
        return axes.machine, foresee_after(axes, job, rng)
    if explanation is None:
        return machine, foresee_from_readings(machine, readings, job, rng=rng)
    return machine, foresee(machine, explanation, job, rng=rng, readings=readings)


def believed_of(explanation: Explanation | None, option: str) -> Believed:
    """The axes that are believed, for an option that needs them.

    Raises:
        InputError: there are none.
    """
    if explanation is None or explanation.believed is None:
        raise InputError(
            place=option,
            value="a staircase alone" if explanation is None else "too few readings",
            allowed="readings that explain can answer from",
            remedy="Leave --no-model out, or take the readings that `plumbrise plan` proposes.",
        )
    return explanation.believed


def weighed_part(
    explanation: Explanation | None, path: Path, job: Print | None, seed: int
) -> PartEvidence:
    """What a measured part says of the causes.

    Args:
        explanation: whose believed axes are weighed.
        path: its table.
        job: how it was printed; as the table says if left out.
        seed: what differs from print to print is drawn with it.

    Raises:
        InputError: no believed axes; a table that cannot be used.
    """
    import numpy as np

    from plumbrise.files.decoding import text_of
    from plumbrise.files.printed_part import print_in, read_part
    from plumbrise.foresee.part_evidence import part_evidence

    text = text_of(path.read_bytes(), name=path.name).text
    measured = read_part(text, name=path.name)
    if job is None:
        job = print_in(text, name=path.name)
    believed = believed_of(explanation, "--measured")
    return part_evidence(believed, job, measured, np.random.default_rng(seed))
