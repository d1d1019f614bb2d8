"""`plumbrise pack`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.cli.options import AS_JSON, EXISTING, INCHES, STATION, TEST

if TYPE_CHECKING:
    from plumbrise.api import Answer


@click.group()
def command() -> None:
    """A story to publish, before and after, as one file; and another person's.

    A pack holds machine, readings, results, drawing and report of each stage, the proof and the
    story, the versions that made them, and a checksum of each file.

    \b
    Example:
        plumbrise pack make story.zip --before machine.toml before.csv --after new.toml after.csv
        plumbrise pack open story.zip --into story
    """


@command.command()
@click.argument("out_path", metavar="OUT", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--before",
    nargs=2,
    type=EXISTING,
    required=True,
    metavar="MACHINE READINGS",
    help="The machine file and the readings before anything was changed.",
)
@click.option(
    "--after",
    "afters",
    nargs=2,
    type=EXISTING,
    multiple=True,
    metavar="MACHINE READINGS",
    help="The same after a change; may be given up to nine times.",
)
@click.option(
    "--proposal",
    type=EXISTING,
    help="What `redesign --json` printed: the proof holds what came against it.",
)
@click.option("--build", type=EXISTING, help="What `build --progress` keeps.")
@click.option("--harness", type=EXISTING, help="The harness file.")
@click.option(
    "--prints-before",
    type=EXISTING,
    help="Measured on a print before: what, place, told_mm, read_mm.",
)
@click.option(
    "--prints-after",
    type=EXISTING,
    multiple=True,
    help="The same after: one for all, or one for each stage after.",
)
@TEST
@STATION
@INCHES
@AS_JSON
def make(
    out_path: Path,
    before: tuple[Path, Path],
    afters: Sequence[tuple[Path, Path]],
    proposal: Path | None,
    build: Path | None,
    harness: Path | None,
    prints_before: Path | None,
    prints_after: tuple[Path, ...],
    test: str | None,
    station: str | None,
    inches: bool,
    as_json: bool,
) -> None:
    """Make a pack of a story: OUT is the zip file to write.

    Comments of the machine files stay with you; name, note and readings are in the pack. Packed on
    the same day from the same files it is the same, byte for byte.

    \b
    Example:
        plumbrise pack make story.zip --before machine.toml before.csv
        plumbrise pack make story.zip --before machine.toml before.csv --after new.toml after.csv
    """
    from datetime import date
    from hashlib import sha256

    from plumbrise.api import Answer, Beside, packed
    from plumbrise.cli.progress import working
    from plumbrise.cli.proving import one_each
    from plumbrise.cli.reading import write_file
    from plumbrise.cli.session import session_at, show_json

    printed: tuple[Path | None, ...] = (None,) * len(afters)
    if prints_after:
        printed = one_each("--prints-after", prints_after, len(afters))
    beside = Beside(
        proposal=_text(proposal),
        build=_text(build),
        harness=_text(harness),
        prints=tuple(_text(one) for one in (prints_before, *printed)),
    )
    answers: list[Answer] = []
    for machine_path, readings_path in (before, *afters):
        session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
        explanation = session.explained(seed=0, quiet=as_json)
        analysis = session.analysed()
        answers.append(Answer(session.machine, session.readings, analysis, explanation))
    with working("Drawing and packing", quiet=as_json):
        data = packed(answers, when=date.today().isoformat(), beside=beside)
        write_file(out_path, data)
    if as_json:
        digest = sha256(data).hexdigest()
        show_json(
            {"version": 1, "written": str(out_path), "sha256": digest, "stages": len(answers)}
        )
        return
    stages = "1 stage" if len(answers) == 1 else f"{len(answers)} stages"
    click.echo(f"Written: {out_path} ({stages}, {len(data) / 1000:.0f} kB).")


def _text(path: Path | None) -> str:
    from plumbrise.files.decoding import text_of

    return "" if path is None else text_of(path.read_bytes(), name=path.name).text


@command.command("open")
@click.argument("pack_path", metavar="FILE", type=EXISTING)
@click.option(
    "--into",
    "folder",
    type=click.Path(file_okay=False, path_type=Path),
    help="Write what is in it here, but for drawings and pages; a new or an empty folder.",
)
@click.option(
    "--recompute", is_flag=True, help="Explain anew as well; takes some seconds for each stage."
)
@AS_JSON
def open_(pack_path: Path, folder: Path | None, recompute: bool, as_json: bool) -> None:
    """Check another person's pack, and work its numbers out again.

    Nothing in it is run, and nothing is written but text under names of this program's. Its report
    and drawings stay in the pack, because a page may hold anything: make your own from its
    readings. The exit status is 1 where the pack is not whole, or says other numbers than its
    readings do.

    \b
    Example:
        plumbrise pack open story.zip
        plumbrise pack open story.zip --into story --recompute
    """
    from plumbrise.cli import pack_opened
    from plumbrise.cli.session import show_json
    from plumbrise.files import PackNotWhole

    try:
        found = pack_opened.opened(pack_path, recompute=recompute, quiet=as_json)
        written = pack_opened.written(found.pack, folder) if folder is not None else []
    except PackNotWhole as broken:
        if as_json:
            faults = [str(problem) for problem in broken.problems]
            show_json({"version": 1, "whole": False, "faults": faults})
        else:
            click.echo(pack_opened.faults_text(pack_path, broken))
        raise click.exceptions.Exit(1) from None
    if as_json:
        show_json(pack_opened.as_dict(found, written))
    else:
        click.echo(pack_opened.as_text(found, written))
    if found.other:
        raise click.exceptions.Exit(1)
