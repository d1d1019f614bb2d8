"""Does the gantry run down by itself when the motor is off?"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from math import cos, pi, radians

from plumbrise.elements.ranges import above_zero, not_below_zero
from plumbrise.elements.screw_thread import FLANK_ANGLE_DEG
from plumbrise.elements.screw_torque import lower_torque_nmm

SPREAD = 0.35
"""How far friction, drag and detent may be off, as a share (common practice, no source)."""


class Standing(Enum):
    """What a gantry does with the motor off."""

    HOLDS = "holds"
    CLOSE = "too close to tell"
    FALLS = "falls"


@dataclass(frozen=True, slots=True)
class BackDrive:
    """What turns a screw back and what holds it, at the screw.

    Attributes:
        load_n: what is left on the nut when the guides carry their drag.
        driving_nmm: torque with which that load turns the screw, the thread's friction taken
            off; below zero the thread holds by itself, with so much to spare.
        holding_nmm: torque of bearing and motor against it.
    """

    load_n: float
    driving_nmm: float
    holding_nmm: float

    @property
    def falls(self) -> bool:
        """True where the load turns the screw."""
        return self.driving_nmm > self.holding_nmm

    @property
    def margin_nmm(self) -> float:
        """How much more torque it would take to turn it; below zero it turns."""
        return self.holding_nmm - self.driving_nmm


def back_drive(
    *,
    weight_n: float,
    guide_drag_n: float,
    lead_mm: float,
    pitch_diameter_mm: float,
    thread_friction: float,
    detent_torque_nmm: float = 0.0,
    bearing_torque_nmm: float = 0.0,
    motor_turns_per_screw_turn: float = 1.0,
    flank_angle_deg: float = FLANK_ANGLE_DEG,
) -> BackDrive:
    """Balance of a screw that carries a gantry with the motor off.

        driving = - lower torque (W - D)        holding = T_bearing + T_detent · i

    Args:
        weight_n: W, on this screw's nut.
        guide_drag_n: D, drag of the guides against going down, as far as it hangs on this screw.
        lead_mm: travel per turn.
        pitch_diameter_mm: d2.
        thread_friction: f.
        detent_torque_nmm: T_detent, what the unpowered motor holds by its magnets.
        bearing_torque_nmm: friction of collar, bearing or a split nut's spring, at the screw.
        motor_turns_per_screw_turn: i, above 1 where a belt or gear slows the screw down.
        flank_angle_deg: half the angle of the thread.

    Raises:
        InputError: lead, diameter or ratio not above zero, or any other quantity below zero.

    Source:
        Statics; lowering torque of Shigley eq. 8-2.

    Example:
        8 mm of lead, well oiled, with easy guides: the motor's detent is not enough.

        >>> found = back_drive(weight_n=12, guide_drag_n=2, lead_mm=8, pitch_diameter_mm=7,
        ...                    thread_friction=0.10, detent_torque_nmm=5)
        >>> found.falls, round(found.driving_nmm, 1)
        (True, 8.8)
    """
    above_zero(motor_turns_per_screw_turn=motor_turns_per_screw_turn)
    not_below_zero(
        weight_n=weight_n,
        guide_drag_n=guide_drag_n,
        detent_torque_nmm=detent_torque_nmm,
        bearing_torque_nmm=bearing_torque_nmm,
    )
    load = max(weight_n - guide_drag_n, 0.0)
    lowering = lower_torque_nmm(
        axial_load_n=load,
        lead_mm=lead_mm,
        pitch_diameter_mm=pitch_diameter_mm,
        thread_friction=thread_friction,
        flank_angle_deg=flank_angle_deg,
    )
    return BackDrive(
        load_n=load,
        driving_nmm=-lowering,
        holding_nmm=bearing_torque_nmm + detent_torque_nmm * motor_turns_per_screw_turn,
    )


def least_holding_friction(
    *,
    load_n: float,
    holding_torque_nmm: float,
    lead_mm: float,
    pitch_diameter_mm: float,
    flank_angle_deg: float = FLANK_ANGLE_DEG,
) -> float:
    """Friction of the thread with which a gantry just stays up; zero if it stays without any.

        f = cos α (F d2 tan λ / 2 - H) / (F d2 / 2 + H tan λ)

    Args:
        load_n: F, weight less guide drag.
        holding_torque_nmm: H, of bearing and motor at the screw.
        lead_mm: travel per turn.
        pitch_diameter_mm: d2.
        flank_angle_deg: α.

    Raises:
        InputError: lead or diameter not above zero, load or torque below zero.

    Source:
        `back_drive` at balance, solved for f.

    Example:
        >>> round(least_holding_friction(load_n=10, holding_torque_nmm=5, lead_mm=8,
        ...                              pitch_diameter_mm=7), 3)
        0.203
    """
    above_zero(lead_mm=lead_mm, pitch_diameter_mm=pitch_diameter_mm)
    not_below_zero(load_n=load_n, holding_torque_nmm=holding_torque_nmm)
    slope = lead_mm / (pi * pitch_diameter_mm)
    arm = load_n * pitch_diameter_mm / 2
    if arm * slope <= holding_torque_nmm:
        return 0.0
    return (
        cos(radians(flank_angle_deg))
        * (arm * slope - holding_torque_nmm)
        / (arm + holding_torque_nmm * slope)
    )


def standing(*, at_worst: BackDrive, at_best: BackDrive) -> Standing:
    """What a gantry does when friction, drag and detent are known within limits only.

    Args:
        at_worst: the balance with the least friction, drag and detent to be expected.
        at_best: the balance with the most.

    Example:
        >>> falling = BackDrive(load_n=10, driving_nmm=8, holding_nmm=5)
        >>> holding = BackDrive(load_n=6, driving_nmm=1, holding_nmm=15)
        >>> standing(at_worst=falling, at_best=holding).value
        'too close to tell'
    """
    if not at_worst.falls:
        return Standing.HOLDS
    return Standing.FALLS if at_best.falls else Standing.CLOSE
