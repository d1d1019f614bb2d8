"""The verdict on a harness: its lines one by one, then what lies between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from plumbrise.wiring.across import (
    across_findings,
    motors_on,
    shared_plug,
    unproven_motor,
    unproven_share,
)
from plumbrise.wiring.currents import joining
from plumbrise.wiring.findings import AGAINST, Finding
from plumbrise.wiring.harness import DRIVES, Harness, Line
from plumbrise.wiring.limits import ANY_COIL_OHM
from plumbrise.wiring.line_judging import judge_line
from plumbrise.wiring.swaps import turning_back
from plumbrise.wiring.verdict import LineVerdict, Swap, Verdict, WiringVerdict

UNSEEN = (
    "A wrong supply voltage or a bad driver.",
    "A contact that opens when the cable moves: read once more while you wiggle it.",
    "Which way a motor turns, and which motor it is: the first move is half a millimetre.",
    "The two halves of an eight-lead motor's coils: join them as its document says first.",
    "A coil from another part of the same ohms.",
)
"""What no meter sees, said with every go."""


def judge(harness: Harness) -> WiringVerdict:
    """Whether the wiring is proven to harm no driver.

    `go` only where no completion of what is unknown, accidents included, that gives every reading
    joins the driver to anything but one sound coil a phase. `no-go` where no completion in order
    gives the readings, or none that is as described, or where a stated fact is a fault. Else
    `cannot-tell`. What is described but not read never makes a go; it can make a no-go.

    Example:
        >>> from plumbrise.wiring import Board, Line, Motor
        >>> line = Line("left", Board(phases=((1, 2), (3, 4))), motor=Motor(coil_ohm=2.6))
        >>> answer = judge(Harness((line,)))
        >>> str(answer.verdict), answer.next_reading.between
        ('cannot tell', (1, 2))
    """
    lines = tuple(judge_line(line, harness.meter) for line in harness.lines)
    between = tuple(across_findings(harness, lines))
    lines = tuple(_with(harness, line, between) for line in lines)
    plug = shared_plug(harness)
    if plug is not None and not joining(harness).against:
        lines += (judge_line(plug, harness.meter),)
    findings = tuple(f for line in lines for f in line.findings)
    findings += tuple(f for f in between if not f.line)
    verdicts = {line.verdict for line in lines}
    verdicts |= {Verdict.CANNOT_TELL for f in between if not f.line and f.kind.refuses}
    verdict = next(v for v in (Verdict.NO_GO, Verdict.CANNOT_TELL, Verdict.GO) if v in verdicts)
    asked = [line for line in lines if line.next_reading is not None]
    asked.sort(key=lambda line: line.verdict is not Verdict.NO_GO)
    return WiringVerdict(
        verdict,
        lines,
        findings,
        tuple(swap for line in lines for swap in line.swaps),
        asked[0].next_reading if asked and verdict is not Verdict.GO else None,
        tuple(dict.fromkeys(_reasons(lines, between))),
        tuple(_on_word(harness)),
        UNSEEN,
    )


def _with(harness: Harness, judged: LineVerdict, between: tuple[Finding, ...]) -> LineVerdict:
    """A line's verdict with what was found across lines."""
    line = harness.line(judged.line)
    assert line is not None
    own = tuple(f for f in between if f.line == judged.line)
    made = replace(judged, findings=(*judged.findings, *own))
    if any(f.kind.refuses for f in own):
        swaps = judged.swaps
        if any(f.kind is AGAINST for f in own) and not swaps:
            swaps = tuple(Swap(line.name, "board", pair) for pair in turning_back(line))
        return replace(
            made,
            verdict=Verdict.NO_GO,
            swaps=swaps,
            reasons=(*judged.reasons, *(f.kind.words for f in own if f.kind.refuses)),
        )
    doubt = unproven_motor(harness, line) or unproven_share(harness, line)
    if doubt is not None and made.verdict is Verdict.GO:
        return replace(made, verdict=Verdict.CANNOT_TELL, next_reading=doubt, reasons=(doubt.why,))
    return made


def _reasons(lines: tuple[LineVerdict, ...], between: tuple[Finding, ...]) -> Iterator[str]:
    for line in lines:
        if line.verdict is not Verdict.GO:
            yield from (f"{line.line}: {reason}" for reason in line.reasons)
    yield from (f"{f.kind.words} {f.detail}" for f in between if not f.line and f.kind.refuses)


def _on_word(harness: Harness) -> Iterator[str]:
    for line in harness.lines:
        yield _line_on_word(line)
    if len(harness.lines) > 1:
        told = harness.drive.motors
        yield (
            f"The motors are joined to their drivers: {told}."
            if told in DRIVES
            else "Each motor has a driver of its own (not said)."
        )
        if told != "separate" and harness.drive.joined_at == "board":
            yield "The board's own sockets join the motors, pair to pair."
        names = motors_on(harness)
        if any(len(motors) > 1 for motors in names.values()):
            yield "Each cable runs to the motor of its own line."
    yield "All four wires of a cable run to one motor."


def _line_on_word(line: Line) -> str:
    board, motor = line.board, line.motor
    said = []
    if board.phases is not None:
        pairs = ", ".join(f"{a} and {b}" for a, b in board.phases)
        said.append(f"the board drives contacts {pairs}")
    said.append(f"the motor's plug has {motor.contacts} contacts")
    low, high = ANY_COIL_OHM
    said.append(
        f"a sound coil has {motor.coil_ohm:g} Ω"
        if motor.coil_ohm is not None
        else f"a sound coil has anything from {low:g} to {high:g} Ω, since nobody said how much"
    )
    if board.driver_current_a is not None:
        said.append(f"the driver is set to {board.driver_current_a:g} A")
    if motor.rated_current_a is not None:
        said.append(f"the motor is rated {motor.rated_current_a:g} A")
    return f"{line.name}: {'; '.join(said)}."
