"""`plumbrise program`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from plumbrise.cli.options import AS_JSON, EXISTING, MACHINE
from plumbrise.cli.program_send import command as send

if TYPE_CHECKING:
    from plumbrise.measure.program_check import ProgramCheck
    from plumbrise.measure.program_lines import Finding

LARGEST_FILE = 2_000_000
"""Bytes read of a program; more is refused by the check without being read."""


@click.group()
def command() -> None:
    """Prove a motion program safe on your machine before it runs.

    \b
    Example:
        plumbrise program check machine.toml steps.gcode
        plumbrise program send machine.toml steps.gcode --port COM5
    """


command.add_command(send)


@command.command()
@MACHINE
@click.argument("program_path", metavar="FILE", type=EXISTING)
@AS_JSON
@click.pass_context
def check(context: click.Context, machine_path: Path, program_path: Path, as_json: bool) -> None:
    """Re-read a motion program from its text: words, modes, travel, feed, time, machine.

    Exit status 0: safe. 1: not safe, and each line says why. 2: a file cannot be read.

    \b
    Example:
        plumbrise program check machine.toml steps.gcode
        plumbrise program check machine.toml steps.gcode --json
    """
    from plumbrise.cli.reading import machine_at
    from plumbrise.measure.program_check import check_program

    machine = machine_at(machine_path)
    with program_path.open("rb") as file:
        data = file.read(LARGEST_FILE)
    # bytes that are no text become marks that the check refuses as not ASCII
    found = check_program(machine, data.decode("utf-8", errors="replace"))
    if as_json:
        from plumbrise.cli.session import show_json

        show_json(_as_dict(found))
    else:
        click.echo(_as_text(found, program_path.name, machine.name))
    context.exit(0 if found.safe else 1)


def _as_text(found: ProgramCheck, file: str, machine: str) -> str:
    lines = [str(one) for one in found.findings]
    on = f" on {machine}" if machine else ""
    if found.safe:
        lines.append(f"Safe: {file}{on}. {_extent(found)}.")
    else:
        refused = sum(one.refuses for one in found.findings)
        what = "1 finding refuses" if refused == 1 else f"{refused} findings refuse"
        lines.append(f"Not safe: {file}{on}. {what} it. Do not run it.")
    return "\n".join(lines)


def _extent(found: ProgramCheck) -> str:
    from plumbrise.report.names import counted

    parts = ["nothing moves"]
    if found.lowest_mm is not None and found.highest_mm is not None:
        parts = [
            f"{len(found.moves)} moves between {found.lowest_mm:g} and {found.highest_mm:g} mm"
        ]
    if found.stops:
        parts.append(counted(found.stops, "stop"))
    if found.waits:
        parts.append(counted(found.waits, "wait"))
    parts.append(f"{found.minutes:.1f} min" + (" besides the stops" if found.stops else ""))
    return ", ".join(parts)


def _as_dict(found: ProgramCheck) -> dict[str, Any]:
    return {
        "version": 1,
        "safe": found.safe,
        "fingerprint": found.fingerprint,
        "moves": len(found.moves),
        "stops": found.stops,
        "waits": found.waits,
        "lowest_mm": found.lowest_mm,
        "highest_mm": found.highest_mm,
        "minutes": round(found.minutes, 2),
        "findings": [_finding_dict(one) for one in found.findings],
    }


def _finding_dict(one: Finding) -> dict[str, Any]:
    return {
        "finding": one.id,
        "refuses": one.refuses,
        "line": one.line or None,
        "word": one.word,
        "what": one.what,
        "allowed": one.allowed,
        "remedy": one.remedy,
    }
