"""Whether other tests at the same place say the same of a change."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from plumbrise.machine import Machine
from plumbrise.prove.comparing import RISK, chance, difference
from plumbrise.prove.figures import Given, Key, off, usable
from plumbrise.prove.results import Doubt, Other
from plumbrise.prove.things import LOST_MOTION, Source
from plumbrise.quantity import Measured, combined, student_factor

Figures = Mapping[Key, Given]
Home = tuple[float, float]
TURN_MM = 1.0
"""A turn of the usual dial."""


def told_again(key: Key, was: Figures, now: Figures, home: Home) -> tuple[Other, ...]:
    """By how much lost motion changed at a place by each other kind of test that both sessions
    give, its best source; whether that agrees is not judged yet."""
    found = {}
    for source in _other_sources(key[0]):
        same = (source.kind, key[1], source.figure, source.detail)
        one, two = was.get(same), now.get(same)
        if source.kind not in found and usable(one) and usable(two):
            found[source.kind] = Other(source.kind, difference(off(one, home), off(two, home)))
    return tuple(found.values())


def sides_told_again(
    kind: str, apart_by: Callable[[Source], tuple[Measured, Measured] | None]
) -> tuple[Other, ...]:
    """The same of the difference of the sides.

    Args:
        kind: of the test that is judged.
        apart_by: how far the sides are apart before and after by a source; None where it does
            not tell.
    """
    found: dict[str, Other] = {}
    for source in _other_sources(kind):
        both = None if source.kind in found else apart_by(source)
        if both is not None:
            found[source.kind] = Other(source.kind, difference(*both))
    return tuple(found.values())


def _other_sources(kind: str) -> Iterator[Source]:
    return (source for source in LOST_MOTION.sources if source.kind != kind)


def against(change: Measured, other: Other) -> Other:
    """The same with whether it agrees with the change that is judged, and shows one by itself."""
    u, dof = combined([(change.u, change.dof), (other.change.u, other.change.dof)])
    apart = abs(other.change.value - change.value)
    same_way = other.change.value * change.value > 0
    return Other(
        other.kind,
        other.change,
        agrees=apart <= student_factor(dof, 1 - RISK) * u,
        shows=same_way and chance(other.change) < RISK,
    )


def doubt_of(
    change: Measured, others: Sequence[Other], runs: tuple[int, int], turn_mm: float
) -> Doubt | None:
    """What forbids a verdict on lost motion whatever its chance.

    A reading that is off, the zero above all, or a knock on the stand, enters one test only: so
    most of the other tests must not speak against it. And where one run stands alone, a change by
    whole turns of the dial is as likely a turn that was counted wrong.
    """
    if 2 * sum(not one.agrees for one in others) > len(others):
        return Doubt.TESTS_DISAGREE
    if any(one.agrees for one in others) or min(runs) > 1:
        return None
    turns = round(abs(change.value) / turn_mm)
    if turns and abs(abs(change.value) - turns * turn_mm) <= change.expanded:
        return Doubt.WHOLE_TURN
    return None


def turn_of_dial_mm(*machines: Machine) -> float:
    """What a turn of the dial is where it was told, else of the usual one."""
    told = [one.gauge.wrap_mm for one in machines if one.gauge.wrap_mm is not None]
    return told[0] if told else TURN_MM
