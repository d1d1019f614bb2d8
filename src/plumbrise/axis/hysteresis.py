"""Drag that remembers: slip elements side by side, behind play, and the loops they draw.

The solver holds the same elements inside its equilibrium; here they stand alone, as the law of
one guide: force against a displacement that is given.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


def drag_forces(
    path_mm: Floats, *, stiffness_n_per_mm: Floats, slip_n: Floats, play_mm: float = 0.0
) -> Floats:
    """Force of slip elements side by side along a path that starts from rest at 0.

    Each element is a spring that slips at its own force. With play the elements are moved only
    once the clearance has been crossed, which the path enters in its middle.

    Args:
        path_mm: displacements in order; the force is exact however far apart they are.
        stiffness_n_per_mm: of each element.
        slip_n: force at which each slips.
        play_mm: clearance in front of them all.

    Source:
        Iwan, J. Appl. Mech. 33 (1966) 893 (elements in parallel); Krasnosel'skii and Pokrovskii,
        Systems with Hysteresis (stop and play operators).

    Example:
        >>> one = dict(stiffness_n_per_mm=np.array([10.0]), slip_n=np.array([3.0]))
        >>> drag_forces(np.array([0.1, 1.0, 0.9]), **one).tolist()
        [1.0, 3.0, 2.0]
    """
    reach = slip_n / stiffness_n_per_mm
    stretch = np.zeros(len(reach))
    at = 0.0
    forces = np.empty(len(path_mm))
    for i, x in enumerate(path_mm):
        moved = min(max(at, x - play_mm / 2), x + play_mm / 2)
        stretch = np.clip(stretch + (moved - at), -reach, reach)
        at = moved
        forces[i] = stiffness_n_per_mm @ stretch
    return forces


def first_loading_n(
    displacement_mm: Floats, *, stiffness_n_per_mm: Floats, slip_n: Floats
) -> Floats:
    """Force of the same elements on their first way out from rest.

        F(x) = Σ min(k x, f)

    Masing's rule draws every later branch from it at twice the scale.

    Source:
        Masing (1926); Iwan, J. Appl. Mech. 33 (1966) 893.

    Example:
        >>> first_loading_n(np.array([0.1, 1.0]), stiffness_n_per_mm=np.array([10.0, 5.0]),
        ...                 slip_n=np.array([3.0, 1.0])).tolist()
        [1.5, 4.0]
    """
    x = np.asarray(displacement_mm)[:, None]
    force: Floats = np.minimum(stiffness_n_per_mm * x, slip_n).sum(axis=1)
    return force


def elements_along(displacement_mm: Floats, force_n: Floats) -> tuple[Floats, Floats]:
    """Slip elements whose first loading runs straight between the points of a curve.

    The curve starts at (0, 0) if its first point is not there, rises ever more slowly, and is
    flat after its last point.

    Returns:
        Stiffness and slip force of one element for each point.

    Source:
        Iwan, J. Appl. Mech. 33 (1966) 893: each change of slope is an element that slips there.

    Example:
        >>> stiffness, slip = elements_along(np.array([0.1, 1.0]), np.array([1.5, 4.0]))
        >>> stiffness.round(3).tolist(), slip.round(3).tolist()
        ([12.222, 2.778], [1.222, 2.778])
    """
    x = np.concatenate(([0.0], displacement_mm))
    force = np.concatenate(([0.0], force_n))
    slopes = np.diff(force) / np.diff(x)
    stiffness: Floats = slopes - np.append(slopes[1:], 0.0)
    return stiffness, stiffness * x[1:]


def loop_energy_nmm(displacement_mm: Floats, force_n: Floats) -> float:
    """Work lost along a path: ∮ F dx by the trapezoid rule, as read, not closed.

    Example:
        >>> loop_energy_nmm(np.array([0.0, 1.0, 0.0]), np.array([3.0, 3.0, -3.0]))
        3.0
    """
    return float(np.sum((force_n[1:] + force_n[:-1]) / 2 * np.diff(displacement_mm)))
