"""The play of a nut, which flank carries, when play opens, and the spring of a split nut."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import pi, radians, tan

from plumbrise.elements.ranges import above_zero, between, not_below_zero
from plumbrise.elements.screw_thread import FLANK_ANGLE_DEG, pitch_diameter_limits
from plumbrise.elements.screw_torque import lift_torque_nmm, lower_torque_nmm


def play_mm(*, clearance_mm: float, flank_angle_deg: float = FLANK_ANGLE_DEG) -> float:
    """Play along the screw that comes with a clearance at the pitch diameter.

        play = Δd2 tan α

    Args:
        clearance_mm: Δd2, pitch diameter of the nut less that of the screw.
        flank_angle_deg: α, half the angle of the thread. A square thread gets none this way.

    Raises:
        InputError: a clearance below zero, or a flank not from 0 to 45°.

    Source:
        Geometry: half the diameter's clearance lets each flank go by tan α of it.

    Example:
        >>> round(play_mm(clearance_mm=0.3), 4)
        0.0804
    """
    not_below_zero(clearance_mm=clearance_mm)
    between(0, 45, flank_angle_deg=flank_angle_deg)
    return clearance_mm * tan(radians(flank_angle_deg))


def play_limits_mm(*, nominal_mm: float, pitch_mm: float) -> tuple[float, float]:
    """Least and most play of a new pair made to 7H and 7e (medium fit).

    Raises:
        InputError: sizes for which no tolerances are kept, see `screw_thread`.

    Source:
        ISO 2903 and `play_mm`.

    Example:
        >>> [round(play, 3) for play in play_limits_mm(nominal_mm=10, pitch_mm=2)]
        [0.019, 0.137]
    """
    limits = pitch_diameter_limits(nominal_mm=nominal_mm, pitch_mm=pitch_mm)
    least = limits.nut_smallest_mm - limits.screw_largest_mm
    most = limits.nut_largest_mm - limits.screw_smallest_mm
    return play_mm(clearance_mm=least), play_mm(clearance_mm=most)


def play_from_dead_angle_mm(*, angle_deg: float, lead_mm: float) -> float:
    """Play felt as an angle through which the screw turns freely between its two flanks.

        play = lead · angle / 360°

    Raises:
        InputError: lead not above zero, or an angle below zero.

    Source:
        Geometry of the thread.

    Example:
        >>> play_from_dead_angle_mm(angle_deg=4.5, lead_mm=8)
        0.1
    """
    above_zero(lead_mm=lead_mm)
    not_below_zero(angle_deg=angle_deg)
    return lead_mm * angle_deg / 360


class Orientation(Enum):
    """How a flanged nut is screwed to its plate."""

    STANDING = "standing"
    """The plate lies on the flange: the weight presses them together."""
    HANGING = "hanging"
    """The flange lies on the far side of the plate: the weight hangs on the flange's screws."""


def flange_screw_pull_n(
    *, orientation: Orientation, weight_n: float, drag_n: float, screws: int = 4
) -> float:
    """Most that the load pulls at one screw of the flange, up or down; tightening comes on top.

        standing:  max(0, D - W) / n        hanging:  (W + D) / n

    A steady pull creeps in plastic and works a screw loose; a standing nut spares its screws.

    Args:
        orientation: how the flange lies.
        weight_n: W, on this nut.
        drag_n: D, of the guides.
        screws: n, that hold the flange.

    Raises:
        InputError: weight or drag below zero, no screws.

    Source:
        Statics, the load shared evenly.

    Example:
        >>> [flange_screw_pull_n(orientation=way, weight_n=10, drag_n=2) for way in Orientation]
        [0.0, 3.0]
    """
    above_zero(screws=screws)
    not_below_zero(weight_n=weight_n, drag_n=drag_n)
    if orientation is Orientation.HANGING:
        return (weight_n + drag_n) / screws
    return max(drag_n - weight_n, 0.0) / screws


class Flank(Enum):
    """Where the thread of the screw touches the nut."""

    UPPER = "upper"
    LOWER = "lower"
    NEITHER = "neither"


@dataclass(frozen=True, slots=True)
class Contact:
    """Force along the screw between screw and nut.

    `force_n` is above zero where the screw pushes the nut up with its upper flanks, below zero
    where its lower flanks pull the nut down.
    """

    force_n: float
    flank: Flank


def contact(*, weight_n: float, drag_n: float, going_up: bool) -> Contact:
    """Which flank of the screw carries, and with what force, while the gantry moves.

        up:  F = W + D        down:  F = W - D

    How the nut's flange is screwed on makes no difference to it: standing under its plate or
    hanging below it, gravity keeps the nut on the screw's upper flanks until the drag on the way
    down is more than the weight.

    Args:
        weight_n: W, on this nut; less what a counterweight or spring takes off.
        drag_n: D, of the guides, against the motion.
        going_up: the way of the motion.

    Raises:
        InputError: a drag below zero, or a weight that is not a finite number.

    Source:
        Statics.

    Example:
        A tight guide on the way down lifts the nut off its flank:

        >>> contact(weight_n=6, drag_n=8, going_up=False)
        Contact(force_n=-2, flank=<Flank.LOWER: 'lower'>)
    """
    not_below_zero(drag_n=drag_n)
    between(-1e6, 1e6, weight_n=weight_n)
    force = weight_n + drag_n if going_up else weight_n - drag_n
    if force == 0:
        return Contact(force, Flank.NEITHER)
    return Contact(force, Flank.UPPER if force > 0 else Flank.LOWER)


