"""A belt round two pulleys: its length from the distance of the centres, and back."""

from __future__ import annotations

from math import asin, pi, sqrt

from plumbrise.elements.belt_pulley import BELT_PITCH_MM, pitch_diameter_mm
from plumbrise.elements.ranges import above_zero
from plumbrise.errors import InputError


def length_mm(*, centre_distance_mm: float, diameter_mm: float, other_diameter_mm: float) -> float:
    """Length of an open belt round two pulleys.

        L = sqrt(4 C² - (D - d)²) + ½ (D θ_D + d θ_d)
        θ_d = π - 2 asin((D - d) / 2C)        θ_D = 2π - θ_d

    Args:
        centre_distance_mm: C.
        diameter_mm, other_diameter_mm: D and d, at the belt's pitch line, in either order.

    Raises:
        InputError: a length not above zero, or pulleys that overlap.

    Source:
        Shigley's Mechanical Engineering Design, eq. 17-1 and 17-2.

    Example:
        >>> round(length_mm(centre_distance_mm=100, diameter_mm=80 / pi,
        ...                 other_diameter_mm=40 / pi), 4)
        260.4054
    """
    above_zero(diameter_mm=diameter_mm, other_diameter_mm=other_diameter_mm)
    large, small = max(diameter_mm, other_diameter_mm), min(diameter_mm, other_diameter_mm)
    if not (large + small) / 2 <= centre_distance_mm < float("inf"):
        raise InputError(
            place="centre_distance_mm",
            value=centre_distance_mm,
            allowed=f"{(large + small) / 2:.2f} mm or more",
            remedy="Nearer the pulleys overlap: check distance and teeth.",
        )
    wrap = pi - 2 * asin((large - small) / (2 * centre_distance_mm))
    straight = sqrt(4 * centre_distance_mm**2 - (large - small) ** 2)
    return straight + (large * (2 * pi - wrap) + small * wrap) / 2


def centre_distance_mm(
    *, belt_length_mm: float, teeth: int, other_teeth: int, belt_pitch_mm: float = BELT_PITCH_MM
) -> float:
    """Distance of the centres at which a belt lies tight round two pulleys.

        L(C) = belt_length, solved for C

    Raises:
        InputError: a belt too short for these pulleys, or a quantity not above zero.

    Source:
        Shigley's Mechanical Engineering Design, eq. 17-1 and 17-2, inverted numerically.

    Example:
        >>> round(centre_distance_mm(belt_length_mm=280, teeth=20, other_teeth=40), 4)
        109.8154
    """
    from scipy.optimize import brentq

    above_zero(belt_length_mm=belt_length_mm)
    one = pitch_diameter_mm(teeth=teeth, belt_pitch_mm=belt_pitch_mm)
    other = pitch_diameter_mm(teeth=other_teeth, belt_pitch_mm=belt_pitch_mm)

    def too_long_mm(distance: float) -> float:
        found = length_mm(centre_distance_mm=distance, diameter_mm=one, other_diameter_mm=other)
        return found - belt_length_mm

    least = (one + other) / 2
    if too_long_mm(least) > 0:
        raise InputError(
            place="belt_length_mm",
            value=belt_length_mm,
            allowed=f"{belt_length_mm + too_long_mm(least):.1f} mm or more",
            remedy="Take a longer belt or smaller pulleys.",
        )
    return float(brentq(too_long_mm, least, least + belt_length_mm, xtol=1e-10))
