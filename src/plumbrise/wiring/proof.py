"""Whether the resistance of what a board drives is proven to harm nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from plumbrise.wiring.completions import Phases
from plumbrise.wiring.facts import MOTOR_FROM, Fact, Groups, Net
from plumbrise.wiring.harness import Pair, Reading
from plumbrise.wiring.limits import ALIKE_SHARE, METER_OHM, METER_SHARE, Span
from plumbrise.wiring.worlds import Agreement


def proven_pairs(agreement: Agreement, facts: Sequence[Fact], phases: Phases) -> tuple[Pair, ...]:
    """The driven pairs whose resistance is proven safe: read through the cable, or as the sum of
    the motor's coil and both wires where each was read and the wires are known to be apart."""
    return tuple(
        pair
        for pair in phases
        if any(span.within(agreement.coil(fact).safe) for fact, span in _read_through(facts, pair))
    )


def _read_through(facts: Sequence[Fact], pair: Pair) -> Iterator[tuple[Fact, Span]]:
    """Spans of the resistance that the driver sees at a pair, each with the fact that stands for
    how warm the motor was."""
    whole = tuple(sorted(pair))
    for fact in facts:
        if fact.joined and not fact.beeped:
            if fact.net is Net.WHOLE and fact.nodes == whole:
                yield fact, fact.span
            elif fact.net is Net.MOTOR:
                yield from _by_parts(facts, pair, fact)


def _by_parts(facts: Sequence[Fact], pair: Pair, coil: Fact) -> Iterator[tuple[Fact, Span]]:
    wires = {f.nodes: f for f in facts if f.net is Net.CABLE and f.joined and not f.beeped}
    for near, far in (coil.nodes, coil.nodes[::-1]):
        one, other = wires.get((pair[0], near)), wires.get((pair[1], far))
        if one and other and _apart(facts, Net.CABLE, (near, far)):
            span = one.span.plus(other.span).plus(coil.span)
            yield Fact(Net.WHOLE, coil.nodes, True, span, coil.reading), span


def _apart(facts: Sequence[Fact], net: Net, nodes: tuple[int, int]) -> bool:
    """True where the readings of one net prove two of its nodes apart in it."""
    groups = Groups(f.nodes for f in facts if f.net is net and f.joined)
    ends = {groups.group(node) for node in nodes}
    return any(
        {groups.group(node) for node in f.nodes} == ends
        for f in facts
        if f.net is net and not f.joined
    )


def unlike(facts: Sequence[Fact], phases: Phases) -> tuple[Reading, Reading] | None:
    """Two readings of driven pairs, taken at one place, that differ by more than two coils of a
    motor may. Leads count in both alike, so they fall out."""
    wanted = {tuple(sorted(pair)) for pair in phases}
    read = [
        fact.reading
        for fact in facts
        if fact.net is Net.WHOLE
        and fact.joined
        and not fact.beeped
        and fact.nodes in wanted
        and fact.reading is not None
    ]
    for one in read:
        for other in read:
            low, high = one.ohm or 0.0, other.ohm or 0.0
            doubt = METER_SHARE * (low + high) + 2 * METER_OHM
            if high - low - doubt > ALIKE_SHARE * high and one.between != other.between:
                return one, other
    return None


def coil_readings(facts: Sequence[Fact]) -> Iterator[Fact]:
    """Readings in ohms between contacts of one end."""
    for fact in facts:
        if fact.joined and not fact.beeped and 0 not in fact.nodes and fact.net is not Net.CABLE:
            yield fact


def contact_of(node: int) -> int:
    """The contact's number on its own plug."""
    return node - MOTOR_FROM if node > MOTOR_FROM else node
