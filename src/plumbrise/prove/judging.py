"""Which figures of two sessions are judged, and what may be said of each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from plumbrise.prove.comparing import chance, could_show, difference, minded, ratio, verdict
from plumbrise.prove.fairness import extra_u_mm
from plumbrise.prove.figures import (
    PRINT_OFF,
    PRINT_SPREAD,
    Given,
    Key,
    ends_of_body,
    homing,
    off,
)
from plumbrise.prove.results import Also, Compared, Fairness, Verdict
from plumbrise.prove.scatters import scatter_chance, scatter_could_show, scatter_ratio
from plumbrise.prove.things import (
    LOST_MOTION,
    SIDES,
    SIDES_FIGURE,
    THINGS,
    WHOLE_AXIS,
    Source,
    Thing,
)
from plumbrise.quantity import Measured, Unit, combined

Figures = Mapping[Key, Given]
Home = tuple[float, float]
"""How far one homing differs from another, mm, and its degrees of freedom."""
TOO_WIDE_MM = 0.2
"""A loss known no better than this tells nothing of a desktop machine (judgement)."""
Ask = Callable[[Source, str], bool]


@dataclass(frozen=True, slots=True)
class Pair:
    """One thing at one place in two sessions. `before` and `after` are the values as read, the
    two `off` how far from perfect, with what differs from day to day; `samples` what a scatter
    was worked out from."""

    thing: str
    key: Key
    before: Measured
    after: Measured
    off_before: Measured
    off_after: Measured
    scatter: bool = False
    samples: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())


def pairs(was: Figures, now: Figures) -> tuple[Pair, ...]:
    """What is judged of two sessions: for each thing at each place the first source that both
    give."""
    home = homing(was, now)

    def both(source: Source, station: str) -> bool:
        key = (source.kind, station, source.figure, source.detail)
        return usable(was.get(key)) and usable(now.get(key))

    found = [
        _pair(thing, source, station, was, now, home)
        for thing in THINGS
        for station, source in _told(thing, set(was), both)
    ]
    found += _sides(was, now, home)
    found += [_of_print(key, was[key], now[key]) for key in was if key in now and _printed(key)]
    return tuple(found)


def usable(given: Given | None) -> bool:
    """Whether a figure is told outright, and not so widely that another source tells it better."""
    if given is None or given.at_least:
        return False
    return given.value.unit is not Unit.MM or given.value.expanded <= TOO_WIDE_MM


def _told(thing: Thing, keys: set[Key], both: Ask) -> Iterator[tuple[str, Source]]:
    for station in dict.fromkeys(sorted(key[1] for key in keys)):
        for source in thing.sources:
            if both(source, station):
                yield station, source
                break


def _pair(
    thing: Thing,
    source: Source,
    station: str,
    was: Figures,
    now: Figures,
    home: Home,
) -> Pair:
    key = (source.kind, station, source.figure, source.detail)
    one, two = was[key], now[key]
    if thing.scatter:
        return _scatter(thing.id, one, two)
    return Pair(thing.id, key, one.value, two.value, off(one, home), off(two, home))


def _sides(was: Figures, now: Figures, home: Home) -> list[Pair]:
    """How unlike the ends lose."""
    told = sides_source(was, now)
    if told is None:
        return []
    one, two = (apart(figures, *told, home) for figures in (was, now))
    key = (told[0].kind, WHOLE_AXIS, SIDES_FIGURE, told[0].detail)
    return [Pair(SIDES.id, key, one, two, one, two)]


def sides_source(*sessions: Figures) -> tuple[Source, list[str]] | None:
    """The first source of lost motion that tells of every end in all of these sessions, and the
    ends; None where there is none, or but one end."""
    lost = {key[1] for one in sessions for key in one if key[2] in ("lost_motion", "shortfall")}
    ends = ends_of_body(lost)
    if len(ends) < 2:
        return None
    for source in LOST_MOTION.sources:
        keys = [(source.kind, end, source.figure, source.detail) for end in ends]
        if all(usable(one.get(key)) for one in sessions for key in keys):
            return source, ends
    return None


def apart(figures: Figures, source: Source, ends: Sequence[str], home: Home) -> Measured:
    """By how much the end that loses most loses more than the one that loses least."""
    values = [off(figures[source.kind, end, source.figure, source.detail], home) for end in ends]
    most, least = max(values, key=lambda v: v.value), min(values, key=lambda v: v.value)
    u, dof = combined([(most.u, most.dof), (least.u, least.dof)])
    return Measured(most.value - least.value, u, most.unit, dof)


def _printed(key: Key) -> bool:
    return key[2] in (PRINT_OFF, PRINT_SPREAD)


def _of_print(key: Key, was: Given, now: Given) -> Pair:
    if key[2] == PRINT_SPREAD:
        return _scatter(PRINT_OFF, was, now)
    return Pair(PRINT_OFF, key, was.value, now.value, was.value, now.value)


def _scatter(thing: str, was: Given, now: Given) -> Pair:
    one, two = was.value, now.value
    samples = (was.sample, now.sample)
    return Pair(thing, was.key, one, two, one, two, scatter=True, samples=samples)


def judged(sets: Sequence[tuple[Fairness, tuple[Pair, ...]]]) -> list[tuple[Compared, ...]]:
    """What may be said of every pair of several sessions after, all minded together."""
    count = sum(len(pairs) for _, pairs in sets)
    raw = [tuple(_compared(pair, fair, count) for pair in pairs) for fair, pairs in sets]
    chances = iter(minded([one.p for some in raw for one in some]))
    return [
        tuple(
            _said(pair, replace(one, p=next(chances)), fair, count)
            for pair, one in zip(pairs, some, strict=True)
        )
        for (fair, pairs), some in zip(sets, raw, strict=True)
    ]


def _compared(pair: Pair, fair: Fairness, count: int) -> Compared:
    one, two = pair.off_before, pair.off_after
    test = pair.key[:2]
    in_mm = one.unit is Unit.MM and not pair.scatter
    change = difference(one, two, extra_u_mm(fair, test) if in_mm else 0.0)
    if pair.scatter:
        p, span, least = (
            scatter_chance(one, two, pair.samples),
            scatter_ratio(one, two),
            scatter_could_show(one, two, pair.samples, count)[0],
        )
    else:
        p, span, least = chance(change), ratio(one, two), could_show(change, count)
    return Compared(
        *pair.key, pair.before, pair.after, change, span, p, least, Verdict.CANNOT_TELL, pair.thing
    )


def _said(pair: Pair, one: Compared, fair: Fairness, count: int) -> Compared:
    """With its verdict: none where what differs between the sessions stops it."""
    tests = {(one.kind, one.station)}
    if one.station == WHOLE_AXIS:
        tests = {test for test in fair.both if test[0] == one.kind}
    if any(unlike.stops and tests & set(unlike.runs) for unlike in fair.differs):
        return one
    was, now = pair.off_before, pair.off_after
    rise = scatter_could_show(was, now, pair.samples, count)[1] if pair.scatter else None
    return replace(one, verdict=verdict(was, one.change, one.p, one.could_show, rise))


def also(pairs: Sequence[Pair], was: Figures, now: Figures) -> tuple[Also, ...]:
    """The figures of both sessions that get no verdict."""
    taken = {pair.key for pair in pairs}
    return tuple(
        Also(*key, was[key].value, now[key].value, was[key].at_least or now[key].at_least)
        for key in was
        if key in now and key not in taken and key[0] != "gauge-check"
    )