def play_opens(*, weight_n: float, drag_n: float) -> bool:
    """True where the nut changes flank at every reversal, so that its play is lost.

        opens if  D >= W

    Raises:
        InputError: as `contact`.

    Source:
        Statics: `contact` up and down on different flanks.
    """
    up = contact(weight_n=weight_n, drag_n=drag_n, going_up=True)
    down = contact(weight_n=weight_n, drag_n=drag_n, going_up=False)
    return up.flank is not down.flank


def weight_that_closes_n(*, weight_n: float, drag_n: float) -> float:
    """Weight to be added to this nut before gravity takes its play up; zero if it does already.

    Raises:
        InputError: as `contact`.
    """
    return max(-contact(weight_n=weight_n, drag_n=drag_n, going_up=False).force_n, 0.0)


class SolidHalf(Enum):
    """Where the half of a split nut sits that is screwed to the gantry."""

    CARRIES_WEIGHT = "carries weight"
    """Right way: gravity presses the solid half on the upper flanks, the spring has only to make
    up for drag above the weight."""
    UPSIDE_DOWN = "upside down"
    """Wrong way: weight and drag on the way up both press on the sprung half."""


def spring_needed_n(*, weight_n: float, drag_n: float, solid_half: SolidHalf) -> float:
    """Spring force above which a split nut never lets its play open.

        solid half carries the weight:  S > D - W        upside down:  S > D + W

    Args:
        weight_n: W, on this nut.
        drag_n: D, of the guides.
        solid_half: which way up it is mounted.

    Returns:
        The force that the spring must exceed; zero if gravity does it alone.

    Raises:
        InputError: weight or drag below zero.

    Source:
        Statics of the two halves on opposite flanks.

    Example:
        >>> [spring_needed_n(weight_n=6, drag_n=8, solid_half=half) for half in SolidHalf]
        [2, 14]
    """
    not_below_zero(weight_n=weight_n, drag_n=drag_n)
    if solid_half is SolidHalf.UPSIDE_DOWN:
        return drag_n + weight_n
    return max(drag_n - weight_n, 0.0)


def spring_drag_nmm(
    *,
    spring_n: float,
    lead_mm: float,
    pitch_diameter_mm: float,
    thread_friction: float,
    flank_angle_deg: float = FLANK_ANGLE_DEG,
) -> float:
    """Torque that a split nut's spring adds at the screw, the same up and down.

        T = lift torque (S) + lower torque (S)

    Raises:
        InputError: as `screw_torque.lift_torque_nmm`.

    Source:
        Statics: the spring loads the one half against the motion and the other along it.

    Example:
        >>> round(spring_drag_nmm(spring_n=10, lead_mm=8, pitch_diameter_mm=7,
        ...                       thread_friction=0.15), 1)
        12.3
    """
    up, along = (
        torque(
            axial_load_n=spring_n,
            lead_mm=lead_mm,
            pitch_diameter_mm=pitch_diameter_mm,
            thread_friction=thread_friction,
            flank_angle_deg=flank_angle_deg,
        )
        for torque in (lift_torque_nmm, lower_torque_nmm)
    )
    return up + along


def thread_pressure_n_per_mm2(
    *,
    axial_load_n: float,
    pitch_diameter_mm: float,
    flank_height_mm: float,
    turns: float,
    share: float = 1.0,
) -> float:
    """Pressure of the load on the flanks, over their area seen along the screw.

        p = share F / (π d2 H1 n)

    Args:
        axial_load_n: F.
        pitch_diameter_mm: d2.
        flank_height_mm: H1, radial overlap of nut and screw: half the pitch.
        turns: n, that are engaged: nut length over pitch.
        share: part of the load on those turns; 0.38 on the first alone (Shigley, section 8-2).

    Raises:
        InputError: a length or number of turns not above zero, a load or share below zero.

    Source:
        Shigley's Mechanical Engineering Design, eq. 8-10.

    Example:
        >>> round(thread_pressure_n_per_mm2(axial_load_n=12, pitch_diameter_mm=7,
        ...                                 flank_height_mm=1, turns=7), 3)
        0.078
    """
    above_zero(pitch_diameter_mm=pitch_diameter_mm, flank_height_mm=flank_height_mm, turns=turns)
    not_below_zero(axial_load_n=axial_load_n, share=share)
    return share * axial_load_n / (pi * pitch_diameter_mm * flank_height_mm * turns)
