"""Springs one behind the other and side by side."""

from __future__ import annotations

from collections.abc import Iterable

from plumbrise.elements.ranges import not_below_zero
from plumbrise.errors import InputError


def series_n_per_mm(stiffnesses_n_per_mm: Iterable[float]) -> float:
    """Stiffness of springs that carry the same force one after the other.

        1/k = Σ 1/k_i

    Args:
        stiffnesses_n_per_mm: each link's stiffness; `inf` for a rigid link.

    Raises:
        InputError: a stiffness that is not above zero.

    Source:
        Statics: the elongations under one force add.

    Example:
        >>> round(series_n_per_mm([30, 100, 500, 2000]), 3)
        21.818
    """
    given = tuple(stiffnesses_n_per_mm)
    for index, stiffness in enumerate(given):
        if not stiffness > 0:  # refuses nan too
            raise InputError(
                place=f"stiffness {index + 1}",
                value=stiffness,
                allowed="above 0 N/mm",
                remedy="Leave out a link that is rigid.",
            )
    compliance = sum(1 / stiffness for stiffness in given)
    return 1 / compliance if compliance > 0 else float("inf")


def side_by_side_n_per_mm(stiffnesses_n_per_mm: Iterable[float]) -> float:
    """Stiffness of springs that go the same way side by side, as a frame and its brace.

        k = Σ k_i

    Raises:
        InputError: a stiffness below zero.

    Source:
        Statics: the forces at one displacement add.

    Example:
        >>> side_by_side_n_per_mm([120.0, 60.0])
        180.0
    """
    total = 0.0
    for index, stiffness in enumerate(stiffnesses_n_per_mm):
        not_below_zero("Leave out what carries nothing.", **{f"stiffness {index + 1}": stiffness})
        total += stiffness
    return total
