"""How long a rolling bearing lasts, and what it may carry at rest."""

from __future__ import annotations

import math
from math import inf, log

from plumbrise.elements.ranges import above_zero, between, not_below_zero

BALL_EXPONENT = 3.0
ROLLER_EXPONENT = 10 / 3
"""Exponents of life (ISO 281)."""

X_DEEP_GROOVE = 0.56
_LOAD_RATIO = (0.014, 0.028, 0.056, 0.084, 0.11, 0.17, 0.28, 0.42, 0.56)
_E = (0.19, 0.22, 0.26, 0.28, 0.30, 0.34, 0.38, 0.42, 0.44)
_Y = (2.30, 1.99, 1.71, 1.55, 1.45, 1.31, 1.15, 1.04, 1.00)
"""Fa/C0, e and Y of deep groove bearings (ISO 281; Shigley table 11-1)."""


def deep_groove_factors(*, axial_n: float, static_n: float) -> tuple[float, float]:
    """Limit e of Fa/Fr, and factor Y, of a deep groove bearing under thrust.

    Straight lines between the rows of the table, its ends held outside it.

    Args:
        axial_n: Fa.
        static_n: C0.

    Raises:
        InputError: rating not above zero, or a load below zero.

    Source:
        ISO 281, table for deep groove bearings.

    Example:
        >>> e, y = deep_groove_factors(axial_n=400, static_n=4450)
        >>> round(e, 3), round(y, 3)
        (0.285, 1.527)
    """
    import numpy as np

    above_zero(static_n=static_n)
    not_below_zero(axial_n=axial_n)
    ratio = axial_n / static_n
    return float(np.interp(ratio, _LOAD_RATIO, _E)), float(np.interp(ratio, _LOAD_RATIO, _Y))


def equivalent_load_n(*, radial_n: float, axial_n: float, static_n: float) -> float:
    """Radial load that would wear a deep groove bearing as radial and axial load together do.

        P = max(Fr, 0.56 Fr + Y Fa)        the second where Fa / Fr > e

    Args:
        radial_n: Fr, the inner ring turning.
        axial_n: Fa.
        static_n: C0.

    Raises:
        InputError: as `deep_groove_factors`.

    Source:
        ISO 281; Shigley eq. 11-9.

    Example:
        >>> round(equivalent_load_n(radial_n=500, axial_n=400, static_n=4450))
        891
    """
    not_below_zero(radial_n=radial_n)
    e, y = deep_groove_factors(axial_n=axial_n, static_n=static_n)
    if axial_n <= e * radial_n:
        return radial_n
    return max(radial_n, X_DEEP_GROOVE * radial_n + y * axial_n)


def life_turns(*, dynamic_n: float, load_n: float, exponent: float = BALL_EXPONENT) -> float:
    """Turns that nine bearings in ten live.

        L₁₀ = 10⁶ (C / P)^a

    Args:
        dynamic_n: C; of thrust bearings the thrust rating.
        load_n: P; of thrust ball bearings the thrust itself.
        exponent: a, 3 for balls and 10/3 for rollers.

    Raises:
        InputError: rating or exponent not above zero, or a load below zero.

    Source:
        ISO 281.

    Example:
        >>> round(life_turns(dynamic_n=3300, load_n=100) / 1e6)
        35937
    """
    above_zero(dynamic_n=dynamic_n, exponent=exponent)
    not_below_zero(load_n=load_n)
    return inf if load_n == 0 else 1e6 * math.pow(dynamic_n / load_n, exponent)


def life_hours(*, turns: float, turns_per_min: float) -> float:
    """Hours of turning in a life given in turns.

    Raises:
        InputError: speed not above zero, turns below zero.
    """
    above_zero(turns_per_min=turns_per_min)
    between(0, inf, turns=turns)
    return turns / (60 * turns_per_min)


def dynamic_rating_needed_n(
    *, load_n: float, hours: float, turns_per_min: float, exponent: float = BALL_EXPONENT
) -> float:
    """Dynamic rating with which nine bearings in ten live so long.

        C = P (60 h n / 10⁶)^(1/a)

    Raises:
        InputError: a quantity not above zero.

    Source:
        ISO 281; Shigley eq. 11-3.

    Example:
        >>> round(dynamic_rating_needed_n(load_n=400, hours=5000, turns_per_min=1725))
        3211
    """
    above_zero(load_n=load_n, hours=hours, turns_per_min=turns_per_min, exponent=exponent)
    return load_n * math.pow(60 * hours * turns_per_min / 1e6, 1 / exponent)


def life_factor(*, reliability: float, never_fails: float = 0.05) -> float:
    """Share of L₁₀ that a larger part of all bearings live.

        a₁ = (1 - c) (ln(1/R) / ln(1/0.9))^(2/3) + c

    Args:
        reliability: R, 0.9 to 0.999.
        never_fails: c, share of L₁₀ below which none fails: 0.05 gives the table of the edition
            of 2007, 0 that of 1990.

    Raises:
        InputError: a reliability outside, or a share not from 0 to 1.

    Source:
        ISO 281, reliability factor; Weibull slope 1.5.

    Example:
        >>> [round(life_factor(reliability=r), 2) for r in (0.90, 0.95, 0.99)]
        [1.0, 0.64, 0.25]
    """
    between(0.9, 0.999, reliability=reliability)
    between(0, 1, never_fails=never_fails)
    return (1 - never_fails) * math.pow(log(reliability) / log(0.9), 2 / 3) + never_fails


def static_load_n(*, radial_n: float, axial_n: float) -> float:
    """Load at rest that dents a radial ball bearing as radial and axial load together do.

        P₀ = max(0.6 Fr + 0.5 Fa, Fr)

    Of a thrust ball bearing it is the thrust itself.

    Raises:
        InputError: a load below zero.

    Source:
        ISO 76.

    Example:
        >>> static_load_n(radial_n=10, axial_n=30)
        21.0
    """
    not_below_zero(radial_n=radial_n, axial_n=axial_n)
    return max(0.6 * radial_n + 0.5 * axial_n, radial_n)


def static_safety(*, static_n: float, load_n: float) -> float:
    """Rating at rest over load at rest: 1 or more for quiet running, 0.5 where little is asked.

        s₀ = C₀ / P₀

    Raises:
        InputError: rating not above zero, load below zero.

    Source:
        ISO 76.
    """
    above_zero(static_n=static_n)
    not_below_zero(load_n=load_n)
    return inf if load_n == 0 else static_n / load_n
