"""`plumbrise explain`."""

from __future__ import annotations

from pathlib import Path

import click

from plumbrise.cli.options import AS_JSON, SEED, takes_a_session

TO_WRITE = click.Path(dir_okay=False, writable=True, path_type=Path)


@click.command()
@takes_a_session
@AS_JSON
@SEED
@click.option("--drawing", "drawing_path", type=TO_WRITE, help="Write the drawing to this SVG.")
@click.option("--page", "page_path", type=TO_WRITE, help="Write a page to keep to this HTML file.")
def command(
    machine_path: Path,
    readings_path: Path,
    test: str | None,
    station: str | None,
    inches: bool,
    as_json: bool,
    seed: int,
    drawing_path: Path | None,
    page_path: Path | None,
) -> None:
    """Which links lose how much, why, how sure that is, and what to read next.

    \b
    Example:
        plumbrise explain machine.toml readings.csv
        plumbrise explain machine.toml readings.csv --drawing axis.svg --page axis.html
    """
    from plumbrise.cli.reading import write_file
    from plumbrise.cli.session import session_at, show_json

    session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
    analysis = session.analysed()
    explanation = session.explained(seed=seed, quiet=as_json)
    if drawing_path is not None:
        from plumbrise.cli.documents import drawing_of

        write_file(drawing_path, drawing_of(session, analysis, explanation))
    if page_path is not None:
        from plumbrise.cli.documents import html_of

        write_file(page_path, html_of(session, analysis, explanation))
    if as_json:
        from plumbrise.files.results import explanation_dict

        show_json(explanation_dict(explanation))
        return
    from plumbrise.report import answer_text

    click.echo(answer_text(session.machine, session.readings, analysis, explanation))
    for path in (drawing_path, page_path):
        if path is not None:
            click.echo(f"Written: {path}")
