"""`plumbrise shelf`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from plumbrise.cli.options import AS_JSON, EXISTING, INCHES, STATION, TEST
from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.store import Shelf, ShelvedMachine, ShelvedRun

ON_SHELF = click.option(
    "--shelf",
    "shelf_file",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="The shelf's file, if not PLUMBRISE_SHELF or the one in your data folder.",
)
MACHINE_FILE, READINGS_FILE = "machine.toml", "readings.csv"
SHELF_HEAD = b"SQLite format 3\0"
"""With which a shelf's file begins."""


@click.group()
def command() -> None:
    """What has been kept: list it, take it in and out as files, back it up.

    MACHINE is a number or a name that the list shows.

    \b
    Example:
        plumbrise shelf list
        plumbrise shelf import machine.toml readings.csv
        plumbrise shelf export 1 evening
        plumbrise shelf backup
    """


@command.command("list")
@click.argument("machine", metavar="[MACHINE]", required=False)
@ON_SHELF
@AS_JSON
def list_(machine: str | None, shelf_file: Path | None, as_json: bool) -> None:
    """The machines on the shelf, or the runs of one.

    \b
    Example:
        plumbrise shelf list
        plumbrise shelf list 1
    """
    from plumbrise.store import shelf_path

    path = shelf_path(shelf_file)
    if machine is None and not path.exists():
        _show(as_json, _listed(path, (), ()), f"Nothing is on the shelf yet ({path}).")
        return
    with _shelf(shelf_file, make=False) as shelf:
        if machine is None:
            machines = shelf.machines()
            runs = shelf.runs()
        else:
            machines = (_named(shelf, machine),)
            runs = shelf.runs(machines[0].id)
    if machine is None:
        text = _machines_text(machines)
    else:
        text = _runs_text(machines[0], runs)
    _show(as_json, _listed(path, machines, runs), f"{text}\n\nShelf: {path}")


@command.command("import")
@click.argument("machine_path", metavar="MACHINE", type=EXISTING)
@click.argument("readings_path", metavar="[READINGS]", type=EXISTING, required=False)
@click.option("--name", default="", help="What to call the machine, if not as in its file.")
@click.option("--again", is_flag=True, help="Keep once more what is there already.")
@TEST
@STATION
@INCHES
@ON_SHELF
@AS_JSON
def import_(
    machine_path: Path,
    readings_path: Path | None,
    name: str,
    again: bool,
    test: str | None,
    station: str | None,
    inches: bool,
    shelf_file: Path | None,
    as_json: bool,
) -> None:
    """Put a machine file, and a table of its readings, on the shelf.

    It becomes a new machine there, unless both files are there already. The table is whatever
    the other commands read; a worksheet may be half filled in, and `plumbrise capture` then asks
    for the rest.

    \b
    Example:
        plumbrise shelf import machine.toml
        plumbrise shelf import machine.toml readings.csv --name "Shed printer, new nut"
    """
    from plumbrise.files.decoding import text_of
    from plumbrise.files.worksheet import filled

    data = machine_path.read_bytes()
    if data.startswith(SHELF_HEAD):
        raise _a_shelf(machine_path)
    toml = text_of(data, name=machine_path.name).text
    table = readings_path.read_bytes() if readings_path else b""
    how: dict[str, Any] = {
        "source": readings_path.name if readings_path else "",
        "test": test,
        "station": station,
        "inches": inches,
    }
    with _shelf(shelf_file) as shelf:
        same, alike = shelf.holding(toml, table, **how)
        known = same is not None and not (again or name)  # a name of its own asks for another
        if known:
            machine_id = int(same or 0)
        else:
            machine_id = shelf.import_(toml, table, name=name, **how)
        machine = _named(shelf, str(machine_id))
        readings = shelf.readings(machine_id)
        path = shelf.path
    blanks = sum(not filled(reading) for run in readings.runs for reading in run.readings)
    kept_as = f"machine {machine.id}, {machine.name}: {_counted(machine)}."
    words = [f"Kept as {kept_as}"]
    if known:
        words = [f"On the shelf already as {kept_as} Nothing was done; --again keeps it once more."]
    elif alike is not None:
        words.append(f"  The same machine file is there as machine {alike}; both stay.")
    if blanks:
        words.append(
            f"  {_some(blanks, 'row')} without a reading: plumbrise capture asks for them."
        )
    made = {"version": 1, "shelf": str(path), **_machine(machine), "blanks": blanks}
    _show(
        as_json,
        {**made, "remarks": [*(words if known else ()), *readings.remarks]},
        "\n".join([*words, *(f"  {remark}" for remark in readings.remarks)]),
    )


