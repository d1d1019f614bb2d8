"""What readings that no sound wiring gives show to be wrong."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from plumbrise.wiring.completions import Parting, Phases
from plumbrise.wiring.facts import Fact, Net, motor_node, unsteady
from plumbrise.wiring.features import joined_or_apart, shared
from plumbrise.wiring.findings import (
    COIL_OPEN,
    COIL_RESISTANCE,
    COILS_JOINED,
    COILS_UNLIKE,
    COMES_AND_GOES,
    CONTACT_OPEN,
    FRAME_JOINED,
    NO_SOUND_WIRING,
    WIRE_RESISTANCE,
    Finding,
)
from plumbrise.wiring.harness import FRAME, Line
from plumbrise.wiring.limits import wire_allowed
from plumbrise.wiring.proof import coil_readings, contact_of, unlike
from plumbrise.wiring.worlds import CONTACTS, Agreement

SHARES = (0.5, 1.0, 2.0)
"""Parts of a phase that two contacts of a motor with taps may have between them."""


def measured_faults(
    line: Line,
    facts: Sequence[Fact],
    agreement: Agreement,
    possible: Sequence[Parting],
    phases: Phases,
) -> tuple[Finding, ...]:
    """Every fault that is sure, the surest named first; one finding at least."""
    found = [*_unsteady(line, facts)]
    found += [Finding(kind, line.name, "board", at) for kind, at in shared(possible, phases)]
    named = {c for finding in found if finding.kind is not FRAME_JOINED for c in finding.contacts}
    found += [
        Finding(kind, line.name, "board", at)
        for kind, at in joined_or_apart(possible, phases)
        if not set(at) <= named
    ]
    found += [*_resistances(line, facts, agreement, phases), *_wires(line, facts)]
    found += [*_in_motor(line, facts), *_unlike(line, facts, phases)]
    return tuple(dict.fromkeys(found)) or (
        Finding(NO_SOUND_WIRING, line.name, detail=" ".join(_unbraked(line))),
    )


def _unbraked(line: Line) -> Iterator[str]:
    for bridged in line.bridged:
        if not bridged.stiff:
            one, other = bridged.between
            yield f"Bridging contacts {one} and {other} braked no motor."


def _unsteady(line: Line, facts: Sequence[Fact]) -> Iterator[Finding]:
    for fact in unsteady(facts):
        yield Finding(COMES_AND_GOES, line.name, fact.net.value, _contacts(fact))


def _contacts(fact: Fact) -> tuple[int, ...]:
    return tuple(contact_of(node) for node in fact.nodes if node != FRAME)


def _resistances(
    line: Line, facts: Sequence[Fact], agreement: Agreement, phases: Phases
) -> Iterator[Finding]:
    driven = {tuple(sorted(pair)) for pair in phases}
    for fact in coil_readings(facts):
        whole = fact.net is Net.WHOLE
        if whole and fact.nodes not in driven:
            continue
        shares = (1.0,) if whole or line.motor.contacts == 4 else SHARES
        allowed = [agreement.coil(fact, share).sound for share in shares]
        if not any(fact.span.meets(span) for span in allowed):
            sound = agreement.coil(fact).sound
            read = fact.reading.ohm if fact.reading else None
            yield Finding(
                COIL_RESISTANCE,
                line.name,
                fact.net.value,
                _contacts(fact),
                detail=f"Read {read:g} Ω; {sound.low:.1f} to {sound.high:.1f} Ω is right.",
            )


def _wires(line: Line, facts: Sequence[Fact]) -> Iterator[Finding]:
    sound = wire_allowed(line).sound
    in_cable = [fact for fact in facts if fact.net is Net.CABLE]
    for fact in in_cable:
        if FRAME in fact.nodes and fact.joined:
            yield Finding(FRAME_JOINED, line.name, "cable", _contacts(fact))
        elif fact.joined and not fact.beeped and not fact.span.meets(sound):
            read = fact.reading.ohm if fact.reading else 0.0
            detail = f"Read {read:g} Ω; up to {sound.high:.1f} Ω is right."
            yield Finding(WIRE_RESISTANCE, line.name, "cable", fact.nodes[:1], detail=detail)
    motor = {motor_node(contact) for contact in range(1, line.motor.contacts + 1)}
    for contact in CONTACTS:
        own = [fact for fact in in_cable if contact in fact.nodes]
        joined = {node for fact in own if fact.joined for node in fact.nodes} & motor
        apart = {node for fact in own if not fact.joined for node in fact.nodes} & motor
        if apart == motor:
            yield Finding(CONTACT_OPEN, line.name, "cable", (contact,))
        if len(joined) > 1:
            yield Finding(COILS_JOINED, line.name, "cable", (contact,))


def _in_motor(line: Line, facts: Sequence[Fact]) -> Iterator[Finding]:
    own = [fact for fact in facts if fact.net is Net.MOTOR]
    for fact in own:
        if FRAME in fact.nodes and fact.joined:
            yield Finding(FRAME_JOINED, line.name, "motor", _contacts(fact))
    told = {frozenset((coil[0], coil[-1])) for coil in line.motor.coils}
    for fact in own:
        if not fact.joined and frozenset(_contacts(fact)) in told:
            yield Finding(COIL_OPEN, line.name, "motor", _contacts(fact))


def _unlike(line: Line, facts: Sequence[Fact], phases: Phases) -> Iterator[Finding]:
    pair = unlike(facts, phases)
    if pair is not None:
        one, other = pair
        yield Finding(
            COILS_UNLIKE,
            line.name,
            "board",
            tuple(sorted({*one.between, *other.between})),
            detail=f"{one.ohm:g} and {other.ohm:g} Ω.",
        )
