"""Two gauges at once: which set-ups are read at the same moves, and what is taken back as one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from plumbrise.errors import InputError
from plumbrise.machine import Station
from plumbrise.measure.acts import AGAIN, ANSWERS
from plumbrise.measure.session import Asks, Session
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


def read_at(session: Session, asks: Asks) -> tuple[int, ...]:
    """The runs that are read at the target that is asked for: with two gauges there may be two.

    Where one of them was taken or left alone, the other is read alone.
    """
    other = pairs_of(session).get(asks.run) if session.at_hand.at_once > 1 else None
    if other is None or not session.is_open(other, asks.reading):
        return (asks.run,)
    return asks.run, other


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


def last_done(session: Session) -> tuple[Session, int]:
    """How many acts the last thing done is: two where two gauges read one target. The session is
    the same, with those acts at its end: one that is taken up again has them run by run."""
    acts = session.acts
    if session.at_hand.at_once < 2 or not acts or acts[-1].did not in ANSWERS:
        return session, 1
    last, partner = acts[-1], pairs_of(session).get(acts[-1].run)
    at = max((i for i, (_, run) in enumerate(session.placed()) if run == partner), default=-1)
    same = at >= 0 and acts[at].did in ANSWERS and acts[at].reading == last.reading
    if not same or any(act.did in AGAIN for act in acts[at:]):
        return session, 1
    return replace(session, acts=(*acts[:at], *acts[at + 1 : -1], acts[at], last)), 2


def _told(run: Run) -> list[tuple[float, str, float, float | None]]:
    return [(r.target_mm, r.approach, r.mass_kg, r.force_n) for r in run.readings]
