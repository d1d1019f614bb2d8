"""Trapezoidal threads: sizes, tolerances, and how true a lead is made."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.elements.ranges import above_zero, one_of
from plumbrise.errors import InputError

FLANK_ANGLE_DEG = 15.0
"""Half the angle between the flanks of a metric trapezoidal thread."""


@dataclass(frozen=True, slots=True)
class TrapezoidalThread:
    """Basic sizes of a metric trapezoidal thread, mm.

    `pitch_diameter_mm` is d2 and `core_diameter_mm` d3 of the screw; `nut_outer_mm` is D4 and
    `nut_bore_mm` D1 of the nut; `clearance_mm` is a_c at the crests.
    """

    nominal_mm: float
    pitch_mm: float
    starts: int
    lead_mm: float
    clearance_mm: float
    pitch_diameter_mm: float
    core_diameter_mm: float
    nut_outer_mm: float
    nut_bore_mm: float


_CREST_CLEARANCE_MM = ((1.5, 1.5, 0.15), (2.0, 5.0, 0.25), (6.0, 12.0, 0.5), (14.0, 44.0, 1.0))
"""Pitch from, pitch to, a_c (ISO 2904)."""


def trapezoidal(*, nominal_mm: float, pitch_mm: float, starts: int = 1) -> TrapezoidalThread:
    """Basic sizes of a thread such as Tr8x8(P2): nominal 8, pitch 2, 4 starts.

        d2 = d - P/2    d3 = d - P - 2 a_c    D4 = d + 2 a_c    D1 = d - P    lead = P · starts

    Real diameters lie below the basic ones by allowance and tolerance: see `pitch_diameter_limits`.

    Args:
        nominal_mm: d, over the crests of the screw.
        pitch_mm: P, from crest to crest: 1.5 to 44.
        starts: threads that wind side by side.

    Raises:
        InputError: a pitch for which no clearance is laid down, a pitch that leaves no core,
            or no whole number of starts.

    Source:
        ISO 2904:1977, DIN 103-4.

    Example:
        >>> thread = trapezoidal(nominal_mm=8, pitch_mm=2, starts=4)
        >>> thread.lead_mm, thread.pitch_diameter_mm, thread.core_diameter_mm
        (8, 7.0, 5.5)
    """
    above_zero(nominal_mm=nominal_mm, pitch_mm=pitch_mm)
    if starts < 1 or starts != int(starts):
        raise InputError(
            place="starts",
            value=starts,
            allowed="1, 2, 3 ...",
            remedy="Count the thread ends at the end of the screw.",
        )
    clearances = (gap for low, high, gap in _CREST_CLEARANCE_MM if low <= pitch_mm <= high)
    clearance = next(clearances, None)
    if clearance is None:
        raise InputError(
            place="pitch_mm",
            value=pitch_mm,
            allowed="1.5, 2 to 5, 6 to 12, or 14 to 44 mm",
            remedy="Measure over ten crests and divide by ten.",
        )
    core = nominal_mm - pitch_mm - 2 * clearance
    if not core > 0:
        raise InputError(
            place="pitch_mm",
            value=pitch_mm,
            allowed=f"below {nominal_mm - 2 * clearance:g} mm on this diameter",
            remedy="Pitch is from crest to crest; the lead is pitch times starts.",
        )
    return TrapezoidalThread(
        nominal_mm=nominal_mm,
        pitch_mm=pitch_mm,
        starts=starts,
        lead_mm=pitch_mm * starts,
        clearance_mm=clearance,
        pitch_diameter_mm=nominal_mm - 0.5 * pitch_mm,
        core_diameter_mm=core,
        nut_outer_mm=nominal_mm + 2 * clearance,
        nut_bore_mm=nominal_mm - pitch_mm,
    )


def trapezoidal_of_lead(*, nominal_mm: float, lead_mm: float, starts: int) -> TrapezoidalThread:
    """Basic sizes of a thread known by its lead, as people know their screws.

    Raises:
        InputError: a lead and a number of starts that make no pitch, as `trapezoidal`.

    Example:
        >>> trapezoidal_of_lead(nominal_mm=8, lead_mm=8, starts=4).pitch_mm
        2.0
    """
    above_zero(nominal_mm=nominal_mm, lead_mm=lead_mm, starts=starts)
    try:
        return trapezoidal(nominal_mm=nominal_mm, pitch_mm=lead_mm / starts, starts=starts)
    except InputError as problem:
        raise InputError(
            place="lead_mm",
            value=lead_mm,
            allowed=f"a lead whose pitch over {starts:g} starts is {problem.allowed}",
            remedy="Pitch is from crest to crest, and the lead is pitch times starts.",
        ) from None


_ALLOWANCE_E_MM = {1.5: 0.067, 2.0: 0.071, 3.0: 0.085, 4.0: 0.095}
"""Pitch -> how far class e lies below the basic size (ISO 2903)."""
_GRADE_7_MM = {
    (11.2, 1.5): (0.170, 0.224),
    (11.2, 2.0): (0.190, 0.250),
    (11.2, 3.0): (0.212, 0.280),
    (22.4, 2.0): (0.200, 0.265),
    (22.4, 3.0): (0.224, 0.300),
    (22.4, 4.0): (0.265, 0.355),
}
"""(Largest nominal diameter, pitch) -> tolerance of the pitch diameter, screw 7e and nut 7H
(ISO 2903). Below 5.6 mm and above 22.4 mm no values are kept here."""
_CORE_TOLERANCE_FACTOR = 1.25


@dataclass(frozen=True, slots=True)
class PitchDiameterLimits:
    """Limits of the pitch diameter, screw to class 7e and nut to class 7H, and of the core, mm."""

    screw_largest_mm: float
    screw_smallest_mm: float
    core_smallest_mm: float
    nut_smallest_mm: float
    nut_largest_mm: float


def pitch_diameter_limits(*, nominal_mm: float, pitch_mm: float) -> PitchDiameterLimits:
    """Between which sizes screw and nut may come out when made to 7e and 7H (medium fit).

    Raises:
        InputError: nominal diameter not over 5.6 to 22.4 mm, or a pitch not kept for it.

    Source:
        ISO 2903, tolerance class 7e/7H. A multi-start thread has wider tolerances (by 1.12 for
        two starts to 1.6 for five and more), which are left out.

    Example:
        >>> limits = pitch_diameter_limits(nominal_mm=10, pitch_mm=2)
        >>> round(limits.screw_largest_mm, 3), round(limits.screw_smallest_mm, 3)
        (8.929, 8.739)
    """
    above_zero(nominal_mm=nominal_mm, pitch_mm=pitch_mm)
    up_to = next((top for top in (5.6, 11.2, 22.4) if nominal_mm <= top), None)
    kept = _GRADE_7_MM.get((up_to or 0.0, pitch_mm))
    if kept is None:
        raise InputError(
            place="nominal_mm",
            value=f"{nominal_mm:g} x {pitch_mm:g}",
            allowed="over 5.6 to 11.2 mm with pitch 1.5, 2 or 3; to 22.4 mm with 2, 3 or 4",
            remedy="Look the tolerance up in ISO 2903.",
        )
    thread = trapezoidal(nominal_mm=nominal_mm, pitch_mm=pitch_mm)
    screw_tolerance, nut_tolerance = kept
    largest = thread.pitch_diameter_mm - _ALLOWANCE_E_MM[pitch_mm]
    return PitchDiameterLimits(
        screw_largest_mm=largest,
        screw_smallest_mm=largest - screw_tolerance,
        core_smallest_mm=thread.core_diameter_mm
        - _ALLOWANCE_E_MM[pitch_mm]
        - _CORE_TOLERANCE_FACTOR * screw_tolerance,
        nut_smallest_mm=thread.pitch_diameter_mm,
        nut_largest_mm=thread.pitch_diameter_mm + nut_tolerance,
    )


LEAD_DEVIATION_PER_300_MM = {
    "grade-1": 0.006,
    "grade-3": 0.012,
    "grade-5": 0.023,
    "grade-7": 0.052,
    "grade-10": 0.210,
    "class-C3": 0.008,
    "class-C5": 0.018,
    "class-C7": 0.050,
    "rolled": 0.2,
}
"""Class -> how far the travel may be out over any 300 mm: grades of ISO 3408-3 (V300p), classes
of JIS B 1192. `rolled`: trapezoidal screws rolled to no class, 0.05 to 0.2 either way, the worse
end taken (common practice, no source)."""
LEAD_DEVIATION_WITHIN_A_TURN_MM = {
    "grade-1": 0.004,
    "grade-3": 0.006,
    "grade-5": 0.008,
    "grade-7": 0.010,
}
"""Class -> width of the band within any one turn, mm (V2πp, ISO 3408-3)."""


def lead_deviation_mm(*, grade: str, length_mm: float) -> float:
    """How far the travel may be from nominal over a length, either way.

        e = V300 · L / 300

    Taken in proportion to the length, the class's figure to either side, which is how screws are
    sold; the standards' own rules differ between screws for positioning and for transport, and
    allow up to twice as much for the second.

    Args:
        grade: a key of `LEAD_DEVIATION_PER_300_MM`.
        length_mm: L, the travel.

    Raises:
        InputError: an unknown grade, or a length not above zero.

    Source:
        ISO 3408-3 and JIS B 1192 for the figures; proportion is common practice.

    Example:
        >>> round(lead_deviation_mm(grade="grade-7", length_mm=250), 3)
        0.043
    """
    one_of(LEAD_DEVIATION_PER_300_MM, grade=grade)
    above_zero(length_mm=length_mm)
    return LEAD_DEVIATION_PER_300_MM[grade] * length_mm / 300
