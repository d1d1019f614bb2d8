"""Where the loss went: each link before and after, and what else of the machine changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from math import sqrt

from plumbrise.explain import Explanation, Interval
from plumbrise.machine import Machine, PerSide
from plumbrise.prove.results import LinkMoved, MachineChange

Losses = dict[tuple[str, str, str], Interval]


def links_moved(was: Explanation | None, now: Explanation | None) -> tuple[LinkMoved, ...]:
    """What each link lost and loses at each end; empty where either was not explained."""
    if was is None or now is None:
        return ()
    one, two = _losses(was), _losses(now)
    return tuple(
        LinkMoved(*key, one.get(key), two.get(key), _change(one.get(key), two.get(key)))
        for key in dict.fromkeys((*one, *two))
    )


def _losses(explanation: Explanation) -> Losses:
    return {
        (one.link, one.side, station): loss
        for one in explanation.links
        for station, loss in one.loss_mm.items()
    }


def _change(was: Interval | None, now: Interval | None) -> Interval | None:
    """After less before: arms of independent intervals add as squares (GUM 5.1.2)."""
    if was is None or now is None:
        return None
    change = now.estimate - was.estimate
    down = sqrt((now.estimate - now.low) ** 2 + (was.high - was.estimate) ** 2)
    up = sqrt((now.high - now.estimate) ** 2 + (was.estimate - was.low) ** 2)
    return Interval(change, change - down, change + up, was.level)


def machine_changes(was: Machine, now: Machine) -> tuple[MachineChange, ...]:
    """The fields of the description that are not what they were; names and notes aside."""
    one, two = dict(_values(was)), dict(_values(now))
    return tuple(
        MachineChange(key, one.get(key, ""), two.get(key, ""))
        for key in dict.fromkeys((*one, *two))
        if one.get(key) != two.get(key)
    )


def _values(machine: Machine) -> Iterator[tuple[str, str]]:
    yield "arrangement", machine.arrangement.title
    for part in fields(machine):
        value = getattr(machine, part.name)
        if isinstance(value, PerSide):
            yield from _given(part.name, value.common)
            for side, own in value.overrides:
                yield from _given(f"{part.name}.{side}", own)
        elif is_dataclass(value) and part.name != "arrangement":
            yield from _given(part.name, value)


def _given(name: str, part: object) -> Iterator[tuple[str, str]]:
    assert is_dataclass(part)
    for one in fields(part):
        value = getattr(part, one.name)
        if value not in (None, ()):
            words = f"{value:g}" if isinstance(value, float) else str(value)
            yield f"{name}.{one.name}", words
