"""`plumbrise demo`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.cli.options import AS_JSON
from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.analyse import Analysis
    from plumbrise.cli.session import Session
    from plumbrise.explain import Explanation

MARK = "made-by-plumbrise-demo.txt"


@click.command()
@click.argument(
    "folder", default="plumbrise-demo", type=click.Path(file_okay=False, path_type=Path)
)
@AS_JSON
def command(folder: Path, as_json: bool) -> None:
    """Do the whole job on an invented machine and write its folder.

    \b
    Example:
        plumbrise demo
        plumbrise demo my-look-around
    """
    from plumbrise.cli.progress import working
    from plumbrise.cli.session import Session, show_json
    from plumbrise.demo import scenario

    _refuse_foreign(folder)
    invented = scenario()
    session = Session(invented.machine, invented.readings)
    if not as_json:
        click.echo(f"{invented.story}\n")
    with working("Looking at the readings", quiet=as_json):
        analysis = session.analysed()
    explanation = session.explained(seed=0, quiet=as_json)
    with working("Drawing and writing", quiet=as_json):
        contents = _contents(session, analysis, explanation, invented.story)
        _write_folder(folder, contents)
    if as_json:
        from plumbrise.files.results import explanation_dict

        show_json(
            {
                "version": 1,
                "folder": str(folder),
                "files": list(contents),
                "explanation": explanation_dict(explanation),
            }
        )
        return
    from plumbrise.report import answer_text

    click.echo(answer_text(session.machine, session.readings, analysis, explanation))
    click.echo(f"\nWritten to {folder}{_SEPARATOR}:")
    for name, words in _FILES.items():
        click.echo(f"  {name:<18} {words}")
    click.echo(f"\nOpen {folder / 'report.html'} in a browser. Then do it with your own machine:")
    click.echo("  plumbrise describe machine.toml")
    click.echo("  plumbrise explain machine.toml readings.csv")


_SEPARATOR = "/"
_FILES = {
    "machine.toml": "the invented machine",
    "readings.csv": "what its owner read on one evening",
    "analysis.json": "what the readings say by themselves",
    "explanation.json": "causes, losses, next tests",
    "load-path.svg": "the drawing",
    "report.html": "the report for a browser",
    "report.pdf": "the report for paper",
}


def _contents(
    session: Session, analysis: Analysis, explanation: Explanation, story: str
) -> dict[str, str | bytes]:
    import json

    from plumbrise.cli.documents import drawing_of, html_of, pdf_of
    from plumbrise.files import write_machine, write_readings
    from plumbrise.files.results import analysis_dict, explanation_dict

    return {
        "machine.toml": write_machine(session.machine),
        "readings.csv": write_readings(session.readings),
        "analysis.json": json.dumps(analysis_dict(analysis), ensure_ascii=False, indent=2),
        "explanation.json": json.dumps(explanation_dict(explanation), ensure_ascii=False, indent=2),
        "load-path.svg": drawing_of(session, analysis, explanation),
        "report.html": html_of(session, analysis, explanation),
        "report.pdf": pdf_of(session, analysis, explanation, "a4"),
        MARK: f"{story}\nEverything in this folder is invented; it may be deleted.\n",
    }


def _refuse_foreign(folder: Path) -> None:
    """A folder that holds other things is left alone."""
    if folder.exists() and any(folder.iterdir()) and not (folder / MARK).exists():
        raise InputError(
            place="FOLDER",
            value=str(folder),
            allowed="a new folder, an empty one, or one that the demo made",
            remedy="Name another folder.",
        )


def _write_folder(folder: Path, contents: dict[str, str | bytes]) -> None:
    from plumbrise.cli.reading import write_file

    folder.mkdir(parents=True, exist_ok=True)
    # the mark goes first: a folder left by a stop in between may be written over again
    for name in sorted(contents, key=lambda name: name != MARK):
        write_file(folder / name, contents[name])
