"""Whether the moving part runs down by itself when the motors are off, for many axes at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]

HALF_FLANK_RAD = np.pi / 12
"""Half of the 30° between the flanks of a trapezoidal thread (ISO 2901)."""


def margin_nmm(
    *,
    net_load_n: Vector,
    detent_nmm: Vector,
    thread_friction: Vector,
    lead_mm: float,
    starts: int,
    diameter_mm: float,
) -> Vector:
    """Torque that is left of what holds the screws when the motors are off; below zero it falls.

        T = W · d2/2 · tan(λ - φ'),  tan λ = lead / (π d2),  tan φ' = μ / cos 15°
        margin = T_detent - T

    Args:
        net_load_n: weight less the drag of the guides, over all screws (not below zero).
        detent_nmm: what the unpowered motors hold together.
        thread_friction: μ between nut and screw.
        lead_mm: travel a turn.
        starts: threads side by side.
        diameter_mm: outer diameter of the screw.

    Source:
        Power screws in general handbooks of machine elements; trapezoidal thread of ISO 2901 and
        ISO 2904 (pitch diameter d2 = d - pitch/2). From memory.

    Example:
        >>> one = np.ones(1)
        >>> steep = margin_nmm(net_load_n=12 * one, detent_nmm=5 * one, thread_friction=0.1 * one,
        ...                    lead_mm=8, starts=4, diameter_mm=8)
        >>> bool(steep[0] < 0)
        True
    """
    pitch_diameter = diameter_mm - lead_mm / starts / 2
    lead_angle = np.arctan(lead_mm / (np.pi * pitch_diameter))
    friction_angle = np.arctan(thread_friction / np.cos(HALF_FLANK_RAD))
    driving = np.maximum(net_load_n, 0.0) * pitch_diameter / 2 * np.tan(lead_angle - friction_angle)
    return np.asarray(detent_nmm - driving)
