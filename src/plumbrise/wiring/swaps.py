"""The fewest changes of place, at one plug, that give each driven pair its coil."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from plumbrise.wiring.completions import Parting, Phases, groups_in
from plumbrise.wiring.features import crossed_only
from plumbrise.wiring.harness import FRAME, Line, Pair
from plumbrise.wiring.worlds import CONTACTS, Agreement, Coil, World

ENDS_OF_CABLE = ("board", "motor")
MOST_SWAPS = 4
Steps = tuple[Pair, ...]


def direction(line: Line, world: World) -> int | None:
    """1 where the motor turns as its socket says, -1 where it turns the other way, None where
    nobody said which end of a coil is its start.

    Swapping the wires of one coil turns it round, and so does changing the coils over; doing both
    leaves it as it was.
    """
    told = [(coil[0], coil[-1]) for coil in line.motor.coils]
    if len(told) != 2 or line.board.phases is None:
        return None
    sense, coils = 1, []
    for pair in line.board.phases:
        at = tuple(world.joins[contact - 1] for contact in pair)
        index = next((i for i, coil in enumerate(told) if set(coil) == set(at)), None)
        if index is None:
            return None
        sense *= 1 if told[index] == at else -1
        coils.append(index)
    return sense if coils == [0, 1] else -sense


def of_parting(parting: Parting) -> World | None:
    """A world that stands for two pairs seen at the board, where nothing more is known."""
    pairs = [group for group in groups_in(parting) if len(group) == 2 and FRAME not in group]
    if len(pairs) != 2:
        return None
    return World(CONTACTS, (Coil(*pairs[0]), Coil(*pairs[1])))


def known_world(
    line: Line, agreement: Agreement, possible: Sequence[Parting]
) -> tuple[World | None, tuple[str, ...]]:
    """The one wiring that readings and description leave, and at which ends it is known.

    Without a whole description two pairs seen at the board are enough to mend it there.
    """
    if len(line.cable.joins) == len(CONTACTS) and len(line.motor.coils) == 2:
        told = agreement.told()
        if told and {world.parting() for world in told} & set(possible):
            return told[0], ENDS_OF_CABLE
    if len(possible) == 1 and crossed_only(possible[0]):
        return of_parting(possible[0]), ("board",)
    return None, ()


def fewest_swaps(
    line: Line, world: World, phases: Phases, *, ends: tuple[str, ...] = ENDS_OF_CABLE
) -> tuple[str, Steps] | None:
    """Which end, and which contacts change places there. Of equally few those are taken that
    leave the motor turning as its socket says, then those at the board.

    None where no change of places at one end does it.
    """
    if world.suits(phases):
        return "board", ()
    for count in range(1, MOST_SWAPS + 1):
        found = [
            (direction(line, after) == -1, ends.index(end), steps)
            for end in ends
            for steps, after in _after(world, end, count)
            if after.suits(phases)
        ]
        if found:
            _, end, steps = min(found)
            return ends[end], steps
    return None


def turning_back(line: Line) -> Steps:
    """The one swap that turns a motor round: the wires of the first pair."""
    return (line.board.phases or ((1, 2),))[:1]


def _after(world: World, end: str, count: int) -> Iterator[tuple[Steps, World]]:
    """Every world after so many swaps at one end."""
    places = CONTACTS if end == "board" else sorted(_motor_places(world))
    reached: list[tuple[Steps, World]] = [((), world)]
    seen = {world.joins}
    for _ in range(count):
        nearer = reached
        reached = []
        fresh = set()
        for steps, before in nearer:
            for pair in combinations(places, 2):
                after = replace(before, joins=_swapped(before.joins, end, pair))
                if after.joins not in seen:
                    fresh.add(after.joins)
                    reached.append(((*steps, pair), after))
        seen |= fresh
    return iter(reached)


def _motor_places(world: World) -> set[int]:
    return {c for coil in world.winding for c in coil.contacts} | set(world.joins)


def _swapped(joins: tuple[int, ...], end: str, pair: Pair) -> tuple[int, ...]:
    one, other = pair
    if end == "motor":
        change = {one: other, other: one}
        return tuple(change.get(motor, motor) for motor in joins)
    made = list(joins)
    made[one - 1], made[other - 1] = joins[other - 1], joins[one - 1]
    return tuple(made)
