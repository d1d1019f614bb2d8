"""`plumbrise explain`."""

from __future__ import annotations

from pathlib import Path

import click

from plumbrise.cli.options import AS_JSON, SEED, takes_a_session
from plumbrise.cli.print_options import MEASURED, weighed_part

TO_WRITE = click.Path(dir_okay=False, writable=True, path_type=Path)


@click.command()
@takes_a_session
@AS_JSON
@SEED
@MEASURED
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
    measured_path: Path | None,
    drawing_path: Path | None,
    page_path: Path | None,
) -> None:
    """Which links lose how much, why, how sure that is, and what to read next.

    \b
    Example:
        plumbrise explain machine.toml readings.csv
        plumbrise explain machine.toml readings.csv --drawing axis.svg --page axis.html
        plumbrise explain machine.toml readings.csv --measured part.csv
    """
    from plumbrise.cli.reading import write_file
    from plumbrise.cli.session import session_at, show_json

    session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
    analysis = session.analysed()
    explanation = session.explained(seed=seed, quiet=as_json)
    evidence = None
    if measured_path is not None:
        evidence = weighed_part(explanation, measured_path, None, seed)
    if drawing_path is not None:
        from plumbrise.cli.documents import drawing_of

        write_file(drawing_path, drawing_of(session, analysis, explanation))
    if page_path is not None:
        from plumbrise.cli.documents import html_of

        write_file(page_path, html_of(session, analysis, explanation))
    if as_json:
        from plumbrise.files.results import explanation_dict

        shown = explanation_dict(explanation)
        if evidence is not None:
            from plumbrise.files.forecast import evidence_dict

            shown["part_evidence"] = evidence_dict(evidence)
        show_json(shown)
        return
    from plumbrise.report import answer_text

    click.echo(answer_text(session.machine, session.readings, analysis, explanation))
    if evidence is not None:
        from plumbrise.report.printed_part import evidence_text

        click.echo(evidence_text(evidence))
    for path in (drawing_path, page_path):
        if path is not None:
            click.echo(f"Written: {path}")
