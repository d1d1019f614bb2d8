"""`plumbrise foresee`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.cli.options import AS_JSON, SEED, takes_a_session

if TYPE_CHECKING:
    from plumbrise.foresee import Print

TO_WRITE = click.Path(dir_okay=False, writable=True, path_type=Path)
ABOVE_ZERO = click.FloatRange(min=0, min_open=True)


def takes_a_print(command: click.decorators.FC) -> click.decorators.FC:
    """What is printed, and how it starts."""
    for decorate in (
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
            "--offset", "offset_mm", type=float, default=0.0, metavar="MM", help="Raised by."
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


@click.command()
@takes_a_session
@takes_a_print
@AS_JSON
@SEED
def command(
    machine_path: Path,
    readings_path: Path,
    test: str | None,
    station: str | None,
    inches: bool,
    as_json: bool,
    seed: int,
    start: str,
    lift: str,
    **given: float | int | None,
) -> None:
    """What a print will show: layers one by one, bands, and remedies that cost nothing.

    \b
    Example:
        plumbrise foresee machine.toml readings.csv
        plumbrise foresee machine.toml readings.csv --layer 0.16 --lift every
    """
    from plumbrise.cli.session import session_at, show_json

    session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
    job = _print(start, lift, given)
    explanation = session.explained(seed=seed, quiet=as_json)
    import numpy as np

    from plumbrise.foresee import foresee

    forecast = foresee(explanation, job, rng=np.random.default_rng(seed))
    if as_json:
        from plumbrise.files.forecast import forecast_dict

        show_json(forecast_dict(forecast))
        return
    from plumbrise.report.foresee import forecast_text

    click.echo(forecast_text(session.machine, forecast), nl=False)


def _print(start: str, lift: str, given: dict[str, float | int | None]) -> Print:
    from typing import Any

    from plumbrise.foresee import Lift, Print, Start

    taken: dict[str, Any] = {k: v for k, v in given.items() if v is not None}
    return Print(start=Start(start), lift=Lift(lift), **taken)
