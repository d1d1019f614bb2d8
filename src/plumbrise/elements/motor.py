"""Step motors at rest: steps, microsteps, and what load and making do to the angle."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, degrees, hypot, pi, radians, sin

from plumbrise.elements.ranges import above_zero, between
from plumbrise.errors import InputError

ROTOR_TEETH = 50
"""Of a 1.8° motor; a 0.9° motor has 100."""
STEPS_PER_CYCLE = 4
"""Full steps after which the currents of a two-phase motor repeat, and the error with them."""
STEP_ACCURACY = 0.05
"""Part of a full step by which any step may be off, not adding up. A usual data-sheet line, from
memory; good drivers keep to it, poor ones do worse."""
_TORQUE = "Read the holding torque off the motor's data sheet."


@dataclass(frozen=True, slots=True)
class Resultant:
    """Torque of two phases together: `share` of that of one phase at its rated current, and where
    the rotor settles, in full steps from where phase A alone would hold it."""

    share: float
    position_steps: float


def full_step_deg(*, rotor_teeth: int = ROTOR_TEETH) -> float:
    """Full step of a hybrid two-phase motor.

        step = 90° / p

    Raises:
        InputError: no teeth.

    Source:
        I. L. Kosow, Electric Machinery and Transformers, example 11-3.

    Example:
        >>> full_step_deg(rotor_teeth=50)
        1.8
    """
    above_zero("Count 50 for a 1.8° motor, 100 for a 0.9° one.", rotor_teeth=rotor_teeth)
    return 90 / rotor_teeth


def full_steps_per_turn(*, rotor_teeth: int = ROTOR_TEETH) -> int:
    """Full steps in a turn: four for each rotor tooth.

    Raises:
        InputError: no teeth.

    Source:
        I. L. Kosow, Electric Machinery and Transformers, example 11-3.

    Example:
        >>> full_steps_per_turn(rotor_teeth=50)
        200
    """
    above_zero("Count 50 for a 1.8° motor, 100 for a 0.9° one.", rotor_teeth=rotor_teeth)
    return STEPS_PER_CYCLE * rotor_teeth


def height_of_angle_mm(*, angle_deg: float, lead_mm: float) -> float:
    """Height that a turn of the screw by this angle makes.

        Δz = lead · θ / 360°

    Raises:
        InputError: lead not above zero, angle no number.

    Source:
        Geometry of the thread. A full step and an electrical cycle at a lead of 8 mm:

    Example:
        >>> round(height_of_angle_mm(angle_deg=1.8, lead_mm=8), 6)
        0.04
        >>> round(height_of_angle_mm(angle_deg=7.2, lead_mm=8), 6)
        0.16
    """
    above_zero(lead_mm=lead_mm)
    between(-1e6, 1e6, "Give the angle in degrees.", angle_deg=angle_deg)
    return lead_mm * angle_deg / 360


def microstep_torque_share(*, microsteps: int) -> float:
    """Torque that the first microstep after rest adds, as a share of the holding torque.

        ΔT / T_hold = sin(90° / n)

    Where friction needs more than this, the shaft waits for further microsteps: a fine division
    makes the motion smooth and does not make it exact.

    Raises:
        InputError: microsteps below 1.

    Source:
        Small-motor technical notes on microstepping; sine of the electrical angle of a microstep.

    Example:
        >>> round(100 * microstep_torque_share(microsteps=16), 2)
        9.8
    """
    between(1, 65536, "Read it off the driver: 1 for full steps.", microsteps=microsteps)
    return sin(pi / 2 / microsteps)


def load_angle_deg(
    *, torque_nmm: float, holding_torque_nmm: float, rotor_teeth: int = ROTOR_TEETH
) -> float:
    """How far a rotor is pulled from where it was told to be.

        θ = asin(T / T_hold) / p

    Args:
        torque_nmm: T that the shaft holds, of either sign.
        holding_torque_nmm: T_hold at the current that flows, not at the rated one.
        rotor_teeth: p, 50 for 1.8°.

    Raises:
        InputError: a torque that the motor cannot hold; a quantity out of range.

    Source:
        P. Acarnley, Stepping Motors, static position error.

    Example:
        >>> round(load_angle_deg(torque_nmm=20, holding_torque_nmm=400), 5)
        0.05732
    """
    above_zero(_TORQUE, holding_torque_nmm=holding_torque_nmm)
    above_zero("Count 50 for a 1.8° motor, 100 for a 0.9° one.", rotor_teeth=rotor_teeth)
    if not abs(torque_nmm) <= holding_torque_nmm:
        raise InputError(
            place="torque_nmm",
            value=torque_nmm,
            allowed=f"up to the holding torque, {holding_torque_nmm:g} N·mm,",
            remedy="The motor slips. Give it more current, or less to hold.",
        )
    return degrees(asin(torque_nmm / holding_torque_nmm)) / rotor_teeth


def load_error_mm(
    *,
    torque_nmm: float,
    holding_torque_nmm: float,
    lead_mm: float,
    rotor_teeth: int = ROTOR_TEETH,
) -> float:
    """Height by which a loaded motor is behind.

    Twice this, for the torque that turns round with the motion, shows as lost motion; the part
    that stays the same is taken out by homing.

    Raises:
        InputError: as `load_angle_deg`; lead not above zero.

    Source:
        P. Acarnley, Stepping Motors, static position error; geometry of the thread.

    Example:
        >>> round(load_error_mm(torque_nmm=20, holding_torque_nmm=400, lead_mm=8), 5)
        0.00127
    """
    angle = load_angle_deg(
        torque_nmm=torque_nmm, holding_torque_nmm=holding_torque_nmm, rotor_teeth=rotor_teeth
    )
    return height_of_angle_mm(angle_deg=angle, lead_mm=lead_mm)


def largest_error_mm(*, lead_mm: float, rotor_teeth: int = ROTOR_TEETH) -> float:
    """Height by which a motor can be behind before it slips: one full step.

        Δz = lead / (4 p)

    Beyond it the rotor falls into the next stable place, four full steps away.

    Raises:
        InputError: lead not above zero, no teeth.

    Source:
        P. Acarnley, Stepping Motors, static position error at peak torque.

    Example:
        >>> largest_error_mm(lead_mm=8)
        0.04
    """
    above_zero(lead_mm=lead_mm)
    return lead_mm / full_steps_per_turn(rotor_teeth=rotor_teeth)


def power_up_jump_mm(*, lead_mm: float, rotor_teeth: int = ROTOR_TEETH) -> float:
    """Height by which a screw can jump, up or down, when a motor that was off gets current.

        Δz = 2 lead / (4 p)

    The rotor goes to the nearest place that suits the currents, half a cycle away at most. Of two
    screws each does so by itself: afterwards they can differ by twice this, a whole cycle.

    Raises:
        InputError: lead not above zero, no teeth.

    Source:
        Stable places of a two-phase motor repeat after four full steps (Kosow, example 11-3).

    Example:
        >>> power_up_jump_mm(lead_mm=8)
        0.08
    """
    return STEPS_PER_CYCLE / 2 * largest_error_mm(lead_mm=lead_mm, rotor_teeth=rotor_teeth)


def step_error_mm(
    *, lead_mm: float, accuracy: float = STEP_ACCURACY, rotor_teeth: int = ROTOR_TEETH
) -> float:
    """Height by which any step may be off; it comes again after four full steps and never adds up.

        Δz = ± a · lead / (4 p)

    Raises:
        InputError: accuracy outside 0 to 1, lead not above zero, no teeth.

    Source:
        Usual data-sheet line of ±5 % of a step, from memory.

    Example:
        >>> step_error_mm(lead_mm=8), step_error_mm(lead_mm=2)
        (0.002, 0.0005)
    """
    between(0, 1, "Give it as a share: 0.05 for 5 %.", accuracy=accuracy)
    return accuracy * largest_error_mm(lead_mm=lead_mm, rotor_teeth=rotor_teeth)


def phases_on(*, current_a_share: float, current_b_share: float) -> Resultant:
    """What two phases do together, each with a share of its rated current.

        T / T_1 = sqrt(a² + b²)        position = atan2(b, a) / 90° full steps

    Both fully on give √2 of the torque of one, half a step away. A microstepping driver walks
    round this circle; where its two currents are not a quarter cycle apart and alike, steps come
    out unequal.

    Raises:
        InputError: a share outside -1 to 1, or both zero.

    Source:
        Sum of two vectors at right angles; no saturation.

    Example:
        >>> both = phases_on(current_a_share=1, current_b_share=1)
        >>> round(both.share, 4), both.position_steps
        (1.4142, 0.5)
    """
    shares = {"current_a_share": current_a_share, "current_b_share": current_b_share}
    between(-1, 1, "Give it as a share of the rated current.", **shares)
    if current_a_share == 0 == current_b_share:
        raise InputError(
            place="current_a_share",
            value=0,
            allowed="current in one phase at least",
            remedy="Without current nothing holds but the detent.",
        )
    return Resultant(
        hypot(current_a_share, current_b_share),
        atan2(current_b_share, current_a_share) / radians(90),
    )
