"""Currents: what the driver is set to against the motor's rating, what two motors on one driver
get each, and what the cable takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from plumbrise.wiring.copper import wire_ohm
from plumbrise.wiring.findings import (
    CURRENT_UNKNOWN,
    DRIVE_NOT_AS_TOLD,
    OVER_CURRENT,
    SHARED,
    THIN_WIRE,
    WIRE_DROP,
    Finding,
)
from plumbrise.wiring.harness import Harness, Line, Meter, Reading
from plumbrise.wiring.limits import Span, is_open, true_span

DENSE_A_PER_MM2 = 10.0
"""Over this a thin bundled wire grows warm. Common practice, no source."""
DOUBT_SHARE = 0.2
"""How far like coils and a meter may be off together when the way of joining is read."""


@dataclass(frozen=True, slots=True)
class Joining:
    """How the motors are joined: as told, or as a reading shows where it shows one thing only."""

    motors: str
    told: str | None
    read: tuple[str, ...] | None

    @property
    def against(self) -> bool:
        """True where the reading excludes what was told."""
        return self.told is not None and self.read is not None and self.told not in self.read


def joining(harness: Harness) -> Joining:
    """How the motors of a harness are joined to their drivers."""
    told = harness.drive.motors
    alone, motors = _alone(harness), max(2, len(harness.lines))
    shared = [r for r in harness.drive.measured if r.ohm is not None and not is_open(r)]
    read: tuple[str, ...] | None = None
    if alone is not None and shared:
        spans = [true_span(reading, harness.meter) for reading in shared]
        read = tuple(
            way
            for way, factor in _factors(motors).items()
            if all(span.meets(_near(alone, factor)) for span in spans)
        )
    way = told or "separate"
    if read and way not in read:
        way = read[0]
    return Joining(way, told, read)


def _factors(motors: int) -> dict[str, float]:
    """Resistance at the driver's plug of so many like motors, over that of one."""
    return {"parallel": 1 / motors, "series": float(motors), "separate": 1.0}


def _near(alone: Span, factor: float) -> Span:
    return Span((1 - DOUBT_SHARE) * factor * alone.low, (1 + DOUBT_SHARE) * factor * alone.high)


def _alone(harness: Harness) -> Span | None:
    """The resistance of one motor's phase by itself: as read at its cable, else its data sheet."""
    spans = [
        true_span(reading, harness.meter)
        for line in harness.lines
        for reading in line.measured
        if reading.at == "board" and _is_driven(line, reading)
    ]
    if not spans:
        sheet = [line.motor.coil_ohm for line in harness.lines if line.motor.coil_ohm is not None]
        spans = [Span(ohm, ohm) for ohm in sheet]
    if not spans:
        return None
    return Span(min(span.low for span in spans), max(span.high for span in spans))


def _is_driven(line: Line, reading: Reading) -> bool:
    pairs = [set(pair) for pair in line.board.phases or ()]
    return reading.ohm is not None and not is_open(reading) and set(reading.between) in pairs


def shares(harness: Harness, motors: str) -> dict[str, float | None]:
    """Part of the driver's current that each line's motor gets; None where it cannot be told, since
    the coils of some motor are neither given nor read.

        parallel: I_k / I = (1 / R_k) / Σ (1 / R)        series and separate: 1

    Source:
        Current divider.
    """
    if motors != "parallel" or len(harness.lines) < 2:
        return {line.name: 1.0 for line in harness.lines}
    ohms = {line.name: coil_ohm(line, harness.meter) for line in harness.lines}
    leads = {name: 1 / ohm for name, ohm in ohms.items() if ohm}
    if len(leads) < len(ohms):
        return dict.fromkeys(ohms)
    return {name: lead / sum(leads.values()) for name, lead in leads.items()}


def coil_ohm(line: Line, meter: Meter) -> float | None:
    """What a phase of a line's motor has: by its data sheet, else as read through the cable."""
    if line.motor.coil_ohm is not None:
        return line.motor.coil_ohm
    spans = [true_span(one, meter) for one in line.measured
             if one.at == "board" and _is_driven(line, one)]  # fmt: skip
    return sum(span.low + span.high for span in spans) / (2 * len(spans)) if spans else None


