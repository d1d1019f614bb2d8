"""A worksheet: what it asks for, whatever of it is filled in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from plumbrise.files.readings_csv import write_readings
from plumbrise.readings import Reading, Readings, Run


def filled(reading: Reading) -> bool:
    """Whether a row holds what was read."""
    return reading.reading_mm is not None or reading.torque_nmm is not None


def blanked(runs: Sequence[Run]) -> tuple[Run, ...]:
    """The same set-ups with nothing read. Where nothing moves the time at which a reading is asked
    for stays.

    Example:
        >>> from plumbrise.machine import STATIONS
        >>> from plumbrise.readings.kinds import COARSE_STEPS
        >>> row = Reading(seq=0, target_mm=1, reading_mm=0.98, approach="up", time_s=8.0)
        >>> run = Run(name="a", kind=COARSE_STEPS, station=STATIONS["nut"], readings=(row,))
        >>> blanked((run,))[0].readings[0] == replace(row, reading_mm=None, time_s=None)
        True
    """
    return tuple(
        replace(run, readings=tuple(_blank(run, reading) for reading in run.readings))
        for run in runs
    )


def _blank(run: Run, reading: Reading) -> Reading:
    return replace(
        reading,
        reading_mm=None,
        torque_nmm=None,
        time_s=None if run.kind.moves else reading.time_s,
        temp_c=None,
        note="" if filled(reading) else reading.note,
        row=None,
        assumed=False,
        other=(),
    )


def asked(runs: Sequence[Run]) -> str:
    """What tells a plan from others: its set-ups and targets in their order. What was read, when,
    and what was noted are no part of it.

    Example:
        >>> from plumbrise.machine import STATIONS
        >>> from plumbrise.readings.kinds import COARSE_STEPS
        >>> row = Reading(seq=0, target_mm=1, reading_mm=0.98, approach="up", note="a lorry")
        >>> run = Run(name="a", kind=COARSE_STEPS, station=STATIONS["nut"], readings=(row,))
        >>> asked((run,)) == asked(blanked((run,)))
        True
    """
    bare = tuple(
        replace(
            run,
            stand_on=run.stand_on or "frame",
            readings=tuple(replace(r, time_s=None, note="") for r in run.readings),
        )
        for run in blanked(runs)
    )
    return write_readings(Readings(bare))
