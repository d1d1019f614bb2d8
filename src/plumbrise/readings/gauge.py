"""What a dial gauge gets wrong: tilt, lever angle, offset, and what a sound one may err by."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sqrt, tan

from plumbrise.errors import InputError
from plumbrise.machine import Trust

REFERENCE_CELSIUS = 20.0
"""Temperature at which lengths are stated (ISO 1:2022)."""
STAND_U_MM = 0.001
"""Standard uncertainty from the stand: a short stiff arm comes back within 2 µm after a push of
the finger (common practice, no source)."""


def true_travel_of_tilted_plunger_mm(*, reading_mm: float, tilt_deg: float) -> float:
    """Travel along the motion when the plunger stands tilted to it, tip on a square plane.

        true = reading · cos(tilt)

    A tilted plunger reads long.

    Raises:
        InputError: a tilt that is not between -90° and 90°.

    Source:
        Trigonometry.

    Example:
        >>> round(true_travel_of_tilted_plunger_mm(reading_mm=1, tilt_deg=10), 4)
        0.9848
    """
    return reading_mm * _cosine(tilt_deg, "tilt_deg")


def true_travel_of_lever_mm(*, reading_mm: float, lever_deg: float) -> float:
    """Travel square to the lever of a lever-type indicator that stands at an angle.

        true = reading · cos(angle of lever to the surface)

    Raises:
        InputError: an angle that is not between -90° and 90°.

    Source:
        Correction table for lever-type indicators, general handbooks.

    Example:
        >>> round(true_travel_of_lever_mm(reading_mm=1, lever_deg=30), 2)
        0.87
    """
    return reading_mm * _cosine(lever_deg, "lever_deg")


def offset_error_mm(*, offset_mm: float, tilt_rad: float) -> float:
    """Error of a reading taken beside the line that is wanted, when the part tilts.

        error = offset · tan(tilt)

    Source:
        Abbe's principle.

    Example:
        >>> round(offset_error_mm(offset_mm=40, tilt_rad=0.0005), 6)
        0.02
    """
    return offset_mm * tan(tilt_rad)


def _cosine(angle_deg: float, place: str) -> float:
    if not -90 < angle_deg < 90:
        raise InputError(
            place=place,
            value=angle_deg,
            allowed="an angle between -90° and 90°",
            remedy="Set the plunger along the motion and measure the angle again.",
        )
    return cos(radians(angle_deg))


@dataclass(frozen=True, slots=True)
class Permissible:
    """What a sound dial gauge may err by, mm: one line of the table. `range_mm` is its stroke."""

    graduation_mm: float
    range_mm: float
    turn_mm: float
    retrace_mm: float
    repeatability_mm: float
    tenth_turn_mm: float
    half_turn_mm: float
    one_turn_mm: float
    whole_range_mm: float

    def between_places_mm(self, apart_mm: float) -> float:
        """Permissible error between two readings so far apart on the dial."""
        turns = abs(apart_mm) / self.turn_mm
        if turns <= 0.1:
            return self.tenth_turn_mm
        if turns <= 0.5:
            return self.half_turn_mm
        return self.one_turn_mm if turns <= 1 else self.whole_range_mm


def _line(graduation: float, stroke: float, turn: float, *microns: float) -> Permissible:
    return Permissible(graduation, stroke, turn, *(m / 1000 for m in microns))


PERMISSIBLE = (
    _line(0.01, 1, 1.0, 3, 3, 5, 8, 8, 8),
    _line(0.01, 3, 1.0, 3, 3, 5, 8, 9, 10),
    _line(0.01, 5, 1.0, 3, 3, 5, 9, 10, 12),
    _line(0.01, 10, 1.0, 3, 3, 5, 9, 10, 15),
    _line(0.01, 20, 1.0, 5, 4, 8, 10, 15, 25),
    _line(0.01, 30, 1.0, 7, 5, 10, 12, 15, 30),
    _line(0.01, 50, 1.0, 8, 5, 10, 12, 15, 40),
    _line(0.01, 100, 1.0, 9, 5, 12, 17, 20, 50),
    _line(0.005, 5, 0.5, 3, 3, 5, 9, 10, 12),
    _line(0.001, 1, 0.2, 2, 0.5, 2, 3.5, 4, 5),
    _line(0.001, 2, 0.2, 2, 0.5, 2, 4, 5, 7),
    _line(0.001, 5, 0.2, 3, 1, 3.5, 5, 6, 10),
)
"""Normal dials with a bezel of 50 mm or more: retrace, repeatability, tenth, half, one turn, whole
range, µm. Source: JIS B 7503:2011 as excerpted in a handbook page; the standard itself was not
seen. ISO 463:2006 names the same kinds of error and leaves the limits to maker and user."""
PERMISSIBLE_TRUST = Trust.COMMON_PRACTICE
"""A gauge of unknown make need not keep these limits: prove the one in hand on gauge blocks."""


def permissible(resolution_mm: float, stroke_mm: float) -> Permissible:
    """The line of the table for a gauge of this resolution over this stroke.

    A resolution between two graduations takes the coarser; a stroke beyond the table takes its
    longest line.

    Example:
        >>> permissible(0.01, 2.5).whole_range_mm
        0.01
    """
    graduations = sorted({line.graduation_mm for line in PERMISSIBLE})
    graduation = next((g for g in graduations if g >= resolution_mm * 0.999), graduations[-1])
    fitting = [line for line in PERMISSIBLE if line.graduation_mm == graduation]
    return next((line for line in fitting if line.range_mm >= abs(stroke_mm)), fitting[-1])


def u_of_resolution_mm(resolution_mm: float) -> float:
    """Standard uncertainty of one reading from the step of the display: step/√12.

    Source:
        GUM (JCGM 100:2008) F.2.2.1.
    """
    return resolution_mm / sqrt(12)


def u_of_limits_mm(limit_mm: float) -> float:
    """Standard uncertainty from limits ±a within which all values are as likely: a/√3.

    Source:
        GUM (JCGM 100:2008) 4.3.7.
    """
    return limit_mm / sqrt(3)