@command.command("export")
@click.argument("machine")
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option("--force", is_flag=True, help="Write over files that are there.")
@ON_SHELF
@AS_JSON
def export(machine: str, folder: Path, force: bool, shelf_file: Path | None, as_json: bool) -> None:
    """Write a machine and its readings to a folder: machine.toml and readings.csv.

    \b
    Example:
        plumbrise shelf export 1 evening
        plumbrise explain evening/machine.toml evening/readings.csv
    """
    from plumbrise.cli.reading import write_file

    with _shelf(shelf_file, make=False) as shelf:
        found = _named(shelf, machine)
        texts = dict(zip((MACHINE_FILE, READINGS_FILE), shelf.export(found.id), strict=True))
    paths = [folder / name for name in texts]
    there = [path for path in paths if path.exists()]
    if there and not force:
        raise InputError(
            place="FOLDER",
            value=str(there[0]),
            allowed="only a folder without it is",
            remedy="Name another folder, or say --force to write over it.",
        )
    folder.mkdir(parents=True, exist_ok=True)
    for path, text in zip(paths, texts.values(), strict=True):
        write_file(path, text)
    _show(
        as_json,
        {"version": 1, **_machine(found), "files": [str(path) for path in paths]},
        f"{found.name}: {_counted(found)}.\n" + "\n".join(f"Written: {path}" for path in paths),
    )


@command.command("backup")
@click.argument("to", metavar="[TO]", default=".", type=click.Path(path_type=Path))
@ON_SHELF
@AS_JSON
@click.pass_context
def backup(ctx: click.Context, to: Path, shelf_file: Path | None, as_json: bool) -> None:
    """Copy the whole shelf to one file and check the copy, even while it is in use.

    TO is a new file, or a folder in which the copy gets a name with the date. Status 1 if the
    copy does not pass its check.

    \b
    Example:
        plumbrise shelf backup
        plumbrise shelf backup backups/before-the-new-nut.sqlite3
    """
    from plumbrise.store import ShelfDamaged

    try:
        with _shelf(shelf_file, make=False) as shelf:
            written = shelf.backup(to)
            machines = shelf.machines()
    except ShelfDamaged as damaged:
        if as_json:
            _show(True, {"version": 1, "whole": False, "wrong": str(damaged)}, "")
        click.echo(damaged, err=True)
        ctx.exit(1)
    readings = sum(machine.readings for machine in machines)
    _show(
        as_json,
        {
            "version": 1,
            "whole": True,
            "file": str(written),
            "bytes": written.stat().st_size,
            "machines": len(machines),
            "readings": readings,
        },
        f"Written and checked: {written} ({_some(len(machines), 'machine')}, "
        f"{_some(readings, 'reading')}).",
    )


def _shelf(shelf_file: Path | None, *, make: bool = True) -> Shelf:
    from datetime import UTC, datetime

    from plumbrise.store import Shelf, shelf_path

    return Shelf.open(shelf_path(shelf_file), now=lambda: datetime.now(UTC), make=make)


def _a_shelf(path: Path) -> InputError:
    return InputError(
        place="MACHINE",
        value=str(path),
        allowed="only a machine file is",
        remedy=f"This is a whole shelf. Use it as it is: --shelf {path} with any command. For one "
        f"machine of it: plumbrise shelf export 1 FOLDER --shelf {path}, then import what is in "
        "FOLDER.",
    )


