"""Where a screw must stand: blocks, how far out it may be, and what being out costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, radians, tan

from plumbrise.elements.beam import sag_mm
from plumbrise.elements.ranges import above_zero, between, not_below_zero, one_of
from plumbrise.elements.screw import STEEL_N_PER_MM2
from plumbrise.elements.sections import rod

FIXINGS = {
    "free-top": "held at the bottom, top end free",
    "held-top": "held at the bottom, guided by a bearing at the top",
    "pivoting": "free to lean at a flexible coupling at the bottom, top end free",
}
"""How the ends of a screw are held."""


def overhang_mm(*, block_mm: float, bar_mm: float) -> float:
    """How far a block stands out on either side of the bar that it is centred on.

        o = (w - b) / 2

    Negative where the bar is the wider: measure the step inwards instead.

    Raises:
        InputError: a width not above zero.

    Source:
        Geometry; that a block is set by its overhang is common practice, no source.

    Example:
        >>> overhang_mm(block_mm=45, bar_mm=40)
        2.5
    """
    above_zero(block_mm=block_mm, bar_mm=bar_mm)
    return (block_mm - bar_mm) / 2


def off_centre_mm(*, left_mm: float, right_mm: float) -> float:
    """How far a block is off the middle of its bar, to the left, by its overhangs.

        e = (left - right) / 2

    Source:
        Geometry.

    Example:
        >>> round(off_centre_mm(left_mm=2.7, right_mm=2.3), 9)
        0.2
    """
    return (left_mm - right_mm) / 2


def seat_lean_mm(*, gap_mm: float, seat_mm: float, length_mm: float) -> float:
    """How far the far end of a screw is out when the block that holds it is not seated flat.

        x = L g / w

    Args:
        gap_mm: g, the thickest feeler that goes under one edge of the block.
        seat_mm: w, from that edge to the one that touches.
        length_mm: L, of the screw above the block.

    Raises:
        InputError: a length not above zero, or a gap below.

    Source:
        Geometry, small angles.

    Example:
        >>> round(seat_lean_mm(gap_mm=0.05, seat_mm=45, length_mm=330), 2)
        0.37
    """
    not_below_zero(gap_mm=gap_mm)
    above_zero(seat_mm=seat_mm, length_mm=length_mm)
    return length_mm * gap_mm / seat_mm


def side_n_per_mm(
    fixing: str,
    *,
    at_mm: float,
    length_mm: float,
    core_diameter_mm: float,
    modulus_n_per_mm2: float = STEEL_N_PER_MM2,
) -> float:
    """Sideways force at the nut for each millimetre that it stands beside the screw.

        top free: 3 E I / z³        top guided: 12 E I L³ / (z³ (L - z)² (4 L - z))

    I = π d⁴ / 64 of the core.

    Args:
        fixing: a key of `FIXINGS`; a screw that may lean as a whole gives 0.
        at_mm: z, height of the nut above the block that holds the screw.
        length_mm: L, to the top bearing, or to the free end.
        core_diameter_mm: d, at the root of the thread.
        modulus_n_per_mm2: E.

    Raises:
        InputError: an unknown fixing, or a nut that is not between the ends.

    Source:
        Roark's Formulas for Stress and Strain, table 8.1.

    Example:
        >>> round(side_n_per_mm("free-top", at_mm=50, length_mm=330, core_diameter_mm=5.5), 1)
        222.1
    """
    one_of(FIXINGS, fixing=fixing)
    above_zero(at_mm=at_mm, length_mm=length_mm, core_diameter_mm=core_diameter_mm)
    between(0, length_mm, "The nut is on the screw.", at_mm=at_mm)
    if fixing == "pivoting":
        return 0.0
    bending = modulus_n_per_mm2 * rod(diameter_mm=core_diameter_mm).tall_mm4
    if fixing == "free-top":
        return 1 / sag_mm("cantilever", force_n=1, length_mm=at_mm, bending_stiffness_nmm2=bending)
    above = length_mm - at_mm
    if above == 0:
        return inf
    return 12 * bending * length_mm**3 / (at_mm**3 * above**2 * (4 * length_mm - at_mm))


def side_force_n(
    *,
    offset_mm: float,
    free_length_mm: float,
    core_diameter_mm: float,
    modulus_n_per_mm2: float = STEEL_N_PER_MM2,
) -> float:
    """Sideways force that puts the end of a screw, clamped at the other, so far out.

        F = 3 E I δ / L³

    Raises:
        InputError: a length not above zero.

    Source:
        Roark's Formulas for Stress and Strain, table 8.1, cantilever with end load.

    Example:
        >>> round(side_force_n(offset_mm=0.1, free_length_mm=50, core_diameter_mm=5.5), 2)
        22.21
    """
    return offset_mm * side_n_per_mm(
        "free-top",
        at_mm=free_length_mm,
        length_mm=free_length_mm,
        core_diameter_mm=core_diameter_mm,
        modulus_n_per_mm2=modulus_n_per_mm2,
    )


@dataclass(frozen=True, slots=True)
class Permitted:
    """What a fixing allows: sideways offset at the worst height, and lean (mm for each mm)."""

    offset_mm: float
    lean: float


def permitted(
    fixing: str,
    *,
    aligned_at_mm: float,
    heights_mm: Sequence[float],
    length_mm: float,
    core_diameter_mm: float,
    side_force_n: float,
    float_mm: float = 0.0,
    pivot_deg: float = 1.0,
    modulus_n_per_mm2: float = STEEL_N_PER_MM2,
) -> Permitted:
    """How far out a screw may be before the nut is pushed sideways harder than it should be.

        offset(z) = float + F / k(z)        lean = min over z of offset(z) / |z - z0|

    A pivoting screw yields instead of bending, as far as its coupling does: z tan(angle) in the
    place of F / k. The screw and its nut are tightened together at the height z0, where they
    then agree; a lean shows elsewhere, in proportion to the distance from there.

    Args:
        fixing: a key of `FIXINGS`.
        aligned_at_mm: z0, height of the nut when the last screw is tightened.
        heights_mm: the heights that the nut visits, z0 among them or not.
        length_mm: L of `side_n_per_mm`.
        core_diameter_mm: as there.
        side_force_n: F, the sideways force that is still allowed.
        float_mm: how far the nut's mount slides sideways by itself, either way.
        pivot_deg: how far a pivoting screw's coupling bends.
        modulus_n_per_mm2: E.

    Returns:
        The smallest offset over the heights, and the lean.

    Raises:
        InputError: as `side_n_per_mm`; a force or float below zero.

    Source:
        Statics of the screw as a beam; the nut is taken as rigid.
    """
    not_below_zero(side_force_n=side_force_n, float_mm=float_mm)
    between(0, 10, "Take what the coupling's maker allows.", pivot_deg=pivot_deg)
    offsets, leans = [inf], [inf]
    for at_mm in heights_mm:
        stiffness = side_n_per_mm(
            fixing,
            at_mm=at_mm,
            length_mm=length_mm,
            core_diameter_mm=core_diameter_mm,
            modulus_n_per_mm2=modulus_n_per_mm2,
        )
        yields = at_mm * tan(radians(pivot_deg)) if stiffness == 0 else side_force_n / stiffness
        offset = float_mm + yields
        offsets.append(offset)
        if at_mm != aligned_at_mm:
            leans.append(offset / abs(at_mm - aligned_at_mm))
    return Permitted(min(offsets), min(leans))


def droop_mm(*, clearance_mm: float, spacing_mm: float, span_mm: float) -> float:
    """How far the far end of a beam hangs by the clearance of the carriage at the other.

        x = c S / s

    Args:
        clearance_mm: c, between upper and lower roller and the guide.
        spacing_mm: s, from upper to lower roller.
        span_mm: S, from the carriage to the far end.

    Raises:
        InputError: a length not above zero, or a clearance below.

    Source:
        Geometry, small angles.

    Example:
        >>> round(droop_mm(clearance_mm=0.05, spacing_mm=70, span_mm=400), 3)
        0.286
    """
    not_below_zero(clearance_mm=clearance_mm)
    above_zero(spacing_mm=spacing_mm, span_mm=span_mm)
    return clearance_mm * span_mm / spacing_mm


def jamming_ratio(*, friction: float) -> float:
    """Arm of the force over spacing of the guides beyond which a plain guide jams.

        a / s = 1 / (2 μ)

    Raises:
        InputError: friction not above zero.

    Source:
        Statics of a carriage on two points with friction; the 2:1 rule is that at μ = 0.25.

    Example:
        >>> jamming_ratio(friction=0.25)
        2.0
    """
    above_zero(friction=friction)
    return 1 / (2 * friction)


def wall_lean_mm(*, difference_mm: float, span_mm: float, height_mm: float) -> float:
    """How far the top of a printed wall leans when one end of the gantry stands higher.

        x = H δ / S        tilt = δ / S

    Args:
        difference_mm: δ, right end less left end.
        span_mm: S, between them.
        height_mm: H, of the wall.

    Raises:
        InputError: span or height not above zero.

    Source:
        Geometry, small angles.

    Example:
        >>> round(wall_lean_mm(difference_mm=0.2, span_mm=400, height_mm=100), 3)
        0.05
    """
    above_zero(span_mm=span_mm, height_mm=height_mm)
    return height_mm * difference_mm / span_mm
