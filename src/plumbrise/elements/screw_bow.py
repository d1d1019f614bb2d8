"""A bent screw: what it reads on blocks, and what it does with its far end free or held.

The bow is taken as an even arc of radius R in one plane. Sags are small against the length.
"""

from __future__ import annotations

from plumbrise.elements.ranges import above_zero, not_below_zero
from plumbrise.elements.screw import Ends, between_ends
from plumbrise.errors import InputError

BOW_ENDS = (Ends.HELD_FREE, Ends.PINNED_PINNED)
"""The mountings that are worked out: far end free, or both ends in bearings."""


def bow_from_swing_mm(*, swing_mm: float) -> float:
    """Bow of a screw rolled on two blocks under its ends, by the gauge's full swing in the middle.

        bow = swing / 2

    Raises:
        InputError: a swing below zero.

    Source:
        Geometry: high and low side of a turn lie a bow to either side.
    """
    not_below_zero(swing_mm=swing_mm)
    return swing_mm / 2


def swing_mm(*, bow_mm: float, length_mm: float, height_mm: float) -> float:
    """Full swing of a gauge beside a screw that turns between its two ends.

        swing = 2 · 4 bow z (L - z) / L²

    Args:
        bow_mm: in the middle, over the length.
        length_mm: L, between the ends or blocks.
        height_mm: z, of the gauge from one end.

    Raises:
        InputError: the gauge not between the ends, or a bow below zero.

    Source:
        Geometry of a flat arc.

    Example:
        >>> swing_mm(bow_mm=0.15, length_mm=300, height_mm=150)
        0.3
    """
    not_below_zero(bow_mm=bow_mm)
    between_ends(height_mm=height_mm, length_mm=length_mm)
    return 8 * bow_mm * height_mm * (length_mm - height_mm) / length_mm**2


def bow_over_mm(*, bow_mm: float, over_mm: float, length_mm: float) -> float:
    """Bow over another length of the same arc.

        bow₂ = bow₁ (L₂ / L₁)²

    Example:
        0.3 mm in 300 mm is less over a shorter screw:

        >>> round(bow_over_mm(bow_mm=0.3, over_mm=300, length_mm=200), 3)
        0.133
    """
    not_below_zero(bow_mm=bow_mm)
    above_zero(over_mm=over_mm, length_mm=length_mm)
    return bow_mm * (length_mm / over_mm) ** 2


def orbit_mm(*, bow_mm: float, length_mm: float, height_mm: float, ends: Ends) -> float:
    """Radius of the circle on which the screw's axis runs at a height, with nothing against it.

        far end free:  y = 4 bow z² / L²        both ends in bearings:  y = 4 bow z (L - z) / L²

    Args:
        bow_mm: sag in the middle over the whole length.
        length_mm: L.
        height_mm: z, from the end by the motor.
        ends: held-free (clamped straight at the motor) or pinned-pinned.

    Raises:
        InputError: the height not on the screw, a bow below zero, or other ends.

    Source:
        Geometry of a flat arc, R = L² / (8 bow).

    Example:
        The far end of a free screw swings on a radius four times its bow:

        >>> round(orbit_mm(bow_mm=0.1, length_mm=330, height_mm=329.999, ends=Ends.HELD_FREE), 3)
        0.4
    """
    not_below_zero(bow_mm=bow_mm)
    between_ends(height_mm=height_mm, length_mm=length_mm)
    far = height_mm if _worked_out(ends) is Ends.HELD_FREE else length_mm - height_mm
    return 4 * bow_mm * height_mm * far / length_mm**2


def sideways_n_per_mm(
    *, bending_stiffness_nmm2: float, length_mm: float, height_mm: float, ends: Ends
) -> float:
    """Side force that moves the screw's axis by a millimetre at a height.

        far end free:  k = 3 E I / z³        both ends in bearings:  k = 3 E I L / (z² (L - z)²)

    Args:
        bending_stiffness_nmm2: E I of the core.
        length_mm: L.
        height_mm: z, from the end by the motor.
        ends: held-free or pinned-pinned.

    Raises:
        InputError: the height not on the screw, stiffness not above zero, or other ends.

    Source:
        Roark's Formulas for Stress and Strain, table 8.1.

    Example:
        >>> [round(sideways_n_per_mm(bending_stiffness_nmm2=9.253e6, length_mm=351, height_mm=z,
        ...                          ends=Ends.HELD_FREE), 1) for z in (350, 150, 50)]
        [0.6, 8.2, 222.1]
    """
    above_zero(bending_stiffness_nmm2=bending_stiffness_nmm2)
    between_ends(height_mm=height_mm, length_mm=length_mm)
    if _worked_out(ends) is Ends.HELD_FREE:
        return 3 * bending_stiffness_nmm2 / height_mm**3
    return 3 * bending_stiffness_nmm2 * length_mm / (height_mm**2 * (length_mm - height_mm) ** 2)


def side_force_n(
    *,
    bow_mm: float,
    bending_stiffness_nmm2: float,
    length_mm: float,
    height_mm: float,
    ends: Ends,
    guide_n_per_mm: float = float("inf"),
) -> float:
    """Force that goes round with a bent screw and pushes nut and gantry sideways.

        F = y · k k_g / (k + k_g)

    It dies away as the nut climbs a free screw (as 1/z) and stays high between two bearings: by
    L / (L - z) more than with the far end free.

    Args:
        bow_mm: sag in the middle over the whole length.
        bending_stiffness_nmm2: E I of the core.
        length_mm: L.
        height_mm: z, of the nut.
        ends: held-free or pinned-pinned.
        guide_n_per_mm: k_g, what the guides (and a floating mount) set against a sideways push.

    Raises:
        InputError: the nut not on the screw, a quantity out of range, or other ends.

    Source:
        Statics: the screw's orbit taken up by screw and guide in series.

    Example:
        >>> [round(side_force_n(bow_mm=0.15, bending_stiffness_nmm2=9.253e6, length_mm=330,
        ...                     height_mm=250, ends=ends), 2) for ends in BOW_ENDS]
        [0.61, 2.52]
    """
    stiffness = sideways_n_per_mm(
        bending_stiffness_nmm2=bending_stiffness_nmm2,
        length_mm=length_mm,
        height_mm=height_mm,
        ends=ends,
    )
    orbit = orbit_mm(bow_mm=bow_mm, length_mm=length_mm, height_mm=height_mm, ends=ends)
    if not guide_n_per_mm >= 0:
        raise InputError(
            place="guide_n_per_mm",
            value=guide_n_per_mm,
            allowed="0 or more",
            remedy="Push the gantry sideways with a spring balance and read the gauge.",
        )
    if guide_n_per_mm == float("inf"):
        return orbit * stiffness
    return orbit * stiffness * guide_n_per_mm / (stiffness + guide_n_per_mm)


def wobble_mm(*, side_force_n: float, guide_n_per_mm: float) -> float:
    """How far the gantry is pushed to either side, once a turn.

        w = F / k_g

    Raises:
        InputError: stiffness not above zero, or a force below zero.

    Source:
        Hooke's law.
    """
    not_below_zero(side_force_n=side_force_n)
    above_zero(guide_n_per_mm=guide_n_per_mm)
    return side_force_n / guide_n_per_mm


def _worked_out(ends: Ends) -> Ends:
    """These ends, if a bow is worked out for them."""
    if ends not in BOW_ENDS:
        raise InputError(
            place="ends",
            value=ends.value,
            allowed=" or ".join(known.value for known in BOW_ENDS),
            remedy="Take the nearest of these.",
        )
    return ends
