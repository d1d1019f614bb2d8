"""Torque at a screw: up, down, at the collar, what becomes of it, and whether it holds itself."""

from __future__ import annotations

from math import atan, cos, pi, radians, tan

from plumbrise.elements.ranges import above_zero, between, not_below_zero
from plumbrise.elements.screw_thread import FLANK_ANGLE_DEG
from plumbrise.errors import InputError

_FRICTION = "Oiled or greased brass or plastic on steel is near 0.10, usual 0.15, dry over 0.20."


def lift_torque_nmm(
    *,
    axial_load_n: float,
    lead_mm: float,
    pitch_diameter_mm: float,
    thread_friction: float,
    flank_angle_deg: float = FLANK_ANGLE_DEG,
) -> float:
    """Torque that turns a screw against an axial load; friction of the thread only.

        T = (F d2 / 2) (l + π f d2 sec α) / (π d2 - f l sec α)

    Args:
        axial_load_n: F, force along the screw that is against the motion.
        lead_mm: l, travel per turn: pitch times starts.
        pitch_diameter_mm: d2.
        thread_friction: f between screw and nut.
        flank_angle_deg: α, half the angle of the thread: 0 square, 14.5 Acme, 15 trapezoidal.

    Returns:
        Torque at the screw. Bearing, collar and guide drag come on top.

    Raises:
        InputError: lead or diameter not above zero, a load below zero, a flank of 45° or more,
            or so much friction that no torque turns the thread.

    Source:
        Shigley's Mechanical Engineering Design, 8th to 10th ed., eq. 8-1 and 8-5.

    Example:
        A Tr8 screw with four starts lifting 12 N:

        >>> round(lift_torque_nmm(axial_load_n=12, lead_mm=8, pitch_diameter_mm=7,
        ...                       thread_friction=0.15), 2)
        23.11
    """
    not_below_zero(axial_load_n=axial_load_n)
    slope, rub = _slope_and_rub(lead_mm, pitch_diameter_mm, thread_friction, flank_angle_deg)
    if not slope * rub < 1:
        raise InputError(
            place="thread_friction",
            value=thread_friction,
            allowed=f"below {cos(radians(flank_angle_deg)) / slope:.3g}",
            remedy="Above that no torque turns this thread under load.",
        )
    return axial_load_n * pitch_diameter_mm / 2 * (slope + rub) / (1 - slope * rub)


def lower_torque_nmm(
    *,
    axial_load_n: float,
    lead_mm: float,
    pitch_diameter_mm: float,
    thread_friction: float,
    flank_angle_deg: float = FLANK_ANGLE_DEG,
) -> float:
    """Torque that turns a screw the way its axial load pushes; below zero it has to be braked.

        T = (F d2 / 2) (π f d2 sec α - l) / (π d2 + f l sec α)

    Arguments as in `lift_torque_nmm`.

    Raises:
        InputError: lead or diameter not above zero, load or friction below zero.

    Source:
        Shigley's Mechanical Engineering Design, 8th to 10th ed., eq. 8-2.

    Example:
        The same screw under 12 N runs down by itself, and so does one of 4 mm lead:

        >>> [round(lower_torque_nmm(axial_load_n=12, lead_mm=lead, pitch_diameter_mm=7,
        ...                         thread_friction=0.15), 2) for lead in (2, 4, 8)]
        [2.66, -1.09, -8.29]
    """
    not_below_zero(axial_load_n=axial_load_n)
    slope, rub = _slope_and_rub(lead_mm, pitch_diameter_mm, thread_friction, flank_angle_deg)
    return axial_load_n * pitch_diameter_mm / 2 * (rub - slope) / (1 + slope * rub)


def collar_torque_nmm(*, axial_load_n: float, friction: float, mean_diameter_mm: float) -> float:
    """Friction torque of a plain collar or washer that carries the load of the screw.

        T = F f d / 2        d = (outer + inner) / 2  for even wear

    For balls instead of a plain collar see `bearing_contact.friction_torque_nmm`.

    Raises:
        InputError: diameter not above zero, load or friction below zero.

    Source:
        Shigley's Mechanical Engineering Design, eq. 8-6.

    Example:
        >>> collar_torque_nmm(axial_load_n=12, friction=0.15, mean_diameter_mm=10)
        9.0
    """
    above_zero(mean_diameter_mm=mean_diameter_mm)
    not_below_zero(axial_load_n=axial_load_n, friction=friction)
    return axial_load_n * friction * mean_diameter_mm / 2


