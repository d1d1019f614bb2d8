"""Every way in which what is not known may be: the groups of contacts that the driver may find
joined. `go` rests on there being no bad one among them.

Whatever a cable, a motor and their accidents do, the driver sees four contacts and the frame, some
of them joined and some apart. There are 52 ways to part five things into groups; a way is kept
unless the readings exclude it. Accidents may have any resistance and lie anywhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

from plumbrise.wiring.facts import Fact, Groups, Net, motor_node
from plumbrise.wiring.harness import FRAME, Line, Pair

ENDS = (FRAME, 1, 2, 3, 4)
"""What the driver sees."""

Parting = tuple[int, ...]
"""For each of `ENDS` the number of its group; groups are numbered as they come."""
Phases = tuple[Pair, Pair]


@cache
def partings() -> tuple[Parting, ...]:
    """All 52 ways to part the frame and four contacts into groups.

    Example:
        >>> len(partings())
        52
    """
    made: list[Parting] = [()]
    for _ in ENDS:
        made = [(*one, g) for one in made for g in range(max(one, default=-1) + 2)]
    return tuple(made)


def right_parting(phases: Phases) -> Parting:
    """The one way that harms nothing: each driven pair joined, all else apart.

    Example:
        >>> right_parting(((1, 2), (3, 4)))
        (0, 1, 1, 2, 2)
    """
    labels = {FRAME: 0} | {contact: phase for phase in (0, 1) for contact in phases[phase]}
    number: dict[object, int] = {}
    keys = [("frame", 0) if end == FRAME else ("phase", labels[end]) for end in ENDS]
    return tuple(number.setdefault(key, len(number)) for key in keys)


def groups_in(parting: Parting) -> tuple[tuple[int, ...], ...]:
    """The groups of a parting, as contacts."""
    return tuple(
        tuple(end for end, own in zip(ENDS, parting, strict=True) if own == group)
        for group in range(max(parting) + 1)
    )


def possible_partings(line: Line, facts: Sequence[Fact]) -> tuple[Parting, ...]:
    """The partings that no reading excludes."""
    nets = _Nets(line, facts)
    return tuple(parting for parting in partings() if nets.allow(parting))


class _Nets:
    """What the readings fix: forced groups of the whole, and which steps are still possible."""

    def __init__(self, line: Line, facts: Sequence[Fact]) -> None:
        self._facts = facts
        forced = Groups(fact.nodes for fact in facts if fact.joined)
        motor = [motor_node(contact) for contact in range(1, line.motor.contacts + 1)]
        self._nodes = {Net.CABLE: (*ENDS, *motor), Net.MOTOR: (FRAME, *motor)}
        self._apart = {net: _apart(net, facts) for net in self._nodes}
        self.contradicted = any(
            groups.group(one) == groups.group(other)
            for groups, pairs in self._apart.values()
            for one, other in pairs
        )
        self._group = {node: forced.group(node) for node in (*ENDS, *motor)}
        self._next = {node: frozenset(self._steps_from(node)) for node in self._group}

    def _steps_from(self, node: int) -> Iterator[int]:
        """Nodes to which a node is joined, or may be in the cable or in the motor."""
        yield from (other for other, group in self._group.items() if group == self._group[node])
        for net, nodes in self._nodes.items():
            if node in nodes:
                groups, pairs = self._apart[net]
                excluded = {frozenset((groups.group(a), groups.group(b))) for a, b in pairs}
                yield from (
                    other
                    for other in nodes
                    if other != node
                    and frozenset((groups.group(node), groups.group(other))) not in excluded
                )

    def allow(self, parting: Parting) -> bool:
        """True where some cable and motor, accidents included, give this parting and every
        reading."""
        if self.contradicted:
            return False
        own = dict(zip(ENDS, parting, strict=True))
        for fact in self._facts:
            if fact.net is Net.WHOLE and not fact.joined:
                one, other = fact.nodes
                if own[one] == own[other]:
                    return False
        owners: dict[int, int] = {}
        for end in ENDS:
            if owners.setdefault(self._group[end], own[end]) != own[end]:
                return False
        return all(self._connected(members, owners, own) for members in groups_in(parting))

    def _connected(
        self, members: tuple[int, ...], owners: dict[int, int], own: dict[int, int]
    ) -> bool:
        """True where the members of a group can be joined without touching another group."""
        mine = own[members[0]]
        wanted, reached, fringe = set(members[1:]), {members[0]}, [members[0]]
        while fringe and wanted:
            for other in self._next[fringe.pop()] - reached:
                if owners.get(self._group[other], mine) == mine:
                    reached.add(other)
                    fringe.append(other)
                    wanted.discard(other)
        return not wanted


def _apart(net: Net, facts: Sequence[Fact]) -> tuple[Groups, list[tuple[int, int]]]:
    """The groups that readings join in one net, and the pairs that they keep apart in it.

    What the whole keeps apart is apart in each of its nets.
    """
    groups = Groups(fact.nodes for fact in facts if fact.joined and fact.net is net)
    pairs = [f.nodes for f in facts if not f.joined and f.net in (net, Net.WHOLE)]
    return groups, pairs