def _named(shelf: Shelf, given: str) -> ShelvedMachine:
    """The machine of this number, or the only one of this name."""
    machines = shelf.machines()
    found = [m for m in machines if str(m.id) == given] or [m for m in machines if m.name == given]
    if len(found) == 1:
        return found[0]
    raise InputError(
        place="MACHINE",
        value=given,
        allowed=", ".join(f"{m.id} ({m.name})" for m in found or machines)
        or "nothing, for the shelf is empty, is",
        remedy="Several have this name: say the number." if found else "Name one of these.",
    )


def _show(as_json: bool, value: dict[str, Any], text: str) -> None:
    from plumbrise.cli.session import show_json

    if as_json:
        show_json(value)
    else:
        click.echo(text)


def _listed(
    path: Path, machines: Sequence[ShelvedMachine], runs: Sequence[ShelvedRun]
) -> dict[str, Any]:
    return {
        "version": 1,
        "shelf": str(path),
        "machines": [
            _machine(m) | {"runs": [_run(run) for run in runs if run.machine_id == m.id]}
            for m in machines
        ],
    }


def _machine(machine: ShelvedMachine) -> dict[str, Any]:
    return {
        "id": machine.id,
        "name": machine.name,
        "added_at": machine.added_at,
        "written_by": machine.version,
        "readings": machine.readings,
    }


def _run(run: ShelvedRun) -> dict[str, Any]:
    return {
        "id": run.id,
        "name": run.name,
        "test": run.kind.id,
        "station": run.station.id,
        "axis": run.axis,
        "stand_on": run.stand_on,
        "readings": run.readings,
        "taken_back": run.taken_back,
        "skipped": run.skipped,
        "who": run.who,
        "source": run.source,
        "gauge": {"resolution_mm": run.gauge_resolution_mm, "serial": run.gauge_serial},
        "program": run.program,
        "session": run.session,
        "begun_at": run.begun_at,
        "ended_at": run.ended_at,
        "written_by": run.version,
        "marks": [{"at": m.at, "what": m.what, "words": m.words} for m in run.marks],
    }


def _machines_text(machines: Sequence[ShelvedMachine]) -> str:
    if not machines:
        return "Nothing is on the shelf yet."
    return _table(
        machines,
        {
            "no.": lambda m: str(m.id),
            "machine": lambda m: m.name,
            "runs": lambda m: str(m.runs),
            "readings": lambda m: str(m.readings),
            "since": lambda m: m.added_at[:10],
        },
        figures=("no.", "runs", "readings"),
    )


def _runs_text(machine: ShelvedMachine, runs: Sequence[ShelvedRun]) -> str:
    head = f"Machine {machine.id}, {machine.name}: {_counted(machine)}."
    if not runs:
        return head
    table = _table(
        runs,
        {
            "run": lambda r: r.name,
            "test": lambda r: r.kind.id,
            "station": lambda r: r.station.id,
            "readings": lambda r: str(r.readings),
            "taken back": lambda r: str(r.taken_back or ""),
            "skipped": lambda r: str(r.skipped or ""),
            "begun": lambda r: r.begun_at[:16].replace("T", " "),
            "": lambda r: "" if r.ended_at else "not ended",
        },
        figures=("readings", "taken back", "skipped"),
    )
    return f"{head}\n\n{table}\n\nTimes are UTC."


def _table(
    rows: Sequence[Any], columns: dict[str, Callable[[Any], str]], *, figures: tuple[str, ...]
) -> str:
    """Words at their left edge, figures at their right."""
    cells = [list(columns), *([cell(row) for cell in columns.values()] for row in rows)]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    lines = [
        "  ".join(
            cell.rjust(width) if title in figures else cell.ljust(width)
            for title, cell, width in zip(columns, line, widths, strict=True)
        ).rstrip()
        for line in cells
    ]
    return "\n".join(lines)


def _counted(machine: ShelvedMachine) -> str:
    return f"{_some(machine.readings, 'reading')} in {_some(machine.runs, 'run')}"


def _some(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
