"""Pulleys and idlers of a toothed belt, and where the belt's cord runs on them."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from plumbrise.elements.ranges import above_zero, not_below_zero
from plumbrise.errors import InputError

BELT_PITCH_MM = 2.0
"""Distance of the teeth of the belts usual on these axes."""
FEWEST_IN_MESH = 6
"""Teeth in mesh that carry full load; with fewer the belt may skip. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulley:
    """A pulley or idler. It has teeth, or else the diameter of the belt's pitch line on it.

    `outside` means that the back of the belt runs on it. A smooth roller's own diameter is not
    the one meant: see `pitch_line_diameter_mm`.
    """

    name: str
    x_mm: float
    y_mm: float
    teeth: int | None = None
    diameter_mm: float | None = None
    outside: bool = False


def pitch_diameter_mm(*, teeth: int, belt_pitch_mm: float = BELT_PITCH_MM) -> float:
    """Diameter at which the belt's cord runs round a toothed pulley.

        d = z p / π

    It is larger than the pulley that one can measure: the cord lies outside the teeth.

    Raises:
        InputError: teeth or pitch not above zero.

    Source:
        ISO 5294, form of the pitch diameter.

    Example:
        >>> round(pitch_diameter_mm(teeth=20), 3)
        12.732
    """
    above_zero("Count the teeth.", teeth=teeth, belt_pitch_mm=belt_pitch_mm)
    return teeth * belt_pitch_mm / pi


def pitch_line_diameter_mm(*, roller_diameter_mm: float, to_pitch_line_mm: float) -> float:
    """Diameter of the belt's pitch line on a smooth roller.

        d = d_roller + 2 u

    Args:
        roller_diameter_mm: as measured with a caliper where the belt runs.
        to_pitch_line_mm: u, from the face that touches the roller to the cord: about 0.4 from the
            back and 1.0 from the tips of the teeth of a 2 mm belt (common practice, no source).

    Raises:
        InputError: a diameter not above zero, a distance below it.

    Source:
        Geometry.

    Example:
        >>> pitch_line_diameter_mm(roller_diameter_mm=13, to_pitch_line_mm=0.4)
        13.8
    """
    above_zero(roller_diameter_mm=roller_diameter_mm)
    not_below_zero(to_pitch_line_mm=to_pitch_line_mm)
    return roller_diameter_mm + 2 * to_pitch_line_mm


def radius_mm(pulley: Pulley, *, belt_pitch_mm: float = BELT_PITCH_MM) -> float:
    """Radius of the belt's pitch line on a pulley.

    Raises:
        InputError: neither teeth nor a diameter, both, or teeth on the back of the belt.

    Example:
        >>> radius_mm(Pulley(name="idler", x_mm=0, y_mm=0, diameter_mm=13.8, outside=True))
        6.9
    """
    if (pulley.teeth is None) == (pulley.diameter_mm is None):
        raise InputError(
            place=pulley.name,
            value=f"teeth {pulley.teeth}, diameter_mm {pulley.diameter_mm}",
            allowed="teeth or a diameter",
            remedy="Give one of them.",
        )
    if pulley.teeth is not None and pulley.outside:
        raise InputError(
            place=pulley.name,
            value=f"{pulley.teeth} teeth on the back of the belt",
            allowed="a smooth roller",
            remedy="Give the diameter of the roller in place of teeth.",
        )
    try:
        if pulley.teeth is not None:
            return pitch_diameter_mm(teeth=pulley.teeth, belt_pitch_mm=belt_pitch_mm) / 2
        diameter_mm = pulley.diameter_mm or 0.0
        above_zero(diameter_mm=diameter_mm)
    except InputError as problem:
        raise problem.within(pulley.name) from None
    return diameter_mm / 2
