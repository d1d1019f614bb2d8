"""`plumbrise foresee`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from plumbrise.cli.options import AS_JSON, EXISTING, INCHES, LENGTH, SEED, STATION, TEST
from plumbrise.cli.print_options import (
    CHANGES,
    MEASURED,
    asks_for_a_print,
    believed_of,
    forecast_for,
    print_of,
    takes_a_print,
    weighed_part,
)

if TYPE_CHECKING:
    import numpy as np

    from plumbrise.explain import Explanation
    from plumbrise.foresee import Forecast, Print
    from plumbrise.machine import Machine

TO_WRITE = click.Path(dir_okay=False, writable=True, path_type=Path)


@click.command()
@click.argument("machine_path", metavar="[MACHINE]", type=EXISTING, required=False)
@click.argument("readings_path", metavar="[READINGS]", type=EXISTING, required=False)
@TEST
@STATION
@INCHES
@takes_a_print
@click.option(
    "--spacing",
    type=LENGTH,
    metavar="MM",
    help="Bands stand so far apart: say what fits. Needs no readings, and no machine.",
)
@click.option(
    "--layer-time",
    type=click.FloatRange(min=0, min_open=True),
    metavar="S",
    help="Seconds a layer takes, for --spacing.",
)
@click.option("--no-model", is_flag=True, help="Straight from a staircase, without explaining.")
@CHANGES
@click.option(
    "--test-part",
    "part_path",
    type=TO_WRITE,
    help="Write the table of a part to print and measure to this CSV.",
)
@MEASURED
@click.option("--drawing", "drawing_path", type=TO_WRITE, help="Write the figures to this SVG.")
@AS_JSON
@SEED
def command(
    machine_path: Path | None,
    readings_path: Path | None,
    test: str | None,
    station: str | None,
    inches: bool,
    spacing: float | None,
    layer_time: float | None,
    no_model: bool,
    changes: tuple[str, ...],
    part_path: Path | None,
    measured_path: Path | None,
    drawing_path: Path | None,
    as_json: bool,
    seed: int,
    **printed: Any,
) -> None:
    """What a print will show: layers, bands, and remedies that cost nothing.

    Layer by layer at both ends and where the part stands, each with its interval.

    \b
    Example:
        plumbrise foresee machine.toml readings.csv
        plumbrise foresee machine.toml readings.csv --layer 0.16 --lift every
        plumbrise foresee machine.toml readings.csv --with thrust-bearing
        plumbrise foresee --spacing 1.6
    """
    if spacing is not None:
        if part_path or measured_path or drawing_path or changes or no_model:
            raise click.UsageError(
                "--spacing goes with MACHINE, --layer, --layer-time and --json alone."
            )
        _say_what_fits(machine_path, spacing, printed["layer_mm"], layer_time, as_json)
        return
    if layer_time is not None:
        raise click.UsageError("--layer-time goes with --spacing.")
    job = print_of(printed)
    if machine_path is None or readings_path is None:
        raise click.UsageError("Give MACHINE and READINGS, or --spacing.")
    from plumbrise.cli.session import session_at
    from plumbrise.redesign.named import known_changes

    known_changes("--with", changes)
    session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
    explanation = None if no_model else session.explained(seed=seed, quiet=as_json)
    import numpy as np

    rng = np.random.default_rng(seed)
    machine, forecast = forecast_for(session, explanation, job, changes, rng)
    if drawing_path is not None:
        from plumbrise.cli.reading import write_file
        from plumbrise.drawing.forecast_sheet import forecast_sheet

        write_file(drawing_path, forecast_sheet(machine, forecast))
    more = _part(machine, explanation, job, part_path, rng)
    if measured_path is not None:
        given = job if asks_for_a_print() else None
        more["evidence"] = weighed_part(explanation, measured_path, given, seed)
    _show(machine, forecast, more, as_json)
    if drawing_path is not None and not as_json:
        click.echo(f"Written: {drawing_path}")


def _say_what_fits(
    machine_path: Path | None, spacing: float, layer_mm: float, layer_s: float | None, as_json: bool
) -> None:
    from plumbrise.cli.reading import machine_at
    from plumbrise.foresee.spacing import what_fits

    machine = None if machine_path is None else machine_at(machine_path)
    answer = what_fits(machine, spacing_mm=spacing, layer_mm=layer_mm, layer_s=layer_s)
    if as_json:
        from plumbrise.cli.session import show_json
        from plumbrise.files.forecast import spacing_dict

        show_json(spacing_dict(answer))
        return
    from plumbrise.report.band_words import spacing_text

    click.echo(spacing_text(machine, answer), nl=False)


def _part(
    machine: Machine,
    explanation: Explanation | None,
    job: Print,
    part_path: Path | None,
    rng: np.random.Generator,
) -> dict[str, Any]:
    """The test part, where it is asked for."""
    more: dict[str, Any] = {}
    if part_path is not None:
        from plumbrise.cli.reading import write_file
        from plumbrise.files.printed_part import write_part
        from plumbrise.foresee.part import part_to_print

        more["part"] = part_to_print(machine, believed_of(explanation, "--test-part"), job, rng)
        write_file(part_path, write_part(more["part"]))
    return more


def _show(machine: Machine, forecast: Forecast, more: dict[str, Any], as_json: bool) -> None:
    if as_json:
        from plumbrise.cli.session import show_json
        from plumbrise.files.forecast import evidence_dict, forecast_dict, part_dict

        shown = forecast_dict(forecast)
        shown["test_part"] = part_dict(more["part"]) if "part" in more else None
        shown["part_evidence"] = evidence_dict(more["evidence"]) if "evidence" in more else None
        show_json(shown)
        return
    from plumbrise.report.foresee import forecast_text
    from plumbrise.report.printed_part import evidence_text, part_text

    click.echo(forecast_text(machine, forecast), nl=False)
    if "part" in more:
        click.echo("\n" + part_text(more["part"]), nl=False)
    if "evidence" in more:
        click.echo("\n" + evidence_text(more["evidence"]), nl=False)
