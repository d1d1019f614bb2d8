"""What a toothed belt does to the height: ratio, step length, tooth offset and wind-up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, degrees, pi

from plumbrise.elements.belt_loop import Loop
from plumbrise.elements.belt_pulley import BELT_PITCH_MM, pitch_diameter_mm
from plumbrise.elements.ranges import above_zero, between
from plumbrise.errors import InputError

BELT_6_MM_N = 10_000.0
"""E A of a 6 mm wide 2 mm belt with glass cord: force that would stretch it to double its length.
Common practice, no source; an acceptance test of such belts asks for at most 1 % at 98 N."""


@dataclass(frozen=True, slots=True)
class WindUp:
    """How far pulleys turn under load while one is held, and what the belt then carries.

    `turned_rad` has a pulley's name as key. `tension_changes_n` are those of the spans, in the
    loop's order; a belt stays tight where its tension is more than the largest fall.
    """

    turned_rad: Mapping[str, float]
    tension_changes_n: tuple[float, ...]


def screw_turns_per_motor_turn(*, motor_teeth: int, screw_teeth: int) -> float:
    """How far a screw turns for each turn of the motor.

        i = z_motor / z_screw

    Raises:
        InputError: teeth not above zero.

    Source:
        Geometry: equal lengths of belt.

    Example:
        >>> screw_turns_per_motor_turn(motor_teeth=20, screw_teeth=40)
        0.5
    """
    above_zero("Count the teeth.", motor_teeth=motor_teeth, screw_teeth=screw_teeth)
    return motor_teeth / screw_teeth


def travel_per_step_mm(
    *,
    lead_mm: float,
    screw_turns_per_motor_turn: float = 1.0,
    full_steps_per_turn: int = 200,
    microsteps: int = 1,
) -> float:
    """Height of one step: of a full step with `microsteps` 1, else of a microstep.

        Δz = lead · i / (N m)

    A microstep is what is told, not what is done: under drag the first ones of a move change
    nothing but torque.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Arithmetic.

    Example:
        >>> travel_per_step_mm(lead_mm=8), travel_per_step_mm(lead_mm=8, microsteps=16)
        (0.04, 0.0025)
    """
    above_zero(
        lead_mm=lead_mm,
        screw_turns_per_motor_turn=screw_turns_per_motor_turn,
        full_steps_per_turn=full_steps_per_turn,
        microsteps=microsteps,
    )
    return lead_mm * screw_turns_per_motor_turn / (full_steps_per_turn * microsteps)


def steps_per_mm(
    *,
    lead_mm: float,
    screw_turns_per_motor_turn: float = 1.0,
    full_steps_per_turn: int = 200,
    microsteps: int = 16,
) -> float:
    """Microsteps that a controller has to send for each millimetre.

        n = N m / (lead · i)

    It follows from the parts and needs no calibration by a printed cube.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Arithmetic.

    Example:
        >>> steps_per_mm(lead_mm=8), steps_per_mm(lead_mm=8, screw_turns_per_motor_turn=0.5)
        (400.0, 800.0)
    """
    return 1 / travel_per_step_mm(
        lead_mm=lead_mm,
        screw_turns_per_motor_turn=screw_turns_per_motor_turn,
        full_steps_per_turn=full_steps_per_turn,
        microsteps=microsteps,
    )


def tooth_offset_mm(*, lead_mm: float, screw_teeth: int, teeth_off: int = 1) -> float:
    """Height by which one screw is ahead when its pulley sits whole teeth off, or has skipped.

        Δz = n lead / z

    It can also be read the other way: setting two screws level by the teeth comes no nearer than
    half of it. The rest is set at a clamp on the shaft.

    Raises:
        InputError: lead or teeth not above zero.

    Source:
        Arithmetic.

    Example:
        >>> tooth_offset_mm(lead_mm=8, screw_teeth=20)
        0.4
    """
    above_zero(lead_mm=lead_mm, screw_teeth=screw_teeth)
    return lead_mm * teeth_off / screw_teeth


def tilt_deg(*, offset_mm: float, span_mm: float) -> float:
    """Tilt of a beam whose ends differ by this height.

        α = atan(Δz / S)

    Raises:
        InputError: span not above zero.

    Source:
        Geometry.

    Example:
        >>> round(tilt_deg(offset_mm=0.4, span_mm=340), 3)
        0.067
    """
    above_zero(span_mm=span_mm)
    return degrees(atan2(offset_mm, span_mm))


def torsional_nmm_per_rad(
    *, axial_stiffness_n: float, teeth: int, length_mm: float, belt_pitch_mm: float = BELT_PITCH_MM
) -> float:
    """Torque on one of two equal pulleys for each radian it turns while the other is held.

        k = 2 E A r² / L

    It grows with the square of the pulley: pulleys of twice the teeth wind up a quarter.

    Args:
        axial_stiffness_n: E A of one strand.
        teeth: of each pulley.
        length_mm: L, of each of the two free spans.
        belt_pitch_mm: distance of the belt's teeth.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Two springs side by side at the radius r; the belt on the pulleys taken as rigid.

    Example:
        >>> round(torsional_nmm_per_rad(axial_stiffness_n=10_000, teeth=20, length_mm=350), 1)
        2315.9
    """
    above_zero(axial_stiffness_n=axial_stiffness_n, length_mm=length_mm)
    radius = pitch_diameter_mm(teeth=teeth, belt_pitch_mm=belt_pitch_mm) / 2
    return 2 * axial_stiffness_n * radius**2 / length_mm


def wind_up(
    found: Loop, *, axial_stiffness_n: float, held: str, torques_nmm: Mapping[str, float]
) -> WindUp:
    """How far the pulleys of a loop turn under torques, one pulley held still.

        E A / l_i (v_i+1 - v_i) is the change of tension of span i,    v = s r θ;
        at each free pulley the tensions on both sides and the torque balance.

    The difference of two screws' angles times the lead over one turn is a left-right error. Only
    what changes between up and down shows as lost motion: pass the change of torque at reversal.

    Args:
        found: the loop.
        axial_stiffness_n: E A of the belt.
        held: the pulley that does not turn, such as the motor's.
        torques_nmm: torque from outside by pulley name, counter-clockwise positive; a pulley left
            out is free and carries none.

    Raises:
        InputError: an unknown pulley, a stiffness not above zero.

    Source:
        Balance of linear springs; free spans only, the belt on a pulley taken as rigid.

    Example:
        >>> from plumbrise.elements.belt_loop import loop
        >>> from plumbrise.elements.belt_pulley import Pulley
        >>> two = loop([Pulley(name="left", x_mm=0, y_mm=0, teeth=20),
        ...             Pulley(name="right", x_mm=350, y_mm=0, teeth=20)])
        >>> found = wind_up(two, axial_stiffness_n=10_000, held="left", torques_nmm={"right": 20})
        >>> round(found.turned_rad["right"] * 8 / (2 * pi), 4)
        0.011
    """
    import numpy as np

    above_zero(axial_stiffness_n=axial_stiffness_n)
    names = [arc.pulley.name for arc in found.arcs]
    count, fixed = len(names), found.at(held)
    radii = np.array([(-1 if a.pulley.outside else 1) * a.radius_mm for a in found.arcs])
    forces = np.zeros(count)
    for name, torque in torques_nmm.items():
        index = found.at(name)
        between(-1e6, 1e6, "Give the torque in N·mm.", **{f"torque on {name}": torque})
        forces[index] = torque / radii[index]
    pull = np.zeros((count, count))  # tension change of a span from the paths of its two ends
    for index, span in enumerate(found.spans):
        rate = axial_stiffness_n / _free_mm(span.length_mm, span.start)
        pull[index, index] -= rate
        pull[index, (index + 1) % count] += rate
    balance = np.roll(pull, 1, axis=0) - pull  # span before less span after, at each pulley
    free = [index for index in range(count) if index != fixed]
    paths = np.zeros(count)
    paths[free] = np.linalg.solve(balance[np.ix_(free, free)], forces[free])
    turned = {name: float(angle) for name, angle in zip(names, paths / radii, strict=True)}
    return WindUp(turned, tuple(float(change) for change in pull @ paths))


def left_right_mm(found: WindUp, *, left: str, right: str, lead_mm: float) -> float:
    """Height of the right screw above the left one that wind-up makes.

        Δz = lead (θ_right - θ_left) / 2π

    Raises:
        InputError: lead not above zero, or a pulley that is not in the loop.

    Source:
        Geometry of the thread.
    """
    above_zero(lead_mm=lead_mm)
    for name in (left, right):
        if name not in found.turned_rad:
            raise InputError(
                place="pulley",
                value=name,
                allowed=", ".join(found.turned_rad),
                remedy="Name one of these.",
            )
    return lead_mm * (found.turned_rad[right] - found.turned_rad[left]) / (2 * pi)


def _free_mm(length_mm: float, start: str) -> float:
    """Length of a span as a spring; pulleys that touch would leave none."""
    if not length_mm > 0:
        raise InputError(
            place=f"belt after {start}",
            value=length_mm,
            allowed="above 0 mm",
            remedy="Move the two pulleys apart.",
        )
    return length_mm
