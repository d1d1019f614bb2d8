"""Where the loss went: each link before and after, and what else of the machine changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from math import sqrt

from plumbrise.explain import Explanation, Interval, LinkLoss
from plumbrise.explain.causes import LINKS
from plumbrise.machine import Machine, PerSide
from plumbrise.prove.results import LinkMoved, MachineChange

Losses = dict[tuple[tuple[str, ...], str, str], Interval]
"""By the links told as one, their side and the station."""


def links_moved(was: Explanation | None, now: Explanation | None) -> tuple[LinkMoved, ...]:
    """What each link lost and loses at each end, links that either session cannot tell apart as
    one; empty where either was not explained."""
    if was is None or now is None:
        return ()
    one, two = losses_told(was.links, now.links)
    return tuple(
        LinkMoved(
            links[0],
            side,
            station,
            one.get(key),
            two.get(key),
            _change(one.get(key), two.get(key)),
            links[1:],
        )
        for key in dict.fromkeys((*one, *two))
        for links, side, station in (key,)
    )


def losses_told(was: Sequence[LinkLoss], now: Sequence[LinkLoss]) -> tuple[Losses, Losses]:
    """What the links of two sessions lose, those that either cannot tell apart as one."""
    groups = _groups(was, now)
    return _losses(was, groups), _losses(now, groups)


def _groups(*sessions: Sequence[LinkLoss]) -> dict[tuple[str, str], tuple[str, ...]]:
    """By link and side the links told with it: what either session cannot tell apart. Where one
    session joins a to b and the other b to c, all three are one."""
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    for links in sessions:
        for one in links:
            names = (one.link, *one.shared_with)
            earlier = [found.get((name, one.side), (name,)) for name in names]
            joined = tuple(dict.fromkeys(name for some in earlier for name in some))
            found |= {(name, one.side): joined for name in joined}
    order = {link: i for i, link in enumerate(LINKS)}
    return {
        key: tuple(sorted(names, key=lambda name: order.get(name, len(order))))
        for key, names in found.items()
    }


def _losses(links: Sequence[LinkLoss], groups: Mapping[tuple[str, str], tuple[str, ...]]) -> Losses:
    """What each group loses by station: sums of dimensions, which are known as such."""
    parts: dict[tuple[tuple[str, ...], str, str], list[Interval]] = {}
    counted: set[tuple[str, str, str]] = set()
    for one in links:
        for station, alone in one.loss_mm.items():
            if (one.link, one.side, station) in counted:
                continue
            together = one.together_mm.get(station)
            names = (one.link, *(one.shared_with if together is not None else ()))
            counted |= {(name, one.side, station) for name in names}
            key = groups[one.link, one.side], one.side, station
            parts.setdefault(key, []).append(alone if together is None else together)
    return {key: _sum(some) for key, some in parts.items()}


def _sum(parts: Sequence[Interval]) -> Interval:
    """Arms of several dimensions add as squares."""
    if len(parts) == 1:
        return parts[0]
    whole = sum(one.estimate for one in parts)
    down = sqrt(sum((one.estimate - one.low) ** 2 for one in parts))
    up = sqrt(sum((one.high - one.estimate) ** 2 for one in parts))
    return Interval(whole, whole - down, whole + up, parts[0].level)


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
