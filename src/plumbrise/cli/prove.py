"""`plumbrise prove`."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.cli.options import AS_JSON, EXISTING, INCHES, MACHINE, SEED, STATION, TEST
from plumbrise.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from plumbrise.explain import Explanation, Interval
    from plumbrise.machine import Machine
    from plumbrise.prove import PrintReading, Stage
    from plumbrise.redesign import Proposal


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
    help="The same after: one for each session after.",
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
    from plumbrise.api import prove
    from plumbrise.cli.progress import working
    from plumbrise.cli.reading import write_file
    from plumbrise.cli.session import session_at, show_json
    from plumbrise.report.proof import proof_text

    explain = with_links or story_path is not None
    machines = _for_each("--after-machine", after_machines or (machine_path,), after_paths)
    prints = [None] * len(after_paths) if not prints_after else list(prints_after)
    if len(prints) != len(after_paths):
        raise _too_few("--prints-after", len(prints), len(after_paths))

    def stage_of(machine: Path, path: Path, printed: Path | None, *, last: bool) -> Stage:
        session = session_at(machine, path, test=test, station=station, inches=inches)
        from plumbrise.api import stage

        explanation = session.explained(seed=seed, quiet=as_json) if explain else None
        proposal = None
        if explanation is not None and last:
            with working("Looking at what could be done next", quiet=as_json):
                proposal = _next(session.machine, explanation, seed)
        return stage(
            path.name,
            session.machine,
            session.readings,
            explanation=explanation,
            proposal=proposal,
            prints=_prints(printed),
        )

    before = stage_of(machine_path, before_path, prints_before, last=False)
    afters = [
        stage_of(machine, path, printed, last=i == len(after_paths) - 1)
        for i, (machine, path, printed) in enumerate(
            zip(machines, after_paths, prints, strict=True)
        )
    ]
    found = prove(before, *afters, promised=_promised(proposal_path))
    if story_path is not None:
        write_file(story_path, found.story(when=date.today().isoformat()))
    if as_json:
        show_json(found.to_dict())
        return
    click.echo("\n".join(proof_text(proof, whole=whole) for proof in found.result), nl=False)
    if story_path is not None:
        click.echo(f"\nWritten: {story_path}")


def _for_each(option: str, given: tuple[Path, ...], sessions: tuple[Path, ...]) -> tuple[Path, ...]:
    """One file for every session, or one for them all."""
    if len(given) == 1:
        return given * len(sessions)
    if len(given) != len(sessions):
        raise _too_few(option, len(given), len(sessions))
    return given


def _too_few(option: str, given: int, sessions: int) -> InputError:
    return InputError(
        place=option,
        value=f"{given} files",
        allowed=f"as many as sessions after: {sessions}",
        remedy="Give the option once for each session, in their order.",
    )


def _promised(path: Path | None) -> Mapping[str, Mapping[str, Interval]] | None:
    if path is None:
        return None
    from plumbrise.files.decoding import text_of
    from plumbrise.files.proposal import read_promised

    return read_promised(text_of(path.read_bytes(), name=path.name).text, name=path.name)


def _prints(path: Path | None) -> tuple[PrintReading, ...]:
    if path is None:
        return ()
    from plumbrise.files.decoding import text_of
    from plumbrise.files.prints_table import read_prints

    return read_prints(text_of(path.read_bytes(), name=path.name).text, name=path.name)


def _next(machine: Machine, explanation: Explanation, seed: int) -> Proposal | None:
    """What redesign would do with what is left, for the usual targets; None where the readings
    tell too little for it."""
    import numpy as np

    from plumbrise.redesign import redesign, targets_of

    try:
        rng = np.random.default_rng(seed)
        return redesign(machine, explanation, targets_of(), rng=rng)
    except InputError:
        return None
