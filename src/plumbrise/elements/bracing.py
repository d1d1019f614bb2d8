"""What a diagonal, a panel or a gusset adds to a frame."""

from __future__ import annotations

from math import hypot, inf

from plumbrise.elements.ranges import above_zero
from plumbrise.errors import InputError


def brace_n_per_mm(
    *, axial_stiffness_n: float, bay_mm: float, height_mm: float, end_n_per_mm: float = inf
) -> float:
    """What one diagonal adds sideways; it stands beside the frame, so the two add.

        k = cos² θ / (L / E A + 2 / k_e)        L² = bay² + height², cos θ = bay / L

    A wire or a slim rod counts in tension only: of a cross, one at a time.

    Args:
        axial_stiffness_n: E A of the diagonal.
        bay_mm: width it spans.
        height_mm: height it spans.
        end_n_per_mm: k_e, how stiffly either end is fastened; rigid unless given.

    Raises:
        InputError: a quantity not above zero.

    Source:
        A. K. Chopra, Dynamics of Structures, example 1.2.

    Example:
        A steel rod of 4 mm across 340 by 400 mm:

        >>> round(brace_n_per_mm(axial_stiffness_n=206e3 * 12.566, bay_mm=340, height_mm=400))
        2068
    """
    above_zero(axial_stiffness_n=axial_stiffness_n, bay_mm=bay_mm, height_mm=height_mm)
    _fastened(end_n_per_mm=end_n_per_mm)
    length = hypot(bay_mm, height_mm)
    return (bay_mm / length) ** 2 / (length / axial_stiffness_n + 2 / end_n_per_mm)


def panel_n_per_mm(
    *,
    shear_modulus_n_per_mm2: float,
    thickness_mm: float,
    width_mm: float,
    height_mm: float,
    edge_n_per_mm: float = inf,
) -> float:
    """What a panel adds sideways, fastened all round and too thick to buckle.

        k = 1 / (h / (G t b) + 2 / k_e)

    Screws in slots slip before long: take it as a most.

    Args:
        shear_modulus_n_per_mm2: G of the panel.
        thickness_mm: t.
        width_mm: b.
        height_mm: h.
        edge_n_per_mm: k_e, all screws of the upper or the lower edge together; rigid unless given.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Pure shear of a plate.
    """
    above_zero(
        shear_modulus_n_per_mm2=shear_modulus_n_per_mm2,
        thickness_mm=thickness_mm,
        width_mm=width_mm,
        height_mm=height_mm,
    )
    _fastened(edge_n_per_mm=edge_n_per_mm)
    shears = height_mm / (shear_modulus_n_per_mm2 * thickness_mm * width_mm)
    return 1 / (shears + 2 / edge_n_per_mm)


def _fastened(**stiffness: float) -> None:
    for place, value in stiffness.items():
        if not value > 0:  # inf is a rigid one
            raise InputError(
                place=place, value=value, allowed="above 0 N/mm", remedy="Leave out a rigid one."
            )


def gusset_nmm_per_rad(*, leg_mm: float, fastener_n_per_mm: float) -> float:
    """How stiffly a corner piece holds a joint: its two outer fasteners give way.

        c = k a² / 2

    Twice the leg is four times as stiff, whatever the fasteners are.

    Args:
        leg_mm: a, from the corner to the outer fastener on either bar.
        fastener_n_per_mm: k, how stiffly a fastener holds in its slot.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Statics: the moment F a turns the joint by F / k / a at either fastener.

    Example:
        >>> gusset_nmm_per_rad(leg_mm=40, fastener_n_per_mm=5000)
        4000000.0
    """
    above_zero(leg_mm=leg_mm, fastener_n_per_mm=fastener_n_per_mm)
    return fastener_n_per_mm * leg_mm**2 / 2
