"""What redesign promised against what was read after the work."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from plumbrise.explain import Interval
from plumbrise.prove.figures import Given, Key, homing, usable
from plumbrise.prove.judging import apart, sides_source
from plumbrise.prove.results import Compared, Promise
from plumbrise.prove.things import LOST_MOTION as LOST
from plumbrise.prove.things import SIDES as SIDES_JUDGED
from plumbrise.prove.things import WITHOUT_FIRST, Source
from plumbrise.quantity import Measured, Unit, combined
from plumbrise.redesign.figures import (
    BAND,
    HEIGHT,
    HOME_RANGE,
    LOST_MOTION,
    PUSH,
    RANGE_OF_TEN,
    SIDES,
)

Promised = Mapping[str, Mapping[str, Interval]]
"""By figure of redesign and station, what was predicted."""
Figures = Mapping[Key, Given]
Came = Callable[[Figures], Measured | None]
PUSH_N, LENGTH_MM = 10.0, 100.0


def promises(
    promised: Promised,
    now: Figures,
    lost: Mapping[str, Measured] | None = None,
    sides: Measured | None = None,
) -> tuple[Promise, ...]:
    """Each promise that readings can keep, and what came of it.

    Args:
        promised: by figure and station.
        now: the figures after the work.
        lost: what each place loses (`left`).
        sides: how unlike the ends lose (`sides_apart`).
    """
    told = left(now) if lost is None else lost
    found = []
    for figure, stations in promised.items():
        if figure not in (LOST_MOTION.id, SIDES.id) and figure not in CAME:
            continue
        for station, interval in stations.items():
            if figure == LOST_MOTION.id:
                came = told.get(station)
            else:
                came = sides if figure == SIDES.id else CAME[figure](now)
            found.append(Promise(figure, station, interval, came, _kept(interval, came)))
    return tuple(found)


def _kept(promised: Interval, came: Measured | None) -> bool | None:
    if came is None:
        return None
    if came.value <= promised.high:
        return True
    return False if came.value - came.expanded > promised.high else None


def left(figures: Figures, judged: Sequence[Compared] = ()) -> dict[str, Measured]:
    """Lost motion by station, either way: what was judged there, so that a place has one figure
    in all of a proof; else from the best source that it gives."""
    stations = dict.fromkeys(sorted(key[1] for key in figures))
    found = {station: _lost(figures, station) for station in stations}
    found |= {one.station: _size(one.after) for one in judged if one.thing == LOST.id}
    return {station: value for station, value in found.items() if value is not None}


def sides_apart(
    figures: Figures, judged: Sequence[Compared], ends: Sequence[str]
) -> Measured | None:
    """How unlike the ends lose: what was judged, else from the first source that tells of each."""
    for one in judged:
        if one.thing == SIDES_JUDGED.id:
            return one.after
    source = sides_source(ends, figures)
    return None if source is None else apart(figures, source, ends, homing(figures))


def _size(value: Measured) -> Measured:
    return replace(value, value=abs(value.value))


def _lost(figures: Figures, station: str) -> Measured | None:
    for source in LOST.sources:
        given = _given(figures, source, station)
        if given is not None:
            return given
    return None


def _given(figures: Figures, source: Source, station: str) -> Measured | None:
    found = figures.get((source.kind, station, source.figure, source.detail))
    if found is None or not usable(found):
        return None
    return _size(found.value)


def _bands(figures: Figures) -> Measured | None:
    """Once a turn and every four full steps together."""
    found = [
        given.value
        for (kind, _, name, detail), given in figures.items()
        if kind == "one-turn" and detail == "amplitude"
        if name in ("once_per_turn", "full_step_pattern")
    ]
    if not found:
        return None
    u, dof = combined([(v.u, v.dof) for v in found])
    return Measured(sum(v.value for v in found), u, Unit.MM, dof)


def _home_range(figures: Figures) -> Measured | None:
    """The range of ten homings that the scatter read stands for."""
    return _scaled(_first(figures, "repeat-home", "home_sd"), RANGE_OF_TEN)


def _height(figures: Figures) -> Measured | None:
    for detail in (WITHOUT_FIRST, ""):
        found = _first(figures, "full-travel", "scale_error", detail)
        if found is not None:
            return _scaled(found, LENGTH_MM)
    return None


def _push(figures: Figures) -> Measured | None:
    found = [
        given.value
        for (kind, _, name, detail), given in figures.items()
        if (kind, name, detail) == ("side-push", "compliance", "")
    ]
    return _scaled(max(found, key=lambda v: v.value, default=None), PUSH_N)


def _first(figures: Figures, kind: str, name: str, detail: str = "") -> Measured | None:
    for key, given in figures.items():
        if (key[0], key[2], key[3]) == (kind, name, detail):
            return given.value
    return None


def _scaled(value: Measured | None, factor: float) -> Measured | None:
    if value is None:
        return None
    return Measured(abs(value.value) * factor, value.u * factor, Unit.MM, value.dof)


CAME: dict[str, Came] = {
    BAND.id: _bands,
    HOME_RANGE.id: _home_range,
    HEIGHT.id: _height,
    PUSH.id: _push,
}
"""How what was promised of the whole axis is read afterwards, by the figure's id. Staying up
with the motors off is a chance that no reading gives."""
