"""The motion lines of a remedy: standard words only, slow, and proved safe on this machine."""

from __future__ import annotations

from dataclasses import replace

from plumbrise.errors import InputError
from plumbrise.foresee.printing import Lift, Print, way
from plumbrise.machine import Machine
from plumbrise.measure.fingerprint import LABEL, fingerprint
from plumbrise.measure.program_check import check_program

FEED_MM_PER_MIN = 180
"""3 mm/s: slow against every screw axis."""
SHOWN_LAYERS = 3


def motion_lines(machine: Machine, job: Print, *, layers: int = 1) -> tuple[str, ...]:
    """Home, go to layer one the way this print starts, and on through so many layers; where it
    lifts always to layer three. Nothing moves across, nothing is heated, nothing goes below the
    bed.

    Raises:
        InputError: not proved safe on this machine; the place says which line and why.

    Example:
        >>> from dataclasses import replace
        >>> from plumbrise.machine import blank
        >>> from plumbrise.machine.description import Travel
        >>> machine = replace(blank("one-screw"), travel=Travel(height_mm=250.0))
        >>> from plumbrise.foresee.printing import Start
        >>> lines = motion_lines(machine, Print(start=Start.DIP, dip_to_mm=0.05))
        >>> [line for line in lines if "Z" in line][1:]
        ['G1 Z5 F180', 'G1 Z0.05 F180', 'G1 Z0.2 F180']
    """
    last = SHOWN_LAYERS if job.lift is not Lift.NONE else layers
    stops = way(replace(job, layers=min(last, job.layers)))[1:]
    return _proved(machine, [_number(stop.told_mm) for stop in stops if not stop.push_n])


def _proved(machine: Machine, heights: list[str]) -> tuple[str, ...]:
    lines = (
        f"; {LABEL} {fingerprint(machine)}",
        "G21",
        "G90",
        "G91",
        "G28 Z0",
        "G90",
        *(f"G1 Z{height} F{FEED_MM_PER_MIN}" for height in heights),
    )
    check = check_program(machine, "\n".join(lines) + "\n", sender_waits=True)
    for found in check.findings:
        if found.refuses:
            raise InputError(
                place=f"motion lines, line {found.line}",
                value=found.word,
                allowed=found.allowed,
                remedy=f"{found.what[:1].upper()}{found.what[1:]}. {found.remedy}",
            )
    return lines


def _number(value: float) -> str:
    return f"{round(value, 3):g}"
