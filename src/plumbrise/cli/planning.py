"""What `plumbrise plan` does with files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from plumbrise.cli.reading import machine_at, write_file
from plumbrise.errors import InputError, InputErrors
from plumbrise.explain.plan import Plan
from plumbrise.files.plan import read_with, runs_of
from plumbrise.machine import Machine
from plumbrise.measure.at_hand import AtHand, with_gauge
from plumbrise.readings.kinds import GAUGE_CHECK


def machine_with_gauge(path: Path, at_hand: AtHand) -> Machine:
    """The machine of a file, with the gauge at hand in place of the one in the file."""
    return with_gauge(machine_at(path), at_hand)


def stated_by(
    machine: Machine,
    path: Path | None,
    *,
    seed: int,
    quiet: bool,
    test: str | None = None,
    station: str | None = None,
    inches: bool = False,
) -> tuple[Mapping[str, float] | None, frozenset[tuple[str, str]]]:
    """What readings taken so far say of the causes, and which tests they were."""
    if path is None:
        return None, frozenset()
    from plumbrise.cli.reading import readings_at
    from plumbrise.cli.session import Session

    readings = readings_at(path, machine, test, station, inches)
    session = Session(machine, readings)
    explanation = session.explained(seed=seed, quiet=quiet)
    stated = {c.cause: c.probability for c in explanation.causes}
    return stated, frozenset((run.kind.id, run.station.id) for run in readings.runs if run.taken)


def write_plan(
    machine: Machine,
    plan: Plan,
    folder: Path,
    *,
    symptoms: Sequence[str],
    at_hand: AtHand,
    force: bool = False,
) -> list[Path]:
    """Plan, worksheets and motion programs into a folder; what was written.

    Raises:
        InputError: a worksheet is there, which may be filled in.
    """
    from datetime import date

    from plumbrise import __version__
    from plumbrise.files.plan import worksheet_csv, worksheet_xlsx
    from plumbrise.report.plan import plan_text
    from plumbrise.report.plan_pdf import plan_pdf

    if (folder / "worksheet.csv").exists() and not force:
        raise InputError(
            place="--folder",
            value=str(folder),
            allowed="a folder without a worksheet: this one may be filled in",
            remedy="Name another folder, or add --force.",
        )
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("[0-9][0-9]-*.gcode"):
        old.unlink()  # of the plan that is written over
    gauges = at_hand.at_once
    pdf = plan_pdf(
        machine,
        plan,
        when=date.today().isoformat(),
        version=__version__,
        symptoms=symptoms,
        gauges=gauges,
    )
    made: dict[str, str | bytes] = {
        "plan.txt": plan_text(machine, plan, symptoms, gauges=gauges) + "\n",
        "plan.pdf": pdf,
        "worksheet.csv": worksheet_csv(plan, at_hand),
        "worksheet.xlsx": worksheet_xlsx(plan, at_hand),
    }
    made |= _programs(machine, plan, at_hand)
    for name, content in made.items():
        write_file(folder / name, content)
    return [folder / name for name in made]


def _programs(machine: Machine, plan: Plan, at_hand: AtHand) -> dict[str, str | bytes]:
    """A motion program for each set-up that moves, by file name, as long as the plan counts it;
    none for what a second gauge reads at the same moves, or where the travel is not known."""
    import click

    from plumbrise.measure.motion_program import motion_program
    from plumbrise.measure.time_taken import DWELL_S, READING_S, setting_s

    if machine.travel.height_mm is None:
        click.echo(
            "No motion programs: the machine file does not say the travel (travel.height_mm).",
            err=True,
        )
        return {}
    made: dict[str, str | bytes] = {}
    together, runs = read_with(plan, at_hand), runs_of(plan).runs
    settings: dict[str, float] = {}
    for place, run in enumerate(runs):
        stands = run.station in [one.station for one in runs[:place]]
        settings[run.name] = setting_s(run.station, stands=stands)
    moved: set[str] = set()
    for number, run in enumerate(runs, start=1):
        if run.kind is GAUGE_CHECK or together.get(run.name) in moved:
            continue
        moved.add(run.name)
        set_in_s = settings[run.name] + settings.get(together.get(run.name, ""), 0.0)
        dwell_s = DWELL_S + (READING_S if run.name in together else 0.0)
        name = f"{number:02}-{run.name.replace(' ', '-')}.gcode"
        try:
            made[name] = motion_program(machine, run, set_in_s=set_in_s, dwell_s=dwell_s).text
        except (InputError, InputErrors) as problem:
            click.echo(f"No motion program for {run.name}: {problem}", err=True)
    return made
