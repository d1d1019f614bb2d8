"""Which figures of two sessions are judged, and what may be said of each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from plumbrise.prove.agreeing import (
    TURN_MM,
    against,
    doubt_of,
    sides_told_again,
    told_again,
)
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
    usable,
)
from plumbrise.prove.results import Also, Compared, Doubt, Fairness, Other, Verdict
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
Ask = Callable[[Source, str], bool]


@dataclass(frozen=True, slots=True)
class Pair:
    """One thing at one place in two sessions. `before` and `after` are the values as read, the
    two `off` how far from perfect, with what differs from day to day; `samples` what a scatter
    was worked out from; `others` what other tests say of lost motion there; `runs` how many gave
    it before and after."""

    thing: str
    key: Key
    before: Measured
    after: Measured
    off_before: Measured
    off_after: Measured
    scatter: bool = False
    samples: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())
    others: tuple[Other, ...] = ()
    runs: tuple[int, int] = (1, 1)


def pairs(was: Figures, now: Figures, ends: Sequence[str]) -> tuple[Pair, ...]:
    """What is judged of two sessions: for each thing at each place the first source that both
    give. `ends` are all those of the moving part: its sides are compared only where every one
    was read."""
    home = homing(was, now)

    def both(source: Source, station: str) -> bool:
        key = (source.kind, station, source.figure, source.detail)
        return usable(was.get(key)) and usable(now.get(key))

    found = [
        _pair(thing, source, station, was, now, home)
        for thing in THINGS
        for station, source in _told(thing, set(was), both)
    ]
    found += _sides(was, now, home, ends)
    found += [_of_print(key, was[key], now[key]) for key in was if key in now and _printed(key)]
    return tuple(found)


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
    others = told_again(key, was, now, home) if thing is LOST_MOTION else ()
    runs = len(one.runs), len(two.runs)
    values = one.value, two.value, off(one, home), off(two, home)
    return Pair(thing.id, key, *values, others=others, runs=runs)


def _sides(was: Figures, now: Figures, home: Home, ends: Sequence[str]) -> list[Pair]:
    """How unlike the ends lose."""
    source = sides_source(ends, was, now)
    if source is None:
        return []

    def apart_by(source: Source) -> tuple[Measured, Measured] | None:
        if not _tells(source, ends, was, now):
            return None
        return apart(was, source, ends, home), apart(now, source, ends, home)

    one, two = apart(was, source, ends, home), apart(now, source, ends, home)
    key = (source.kind, WHOLE_AXIS, SIDES_FIGURE, source.detail)
    others = sides_told_again(source.kind, apart_by)
    runs = tuple(
        min(len(some[source.kind, end, source.figure, source.detail].runs) for end in ends)
        for some in (was, now)
    )
    return [Pair(SIDES.id, key, one, two, one, two, others=others, runs=(runs[0], runs[1]))]


def sides_source(ends: Sequence[str], *sessions: Figures) -> Source | None:
    """The first source of lost motion that tells of each of these ends in all of these sessions;
    None where there is none, or but one end."""
    if len(ends) < 2:
        return None
    return next((one for one in LOST_MOTION.sources if _tells(one, ends, *sessions)), None)


def _tells(source: Source, ends: Sequence[str], *sessions: Figures) -> bool:
    """Whether it tells of every end in all of these sessions."""
    keys = [(source.kind, end, source.figure, source.detail) for end in ends]
    return all(usable(one.get(key)) for one in sessions for key in keys)


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


def judged(
    sets: Sequence[tuple[Fairness, tuple[Pair, ...]]], turn_mm: float = TURN_MM
) -> list[tuple[Compared, ...]]:
    """What may be said of every pair of several sessions after, all minded together.

    Args:
        sets: how fair each session after is, and its pairs.
        turn_mm: a turn of the dial.
    """
    count = sum(len(pairs) for _, pairs in sets)
    raw = [
        _sides_as_ends([_compared(pair, fair, count, turn_mm) for pair in pairs])
        for fair, pairs in sets
    ]
    chances = iter(minded([one.p for some in raw for one in some]))
    return [
        tuple(
            _said(pair, replace(one, p=next(chances)), count)
            for pair, one in zip(pairs, some, strict=True)
        )
        for (_, pairs), some in zip(sets, raw, strict=True)
    ]


def _compared(pair: Pair, fair: Fairness, count: int, turn_mm: float) -> Compared:
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
    alike = [one for one in pair.others if not _stopped(fair, one.kind, pair.key[1])]
    others = tuple(against(change, one) for one in alike)
    doubt = Doubt.UNLIKE if _stopped(fair, *test) else None
    if doubt is None and pair.thing in (LOST_MOTION.id, SIDES.id):
        doubt = doubt_of(change, others, pair.runs, turn_mm)
    return Compared(
        *pair.key,
        before=pair.before,
        after=pair.after,
        change=change,
        ratio=span,
        p=p,
        could_show=least,
        verdict=Verdict.CANNOT_TELL,
        thing=pair.thing,
        others=others,
        runs=pair.runs,
        doubt=doubt,
    )


def _sides_as_ends(figures: Sequence[Compared]) -> tuple[Compared, ...]:
    """The same where a doubt about what an end loses, by the same test, is one of the sides."""
    lost = [one for one in figures if one.thing == LOST_MOTION.id]
    ends = ends_of_body({one.station for one in lost})
    doubts = {one.kind: one.doubt for one in lost if one.doubt and one.station in ends}
    return tuple(
        replace(one, doubt=one.doubt or doubts.get(one.kind)) if one.thing == SIDES.id else one
        for one in figures
    )


def _stopped(fair: Fairness, kind: str, station: str) -> bool:
    """Whether what differs between the sessions forbids a verdict at a test."""
    tests = {(kind, station)}
    if station == WHOLE_AXIS:
        tests = {test for test in fair.both if test[0] == kind}
    return any(unlike.stops and tests & set(unlike.runs) for unlike in fair.differs)


def _said(pair: Pair, one: Compared, count: int) -> Compared:
    """With its verdict: none where there is a doubt."""
    if one.doubt is not None:
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
