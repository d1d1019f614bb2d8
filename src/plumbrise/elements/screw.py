"""How much a screw itself gives way, and how far it travels in a turn."""

from __future__ import annotations

from enum import Enum
from math import atan, degrees, pi

from plumbrise.elements.materials import MATERIALS
from plumbrise.elements.ranges import above_zero
from plumbrise.errors import InputError

STEEL_N_PER_MM2 = MATERIALS["steel"].modulus_n_per_mm2
"""Young's modulus of steel (general handbooks)."""
STEEL_SHEAR_N_PER_MM2 = 79_300.0
"""Shear modulus of steel (general handbooks)."""
STEEL_KG_PER_MM3 = 7.85e-6
"""Density of steel (general handbooks)."""


class Ends(Enum):
    """How the two ends of a screw are held sideways, the end by the motor first.

    Held: clamped in direction, as by two bearings apart or a rigid coupling. Pinned: held at its
    place by a single bearing, free to tilt.
    """

    HELD_FREE = "held-free"
    PINNED_PINNED = "pinned-pinned"
    HELD_PINNED = "held-pinned"
    HELD_HELD = "held-held"


def axial_n_per_mm(
    *, core_diameter_mm: float, length_mm: float, modulus_n_per_mm2: float = STEEL_N_PER_MM2
) -> float:
    """Stiffness of the screw's core between bearing and nut.

        k = E A / L

    Args:
        core_diameter_mm: d3, the diameter at the root of the thread.
        length_mm: the loaded length.
        modulus_n_per_mm2: E.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Hooke's law for a bar.

    Example:
        >>> round(axial_n_per_mm(core_diameter_mm=5.5, length_mm=300))
        16314
    """
    above_zero(
        core_diameter_mm=core_diameter_mm, length_mm=length_mm, modulus_n_per_mm2=modulus_n_per_mm2
    )
    return modulus_n_per_mm2 * core_area_mm2(core_diameter_mm=core_diameter_mm) / length_mm


def axial_held_at_both_ends_n_per_mm(
    *,
    core_diameter_mm: float,
    length_mm: float,
    height_mm: float,
    modulus_n_per_mm2: float = STEEL_N_PER_MM2,
) -> float:
    """Stiffness at the nut of a screw whose two ends are both fixed along the axis.

        k = E A (1/z + 1/(L - z))

    Softest in the middle, where it is four times that of the whole length held at one end.

    Args:
        core_diameter_mm: d3.
        length_mm: L, between the fixed ends.
        height_mm: z, of the nut above the lower end.
        modulus_n_per_mm2: E.

    Raises:
        InputError: a quantity not above zero, or the nut not between the ends.

    Source:
        Hooke's law, two bars side by side.

    Example:
        >>> round(axial_held_at_both_ends_n_per_mm(core_diameter_mm=5.5, length_mm=300,
        ...                                        height_mm=150))
        65256
    """
    between_ends(height_mm=height_mm, length_mm=length_mm)
    below, above = (
        axial_n_per_mm(
            core_diameter_mm=core_diameter_mm, length_mm=part, modulus_n_per_mm2=modulus_n_per_mm2
        )
        for part in (height_mm, length_mm - height_mm)
    )
    return below + above


def torsional_nmm_per_rad(
    *, core_diameter_mm: float, length_mm: float, shear_n_per_mm2: float = STEEL_SHEAR_N_PER_MM2
) -> float:
    """Torque that winds the core up by a radian between coupling and nut.

        k = G J / L        J = π d3⁴ / 32

    What a wind-up means in height: `travel_mm` of the angle.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Torsion of a round bar (Saint-Venant); the thread's ridges are left out.

    Example:
        >>> round(torsional_nmm_per_rad(core_diameter_mm=5.5, length_mm=300))
        23747
    """
    above_zero(
        core_diameter_mm=core_diameter_mm, length_mm=length_mm, shear_n_per_mm2=shear_n_per_mm2
    )
    return shear_n_per_mm2 * pi * core_diameter_mm**4 / 32 / length_mm


def core_area_mm2(*, core_diameter_mm: float) -> float:
    """Cross-section of the core, A = π d3² / 4; the thread carries nothing along the axis."""
    above_zero(core_diameter_mm=core_diameter_mm)
    return pi * core_diameter_mm**2 / 4


def bending_stiffness_nmm2(
    *, core_diameter_mm: float, modulus_n_per_mm2: float = STEEL_N_PER_MM2
) -> float:
    """What the core sets against bending, E I.

        I = π d3⁴ / 64

    Raises:
        InputError: a quantity not above zero.

    Source:
        Second moment of area of a circle.

    Example:
        >>> round(bending_stiffness_nmm2(core_diameter_mm=5.5) / 1e6, 3)
        9.253
    """
    above_zero(core_diameter_mm=core_diameter_mm, modulus_n_per_mm2=modulus_n_per_mm2)
    return modulus_n_per_mm2 * pi * core_diameter_mm**4 / 64


def travel_mm(*, angle_rad: float, lead_mm: float) -> float:
    """How far the nut travels when the screw turns by this angle.

        u = lead · θ / 2π

    Source:
        Geometry of the thread.

    Example:
        >>> travel_mm(angle_rad=2.5 * pi, lead_mm=8)
        10.0
    """
    return lead_mm * angle_rad / (2 * pi)


def lead_angle_deg(*, lead_mm: float, pitch_diameter_mm: float) -> float:
    """How steeply the thread climbs at its pitch diameter.

        λ = atan(lead / (π d2))

    Raises:
        InputError: a quantity not above zero.

    Source:
        Geometry of the thread.

    Example:
        >>> round(lead_angle_deg(lead_mm=8, pitch_diameter_mm=7), 1)
        20.0
    """
    above_zero(lead_mm=lead_mm, pitch_diameter_mm=pitch_diameter_mm)
    return degrees(atan(lead_mm / (pi * pitch_diameter_mm)))


def between_ends(*, height_mm: float, length_mm: float) -> None:
    """Refuse a nut that is not on the screw.

    Raises:
        InputError: length not above zero, height not above zero or not below the length.
    """
    above_zero(length_mm=length_mm, height_mm=height_mm)
    if not height_mm < length_mm:
        raise InputError(
            place="height_mm",
            value=height_mm,
            allowed=f"below the length of {length_mm:g} mm",
            remedy="Measure from the end by the motor to the nut.",
        )
