"""How a nut wears: play added by travel, and the travel until its play is too much."""

from __future__ import annotations

from math import cos, hypot, inf, pi, radians

from plumbrise.elements.ranges import above_zero, not_below_zero
from plumbrise.elements.screw_thread import FLANK_ANGLE_DEG

WEAR_RATE_MM3_PER_NMM = {
    "brass, greased": (1e-9, 1e-8),
    "brass, dry": (1e-7, 1e-6),
    "acetal, clean": (1e-9, 2e-8),
    "steel on steel, dry": (1e-7, 1e-5),
}
"""Pair with a steel screw -> from, to: volume worn off per newton and millimetre of sliding. A
guess from general wear data; real rates scatter by ten and more, dirt multiplies them."""

WORN_OUT_SHARE_OF_PITCH = 0.25
"""Play over pitch at which a single-start nut that carries a load is worn out (common practice)."""


def sliding_mm(*, travel_mm: float, lead_mm: float, pitch_diameter_mm: float) -> float:
    """How far flank slides on flank while the nut travels.

        s = travel / lead · √((π d2)² + lead²)

    Raises:
        InputError: lead or diameter not above zero, travel below zero.

    Source:
        Geometry of the helix.

    Example:
        >>> round(sliding_mm(travel_mm=100, lead_mm=8, pitch_diameter_mm=7))
        293
    """
    above_zero(lead_mm=lead_mm, pitch_diameter_mm=pitch_diameter_mm)
    not_below_zero(travel_mm=travel_mm)
    return travel_mm / lead_mm * hypot(pi * pitch_diameter_mm, lead_mm)


def worn_play_mm(
    *,
    pressure_n_per_mm2: float,
    sliding_mm: float,
    wear_rate_mm3_per_nmm: float,
    flank_angle_deg: float = FLANK_ANGLE_DEG,
) -> float:
    """Play that is added when the carrying flanks wear.

        Δ = k p s / cos α

    Args:
        pressure_n_per_mm2: p, `nut.thread_pressure_n_per_mm2`.
        sliding_mm: s.
        wear_rate_mm3_per_nmm: k; an order of magnitude, `WEAR_RATE_MM3_PER_NMM`.
        flank_angle_deg: α.

    Raises:
        InputError: a quantity below zero.

    Source:
        Archard, J. Appl. Phys. 24 (1953) 981: worn volume goes with load and sliding.
    """
    not_below_zero(
        pressure_n_per_mm2=pressure_n_per_mm2,
        sliding_mm=sliding_mm,
        wear_rate_mm3_per_nmm=wear_rate_mm3_per_nmm,
    )
    return wear_rate_mm3_per_nmm * pressure_n_per_mm2 * sliding_mm / cos(radians(flank_angle_deg))


def travel_until_worn_mm(
    *,
    play_now_mm: float,
    pitch_mm: float,
    lead_mm: float,
    pitch_diameter_mm: float,
    pressure_n_per_mm2: float,
    wear_rate_mm3_per_nmm: float,
) -> float:
    """Travel that is left until play reaches a quarter of the pitch; zero if it has.

    Raises:
        InputError: lead, pitch or diameter not above zero, any other quantity below zero.

    Source:
        `worn_play_mm` solved for the travel; the quarter is common practice.
    """
    above_zero(pitch_mm=pitch_mm)
    not_below_zero(play_now_mm=play_now_mm)
    left = max(WORN_OUT_SHARE_OF_PITCH * pitch_mm - play_now_mm, 0.0)
    per_mm = worn_play_mm(
        pressure_n_per_mm2=pressure_n_per_mm2,
        sliding_mm=sliding_mm(travel_mm=1.0, lead_mm=lead_mm, pitch_diameter_mm=pitch_diameter_mm),
        wear_rate_mm3_per_nmm=wear_rate_mm3_per_nmm,
    )
    return left / per_mm if per_mm > 0 else inf
