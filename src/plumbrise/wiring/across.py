"""What lies between lines: exchanged cables, motors against each other, shared drivers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from plumbrise.wiring.currents import (
    coil_ohm,
    current_findings,
    joining,
    set_current_a,
    shares,
)
from plumbrise.wiring.findings import (
    AGAINST,
    COIL_RESISTANCE,
    EXCHANGED,
    REVERSED,
    Finding,
)
from plumbrise.wiring.harness import Board, Harness, Line, Motor
from plumbrise.wiring.limits import coil_allowed, true_span, warmth
from plumbrise.wiring.swaps import direction
from plumbrise.wiring.verdict import LineVerdict, NextReading
from plumbrise.wiring.worlds import CONTACTS, World, told_windings

SHARED_PLUG = "driver's plug"
"""Name of the line that stands for what a shared driver sees."""


def across_findings(harness: Harness, judged: Sequence[LineVerdict]) -> Iterator[Finding]:
    """What is found between lines, and of currents."""
    yield from _exchanged(harness, judged)
    yield from _directions(harness)
    own = {
        line.name: motors if len(motors) == 1 else (line,)
        for line, motors in zip(harness.lines, motors_on(harness).values(), strict=True)
    }
    yield from current_findings(harness, joining(harness), own)


def motors_on(harness: Harness) -> dict[str, tuple[Line, ...]]:
    """For each line the lines whose motor its cable may run to: the one that braked when bridged,
    else all that were not shown to be on another."""
    braked = {line.name: {b.stiff for b in line.bridged if b.stiff} for line in harness.lines}
    found = {}
    for line in harness.lines:
        others = {name for other, names in braked.items() if other != line.name for name in names}
        shown = braked[line.name]
        found[line.name] = tuple(
            one for one in harness.lines if (one.name in shown if shown else one.name not in others)
        )
    return found


def _exchanged(harness: Harness, judged: Sequence[LineVerdict]) -> Iterator[Finding]:
    for line, one in zip(harness.lines, judged, strict=True):
        braked = {b.stiff for b in line.bridged if b.stiff} - {line.name}
        for name in sorted(braked):
            detail = f"Bridging brakes the motor of {name}."
            yield Finding(EXCHANGED, line.name, "motor", detail=detail)
        if line.cable.to not in (None, line.name) and not braked:
            detail = f"Its cable runs to the motor of {line.cable.to}."
            yield Finding(EXCHANGED, line.name, "motor", known="described", detail=detail)
        elif not braked:
            yield from _reads_as_another(harness, line, one)


def _reads_as_another(harness: Harness, line: Line, judged: LineVerdict) -> Iterator[Finding]:
    """A coil of the wrong resistance that is right for another line's motor."""
    wrong = [f for f in judged.findings if f.kind is COIL_RESISTANCE and f.at == "board"]
    at = {frozenset(finding.contacts) for finding in wrong}
    readings = [r for r in line.measured if r.at == "board" and frozenset(r.between) in at]
    for other in harness.lines if wrong else ():
        if other is line or other.motor.coil_ohm is None:
            continue
        if all(
            true_span(reading, harness.meter).meets(
                coil_allowed(other, warmth(reading, harness.meter), through_cable=True).sound
            )
            for reading in readings
        ):
            detail = f"Its coils read as those of {other.name}. It may be another motor too."
            yield Finding(EXCHANGED, line.name, "motor", detail=detail)


def told_direction(line: Line) -> int | None:
    """1 where the motor as described turns as its socket says, -1 where the other way."""
    joins = dict(line.cable.joins)
    if len(joins) < len(CONTACTS):
        return None
    winding = next(told_windings(line), None)
    if winding is None:
        return None
    return direction(line, World(tuple(joins[contact] for contact in CONTACTS), winding))


def _directions(harness: Harness) -> Iterator[Finding]:
    ways = {line.name: told_direction(line) for line in harness.lines}
    for line in harness.lines:
        if ways[line.name] == -1:
            yield Finding(REVERSED, line.name, known="described")
    for i, line in enumerate(harness.lines):
        for other in harness.lines[:i]:
            if other.axis != line.axis:
                continue
            one, two = ways[other.name], ways[line.name]
            if one is None or two is None:
                continue
            sense = (
                -1 if {line.board.sense, other.board.sense} == {"right-hand", "left-hand"} else 1
            )
            if one * two * sense == -1:
                detail = f"{other.name} and {line.name}."
                yield Finding(AGAINST, line.name, known="described", detail=detail)
                break


def unproven_motor(harness: Harness, line: Line) -> NextReading | None:
    """What to do first where the cable may run to a motor that its driver would overheat."""
    motors = joining(harness).motors
    set_a = set_current_a(harness, line, motors)
    share = shares(harness, motors)[line.name]
    if set_a is None or share is None:
        return None
    gets = share * set_a
    for motor in motors_on(harness)[line.name]:
        rated = motor.motor.rated_current_a
        if motor is not line and rated is not None and gets > rated:
            pair = (line.board.phases or ((1, 2),))[0]
            return NextReading(
                line.name,
                "bridge",
                "board",
                pair,
                None,
                f"The cable may run to the motor of {motor.name}, which is rated {rated:g} A. "
                "Bridge these two contacts and turn each shaft by hand: the stiff one is its own.",
            )
    return None


def unproven_share(harness: Harness, line: Line) -> NextReading | None:
    """What to read where it hangs on coils that nobody knows how much of a shared driver's current
    a motor gets, and all of it would be too much."""
    motors = joining(harness).motors
    set_a, rated = set_current_a(harness, line, motors), line.motor.rated_current_a
    known = shares(harness, motors)[line.name] is not None
    if known or set_a is None or rated is None or set_a <= rated:
        return None
    unread = next(one for one in harness.lines if not coil_ohm(one, harness.meter))
    return NextReading(
        unread.name,
        "read",
        "board",
        (unread.board.phases or ((1, 2),))[0],
        None,
        f"Its coils decide how the motors share the current: the motor of {line.name} may get "
        f"more than the {rated:g} A that it is rated.",
    )


def shared_plug(harness: Harness) -> Line | None:
    """The plug at which a shared driver sees all motors at once, as a line of its own: an adaptor
    can split coils that each cable by itself has right. None where the board joins the motors by
    itself, which its document says."""
    drive = harness.drive
    motors = joining(harness).motors
    if motors == "separate" or drive.joined_at == "board" or len(harness.lines) < 2:
        return None
    ohms = [line.motor.coil_ohm for line in harness.lines]
    known = [ohm for ohm in ohms if ohm is not None]
    whole = None
    if len(known) == len(ohms):
        whole = sum(known) if motors == "series" else 1 / sum(1 / ohm for ohm in known)
    return Line(
        SHARED_PLUG,
        Board(phases=harness.lines[0].board.phases),
        motor=Motor(coil_ohm=whole),
        measured=drive.measured,
    )
