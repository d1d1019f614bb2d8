"""`plumbrise redesign`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from plumbrise.cli.options import AS_JSON, EXISTING, INCHES, SEED, STATION, TEST
from plumbrise.cli.proposals import proposal_for, takes_targets, workshop_of
from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.redesign import Proposal, Workshop

UNREACHABLE = 1
TO_WRITE = click.Path(dir_okay=False, writable=True, path_type=Path)


@click.command()
@click.argument("machine_path", metavar="[MACHINE]", type=EXISTING, required=False)
@click.argument("readings_path", metavar="[READINGS]", type=EXISTING, required=False)
@TEST
@STATION
@INCHES
@takes_targets
@click.option("--parts", "parts_path", type=TO_WRITE, help="Write the parts list to this CSV.")
@click.option("--sums", "whole", is_flag=True, help="Show each sum with its equation and inputs.")
@click.option(
    "--new-workshop",
    type=TO_WRITE,
    help="Write a workshop file to mend, and do nothing else. Needs no machine.",
)
@click.option("--force", is_flag=True, help="Write over a workshop file that is there.")
@click.option(
    "--list",
    "as_list",
    is_flag=True,
    help="List the changes it chooses from: those that MACHINE can have, or all.",
)
@AS_JSON
@SEED
def command(
    machine_path: Path | None,
    readings_path: Path | None,
    test: str | None,
    station: str | None,
    inches: bool,
    parts_path: Path | None,
    whole: bool,
    new_workshop: Path | None,
    force: bool,
    as_list: bool,
    as_json: bool,
    seed: int,
    **asked: Any,
) -> None:
    """Which changes reach the targets for the least money, and what they rest on.

    Without a target: lost motion and difference of the sides at most 0.05 mm. Status 1 where
    no set of changes within the budget is likely enough, or a target cannot be told.

    \b
    Example:
        plumbrise redesign machine.toml readings.csv
        plumbrise redesign machine.toml readings.csv --lost-motion 0.04 --budget 60
        plumbrise redesign machine.toml --list
    """
    workshop = workshop_of(asked)
    if new_workshop is not None:
        _write_workshop(workshop, new_workshop, force=force)
        return
    if as_list:
        click.echo(_listed(workshop, machine_path))
        return
    if machine_path is None or readings_path is None:
        raise click.UsageError("Give MACHINE and READINGS, or --list or --new-workshop.")
    from plumbrise.cli.session import session_at, show_json

    session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
    explanation = session.explained(seed=seed, quiet=as_json)
    proposal = proposal_for(session.machine, explanation, asked, workshop, seed=seed)
    if parts_path is not None:
        _write_parts(proposal, parts_path)
    if as_json:
        from plumbrise.files.proposal import proposal_dict

        show_json(proposal_dict(proposal))
    else:
        from plumbrise.report.redesign import proposal_text, sums_text

        click.echo(proposal_text(session.machine, proposal), nl=False)
        if whole:
            click.echo(f"\n{sums_text(proposal)}")
    if not proposal.reachable or proposal.untold:
        raise SystemExit(UNREACHABLE)


def _write_parts(proposal: Proposal, path: Path) -> None:
    from plumbrise.cli.reading import write_file
    from plumbrise.files.proposal import parts_table

    if proposal.chosen is None:
        click.echo("No parts list was written: no set of changes was chosen.", err=True)
        return
    write_file(path, parts_table(proposal.chosen.parts))


def _write_workshop(workshop: Workshop, path: Path, *, force: bool) -> None:
    from plumbrise.cli.reading import write_file
    from plumbrise.files.workshop_file import write_workshop

    if path.exists() and not force:
        raise InputError(
            place="--new-workshop",
            value=str(path),
            allowed="a file that is not there yet",
            remedy="Name another file, or say --force to write over it.",
        )
    write_file(path, write_workshop(workshop))
    click.echo(f"Written: {path}")


def _listed(workshop: Workshop, machine_path: Path | None) -> str:
    """The changes that this machine can have, all without a machine."""
    from plumbrise.redesign import CATALOGUE
    from plumbrise.report.redesign import changes_text

    if machine_path is None:
        return changes_text(CATALOGUE.values(), workshop.currency)
    from plumbrise.cli.reading import machine_at

    return changes_text(workshop.changes_for(machine_at(machine_path)), workshop.currency)
