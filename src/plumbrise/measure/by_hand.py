"""What a person at the machine is told of one reading: where to, from which side, under what load,
and what the axis does on the way where no program moves it."""

from __future__ import annotations

from plumbrise.measure.motion_path import commands_moves
from plumbrise.measure.mounting import load_words
from plumbrise.readings import Run
from plumbrise.readings.history import moves
from plumbrise.readings.kinds import GAUGE_CHECK, REPEAT_HOME

LEAF, NO_LEAF = "{mm} mm leaf", "no leaf"


def asked_words(run: Run, index: int) -> str:
    """A reading as it is asked for.

    Example:
        >>> from plumbrise.machine import STATIONS
        >>> from plumbrise.readings import Reading
        >>> from plumbrise.readings.kinds import REVERSAL
        >>> rows = (Reading(seq=0, target_mm=21, reading_mm=None, approach="up"),
        ...         Reading(seq=1, target_mm=21, reading_mm=None, approach="down"))
        >>> run = Run(name="a", kind=REVERSAL, station=STATIONS["nut"], readings=rows)
        >>> asked_words(run, 1), on_the_way(run, 1)
        ('told 21 mm, coming down', 'first to 22 mm, then down to 21 mm')
    """
    row = run.readings[index]
    if run.kind is GAUGE_CHECK:
        return LEAF.format(mm=f"{row.target_mm:g}") if row.target_mm else NO_LEAF
    parts = [f"told {row.target_mm:g} mm"]
    if run.kind.moves and row.approach:
        parts.append(f"coming {row.approach}")
    if load := load_words(run, row):
        parts.append(load)
    if row.time_s and not run.kind.moves:
        parts.append(f"at {row.time_s:g} s")
    return ", ".join(parts)


def on_the_way(run: Run, index: int) -> str:
    """The heights to go to before a reading's own, so that the axis comes to it as asked; empty
    where it is simply the next."""
    if not commands_moves(run):
        return ""
    made = moves(run)
    at = next(i for i, move in enumerate(made) if move.reading == index)
    before = max((i for i in range(at) if made[i].reading is not None), default=-1)
    way = made[before + 1 : at]
    if not way:
        return ""
    homes = made[at].homes or (run.kind is REPEAT_HOME and made[at].target_mm == 0)
    last = way[-1].target_mm
    up_or_down = "up" if made[at].target_mm > last else "down"
    told = [("home" if move.homes else f"to {move.target_mm:g} mm") for move in way]
    told.append("home" if homes else f"{up_or_down} to {made[at].target_mm:g} mm")
    return f"first {', then '.join(told)}"
