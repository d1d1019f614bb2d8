"""How much a coupling gives way along its axis, and what its wind-up does to the height."""

from __future__ import annotations

from math import pi

from plumbrise.errors import InputError

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
    if kind not in AXIAL_STIFFNESS_N_PER_MM:
        raise InputError(
            place="coupling.kind",
            value=kind,
            allowed=", ".join(AXIAL_STIFFNESS_N_PER_MM),
            remedy="Use one of these, or leave it out.",
        )
    return AXIAL_STIFFNESS_N_PER_MM[kind]


def wind_up_mm(*, angle_rad: float, lead_mm: float) -> float:
    """Height lost when the screw is this far behind the motor.

        Δz = lead · φ / 2π

    Source:
        Geometry of the thread.

    Example:
        >>> from math import radians
        >>> round(wind_up_mm(angle_rad=radians(0.5), lead_mm=8), 5)
        0.01111
    """
    return lead_mm * angle_rad / (2 * pi)
