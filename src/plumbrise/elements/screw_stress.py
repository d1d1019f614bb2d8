"""What load and torque do to the metal of a screw."""

from __future__ import annotations

from math import pi

from plumbrise.elements.ranges import above_zero, not_below_zero
from plumbrise.elements.screw import core_area_mm2

FIRST_THREAD_SHARE = 0.38
"""Share of the load that the first engaged turn carries (Shigley, section 8-2)."""


def torsion_n_per_mm2(*, torque_nmm: float, core_diameter_mm: float) -> float:
    """Shear stress at the core's surface.

        τ = 16 T / (π d3³)

    Raises:
        InputError: diameter not above zero, or a torque below zero.

    Source:
        Shigley's Mechanical Engineering Design, eq. 8-7.
    """
    above_zero(core_diameter_mm=core_diameter_mm)
    not_below_zero(torque_nmm=torque_nmm)
    return 16 * torque_nmm / (pi * core_diameter_mm**3)


def axial_n_per_mm2(*, axial_load_n: float, core_diameter_mm: float) -> float:
    """Stress along the core, above zero for pulling.

        σ = 4 F / (π d3²)

    Raises:
        InputError: diameter not above zero.

    Source:
        Shigley's Mechanical Engineering Design, eq. 8-8.
    """
    return axial_load_n / core_area_mm2(core_diameter_mm=core_diameter_mm)


def root_bending_n_per_mm2(
    *,
    axial_load_n: float,
    core_diameter_mm: float,
    pitch_mm: float,
    turns: float = 1.0,
    share: float = FIRST_THREAD_SHARE,
) -> float:
    """Bending stress at the root of the thread.

        σ = 6 share F / (π d3 n P)

    Args:
        axial_load_n: F.
        core_diameter_mm: d3.
        pitch_mm: P; the root of a square thread is half of it thick.
        turns: n, that carry the share.
        share: of the load on those turns; 1 with all engaged turns taken as alike.

    Raises:
        InputError: diameter, pitch or turns not above zero, load or share below zero.

    Source:
        Shigley's Mechanical Engineering Design, eq. 8-11.
    """
    above_zero(core_diameter_mm=core_diameter_mm, pitch_mm=pitch_mm, turns=turns)
    not_below_zero(axial_load_n=axial_load_n, share=share)
    return 6 * share * axial_load_n / (pi * core_diameter_mm * turns * pitch_mm)
