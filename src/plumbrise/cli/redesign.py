"""`plumbrise redesign`."""

from __future__ import annotations

from pathlib import Path

import click

from plumbrise.cli.options import AS_JSON, SEED, takes_a_session

UNREACHABLE = 1
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
@click.option("--without", multiple=True, metavar="CHANGE", help="A change that is ruled out.")
@click.option(
    "--at-hand", multiple=True, metavar="CHANGE", help="A change whose parts you have already."
)
@click.option(
    "--hour-worth",
    type=click.FloatRange(min=0),
    default=10.0,
    show_default=True,
    help="What an hour of work counts in money.",
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
    without: tuple[str, ...],
    at_hand: tuple[str, ...],
    hour_worth: float,
    as_list: bool,
    as_json: bool,
    seed: int,
    **limits: float | None,
) -> None:
    """Which changes reach the targets for the least money, and what else there is.

    Without a target: lost motion and difference of the sides at most 0.05 mm. Status 1 where
    no set of changes within the budget is likely enough.

    \b
    Example:
        plumbrise redesign machine.toml readings.csv
        plumbrise redesign machine.toml readings.csv --lost-motion 0.04 --budget 60
    """
    from plumbrise.cli.session import session_at, show_json
    from plumbrise.redesign.workshop import Workshop, known_changes

    workshop = Workshop(
        without=known_changes("--without", without),
        at_hand=known_changes("--at-hand", at_hand),
        hour_worth=hour_worth,
    )
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
    if as_json:
        from plumbrise.files.proposal import proposal_dict

        show_json(proposal_dict(proposal))
    else:
        from plumbrise.report.redesign import proposal_text

        click.echo(proposal_text(session.machine, proposal), nl=False)
    if not proposal.reachable:
        raise SystemExit(UNREACHABLE)
