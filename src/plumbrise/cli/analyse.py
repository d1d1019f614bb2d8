"""`plumbrise analyse`."""

from __future__ import annotations

from pathlib import Path

import click

from plumbrise.cli.options import AS_JSON, takes_a_session


@click.command()
@takes_a_session
@AS_JSON
def command(
    machine_path: Path,
    readings_path: Path,
    test: str | None,
    station: str | None,
    inches: bool,
    as_json: bool,
) -> None:
    """What the readings say by themselves, without a model of the machine.

    \b
    Example:
        plumbrise analyse machine.toml readings.csv
        plumbrise analyse machine.toml steps.csv --test coarse-steps --station gantry-left
    """
    from plumbrise.cli.session import session_at, show_json

    session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
    analysis = session.analysed()
    if as_json:
        from plumbrise.files.results import analysis_dict

        show_json(analysis_dict(analysis))
    else:
        from plumbrise.report import analysis_text

        click.echo(analysis_text(analysis))
