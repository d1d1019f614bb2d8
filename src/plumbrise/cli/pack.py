"""`plumbrise pack`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from plumbrise import __version__
from plumbrise.cli.options import AS_JSON, EXISTING, INCHES, STATION, TEST
from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.api import Answer
    from plumbrise.files import Pack, PackNotWhole, Stage
    from plumbrise.files.pack_again import Agreement

WORDS = {
    "same": "the same numbers",
    "near": "the same causes; draws fell a little otherwise",
    "other": "other numbers",
}
"""Verdict of an agreement -> what is said of it."""


@click.group()
def command() -> None:
    """A story to publish, before and after, as one file; and another person's.

    A pack holds machine, readings, results, drawing and report of each stage, the versions that
    made them, and a checksum of each file.

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
@TEST
@STATION
@INCHES
@AS_JSON
def make(
    out_path: Path,
    before: tuple[Path, Path],
    afters: Sequence[tuple[Path, Path]],
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

    from plumbrise.api import Answer, packed
    from plumbrise.cli.progress import working
    from plumbrise.cli.reading import write_file
    from plumbrise.cli.session import session_at, show_json

    answers: list[Answer] = []
    for machine_path, readings_path in (before, *afters):
        session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
        explanation = session.explained(seed=0, quiet=as_json)
        analysis = session.analysed()
        answers.append(Answer(session.machine, session.readings, analysis, explanation))
    with working("Drawing and packing", quiet=as_json):
        data = packed(answers, when=date.today().isoformat())
        write_file(out_path, data)
    if as_json:
        digest = sha256(data).hexdigest()
        show_json(
            {"version": 1, "written": str(out_path), "sha256": digest, "stages": len(answers)}
        )
        return
    stages = "1 stage" if len(answers) == 1 else f"{len(answers)} stages"
    click.echo(f"Written: {out_path} ({stages}, {len(data) / 1000:.0f} kB).")


@command.command("open")
@click.argument("pack_path", metavar="FILE", type=EXISTING)
@click.option(
    "--into",
    "folder",
    type=click.Path(file_okay=False, path_type=Path),
    help="Write machine, readings and results of each stage here; a new or an empty folder.",
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
    from plumbrise.cli.session import show_json
    from plumbrise.files import PackNotWhole

    try:
        pack = _read(pack_path)
        found = [_again(stage, recompute, as_json) for stage in pack.stages]
        written = _written(pack, folder) if folder is not None else []
    except PackNotWhole as broken:
        if as_json:
            faults = [str(problem) for problem in broken.problems]
            show_json({"version": 1, "whole": False, "faults": faults})
        else:
            _show_faults(pack_path, broken)
        raise click.exceptions.Exit(1) from None
    if as_json:
        show_json(_opened(pack, found, written))
    else:
        click.echo(_opened_text(pack, found, written))
    if _other(found):
        raise click.exceptions.Exit(1)


def _other(found: list[dict[str, Any]]) -> bool:
    """True where a stage says other numbers than its readings do."""
    agreements = [stage[name] for stage in found for name in ("analysis", "explanation")]
    return any(one is not None and one["verdict"] == "other" for one in agreements)


def _read(path: Path) -> Pack:
    from plumbrise.files.archive import fault
    from plumbrise.files.pack import BOUNDS, PackNotWhole, read_pack

    size = path.stat().st_size
    if size > BOUNDS.packed:  # before it fills the memory
        raise PackNotWhole([fault("archive", f"{size} bytes", f"up to {BOUNDS.packed}")])
    return read_pack(path.read_bytes())


def _show_faults(path: Path, broken: PackNotWhole) -> None:
    click.echo(f"{path.name}: this pack is not whole. Nothing of it was written.")
    for problem in broken.problems:
        click.echo(f"  {problem}")


def _again(stage: Stage, recompute: bool, quiet: bool) -> dict[str, Any]:
    """A stage with its numbers worked out again."""
    from plumbrise.cli.progress import working
    from plumbrise.files.pack_again import analysed_again, explained_again, session_in

    machine, readings = session_in(stage)
    explained = None
    if recompute:
        with working("Explaining it anew", quiet=quiet):
            from plumbrise.cli.compiled_cache import use_compiled_cache

            use_compiled_cache()
            explained = explained_again(stage, machine, readings)
    return {
        "stage": stage.name,
        "machine": machine.name or machine.arrangement.title,
        "readings": readings.count,
        "analysis": _agreement(analysed_again(stage, machine, readings)),
        "explanation": None if explained is None else _agreement(explained),
    }


def _agreement(found: Agreement) -> dict[str, Any]:
    return {"verdict": found.verdict, "differences": list(found.told)}


def _written(pack: Pack, folder: Path) -> list[str]:
    """Text only, under names of ours."""
    from plumbrise.cli.reading import write_file
    from plumbrise.files.pack import json_text

    if folder.exists() and any(folder.iterdir()):
        raise InputError(
            place="--into",
            value=str(folder),
            allowed="a new folder, or an empty one",
            remedy="Name another folder.",
        )
    made = []
    for stage in pack.stages:
        (folder / stage.name).mkdir(parents=True, exist_ok=True)
        texts = {
            "machine.toml": stage.machine,
            "readings.csv": stage.readings,
            "results.json": json_text(stage.results),
        }
        for name, text in texts.items():
            write_file(folder / stage.name / name, text)
            made.append(f"{folder}/{stage.name}/{name}")
    return made


def _opened(pack: Pack, found: list[dict[str, Any]], written: list[str]) -> dict[str, Any]:
    return {
        "version": 1,
        "whole": True,
        "faults": [],
        "format": pack.format,
        "packed_on": pack.packed_on,
        "versions": dict(pack.versions),
        "stages": found,
        "written": written,
    }


def _opened_text(pack: Pack, found: list[dict[str, Any]], written: list[str]) -> str:
    maker = f"plumbrise {pack.versions.get('plumbrise', 'of a version it does not tell')}"
    lines = [f"The pack is whole. Packed on {pack.packed_on} by {maker}."]
    for stage in found:
        lines.append(f"{stage['stage']}: {stage['machine']}, {stage['readings']} readings.")
        for what, name in (("Analysed", "analysis"), ("Explained", "explanation")):
            agreement = stage[name]
            if agreement is not None:
                lines.append(f"  {what} again: {WORDS[agreement['verdict']]}.")
                lines += [f"    {line}" for line in agreement["differences"]]
    if _other(found) and pack.versions.get("plumbrise") != __version__:
        lines.append(f"This is {__version__}: another version may be why the numbers are other.")
    lines += [f"Written: {path}" for path in written]
    return "\n".join(lines)
