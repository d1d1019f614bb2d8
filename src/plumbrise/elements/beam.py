"""What a beam between two carriages, and the carriages themselves, set against racking."""

from __future__ import annotations

from plumbrise.elements.springs import series_n_per_mm
from plumbrise.errors import InputError


def racking_n_per_mm(*, tilting_nmm_per_rad: float, span_mm: float) -> float:
    """Force at one end of a beam for each millimetre that it is behind the other end.

        k = K / S²

    A force F at distance S turns the beam with the moment F S by the angle x / S. Carriages that
    tilt side by side on the same beam add up in K.

    Args:
        tilting_nmm_per_rad: K, moment per angle that the carriages set against tilting.
        span_mm: S, between the guides.

    Raises:
        InputError: span or stiffness not above zero.

    Source:
        Statics of a rigid beam on a rotary spring, small angles.

    Example:
        >>> racking_n_per_mm(tilting_nmm_per_rad=4e6, span_mm=200)
        100.0
    """
    _above_zero("tilting_nmm_per_rad", tilting_nmm_per_rad)
    _above_zero("span_mm", span_mm)
    return tilting_nmm_per_rad / span_mm**2


def cantilever_n_per_mm(*, bending_stiffness_nmm2: float, length_mm: float) -> float:
    """Force at the free end of a clamped beam for each millimetre it gives way.

        k = 3 E I / L³

    Shear is left out: under 3 % for a beam five times as long as high.

    Args:
        bending_stiffness_nmm2: E I.
        length_mm: L, from the clamp to the force.

    Raises:
        InputError: length or stiffness not above zero.

    Source:
        Roark's Formulas for Stress and Strain, table 8.1, cantilever with end load.

    Example:
        A tube 40 x 20 x 2 of aluminium on edge, 300 mm out:

        >>> round(cantilever_n_per_mm(bending_stiffness_nmm2=70e3 * 44458.7, length_mm=300), 1)
        345.8
    """
    _above_zero("bending_stiffness_nmm2", bending_stiffness_nmm2)
    _above_zero("length_mm", length_mm)
    return 3 * bending_stiffness_nmm2 / length_mm**3


def beam_racking_n_per_mm(
    *, tilting_nmm_per_rad: float, bending_stiffness_nmm2: float, span_mm: float
) -> float:
    """Racking stiffness of a beam that bends itself, held by carriages at the driven end.

    Carriage and beam give way one after the other.

    Raises:
        InputError: a quantity not above zero.

    Example:
        >>> round(beam_racking_n_per_mm(tilting_nmm_per_rad=1e7, bending_stiffness_nmm2=3.1e9,
        ...                             span_mm=340), 1)
        63.3
    """
    return series_n_per_mm(
        (
            racking_n_per_mm(tilting_nmm_per_rad=tilting_nmm_per_rad, span_mm=span_mm),
            cantilever_n_per_mm(bending_stiffness_nmm2=bending_stiffness_nmm2, length_mm=span_mm),
        )
    )


def _above_zero(place: str, value: float) -> None:
    if not value > 0:
        raise InputError(
            place=place, value=value, allowed="above 0", remedy="Measure it or leave it out."
        )
