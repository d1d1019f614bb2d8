"""A ball between two grooved washers, by the full theory of contact on an ellipse."""

from __future__ import annotations

import math
from math import pi

from plumbrise.elements.ranges import above_zero, between, not_below_zero
from plumbrise.elements.screw import STEEL_N_PER_MM2


def groove_approach_mm(
    *,
    force_n: float,
    ball_diameter_mm: float,
    groove_ratio: float = 0.54,
    modulus_n_per_mm2: float = STEEL_N_PER_MM2,
    poisson: float = 0.3,
) -> float:
    """How far two grooved washers come together over one ball between them.

        Σρ = (4 - 1/f) / D        F = 1 / (4 f - 1)
        F = ((κ² + 1) E - 2 K) / ((κ² - 1) E)        K, E complete elliptic, m = 1 - 1/κ²
        δ = 2 · (2 K / π) (π / (2 κ² E))^(1/3) · (3 Q (1 - ν²) / (Σρ E_steel))^(2/3) · Σρ / 2

    Args:
        force_n: Q, on the ball.
        ball_diameter_mm: D.
        groove_ratio: f, radius of the groove over the ball's diameter: over 0.5 to 10.
        modulus_n_per_mm2: of ball and washers.
        poisson: ν, of both.

    Raises:
        InputError: diameter or modulus not above zero, a force below zero, a ratio outside.

    Source:
        Hertz; Harris, Rolling Bearing Analysis, point contact. A groove nearer to the ball's own
        radius gives way less: 0.52 to 0.55 spans a fifth.

    Example:
        >>> [round(groove_approach_mm(force_n=1, ball_diameter_mm=1, groove_ratio=f) * 1e4, 2)
        ...  for f in (0.52, 0.54, 0.55)]
        [4.53, 5.28, 5.53]
    """
    from scipy.optimize import brentq
    from scipy.special import ellipe, ellipk

    above_zero(ball_diameter_mm=ball_diameter_mm, modulus_n_per_mm2=modulus_n_per_mm2)
    not_below_zero(force_n=force_n)
    between(0.501, 10, "Radius of the groove over the ball's diameter.", groove_ratio=groove_ratio)
    between(0, 0.5, poisson=poisson)
    curvature = (4 - 1 / groove_ratio) / ball_diameter_mm
    difference = 1 / (4 * groove_ratio - 1)

    def integrals(ratio: float) -> tuple[float, float]:
        return float(ellipk(1 - 1 / ratio**2)), float(ellipe(1 - 1 / ratio**2))

    def missing(ratio: float) -> float:
        first, second = integrals(ratio)
        made = ((ratio**2 + 1) * second - 2 * first) / ((ratio**2 - 1) * second)
        return made - difference

    ratio = float(brentq(missing, 1.001, 1e4, xtol=1e-13))
    first, second = integrals(ratio)
    shape = 2 * first / pi * math.pow(pi / (2 * ratio**2 * second), 1 / 3)
    press = 3 * force_n * (1 - poisson**2) / (curvature * modulus_n_per_mm2)
    return 2 * shape * math.pow(press, 2 / 3) * curvature / 2
