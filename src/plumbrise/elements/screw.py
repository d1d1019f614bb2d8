"""How much a screw itself gives way, and how far it travels in a turn."""

from __future__ import annotations

from math import pi

from plumbrise.errors import InputError

STEEL_N_PER_MM2 = 206_000.0
"""Young's modulus of steel (general handbooks)."""


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
        InputError: diameter or length not above zero.

    Source:
        Hooke's law for a bar.

    Example:
        >>> round(axial_n_per_mm(core_diameter_mm=5.5, length_mm=300))
        16314
    """
    for place, value in (("core_diameter_mm", core_diameter_mm), ("length_mm", length_mm)):
        if not value > 0:
            raise InputError(
                place=place, value=value, allowed="above 0 mm", remedy="Measure the screw."
            )
    return modulus_n_per_mm2 * pi * core_diameter_mm**2 / 4 / length_mm


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
