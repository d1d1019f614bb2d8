"""Readings as facts about a net of contacts: joined or apart, and with which resistance.

Three nets share their contacts: the cable alone, the motor alone, and the whole, which is both
plugged together and what the driver sees.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from plumbrise.wiring.harness import FRAME, Line, Meter, Reading
from plumbrise.wiring.limits import Span, is_open, true_span

MOTOR_FROM = 10
"""Motor contact j is node 10 + j; board contact i is node i; the frame is node 0."""


class Net(Enum):
    """What is plugged together while the meter reads."""

    WHOLE = "board"
    MOTOR = "motor"
    CABLE = "cable"


@dataclass(frozen=True, slots=True)
class Fact:
    """Two nodes of a net are joined (below 1 MΩ, within `span`) or apart."""

    net: Net
    nodes: tuple[int, int]
    joined: bool
    span: Span
    reading: Reading | None = None

    @property
    def beeped(self) -> bool:
        """True where it is known only that they are joined."""
        return self.joined and (self.reading is None or self.reading.ohm is None)


def motor_node(contact: int) -> int:
    """The node of a motor contact; the frame stays the frame."""
    return FRAME if contact == FRAME else MOTOR_FROM + contact


def fact_of(reading: Reading, meter: Meter) -> Fact:
    """What one reading says."""
    net, (first, second) = Net(reading.at), reading.between
    if net is Net.MOTOR:
        first = motor_node(first)
    if net is not Net.WHOLE:
        second = motor_node(second)
    nodes = (min(first, second), max(first, second))
    return Fact(net, nodes, not is_open(reading), true_span(reading, meter), reading)


def facts_of(line: Line, meter: Meter) -> tuple[Fact, ...]:
    """All that readings and bridged contacts say of a line. A motor that braked when two contacts
    were bridged joins them through a coil."""
    found = [fact_of(reading, meter) for reading in line.measured]
    for bridged in line.bridged:
        if bridged.stiff:
            low, high = sorted(bridged.between)
            found.append(Fact(Net.WHOLE, (low, high), True, Span(0.0, 1000.0)))
    return tuple(found)


def unsteady(facts: Iterable[Fact]) -> tuple[Fact, ...]:
    """Facts of two contacts that were read more than once with answers that exclude each other:
    a contact that comes and goes."""
    seen: dict[tuple[Net, tuple[int, int]], list[Fact]] = {}
    for fact in facts:
        seen.setdefault((fact.net, fact.nodes), []).append(fact)
    return tuple(
        group[0]
        for group in seen.values()
        if any(not one.span.meets(other.span) for one in group for other in group)
    )


class Groups:
    """Nodes in groups that grow together."""

    def __init__(self, pairs: Iterable[tuple[int, int]] = ()) -> None:
        self._of: dict[int, int] = {}
        for one, other in pairs:
            self.join(one, other)

    def group(self, node: int) -> int:
        """The node that stands for a node's group."""
        while (above := self._of.get(node, node)) != node:
            node = above
        return node

    def join(self, one: int, other: int) -> None:
        """Make one group of two."""
        self._of[self.group(one)] = self.group(other)

    def together(self, one: int, other: int) -> bool:
        """True where two nodes are in one group."""
        return self.group(one) == self.group(other)
