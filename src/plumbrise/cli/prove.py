"""`plumbrise prove`."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.cli.options import AS_JSON, EXISTING, INCHES, MACHINE, SEED, STATION, TEST
from plumbrise.errors import InputError, InputErrors

if TYPE_CHECKING:
    from plumbrise.cli.session import Session
    from plumbrise.files.proposal import Chosen
    from plumbrise.prove import Stage


@click.command()
@MACHINE
@click.argument("before_path", metavar="BEFORE", type=EXISTING)
@click.argument("after_paths", metavar="AFTER...", type=EXISTING, nargs=-1, required=True)
@click.option(
    "--after-machine",
    "after_machines",
    type=EXISTING,
    multiple=True,
    help="The machine file as it is after the work, if it changed: one for all, or one for each.",
)
@click.option(
    "--proposal",
    "proposal_path",
    type=EXISTING,
    help="What `redesign --json` printed: promised against achieved.",
)
@click.option(
    "--prints-before",
    type=EXISTING,
    help="Measured on a print before: what, place, told_mm, read_mm.",
)
@click.option(
    "--prints-after",
    type=EXISTING,
    multiple=True,
    help="The same after: one for all, or one for each session.",
)
@click.option(
    "--links", "with_links", is_flag=True, help="Explain all: each link, and what to do next."
)
@click.option(
    "--story",
    "story_path",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write the story as one HTML page to publish; does what --links does.",
)
@click.option("--whole", is_flag=True, help="Show the figures without a verdict too.")
@TEST
@STATION
@INCHES
@AS_JSON
@SEED
def command(
    machine_path: Path,
    before_path: Path,
    after_paths: tuple[Path, ...],
    after_machines: tuple[Path, ...],
    proposal_path: Path | None,
    prints_before: Path | None,
    prints_after: tuple[Path, ...],
    with_links: bool,
    story_path: Path | None,
    whole: bool,
    test: str | None,
    station: str | None,
    inches: bool,
    as_json: bool,
    seed: int,
) -> None:
    """Before and after, figure by figure, with what may be said of each.

    \b
    Example:
        plumbrise prove machine.toml before.csv after.csv
        plumbrise prove machine.toml before.csv after.csv --story story.html
    """
    from plumbrise.cli.proving import chosen_at, one_each, prove_against
    from plumbrise.cli.reading import write_file
    from plumbrise.cli.session import session_at, show_json
    from plumbrise.report.proof import proof_text

    machines = one_each("--after-machine", after_machines or (machine_path,), len(after_paths))
    prints: tuple[Path | None, ...] = (None,) * len(after_paths)
    if prints_after:
        prints = one_each("--prints-after", prints_after, len(after_paths))
    explain = with_links or story_path is not None
    chosen = chosen_at(proposal_path)
    made: list[Stage] = []
    for machine, path, printed in zip(
        (machine_path, *machines),
        (before_path, *after_paths),
        (prints_before, *prints),
        strict=True,
    ):
        try:
            session = session_at(machine, path, test=test, station=station, inches=inches)
        except InputErrors as several:
            if made and not after_machines and _of_other_stations(several):
                raise InputErrors([*several.problems, AFTER_MACHINE]) from None
            raise
        last = len(made) == len(after_paths)
        made.append(
            _stage(session, path, printed, explain, chosen, seed=seed, quiet=as_json, last=last)
        )
    found = prove_against(chosen, *made)
    if story_path is not None:
        write_file(story_path, found.story(when=date.today().isoformat()))
    if as_json:
        show_json(found.to_dict())
        return
    click.echo("\n".join(proof_text(proof, whole=whole) for proof in found.result), nl=False)
    if story_path is not None:
        click.echo(f"\nWritten: {story_path}")


AFTER_MACHINE = InputError(
    place="--after-machine",
    value="nothing",
    allowed="the machine file as it is after the work",
    remedy="Give it where other screws or parts are in now: they bring stations of their own.",
)


def _of_other_stations(several: InputErrors) -> bool:
    return any(problem.place.endswith("station") for problem in several.problems)


def _stage(
    session: Session,
    path: Path,
    printed: Path | None,
    explain: bool,
    chosen: Chosen | None,
    *,
    seed: int,
    quiet: bool,
    last: bool,
) -> Stage:
    from plumbrise.cli.proving import bare_stage, explained_stage

    if not explain:
        return bare_stage(path.name, session, printed)
    return explained_stage(
        path.name, session, printed, seed=seed, quiet=quiet, last=last, chosen=chosen
    )
