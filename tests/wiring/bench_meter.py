"""A harness on a workbench, simulated as resistors: nodes, resistors, and a meter between two nodes.

It shares nothing with the room it tests: it solves Kirchhoff's laws where the room argues about
groups of contacts, and it judges harm from the network itself.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations, permutations, product

import numpy as np

COIL = 2.6
WIRE = 0.05
OPEN = 1e6
Resistor = tuple[str, str, float]


@dataclass(frozen=True)
class Bench:
    """A cable (board contact -> motor contact) and a motor (coils as pairs of contacts, ohms), and
    whatever touches what."""

    joins: tuple[tuple[int, int], ...]
    coils: tuple[tuple[int, int, float], ...]
    touches: tuple[Resistor, ...] = ()
    motor_contacts: int = 4

    def resistors(self, at: str = "board") -> list[Resistor]:
        """All resistors that are plugged in while the meter reads at a place."""
        cable = [(f"b{b}", f"m{m}", WIRE) for b, m in self.joins]
        motor = [(f"m{a}", f"m{b}", ohm) for a, b, ohm in self.coils]
        in_cable = [t for t in self.touches if t[0].startswith("b") or t[1].startswith("b")]
        in_motor = [t for t in self.touches if t not in in_cable]
        return {
            "board": cable + motor + list(self.touches),
            "cable": cable + in_cable,
            "motor": motor + in_motor,
        }[at]

    def ohm(self, one: str, other: str, at: str = "board") -> float:
        """What a perfect meter reads between two nodes; infinite where there is no way."""
        return between(self.resistors(at), one, other)

    def harms(self, phases: tuple[tuple[int, int], tuple[int, int]]) -> bool:
        """True where the driver sees anything but one coil on each pair."""
        for pair in phases:
            ohm = self.ohm(*(f"b{contact}" for contact in pair))
            if not 0.7 * COIL < ohm < 1.3 * COIL + 1.5:
                return True
        apart = [(f"b{a}", f"b{b}") for a in phases[0] for b in phases[1]]
        apart += [(f"b{contact}", "frame") for contact in (1, 2, 3, 4)]
        return any(self.ohm(*nodes) < OPEN for nodes in apart)


def between(resistors: Iterable[Resistor], one: str, other: str) -> float:
    """Resistance between two nodes, by nodal analysis."""
    resistors = list(resistors)
    reached, fringe = {one}, [one]
    while fringe:
        node = fringe.pop()
        for a, b, _ in resistors:
            for near, far in ((a, b), (b, a)):
                if near == node and far not in reached:
                    reached.add(far)
                    fringe.append(far)
    if other not in reached:
        return float("inf")
    nodes = sorted(reached - {other})
    place = {node: i for i, node in enumerate(nodes)}
    conductance = np.zeros((len(nodes), len(nodes)))
    for a, b, ohm in resistors:
        if a not in reached:
            continue
        for near, far in ((a, b), (b, a)):
            if near in place:
                conductance[place[near], place[near]] += 1 / ohm
                if far in place:
                    conductance[place[near], place[far]] -= 1 / ohm
    current = np.zeros(len(nodes))
    current[place[one]] = 1.0
    return float(np.linalg.solve(conductance, current)[place[one]])


BOARD_PAIRS = [*combinations((1, 2, 3, 4), 2), *((contact, 0) for contact in (1, 2, 3, 4))]
"""What a meter can be held to at the cable's board end; 0 is the frame."""


def node(place: str, contact: int) -> str:
    """The name of a contact; 0 is the frame."""
    return "frame" if contact == 0 else f"{place}{contact}"


def four_way_cables() -> list[tuple[tuple[int, int], ...]]:
    """Every way in which four wires join four contacts to four."""
    return [tuple(zip((1, 2, 3, 4), order, strict=True)) for order in permutations((1, 2, 3, 4))]


def accidents() -> list[Bench]:
    """Benches with what can go wrong: each pairing, up to two open wires, an open or burnt coil,
    up to two touches, hard, leaky or as large as no coil is; touches inside the motor too."""
    found = []
    pairings = [((1, 2), (3, 4)), ((1, 3), (2, 4)), ((1, 4), (2, 3))]
    ends = [node("b", contact) for contact in (0, 1, 2, 3, 4)]
    one_touch = [(a, b, ohm) for a, b in combinations(ends, 2) for ohm in (0.1, 40.0, 5e4)]
    hard = [(a, b, 0.1) for a, b in combinations(ends, 2)]
    touches = [(), *((touch,) for touch in one_touch), *combinations(hard, 2)]
    kept = [frozenset(c) for n in (4, 3, 2) for c in combinations((1, 2, 3, 4), n)]
    for pairing, wires, ohms, touch in product(
        pairings, kept, ((COIL, COIL), (COIL, 0.8), (9.0, COIL), (COIL, None)), touches
    ):
        if len(wires) < 4 and len(touch) > 1:
            continue
        coils = tuple((*pair, ohm) for pair, ohm in zip(pairing, ohms, strict=True) if ohm)
        found.append(Bench(tuple((w, w) for w in sorted(wires)), coils, touch))
    straight = tuple((contact, contact) for contact in (1, 2, 3, 4))
    within = [(node("m", a), node("m", b)) for a, b in combinations((0, 1, 2, 3, 4), 2)]
    for pairing, nodes, ohm in product(pairings, within, (0.1, 40.0, 5e4)):
        coils = tuple((*pair, COIL) for pair in pairing)
        found.append(Bench(straight, coils, ((*nodes, ohm),)))
    return found
