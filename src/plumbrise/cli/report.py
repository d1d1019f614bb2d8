"""`plumbrise report`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from plumbrise.cli.options import AS_JSON, EXISTING, SEED, takes_a_session
from plumbrise.cli.print_options import (
    CHANGES,
    NAMES,
    asks_for_a_print,
    forecast_for,
    print_of,
    takes_a_print,
)
from plumbrise.cli.proof_options import takes_what_was
from plumbrise.cli.proposals import asks, proposal_for, takes_targets, workshop_of
from plumbrise.errors import InputError


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
    help="Add what to change; so does any of the options below, up to --foresee.",
)
@takes_targets
@click.option(
    "--foresee",
    "with_print",
    is_flag=True,
    help="Add what a print will show; so does any of the options below.",
)
@CHANGES
@takes_a_print
@takes_what_was
@click.option(
    "--build",
    "work_path",
    type=EXISTING,
    metavar="WORK.json",
    help="Add the work order: what `plumbrise build --progress` kept.",
)
@click.option(
    "--wiring",
    "harness_path",
    type=EXISTING,
    metavar="HARNESS",
    help="Add the verdict on a motor harness, with its drawing.",
)
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
    with_print: bool,
    changes: tuple[str, ...],
    was: tuple[Path, Path] | None,
    promised: Path | None,
    prints_before: Path | None,
    prints_after: Path | None,
    work_path: Path | None,
    harness_path: Path | None,
    **asked: Any,
) -> None:
    """Write the report: one HTML file that stands alone, one PDF, and the drawing.

    \b
    Example:
        plumbrise report machine.toml readings.csv --paper letter
        plumbrise report machine.toml readings.csv --lost-motion 0.05 --budget 60
        plumbrise report machine.toml readings.csv --foresee --layer 0.16
        plumbrise report after.toml after.csv --prove machine.toml readings.csv
        plumbrise report machine.toml readings.csv --build work.json --wiring harness.toml
    """
    from plumbrise.cli.building import wired_at, work_at
    from plumbrise.cli.documents import drawing_of, html_of, pdf_of
    from plumbrise.cli.progress import working
    from plumbrise.cli.proving import proved_for
    from plumbrise.cli.reading import write_file
    from plumbrise.cli.session import session_at, show_json

    if was is None and (promised or prints_before or prints_after):
        raise InputError(
            place="--prove",
            value="not given",
            allowed="MACHINE READINGS from before the work",
            remedy="Give it, or leave out what it would be compared with.",
        )
    printed = {name: asked.pop(name) for name in NAMES}
    job = print_of(printed) if with_print or asks_for_a_print() else None
    workshop = workshop_of(asked)
    session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
    analysis = session.analysed()
    explanation = session.explained(seed=seed, quiet=as_json)
    proposal = None
    if with_changes or asks(asked):
        proposal = proposal_for(session.machine, explanation, asked, workshop, seed=seed)
    forecast = None
    if job is not None:
        import numpy as np

        rng = np.random.default_rng(seed)
        forecast = forecast_for(session, explanation, job, changes, rng)[1]
    proved = None
    if was is not None:
        read = [session_at(*was, test=test, station=station, inches=inches), session]
        names = (was[1].name, readings_path.name)
        prints = (prints_before, prints_after)
        explained = [read[0].explained(seed=seed, quiet=as_json), explanation]
        proved = proved_for(read, names, prints, explained, promised)
    begun_on = session.machine if was is None else read[0].machine
    built = (
        None if work_path is None else work_at(work_path, begun_on),
        None if harness_path is None else wired_at(harness_path),
    )
    stem = out_stem or readings_path.with_name(f"{readings_path.stem}-report")
    told = (session, analysis, explanation)
    with working("Writing the report", quiet=as_json):
        made: list[tuple[Path, str | bytes]] = [
            (_with_ending(stem, ".html"), html_of(*told, proposal, forecast, proved, *built)),
            (_with_ending(stem, ".pdf"), pdf_of(*told, paper, proposal, forecast, proved, *built)),
            (_with_ending(stem, ".svg"), drawing_of(*told)),
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
