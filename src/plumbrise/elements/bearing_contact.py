"""How far balls give way under load, how they must be seated, and what they take to turn."""

from __future__ import annotations

import math
from dataclasses import dataclass
from math import cos, pi, radians, sin

from plumbrise.elements.ranges import above_zero, between, not_below_zero
from plumbrise.elements.screw import STEEL_N_PER_MM2

_POISSON = 0.3


@dataclass(frozen=True, slots=True)
class HertzContact:
    """A sphere pressed on a flat: radius of the patch, pressure in its middle, approach of the two,
    and force for a further millimetre of approach."""

    patch_radius_mm: float
    pressure_n_per_mm2: float
    approach_mm: float
    n_per_mm: float


def sphere_on_flat(
    *,
    force_n: float,
    radius_mm: float,
    modulus_n_per_mm2: float = STEEL_N_PER_MM2,
    poisson: float = _POISSON,
) -> HertzContact:
    """A ball under the end of a screw, or between two parts of one metal.

        a³ = 3 F R / (4 E*)    δ = a² / R    p = 3 F / (2π a²)    k = 2 a E*
        1/E* = 2 (1 - ν²) / E

    Args:
        force_n: F.
        radius_mm: R, of the ball.
        modulus_n_per_mm2: E, of both.
        poisson: ν, of both.

    Raises:
        InputError: a quantity not above zero, or ν not from 0 to 0.5.

    Source:
        Johnson, Contact Mechanics, section 4.2 (Hertz). Elastic only: hard steel up to some
        4000 N/mm², mild steel dents at a third of that.

    Example:
        >>> contact = sphere_on_flat(force_n=12, radius_mm=2)
        >>> round(contact.approach_mm * 1000, 2), round(contact.n_per_mm / 1000, 1)
        (1.47, 12.3)
    """
    above_zero(force_n=force_n, radius_mm=radius_mm, modulus_n_per_mm2=modulus_n_per_mm2)
    between(0, 0.5, poisson=poisson)
    effective = modulus_n_per_mm2 / (2 * (1 - poisson**2))
    patch = (3 * force_n * radius_mm / (4 * effective)) ** (1 / 3)
    return HertzContact(
        patch_radius_mm=patch,
        pressure_n_per_mm2=3 * force_n / (2 * pi * patch**2),
        approach_mm=patch**2 / radius_mm,
        n_per_mm=2 * patch * effective,
    )


THRUST_APPROACH = 5.24e-4
"""Coefficient of `thrust_approach_mm`, for steel balls in grooves of about 0.54 times their
diameter (Harris, Rolling Bearing Analysis)."""


def thrust_approach_mm(*, thrust_n: float, balls: int, ball_diameter_mm: float) -> float:
    """How far the two washers of a thrust ball bearing come together.

        δ = 5.24·10⁻⁴ Q^(2/3) / D^(1/3)        Q = F / Z

    All balls carry alike; on a real seat they do not and it gives way several times as much,
    see `take_up_mm`.

    Args:
        thrust_n: F.
        balls: Z.
        ball_diameter_mm: D.

    Raises:
        InputError: balls or diameter not above zero, thrust below zero.

    Source:
        Harris, Rolling Bearing Analysis, approximate deflection under thrust at 90°.

    Example:
        >>> round(thrust_approach_mm(thrust_n=20, balls=10, ball_diameter_mm=4.762) * 1000, 2)
        0.49
    """
    above_zero(balls=balls, ball_diameter_mm=ball_diameter_mm)
    not_below_zero(thrust_n=thrust_n)
    return THRUST_APPROACH * math.pow(thrust_n / balls, 2 / 3) / math.pow(ball_diameter_mm, 1 / 3)


def thrust_n_per_mm(*, thrust_n: float, balls: int, ball_diameter_mm: float) -> float:
    """Stiffness of a thrust ball bearing about a thrust that it carries, on an ideal seat.

        k = 1.5 F / δ

    It grows with the cube root of the load, so a preload stiffens it. What is met on printed or
    bolted blocks is 5000 to 20 000 N/mm (common practice, no source).

    Raises:
        InputError: a quantity not above zero.

    Source:
        Derivative of `thrust_approach_mm`.

    Example:
        >>> round(thrust_n_per_mm(thrust_n=20, balls=10, ball_diameter_mm=4.762) / 1000)
        61
    """
    above_zero(thrust_n=thrust_n)
    approach = thrust_approach_mm(thrust_n=thrust_n, balls=balls, ball_diameter_mm=ball_diameter_mm)
    return 1.5 * thrust_n / approach


