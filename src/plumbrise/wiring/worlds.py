"""Faultless wirings: every wire whole and every coil sound, though they may sit in wrong places.

A harness can be in order only if one of these that suits the board gives every reading.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import permutations

from plumbrise.wiring.completions import ENDS, Parting, Phases
from plumbrise.wiring.facts import MOTOR_FROM, Fact, Net
from plumbrise.wiring.harness import BOARD_CONTACTS, FRAME, Line, Meter
from plumbrise.wiring.limits import Allowed, coil_allowed, warmth, wire_allowed

CONTACTS = tuple(range(1, BOARD_CONTACTS + 1))


@dataclass(frozen=True, slots=True)
class Coil:
    """Start and end of a coil, and its tap in the middle where it has one."""

    start: int
    end: int
    tap: int | None = None

    @property
    def contacts(self) -> frozenset[int]:
        """All contacts that it sits on."""
        return frozenset({self.start, self.end, self.tap or self.start})

    def share(self, one: int, other: int) -> float | None:
        """Part of the coil between two contacts, None where they are not both its own."""
        if one == other or not {one, other} <= self.contacts:
            return None
        return 0.5 if self.tap in (one, other) else 1.0


Winding = tuple[Coil, Coil]


@dataclass(frozen=True, slots=True)
class World:
    """A motor contact for each board contact, the motor's coils, and whether its half coils are
    what is meant to be driven."""

    joins: tuple[int, ...]
    winding: Winding
    halves: bool = False

    def at_motor(self, one: int, other: int) -> float | None:
        """Resistance between two motor contacts in parts of a phase's, None where apart."""
        for coil in self.winding:
            share = coil.share(one, other)
            if share is not None:
                return 2 * share if self.halves else share
        return None

    def at_board(self, one: int, other: int) -> float | None:
        """The same between two board contacts."""
        return self.at_motor(self.joins[one - 1], self.joins[other - 1])

    def suits(self, phases: Phases) -> bool:
        """True where each pair that the board drives has a coil of its own, and nothing else."""
        (a, b), (c, d) = phases
        if self.at_board(a, b) != 1.0 or self.at_board(c, d) != 1.0:
            return False
        return self.at_board(a, c) is None

    def parting(self) -> Parting:
        """What the driver sees joined."""
        number: dict[object, int] = {}
        keys: list[object] = [FRAME]
        for contact in ENDS[1:]:
            at = self.joins[contact - 1]
            keys.append(next((coil for coil in self.winding if at in coil.contacts), (contact,)))
        return tuple(number.setdefault(key, len(number)) for key in keys)


@cache
def windings(contacts: int) -> tuple[Winding, ...]:
    """Every way two coils can sit on the contacts of a motor, taps included.

    Example:
        >>> len(windings(4)), len(windings(6))
        (3, 135)
    """
    found = []
    every = range(1, contacts + 1)
    for a, b, c, d in permutations(every, 4):
        if a < b and c < d and a < c:
            found.append((Coil(a, b), Coil(c, d)))
            spare = [contact for contact in every if contact not in (a, b, c, d)]
            found += [(Coil(a, b, e), Coil(c, d, f)) for e, f in permutations(spare, 2)]
    return tuple(found)


def told_windings(line: Line) -> Iterator[Winding]:
    """The windings that what is said of the motor's coils leaves."""
    told = [tuple(coil) for coil in line.motor.coils]
    for winding in windings(line.motor.contacts):
        for order in (winding, winding[::-1]):
            if all(_as_told(coil, order[i]) for i, coil in enumerate(told)):
                yield order
                break


def _as_told(told: tuple[int, ...], coil: Coil) -> bool:
    if len(told) == 3:
        return coil.tap == told[1] and {coil.start, coil.end} == {told[0], told[2]}
    return coil.share(*told) is not None


def told_joins(line: Line) -> Iterator[tuple[int, ...]]:
    """The joins that what is said of the cable leaves, every wire whole."""
    told = dict(line.cable.joins)
    free = [contact for contact in CONTACTS if contact not in told]
    left = [m for m in range(1, line.motor.contacts + 1) if m not in told.values()]
    for chosen in permutations(left, len(free)):
        whole = told | dict(zip(free, chosen, strict=True))
        yield tuple(whole[contact] for contact in CONTACTS)