def efficiency(*, axial_load_n: float, lead_mm: float, torque_nmm: float) -> float:
    """Share of the work done at the screw that lifts the load.

        e = F l / (2π T)

    Args:
        axial_load_n: F.
        lead_mm: l.
        torque_nmm: T for lifting, with the collar or without, as wanted.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Shigley's Mechanical Engineering Design, eq. 8-4.
    """
    above_zero(axial_load_n=axial_load_n, lead_mm=lead_mm, torque_nmm=torque_nmm)
    return axial_load_n * lead_mm / (2 * pi * torque_nmm)


def thread_efficiency(
    *,
    lead_mm: float,
    pitch_diameter_mm: float,
    thread_friction: float,
    flank_angle_deg: float = FLANK_ANGLE_DEG,
) -> float:
    """Efficiency of the thread alone when lifting, whatever the load.

        e = tan λ (1 - f' tan λ) / (f' + tan λ)        f' = f / cos α

    Raises:
        InputError: as `lift_torque_nmm`.

    Source:
        Follows from Shigley eq. 8-4 and 8-5.

    Example:
        >>> round(thread_efficiency(lead_mm=8, pitch_diameter_mm=7, thread_friction=0.15), 3)
        0.661
    """
    torque = lift_torque_nmm(
        axial_load_n=1.0,
        lead_mm=lead_mm,
        pitch_diameter_mm=pitch_diameter_mm,
        thread_friction=thread_friction,
        flank_angle_deg=flank_angle_deg,
    )
    return efficiency(axial_load_n=1.0, lead_mm=lead_mm, torque_nmm=torque)


def holding_friction(
    *,
    lead_mm: float,
    pitch_diameter_mm: float,
    flank_angle_deg: float = FLANK_ANGLE_DEG,
    in_normal_plane: bool = False,
) -> float:
    """Friction of the thread below which a load turns the screw back by itself.

        f = tan λ cos α

    Thread alone: guide drag, bearing and the motor's detent hold as well, see `screw_holding`.
    Vibration lowers what friction really holds.

    Args:
        lead_mm: l.
        pitch_diameter_mm: d2.
        flank_angle_deg: α in the plane of the screw's axis.
        in_normal_plane: take the angle square to the thread, tan α_n = tan α cos λ, which is
            exact; the handbook's plain form is lower by up to half a per cent.

    Raises:
        InputError: lead or diameter not above zero, a flank of 45° or more.

    Source:
        Shigley's Mechanical Engineering Design, eq. 8-3, with the flank.

    Example:
        >>> [round(holding_friction(lead_mm=lead, pitch_diameter_mm=7), 3) for lead in (2, 4, 8)]
        [0.088, 0.176, 0.351]
    """
    slope, _ = _slope_and_rub(lead_mm, pitch_diameter_mm, 0.0, flank_angle_deg)
    flank = radians(flank_angle_deg)
    if in_normal_plane:
        flank = atan(tan(flank) * cos(atan(slope)))
    return slope * cos(flank)


def highest_efficiency_that_holds(*, lead_angle_deg: float) -> float:
    """Efficiency of a thread with just the friction that keeps it from running back.

        e = ½ (1 - tan² λ)

    Always below one half: a screw that lifts with more than half has to be held.

    Raises:
        InputError: an angle not from 0 to 45°.

    Source:
        Identity: f' = tan λ put into the efficiency of the thread.

    Example:
        >>> round(highest_efficiency_that_holds(lead_angle_deg=5.2), 3)
        0.496
    """
    between(0, 45, lead_angle_deg=lead_angle_deg)
    return (1 - tan(radians(lead_angle_deg)) ** 2) / 2


def _slope_and_rub(
    lead_mm: float, pitch_diameter_mm: float, thread_friction: float, flank_angle_deg: float
) -> tuple[float, float]:
    """tan λ, and f sec α."""
    above_zero(lead_mm=lead_mm, pitch_diameter_mm=pitch_diameter_mm)
    not_below_zero(_FRICTION, thread_friction=thread_friction)
    between(0, 44.9, "Half the angle between the flanks.", flank_angle_deg=flank_angle_deg)
    return lead_mm / (pi * pitch_diameter_mm), thread_friction / cos(radians(flank_angle_deg))
