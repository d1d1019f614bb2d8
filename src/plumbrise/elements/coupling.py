"""Couplings: how far each kind gives way along its axis and in turning, what it puts up with."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, degrees, inf, pi, radians, sin, tan

from plumbrise.elements.ranges import above_zero, between, not_below_zero, one_of

AXIAL_STIFFNESS_N_PER_MM = {
    "rigid": 2000.0,
    "none": 2000.0,
    "helical": 400.0,
    "jaw": 300.0,
    "slotted-disc": 5.0,
}
"""Kind -> stiffness along the axis when sound. Common practice, no source: helical couplings of
the usual 19 by 25 mm are met from 10 to over 400 N/mm, so measure. A slotted disc carries no
load along its axis: it needs a bearing below."""


@dataclass(frozen=True, slots=True)
class CouplingKind:
    """What a kind of the usual 19 by 25 mm can do. Common practice, no source: measure yours.

    Attributes:
        id: its word, as in the machine file.
        title: what people call it.
        torsional_nmm_per_rad: stiffness in turning; infinite for a clamp of one piece.
        offset_mm: side step between the shafts that it puts up with.
        tilt_deg: angle between the shafts that it puts up with.
        sideways_n_per_mm: side force for each millimetre of offset; infinite where the shafts
            bend instead, see `side_force_n`.
        carries_weight: may carry the gantry along its axis.
        words: what to know of it.
    """

    id: str
    title: str
    torsional_nmm_per_rad: float
    offset_mm: float
    tilt_deg: float
    sideways_n_per_mm: float
    carries_weight: bool
    words: str


KINDS = {
    kind.id: kind
    for kind in (
        CouplingKind(
            "rigid", "Rigid clamp", inf, 0.02, 0.05, inf, True,
            "Passes on thrust and every misalignment: the shafts bend instead.",
        ),
        CouplingKind(
            "none", "None: motor shaft and screw are one", inf, 0.02, 0.05, inf, True,
            "Thrust goes to the motor's own seat.",
        ),
        CouplingKind(
            "helical", "Helical cut", 30e3, 0.15, 2.0, 30.0, False,
            "Made to turn, not to carry: under the gantry it is a spring.",
        ),
        CouplingKind(
            "jaw", "Jaw with elastic spider", 30e3, 0.1, 1.0, 100.0, False,
            "Carries pressure only, and only when the hubs touch; pulled, it comes apart.",
        ),
        CouplingKind(
            "slotted-disc", "Slotted disc", 60e3, 0.7, 0.5, 0.0, False,
            "Takes a large offset with little side force; the screw needs its own thrust bearing.",
        ),
    )
}  # fmt: skip
"""By id."""


def axial_n_per_mm(kind: str) -> float:
    """Stiffness along the axis of a sound coupling of this kind.

    Raises:
        InputError: an unknown kind.

    Source:
        Common practice, no source.

    Example:
        >>> axial_n_per_mm("helical")
        400.0
    """
    one_of(
        AXIAL_STIFFNESS_N_PER_MM, "Use one of these, or leave it out.", **{"coupling.kind": kind}
    )
    return AXIAL_STIFFNESS_N_PER_MM[kind]


def of_kind(kind: str) -> CouplingKind:
    """What is usual of a kind.

    Raises:
        InputError: an unknown kind.
    """
    one_of(KINDS, kind=kind)
    return KINDS[kind]


def wind_up_mm(*, angle_rad: float, lead_mm: float) -> float:
    """Height lost when the screw is this far behind the motor.

        Δz = lead · φ / 2π

    Source:
        Geometry of the thread.

    Example:
        >>> round(wind_up_mm(angle_rad=radians(0.5), lead_mm=8), 5)
        0.01111
    """
    return lead_mm * angle_rad / (2 * pi)


def torque_wind_up_mm(*, torque_nmm: float, torsional_nmm_per_rad: float, lead_mm: float) -> float:
    """Height that a change of torque takes from the nut, by the coupling's turning alone.

        Δz = lead / 2π · T / k

    Raises:
        InputError: lead or stiffness not above zero.

    Source:
        Hooke's law and the geometry of the thread.

    Example:
        >>> round(torque_wind_up_mm(torque_nmm=20, torsional_nmm_per_rad=30e3, lead_mm=8), 5)
        0.00085
    """
    above_zero(lead_mm=lead_mm)
    if torsional_nmm_per_rad == inf:
        return 0.0
    above_zero(torsional_nmm_per_rad=torsional_nmm_per_rad)
    return wind_up_mm(angle_rad=torque_nmm / torsional_nmm_per_rad, lead_mm=lead_mm)


def axial_stretch_mm(*, force_n: float, axial_n_per_mm: float) -> float:
    """How far a coupling that carries the gantry gives way when the force changes by so much.

        Δz = ΔF / k

    At a reversal the force changes by twice the guides' drag.

    Raises:
        InputError: stiffness not above zero.

    Source:
        Hooke's law.

    Example:
        3 N of drag reversed on a soft coupling:

        >>> axial_stretch_mm(force_n=2 * 3, axial_n_per_mm=30)
        0.2
    """
    above_zero(axial_n_per_mm=axial_n_per_mm)
    return force_n / axial_n_per_mm


def side_force_n(
    *, offset_mm: float, sideways_n_per_mm: float, shaft_n_per_mm: float = inf
) -> float:
    """Side force on shaft and nut from shafts that stand an offset apart; it turns with the shaft.

        F = offset / (1/k_coupling + 1/k_shaft)

    Args:
        offset_mm: between motor shaft and screw.
        sideways_n_per_mm: k of the coupling, infinite for a rigid one.
        shaft_n_per_mm: k of the screw between coupling and nut, `screw_bow.sideways_n_per_mm`.

    Raises:
        InputError: an offset or stiffness below zero, or two stiffnesses without limit.

    Source:
        Springs in series.

    Example:
        A rigid clamp 0.1 mm off, the nut 50 mm above it on a Tr8 screw:

        >>> round(side_force_n(offset_mm=0.1, sideways_n_per_mm=inf, shaft_n_per_mm=222))
        22
    """
    not_below_zero(offset_mm=offset_mm)
    softest = min(sideways_n_per_mm, shaft_n_per_mm)
    not_below_zero("Give the stiffness of coupling or screw.", sideways_n_per_mm=softest)
    if softest == 0:
        return 0.0
    return offset_mm / (1 / sideways_n_per_mm + 1 / shaft_n_per_mm)


def capacity_used(*, kind: CouplingKind, offset_mm: float, tilt_deg: float) -> float:
    """Share of what a coupling puts up with that offset and tilt take together; above 1: too much.

        offset / allowed + tilt / allowed

    Raises:
        InputError: an offset or angle below zero.

    Source:
        Common practice, no source: the two capacities are shared out in proportion.

    Example:
        >>> round(capacity_used(kind=KINDS["helical"], offset_mm=0.1, tilt_deg=0.5), 2)
        0.92
    """
    not_below_zero(offset_mm=offset_mm, tilt_deg=tilt_deg)
    return offset_mm / kind.offset_mm + tilt_deg / kind.tilt_deg


def universal_joint_ratio(*, tilt_deg: float, angle_deg: float) -> float:
    """Speed out over speed in of one universal joint, at an angle of the driving fork.

        ω₂/ω₁ = cos β / (1 - sin² β cos² θ)        from cos β to 1 / cos β, twice a turn

    Args:
        tilt_deg: β, between the shafts, below 90.
        angle_deg: θ, of the driving shaft; 0 with its fork in the plane of the two shafts.

    Raises:
        InputError: a tilt not from 0 to 89.9°.

    Source:
        Kinematics of Hooke's joint.
    """
    between(0, 89.9, tilt_deg=tilt_deg)
    tilt = radians(tilt_deg)
    return cos(tilt) / (1 - sin(tilt) ** 2 * cos(radians(angle_deg)) ** 2)


def universal_joint_error_deg(*, tilt_deg: float) -> float:
    """How far one universal joint runs ahead and behind, twice a turn.

        asin(tan² (β/2))

    Raises:
        InputError: a tilt not from 0 to 89.9°.

    Source:
        Kinematics of Hooke's joint: the largest of atan(tan θ / cos β) - θ.

    Example:
        >>> round(universal_joint_error_deg(tilt_deg=10), 3)
        0.439
    """
    between(0, 89.9, tilt_deg=tilt_deg)
    return degrees(asin(tan(radians(tilt_deg) / 2) ** 2))


def slotted_disc_centre_mm(*, offset_mm: float, angle_deg: float) -> tuple[float, float]:
    """Where the centre of a slotted disc is, from the driving shaft, x along the offset.

        (offset / 2) · (1 + cos 2θ, sin 2θ)

    Both hubs turn with the same speed at every angle; the disc slides round a circle as wide as
    the offset, twice a turn, and rubs as it does.

    Raises:
        InputError: an offset below zero.

    Source:
        Kinematics of the Oldham joint: two slots at right angles through the two shafts.

    Example:
        >>> slotted_disc_centre_mm(offset_mm=0.5, angle_deg=0)
        (0.5, 0.0)
    """
    not_below_zero(offset_mm=offset_mm)
    twice = 2 * radians(angle_deg)
    return offset_mm / 2 * (1 + cos(twice)), offset_mm / 2 * sin(twice)