def set_current_a(harness: Harness, line: Line, motors: str) -> float | None:
    """What the driver of a line is set to; of a shared one the most that any of its lines says."""
    of = (line,) if motors == "separate" else harness.lines
    said = [one.board.driver_current_a for one in of]
    return max((amps for amps in said if amps is not None), default=None)


def current_findings(
    harness: Harness, joined: Joining, motors_on: Mapping[str, Sequence[Line]]
) -> Iterator[Finding]:
    """What is found of currents. `motors_on` names, for each line, the motors its socket may turn.

    A motor may be given no more than its rating. What it gets on a shared driver when the other
    motor's cable comes off is named, and no more.
    """
    share = shares(harness, joined.motors)
    if joined.against:
        way = " or ".join(joined.read or ()) or "none of these ways"
        yield Finding(DRIVE_NOT_AS_TOLD, "", "driver", detail=f"Told {joined.told}; read {way}.")
    for line in harness.lines:
        set_a = set_current_a(harness, line, joined.motors)
        part = share[line.name]
        for motor in motors_on[line.name]:
            rated = motor.motor.rated_current_a
            if set_a is None or rated is None or (part is None and set_a > rated):
                yield Finding(CURRENT_UNKNOWN, line.name, known="described")
            elif part is not None and part * set_a > rated:
                yield Finding(
                    OVER_CURRENT,
                    line.name,
                    known="described",
                    detail=f"The motor of {motor.name} gets {part * set_a:.2f} A, "
                    f"rated {rated:.2f} A.",
                )
        if len(harness.lines) > 1 and joined.motors != "separate":
            yield _shared(harness, line, joined.motors, part, set_a)
        yield from _cable(line, set_a if set_a is None or part is None else part * set_a)


def _shared(
    harness: Harness, line: Line, motors: str, share: float | None, set_a: float | None
) -> Finding:
    count = len(harness.lines)
    if share is None:
        gets = "a part that cannot be told before the coils of each are read"
    else:
        gets = f"{share:.0%} of the driver's current"
        if set_a is not None:
            gets += f", {share * set_a:.2f} of {set_a:.2f} A"
    if motors == "parallel":
        others = "other motor's cable comes" if count == 2 else "other motors' cables come"
        tail = f"If the {others} off, it gets all of it."
        rated = line.motor.rated_current_a
        if set_a is not None and rated is not None and set_a > rated:
            tail += f" That is above its rating of {rated:.2f} A."
    else:
        left = {2: "half", 3: "a third"}.get(count, f"1/{count}")
        tail = f"Of the voltage it gets {left}, so torque falls off at {left} of the speed."
    return Finding(
        SHARED, line.name, "driver", known="described", detail=f"In {motors}: {gets}. {tail}"
    )


def _cable(line: Line, amps: float | None) -> Iterator[Finding]:
    """What the cable takes at the current that the motor gets; the driver's whole, where its part
    is not known."""
    cable = line.cable
    if cable.length_m is None or cable.wire_mm2 is None:
        return
    both = 2 * wire_ohm(area_mm2=cable.wire_mm2, length_m=cable.length_m)
    said = f"{cable.length_m:g} m of {cable.wire_mm2:.2g} mm² add {both:.2f} Ω to a coil"
    if amps is None:
        yield Finding(WIRE_DROP, line.name, "cable", known="described", detail=f"{said}.")
        return
    yield Finding(
        WIRE_DROP,
        line.name,
        "cable",
        known="described",
        detail=f"{said}: {both * amps:.2f} V at {amps:.2f} A.",
    )
    if amps / cable.wire_mm2 > DENSE_A_PER_MM2:
        yield Finding(
            THIN_WIRE,
            line.name,
            "cable",
            known="described",
            detail=f"{amps / cable.wire_mm2:.0f} A/mm².",
        )
