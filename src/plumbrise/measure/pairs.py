"""Two gauges at once: which set-ups are read at the same moves, and in what order that was done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from plumbrise.errors import InputError
from plumbrise.machine import Station
from plumbrise.measure.session import Session
from plumbrise.readings import Run

Pairs = dict[int, int]
"""Run -> the run that is read with it, both ways."""


def pairs_of(session: Session) -> Pairs:
    """The open runs that two gauges read together: the same moves at two stations, the earlier
    one with the next of its kind that has no other yet.

    A run that was left, broken off or done again has no partner any more.

    Example:
        >>> from plumbrise.machine import STATIONS
        >>> from plumbrise.readings import Reading
        >>> from plumbrise.readings.kinds import COARSE_STEPS
        >>> rows = (Reading(seq=0, target_mm=0, reading_mm=None, approach="down"),)
        >>> left, right = (Run(name=at, kind=COARSE_STEPS, station=STATIONS[at], readings=rows)
        ...                for at in ("gantry-left", "gantry-right"))
        >>> pairs_of(Session((left, right)))
        {0: 1, 1: 0}
    """
    runs = session.runs
    found: Pairs = {}
    for one, run in enumerate(runs):
        if one in found or session.is_left(one):
            continue
        for other in range(one + 1, len(runs)):
            free = other not in found and not session.is_left(other)
            if free and read_together(run, runs[other]):
                found |= {one: other, other: one}
                break
    return found


def read_together(one: Run, other: Run) -> bool:
    """Whether one motion serves two set-ups: the same kind, told the same, at two stations."""
    return (
        one.kind is other.kind
        and one.kind.moves
        and one.station != other.station
        and _told(one) == _told(other)
    )


def with_second(runs: Sequence[Run], station: Station) -> tuple[Run, ...]:
    """The set-ups with a second gauge that stands at one station all the while: after each that
    moves and has no partner, the same at that station.

    Raises:
        InputError: nothing in the plan could be read there too.
    """
    pairs = pairs_of(Session(tuple(runs)))
    names = {run.name for run in runs}
    made: list[Run] = []
    for number, run in enumerate(runs):
        made.append(run)
        second = replace(run, name=f"{run.kind.id} at {station.id}", station=station)
        if number in pairs or not read_together(run, second):
            continue
        if second.name in names:
            second = replace(second, name=f"{run.name}, and {station.id}")
        names.add(second.name)
        made.append(second)
    if len(made) == len(runs):
        raise InputError(
            place="--second",
            value=station.id,
            allowed="a station beside that of a set-up that moves and has no partner",
            remedy="Leave it out: the plan pairs what two gauges can read together.",
        )
    return tuple(made)


def in_order_of_time(session: Session) -> Session:
    """The same acts in the order in which they were done.

    A session that is taken up again has them run by run; of two runs read together the last
    reading of both is then not the last thing done, and could not be taken back together.
    """
    named: list[tuple[float, str, int]] = []
    upto = replace(session, acts=())
    latest: dict[str, float] = {}
    for number, act in enumerate(session.acts):
        name = upto.runs[act.run].name
        if act.time_s is not None:
            latest[name] = max(latest.get(name, 0.0), act.time_s)
        elif name not in latest:
            latest[name] = max(latest.values(), default=0.0)
        named.append((latest[name], name, number))
        upto = replace(upto, acts=(*upto.acts, act))
    ordered = replace(session, acts=())
    for _, name, number in sorted(named, key=lambda one: (one[0], one[2])):
        names = [run.name for run in ordered.runs]
        act = replace(session.acts[number], run=names.index(name))
        ordered = replace(ordered, acts=(*ordered.acts, act))
    return ordered


def _told(run: Run) -> list[tuple[float, str, float, float | None]]:
    return [(r.target_mm, r.approach, r.mass_kg, r.force_n) for r in run.readings]