def suiting(winding: Winding, phases: Phases) -> Iterator[World]:
    """All worlds of a winding that suit the board."""
    for halves in (False, True) if winding[0].tap else (False,):
        for first, second in (winding, winding[::-1]):
            for one in _used(first, halves):
                for other in _used(second, halves):
                    joins = dict(zip((*phases[0], *phases[1]), (*one, *other), strict=True))
                    yield World(tuple(joins[contact] for contact in CONTACTS), winding, halves)


def _used(coil: Coil, halves: bool) -> Iterator[tuple[int, int]]:
    ends = (coil.start, coil.end)
    for end in ends if halves else ():
        yield from ((end, coil.tap or 0), (coil.tap or 0, end))
    if not halves:
        yield from (ends, ends[::-1])


class Agreement:
    """Whether worlds of one line give its readings."""

    def __init__(self, line: Line, facts: Sequence[Fact], meter: Meter) -> None:
        self._line, self._facts, self._meter = line, facts, meter
        self._wire = wire_allowed(line)

    def of(self, world: World) -> bool:
        """True where the world gives every reading."""
        return all(self._gives(world, fact) for fact in self._facts)

    def suiting(self, phases: Phases, *, as_told: bool) -> bool:
        """True where some faultless wiring that suits the board gives every reading; `as_told`
        also wants it to be as its owner said."""
        line = self._line
        if as_told:
            told = dict(line.cable.joins)
            choice: Iterable[Winding] = told_windings(line)
        else:
            told, choice = {}, windings(line.motor.contacts)
        if not told and all(fact.net is Net.WHOLE for fact in self._facts):
            choice = tuple(choice)[:1]  # what the driver sees is the same for each
        return any(
            all(world.joins[board - 1] == motor for board, motor in told.items())
            and (not as_told or _drives_told(line, world, phases))
            and self.of(world)
            for winding in choice
            for world in suiting(winding, phases)
        )

    def told(self) -> tuple[World, ...]:
        """Faultless worlds as the owner said that give every reading; of motors whose other
        contacts are empty, if there are such."""
        made = [
            World(joins, winding, in_halves(self._line, winding))
            for winding in told_windings(self._line)
            for joins in told_joins(self._line)
        ]
        found = [world for world in made if self.of(world)]
        plain = [world for world in found if world.winding[0].tap is None]
        return tuple(plain or found)

    def _gives(self, world: World, fact: Fact) -> bool:
        one, other = fact.nodes
        if fact.net is Net.CABLE:
            joined = one != FRAME and world.joins[one - 1] + MOTOR_FROM == other
            return joined == fact.joined and (not joined or self._fits(fact, self._wire))
        if FRAME in fact.nodes:
            return not fact.joined
        whole = fact.net is Net.WHOLE
        share = (
            world.at_board(one, other)
            if whole
            else world.at_motor(one - MOTOR_FROM, other - MOTOR_FROM)
        )
        if share is None or not fact.joined:
            return (share is None) == (not fact.joined)
        return self._fits(fact, self.coil(fact, share))

    def coil(self, fact: Fact, share: float = 1.0) -> Allowed:
        """What the pair of a reading may have if `share` of a phase lies between."""
        factors = warmth(fact.reading, self._meter)
        whole = fact.net is Net.WHOLE
        return coil_allowed(self._line, factors, through_cable=whole, share=share)

    @staticmethod
    def _fits(fact: Fact, allowed: Allowed) -> bool:
        return fact.beeped or fact.span.meets(allowed.sound)


def _drives_told(line: Line, world: World, phases: Phases) -> bool:
    """True where each coil that the owner named is driven from end to end."""
    driven = [{world.joins[contact - 1] for contact in pair} for pair in phases]
    if line.motor.coils and world.halves != in_halves(line, world.winding):
        return False
    return all({coil[0], coil[-1]} in driven for coil in line.motor.coils)


def in_halves(line: Line, winding: Winding) -> bool:
    """True where the owner named an end and the tap as the coil."""
    told = [coil for coil in line.motor.coils if len(coil) == 2]
    return any(coil.share(*pair) == 0.5 for pair, coil in zip(told, winding, strict=False))
