"""What a reading says of the true resistance, and what a sound coil and wire may have."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from plumbrise.wiring.copper import flexible_ohm, warmth_factor, wire_ohm
from plumbrise.wiring.harness import Line, Meter, Reading

OPEN_OHM = 1e6
"""From here on two contacts count as open. Common practice: insulation of a motor reads more."""
BEEP_OHM = 1000.0
"""A meter that beeps says less than this; meters differ, most beep under 50 Ω."""
LEADS_OHM = 0.5
"""Leads and tips of a meter add up to so much. Common practice."""
METER_SHARE, METER_OHM = 0.01, 0.1
"""A hand-held meter is taken to be right within 1 % and one digit of 0.1 Ω."""
ROOM_C = (5.0, 40.0)
"""How cold or warm a motor may have been where nobody said."""
SHEET_SHARE = 0.1
"""Data sheets give the resistance of a coil within 10 %."""
ALIKE_SHARE = 0.1
"""Two coils of one motor that differ by more are not alike."""
HARM_SHARE, HARM_OHM = 0.3, 0.5
"""A coil further off than this (and a contact that adds more) cannot be let pass unproven."""
CONTACT_OHM = 0.1
"""What a sound crimped contact may add."""
WARM_WIRE = 1.1
"""A wire may be 25 K warmer than the 20 °C of its table."""
WIRE_UNKNOWN_OHM = 0.5
"""What one wire of a cable of unknown gauge and length may have."""
ANY_COIL_OHM = (0.3, 100.0)
"""Coils of desktop printers' motors have 1 to 40 Ω; outside this none is known."""


@dataclass(frozen=True, slots=True)
class Span:
    """From low to high, ohms."""

    low: float
    high: float

    def meets(self, other: Span) -> bool:
        """True where the two have a value in common.

        Example:
            >>> Span(0, 2).meets(Span(2, 3)), Span(0, 1).meets(Span(2, 3))
            (True, False)
        """
        return self.low <= other.high and other.low <= self.high

    def within(self, other: Span) -> bool:
        """True where every value of this one lies in the other."""
        return other.low <= self.low and self.high <= other.high

    def plus(self, other: Span) -> Span:
        """The sum of a value here and a value there."""
        return Span(self.low + other.low, self.high + other.high)


@dataclass(frozen=True, slots=True)
class Allowed:
    """What two contacts may have: `sound` for a part in order, `safe` for one that harms nothing.

    Outside `sound` a part is faulty; what may lie outside `safe` is not proven.
    """

    sound: Span
    safe: Span


def is_open(reading: Reading) -> bool:
    """True where the meter saw no way from contact to contact."""
    return reading.is_open or (reading.ohm is not None and reading.ohm >= OPEN_OHM)


def true_span(reading: Reading, meter: Meter) -> Span:
    """Between which ohms the true resistance lies.

    Example:
        >>> true_span(Reading("board", (1, 2), ohm=2.7), Meter(leads_ohm=0.2))
        Span(low=2.373, high=2.627)
    """
    if is_open(reading):
        return Span(OPEN_OHM, inf)
    if reading.ohm is None:
        return Span(0.0, BEEP_OHM)
    doubt = METER_SHARE * reading.ohm + METER_OHM
    least, most = (0.0, LEADS_OHM) if meter.leads_ohm is None else (meter.leads_ohm,) * 2
    low, high = reading.ohm - most - doubt, reading.ohm - least + doubt
    return Span(max(0.0, round(low, 9)), max(0.0, round(high, 9)))


def warmth(reading: Reading | None, meter: Meter) -> tuple[float, float]:
    """By how much the resistance of copper may differ from that at 20 °C, least and most."""
    said = reading.celsius if reading is not None and reading.celsius is not None else meter.celsius
    ends = ROOM_C if said is None else (said, said)
    return warmth_factor(celsius=ends[0]), warmth_factor(celsius=ends[1])


def wire_span(line: Line) -> Span:
    """One wire of the cable with its two contacts, one way."""
    cable = line.cable
    if cable.length_m is None or cable.wire_mm2 is None:
        return Span(0.0, WIRE_UNKNOWN_OHM)
    solid = wire_ohm(area_mm2=cable.wire_mm2, length_m=cable.length_m)
    most = flexible_ohm(area_mm2=cable.wire_mm2, length_m=cable.length_m)
    return Span(0.9 * solid, WARM_WIRE * most + 2 * CONTACT_OHM)


def coil_allowed(
    line: Line, factors: tuple[float, float], *, through_cable: bool, share: float = 1.0
) -> Allowed:
    """What a phase, or `share` of its winding, may have at the motor or through the cable."""
    wires = wire_span(line) if through_cable else Span(0.0, 2 * CONTACT_OHM)
    both = Span(2 * wires.low, 2 * wires.high) if through_cable else wires
    nominal = line.motor.coil_ohm
    if nominal is None:
        low, high = ANY_COIL_OHM
        whole = Span(share * low, share * high + both.high)
        return Allowed(whole, Span(share * low, share * high))
    cold, warm = factors[0] * share * nominal, factors[1] * share * nominal
    sound = Span((1 - SHEET_SHARE) * cold, (1 + SHEET_SHARE) * warm).plus(both)
    safe = Span((1 - HARM_SHARE) * cold, (1 + HARM_SHARE) * warm + both.high + HARM_OHM)
    return Allowed(sound, safe)


def wire_allowed(line: Line) -> Allowed:
    """What one wire may have, end to end."""
    span = wire_span(line)
    return Allowed(span, Span(0.0, span.high + HARM_OHM))