def take_up_mm(*, out_of_square_mm_per_mm: float, ball_circle_mm: float) -> float:
    """How far a washer that is out of square sinks before the last ball carries.

        2 r γ

    Args:
        out_of_square_mm_per_mm: γ, of the seat against the screw.
        ball_circle_mm: 2 r, diameter of the circle of the balls.

    Raises:
        InputError: circle not above zero, or γ below zero.

    Source:
        Geometry.

    Example:
        A seat 0.1 mm out over 24 mm under balls on a 17 mm circle:

        >>> round(take_up_mm(out_of_square_mm_per_mm=0.1 / 24, ball_circle_mm=17), 3)
        0.071
    """
    above_zero(ball_circle_mm=ball_circle_mm)
    not_below_zero(out_of_square_mm_per_mm=out_of_square_mm_per_mm)
    return ball_circle_mm * out_of_square_mm_per_mm


@dataclass(frozen=True, slots=True)
class AngularContact:
    """An angular contact bearing under thrust: angle at which balls touch, and axial approach."""

    angle_deg: float
    approach_mm: float


def angular_contact(
    *,
    thrust_n: float,
    balls: int,
    ball_diameter_mm: float,
    free_angle_deg: float,
    groove_excess: float,
    stiffness_n_per_mm2: float,
) -> AngularContact:
    """Angle and approach of an angular contact ball bearing under pure thrust.

        F / (Z D² K) = sin α (cos α₀ / cos α - 1)^1.5        δ = B D sin(α - α₀) / cos α

    Args:
        thrust_n: F.
        balls: Z.
        ball_diameter_mm: D.
        free_angle_deg: α₀, without load, 1 to 80.
        groove_excess: B = f_i + f_o - 1, by how much the two grooves are wider than the ball.
        stiffness_n_per_mm2: K, axial deflection constant for that B.

    Raises:
        InputError: a quantity not above zero, or an angle outside.

    Source:
        Harris, Rolling Bearing Analysis, thrust load on angular contact bearings.

    Example:
        >>> found = angular_contact(thrust_n=17_800, balls=16, ball_diameter_mm=22.23,
        ...                         free_angle_deg=40, groove_excess=0.0464,
        ...                         stiffness_n_per_mm2=896.7)
        >>> round(found.angle_deg, 1), round(found.approach_mm, 3)
        (41.6, 0.038)
    """
    from scipy.optimize import brentq

    above_zero(
        thrust_n=thrust_n,
        balls=balls,
        ball_diameter_mm=ball_diameter_mm,
        groove_excess=groove_excess,
        stiffness_n_per_mm2=stiffness_n_per_mm2,
    )
    between(1, 80, free_angle_deg=free_angle_deg)
    free = radians(free_angle_deg)
    wanted = thrust_n / (balls * ball_diameter_mm**2 * stiffness_n_per_mm2)

    def missing(angle: float) -> float:
        return sin(angle) * math.pow(cos(free) / cos(angle) - 1, 1.5) - wanted

    angle = float(brentq(missing, free, pi / 2 - 1e-9, xtol=1e-14))
    return AngularContact(
        angle_deg=angle * 180 / pi,
        approach_mm=groove_excess * ball_diameter_mm * sin(angle - free) / cos(angle),
    )


FRICTION = {"thrust ball": 0.0013, "deep groove": 0.0015}
"""Kind -> friction at half the bore, well greased and hardly loaded (makers' usual figure, from
memory). Grease and seals can add several N·mm."""


def friction_torque_nmm(*, load_n: float, bore_mm: float, friction: float) -> float:
    """Torque that a rolling bearing takes to turn under a load.

        T = f F d / 2

    Raises:
        InputError: bore not above zero, load or friction below zero.

    Source:
        Usual estimate for rolling bearings, from memory.

    Example:
        Nothing beside the thread's 20 N·mm:

        >>> round(friction_torque_nmm(load_n=20, bore_mm=10, friction=0.0013), 2)
        0.13
    """
    above_zero(bore_mm=bore_mm)
    not_below_zero(load_n=load_n, friction=friction)
    return friction * load_n * bore_mm / 2
