"""`plumbrise redesign`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from plumbrise.cli.options import AS_JSON, EXISTING, SEED, takes_a_session

if TYPE_CHECKING:
    from plumbrise.redesign import Workshop

UNREACHABLE = 1
TO_WRITE = click.Path(dir_okay=False, writable=True, path_type=Path)
TARGETS = (
    ("lost_motion", "lost-motion", "Most lost motion after homing, at the worse end."),
    ("sides", "sides", "Most that one end may lose more than another."),
    ("bands", "bands", "Most amplitude of bands."),
    ("home_range", "home-range", "Most range of ten homings."),
    ("height", "height", "Most height error over 100 mm."),
    ("push", "push", "Most that an upright may give under a push of 10 N."),
)


def _takes_targets(command: click.decorators.FC) -> click.decorators.FC:
    for name, figure, words in reversed(TARGETS):
        command = click.option(
            f"--{figure}",
            name,
            type=click.FloatRange(min=0, min_open=True),
            metavar="MM",
            help=words,
        )(command)
    return command


@click.command()
@takes_a_session
@_takes_targets
@click.option("--stays-up", is_flag=True, help="The moving part must stay up with motors off.")
@click.option("--budget", type=click.FloatRange(min=0), help="Most money for parts.")
@click.option(
    "--probability",
    type=click.FloatRange(0, 1, min_open=True),
    default=0.7,
    show_default=True,
    help="How sure the targets must be met.",
)
@click.option(
    "--workshop",
    "workshop_path",
    type=EXISTING,
    help="Your own prices, hours, parts and tools (TOML).",
)
@click.option("--without", multiple=True, metavar="CHANGE", help="A change that is ruled out.")
@click.option(
    "--at-hand", multiple=True, metavar="CHANGE", help="A change whose parts you have already."
)
@click.option(
    "--hour-worth",
    type=click.FloatRange(min=0),
    help="What an hour of work counts in money.  [default: 10]",
)
@click.option("--parts", "parts_path", type=TO_WRITE, help="Write the parts list to this CSV.")
@click.option(
    "--new-workshop", type=TO_WRITE, help="Write a workshop file to mend, and do nothing else."
)
@click.option("--list", "as_list", is_flag=True, help="List the changes it chooses from.")
@AS_JSON
@SEED
def command(
    machine_path: Path,
    readings_path: Path,
    test: str | None,
    station: str | None,
    inches: bool,
    stays_up: bool,
    budget: float | None,
    probability: float,
    workshop_path: Path | None,
    without: tuple[str, ...],
    at_hand: tuple[str, ...],
    hour_worth: float | None,
    parts_path: Path | None,
    new_workshop: Path | None,
    as_list: bool,
    as_json: bool,
    seed: int,
    **limits: float | None,
) -> None:
    """Which changes reach the targets for the least money, and what they rest on.

    Without a target: lost motion and difference of the sides at most 0.05 mm. Status 1 where
    no set of changes within the budget is likely enough.

    \b
    Example:
        plumbrise redesign machine.toml readings.csv
        plumbrise redesign machine.toml readings.csv --lost-motion 0.04 --budget 60
    """
    from plumbrise.cli.session import session_at, show_json

    workshop = _workshop(workshop_path, without, at_hand, hour_worth)
    if new_workshop is not None:
        from plumbrise.cli.reading import write_file
        from plumbrise.files.workshop_file import write_workshop

        write_file(new_workshop, write_workshop(workshop))
        click.echo(f"Written: {new_workshop}")
        return
    session = session_at(machine_path, readings_path, test=test, station=station, inches=inches)
    if as_list:
        from plumbrise.report.redesign import changes_text

        click.echo(changes_text(workshop.changes_for(session.machine), workshop.currency))
        return
    explanation = session.explained(seed=seed, quiet=as_json)
    import numpy as np

    from plumbrise.redesign import redesign, targets_of

    asked = {figure: limits[name] for name, figure, _ in TARGETS}
    proposal = redesign(
        session.machine,
        explanation,
        targets_of({k: v for k, v in asked.items() if v is not None}, stays_up=stays_up),
        rng=np.random.default_rng(seed),
        probability=probability,
        budget=budget,
        workshop=workshop,
    )
    if parts_path is not None and proposal.chosen is not None:
        from plumbrise.cli.reading import write_file
        from plumbrise.files.proposal import parts_table

        write_file(parts_path, parts_table(proposal.chosen.parts))
    if as_json:
        from plumbrise.files.proposal import proposal_dict

        show_json(proposal_dict(proposal))
    else:
        from plumbrise.report.redesign import proposal_text

        click.echo(proposal_text(session.machine, proposal), nl=False)
    if not proposal.reachable:
        raise SystemExit(UNREACHABLE)


def _workshop(
    path: Path | None,
    without: tuple[str, ...],
    at_hand: tuple[str, ...],
    hour_worth: float | None,
) -> Workshop:
    """The workshop of the file, if there is one, and what the options add to it."""
    from plumbrise.redesign.workshop import Workshop, known_changes

    found = Workshop()
    if path is not None:
        from plumbrise.files.decoding import text_of
        from plumbrise.files.workshop_file import read_workshop

        found = read_workshop(text_of(path.read_bytes(), name=path.name).text, name=path.name)
    return replace(
        found,
        without=found.without | known_changes("--without", without),
        at_hand=found.at_hand | known_changes("--at-hand", at_hand),
        hour_worth=found.hour_worth if hour_worth is None else hour_worth,
    )
