"""`plumbrise redesign`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from plumbrise.cli.options import AS_JSON, SEED, takes_a_session
from plumbrise.cli.proposals import proposal_for, takes_targets, workshop_of
from plumbrise.errors import InputError

UNREACHABLE = 1
TO_WRITE = click.Path(dir_okay=False, writable=True, path_type=Path)


@click.command()
@takes_a_session
@takes_targets
@click.option("--parts", "parts_path", type=TO_WRITE, help="Write the parts list to this CSV.")
@click.option(
    "--new-workshop", type=TO_WRITE, help="Write a workshop file to mend, and do nothing else."
)
@click.option("--force", is_flag=True, help="Write over a workshop file that is there.")
@click.option("--list", "as_list", is_flag=True, help="List the changes it chooses from.")
@AS_JSON
@SEED
def command(
    machine_path: Path,
    readings_path: Path,
    test: str | None,
    station: str | None,
    inches: bool,
    parts_path: Path | None,
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
    """
    from plumbrise.cli.reading import write_file
    from plumbrise.cli.session import session_at, show_json

    workshop = workshop_of(asked)
    if new_workshop is not None:
        from plumbrise.files.workshop_file import write_workshop

        if new_workshop.exists() and not force:
            raise InputError(
                place="--new-workshop",
                value=str(new_workshop),
                allowed="a file that is not there yet",
                remedy="Name another file, or say --force to write over it.",
            )
        write_file(new_workshop, write_workshop(workshop))
        click.echo(f"Written: {new_workshop}")
        return
    session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
    if as_list:
        from plumbrise.report.redesign import changes_text

        click.echo(changes_text(workshop.changes_for(session.machine), workshop.currency))
        return
    explanation = session.explained(seed=seed, quiet=as_json)
    proposal = proposal_for(session.machine, explanation, asked, workshop, seed=seed)
    if parts_path is not None and proposal.chosen is not None:
        from plumbrise.files.proposal import parts_table

        write_file(parts_path, parts_table(proposal.chosen.parts))
    if as_json:
        from plumbrise.files.proposal import proposal_dict

        show_json(proposal_dict(proposal))
    else:
        from plumbrise.report.redesign import proposal_text

        click.echo(proposal_text(session.machine, proposal), nl=False)
    if not proposal.reachable or proposal.untold:
        raise SystemExit(UNREACHABLE)
