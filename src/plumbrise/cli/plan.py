"""`plumbrise plan`."""

from __future__ import annotations

from pathlib import Path

import click

from plumbrise.cli.options import AS_JSON, INCHES, LENGTH, NUMBER, SEED, STATION, TEST

MACHINE = click.Path(dir_okay=False, path_type=Path)
READINGS = click.Path(dir_okay=False, path_type=Path)
FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command()
@click.argument("machine_path", metavar="MACHINE", type=MACHINE)
@click.argument("readings_path", metavar="[READINGS]", required=False, type=READINGS)
@TEST
@STATION
@INCHES
@click.option("--minutes", type=NUMBER, default=60.0, show_default=True, help="How long there is.")
@click.option(
    "--symptom",
    "symptoms",
    multiple=True,
    help="What you see: first-layer, bands, one-side-low, binds, jumps or drifts.",
)
@click.option("--resolution", type=LENGTH, help="Smallest step of the gauge at hand, mm.")
@click.option("--stroke", type=LENGTH, help="How far its plunger goes, mm; 10 where nobody says.")
@click.option("--gauges", type=click.IntRange(1, 2), default=1, help="How many gauges at once.")
@click.option("--no-balance", is_flag=True, help="There is no spring balance.")
@click.option(
    "--blocks", is_flag=True, help="There are blocks of known thickness to lay under the tip."
)
@click.option("--folder", type=FOLDER, help="Write plan, worksheets and motion programs here.")
@click.option("--force", is_flag=True, help="Write over a plan that is there.")
@SEED
@AS_JSON
def command(
    machine_path: Path,
    readings_path: Path | None,
    test: str | None,
    station: str | None,
    inches: bool,
    minutes: float,
    symptoms: tuple[str, ...],
    resolution: float | None,
    stroke: float | None,
    gauges: int,
    no_balance: bool,
    blocks: bool,
    folder: Path | None,
    force: bool,
    seed: int,
    as_json: bool,
) -> None:
    """The set-ups most worth the minutes there are, in walking order.

    With READINGS, the plan starts from what those say. With --folder it also writes the plan as
    PDF, worksheets to fill in, and a motion program for each set-up.

    \b
    Example:
        plumbrise plan machine.toml --minutes 40 --symptom bands --folder evening
    """
    import numpy as np

    from plumbrise.cli.planning import machine_with_gauge, stated_by, write_plan
    from plumbrise.cli.session import show_json
    from plumbrise.errors import InputError
    from plumbrise.explain.plan import plan
    from plumbrise.files.plan import plan_dict
    from plumbrise.measure.at_hand import AtHand
    from plumbrise.report.plan import plan_text

    if not 5 <= minutes <= 600:
        raise InputError(
            place="--minutes", value=minutes, allowed="5 to 600", remedy="Give the time you have."
        )
    at_hand = AtHand(resolution_mm=resolution, stroke_mm=stroke, at_once=gauges)
    machine = machine_with_gauge(machine_path, at_hand)
    stated, done = stated_by(
        machine,
        readings_path,
        seed=seed,
        quiet=as_json,
        test=test,
        station=station,
        inches=inches,
    )
    made = plan(
        machine,
        minutes=minutes,
        rng=np.random.default_rng(seed),
        symptoms=symptoms,
        stated=stated,
        done=done,
        gauges=gauges,
        balance=not no_balance,
        blocks=blocks,
    )
    if folder is not None:
        for path in write_plan(
            machine, made, folder, symptoms=symptoms, at_hand=at_hand, force=force
        ):
            click.echo(f"Written: {path}", err=as_json)
    if as_json:
        show_json(plan_dict(made, at_hand))
    else:
        click.echo(plan_text(machine, made, symptoms, gauges=gauges))
