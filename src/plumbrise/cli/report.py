"""`plumbrise report`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from plumbrise.cli.options import AS_JSON, SEED, takes_a_session
from plumbrise.cli.proposals import asks, proposal_for, takes_targets, workshop_of


@click.command()
@takes_a_session
@AS_JSON
@SEED
@click.option(
    "--out",
    "out_stem",
    type=click.Path(path_type=Path),
    help="Name of the files without ending; the readings' name with -report if left out.",
)
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper."
)
@click.option(
    "--redesign",
    "with_changes",
    is_flag=True,
    help="Add what to change; so does any of the options below.",
)
@takes_targets
def command(
    machine_path: Path,
    readings_path: Path,
    test: str | None,
    station: str | None,
    inches: bool,
    as_json: bool,
    seed: int,
    out_stem: Path | None,
    paper: str,
    with_changes: bool,
    **asked: Any,
) -> None:
    """Write the report: one HTML file that stands alone, one PDF, and the drawing.

    \b
    Example:
        plumbrise report machine.toml readings.csv --paper letter
        plumbrise report machine.toml readings.csv --lost-motion 0.05 --budget 60
    """
    from plumbrise.cli.documents import drawing_of, html_of, pdf_of
    from plumbrise.cli.progress import working
    from plumbrise.cli.reading import write_file
    from plumbrise.cli.session import session_at, show_json

    workshop = workshop_of(asked)
    session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
    analysis = session.analysed()
    explanation = session.explained(seed=seed, quiet=as_json)
    proposal = None
    if with_changes or asks(asked):
        proposal = proposal_for(session.machine, explanation, asked, workshop, seed=seed)
    stem = out_stem or readings_path.with_name(f"{readings_path.stem}-report")
    with working("Writing the report", quiet=as_json):
        made: list[tuple[Path, str | bytes]] = [
            (_with_ending(stem, ".html"), html_of(session, analysis, explanation, proposal)),
            (
                _with_ending(stem, ".pdf"),
                pdf_of(session, analysis, explanation, paper, proposal),
            ),
            (_with_ending(stem, ".svg"), drawing_of(session, analysis, explanation)),
        ]
        for path, content in made:
            write_file(path, content)
    if as_json:
        show_json({"version": 1, "written": [str(path) for path, _ in made]})
        return
    for path, _ in made:
        click.echo(f"Written: {path}")


def _with_ending(stem: Path, ending: str) -> Path:
    return stem.with_name(stem.name + ending)
