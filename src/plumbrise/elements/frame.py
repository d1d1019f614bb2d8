"""How far a frame gives way sideways, by its bars and its joints, and what a push reads."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, isinf, radians, tan

from plumbrise.elements.ranges import above_zero, between, not_below_zero
from plumbrise.errors import InputError


@dataclass(frozen=True, slots=True)
class Portal:
    """Two uprights and the beam that joins their tops, pushed sideways at the top.

    Joints give way by turning: `foot_nmm_per_rad` and `corner_nmm_per_rad` are moment per angle
    of one joint, `inf` where it is rigid, 0 where it is a hinge. A rigid beam is `inf`.
    """

    upright_nmm2: float
    height_mm: float
    span_mm: float
    beam_nmm2: float = inf
    foot_nmm_per_rad: float = inf
    corner_nmm_per_rad: float = inf


def portal_n_per_mm(portal: Portal) -> float:
    """Force at the top for each millimetre that it goes sideways.

        k = 24 E I / h³ · (u + w - u w) / (12 - 8 u - 8 w + 5 u w)

        u = f / (1 + f)    f = c_foot h / E I
        w = b / (1 + b)    b = h / E I / (1 / c_corner + L / 6 E I_beam)

    u and w say how far feet and corners are held, from 0 (hinge) to 1 (rigid). Bending only: bars
    keep their length, and shear is left out.

    Raises:
        InputError: a length or stiffness not above zero, or a joint below zero.

    Source:
        Slope and deflection of the upright; with rigid feet A. K. Chopra, Dynamics of Structures,
        eq. 1.3.5.

    Example:
        Rigid feet, beam as long as the uprights are high and as stiff, E I / h³ = 1:

        >>> round(portal_n_per_mm(Portal(upright_nmm2=1, height_mm=1, span_mm=1, beam_nmm2=1)), 9)
        16.8
    """
    u, w = _held(portal)
    stiffness = 24 * portal.upright_nmm2 / portal.height_mm**3
    return stiffness * (u + w - u * w) / (12 - 8 * u - 8 * w + 5 * u * w)


def portal_reads_mm(portal: Portal, *, push_n: float, at_mm: float) -> float:
    """What a gauge reads at a height of an upright, pushed sideways at the top.

        x = Δ (3 s² - 2 s³) + h θ_foot (s - 2 s² + s³) + h θ_top (s³ - s²)    s = at / h

    Args:
        portal: the frame.
        push_n: the push, at the top.
        at_mm: height of the gauge's tip above the foot.

    Raises:
        InputError: as `portal_n_per_mm`, or a height beyond the upright.

    Source:
        Cubic through the ends' places and slopes, exact for a bar that is loaded at its ends.
    """
    not_below_zero(push_n=push_n)
    stiffness = portal_n_per_mm(portal)
    between(0, portal.height_mm, "Give a height on the upright.", at_mm=at_mm)
    if stiffness == 0:
        raise InputError(
            place="corner_nmm_per_rad",
            value=portal.corner_nmm_per_rad,
            allowed="above 0 where the feet are hinges",
            remedy="A frame of hinges stands up only with a brace.",
        )
    top_mm = push_n / stiffness
    u, w = _held(portal)
    share = 6 / (12 - 8 * u - 8 * w + 5 * u * w)  # θ of a joint over Δ / h
    foot, corner = share * (1 - u) * (2 - w), share * (1 - w) * (2 - u)
    s = at_mm / portal.height_mm
    return top_mm * (3 * s**2 - 2 * s**3 + foot * (s - 2 * s**2 + s**3) + corner * (s**3 - s**2))


def _held(portal: Portal) -> tuple[float, float]:
    """How far the feet and the corners are held, 0 to 1."""
    above_zero(upright_nmm2=portal.upright_nmm2, height_mm=portal.height_mm, span_mm=portal.span_mm)
    for place, value in (
        ("beam_nmm2", portal.beam_nmm2),
        ("foot_nmm_per_rad", portal.foot_nmm_per_rad),
        ("corner_nmm_per_rad", portal.corner_nmm_per_rad),
    ):
        if not value >= 0:  # inf is a rigid one
            raise InputError(
                place=place, value=value, allowed="0 or more", remedy="0 is a hinge, inf is rigid."
            )
    bar = portal.upright_nmm2 / portal.height_mm
    gives = _inverse(portal.corner_nmm_per_rad) + portal.span_mm / 6 * _inverse(portal.beam_nmm2)
    return _fixity(portal.foot_nmm_per_rad / bar), _fixity(_inverse(gives) / bar)


def _inverse(value: float) -> float:
    return inf if value == 0 else 1 / value


def _fixity(ratio: float) -> float:
    return 1.0 if isinf(ratio) else ratio / (1 + ratio)


def columns_n_per_mm(*, count: int, bending_stiffness_nmm2: float, height_mm: float) -> float:
    """Uprights held against turning at both ends, side by side.

        k = n · 12 E I / h³

    Raises:
        InputError: none of them, or a height or stiffness not above zero.

    Source:
        A. K. Chopra, Dynamics of Structures, example 1.2.
    """
    above_zero(count=count, bending_stiffness_nmm2=bending_stiffness_nmm2, height_mm=height_mm)
    return count * 12 * bending_stiffness_nmm2 / height_mm**3


def lean_mm(*, angle_deg: float, height_mm: float) -> float:
    """How far the top of an upright is out when its corner is out by an angle.

        x = h tan γ

    Raises:
        InputError: height not above zero, or an angle of 45° or more.

    Example:
        >>> round(lean_mm(angle_deg=0.1, height_mm=350), 3)
        0.611
    """
    above_zero(height_mm=height_mm)
    between(-45, 45, "Measure the corner again.", angle_deg=angle_deg)
    return height_mm * tan(radians(angle_deg))


def foot_twist_mm(*, foot_gap_mm: float, depth_mm: float, height_mm: float) -> float:
    """How far the tops of the uprights go apart, front to back, on a floor where one foot hangs.

        x = h g / d

    At most: a stiff frame rocks on three feet instead of twisting.

    Args:
        foot_gap_mm: g, what the feeler says under the fourth foot.
        depth_mm: d, from front feet to back feet.
        height_mm: h, of the uprights.

    Raises:
        InputError: a length not above zero, or a gap below.

    Source:
        Geometry: that side's rails tilt by g / d, the other side's do not.

    Example:
        >>> foot_twist_mm(foot_gap_mm=0.2, depth_mm=400, height_mm=400)
        0.2
    """
    above_zero(depth_mm=depth_mm, height_mm=height_mm)
    not_below_zero(foot_gap_mm=foot_gap_mm)
    return height_mm * foot_gap_mm / depth_mm


def joint_nmm_per_rad(portal: Portal, *, push_n: float, reads_mm: float) -> float:
    """How stiff all four joints are, each like the others, if a push at the top reads so much.

    The one stiffness between a hinge and a rigid joint at which `portal_n_per_mm` gives the
    push over the reading; `inf` if the frame reads no more than with rigid joints.

    Args:
        portal: the frame; what it says of its joints is left out.
        push_n: the push at the top.
        reads_mm: what the gauge reads at the top.

    Raises:
        InputError: a quantity not above zero.

    Source:
        `portal_n_per_mm`, which grows with the joints, solved by halving.
    """
    above_zero(push_n=push_n, reads_mm=reads_mm)

    def too_stiff(exponent: float) -> bool:
        joint = 10**exponent
        held = replace(portal, foot_nmm_per_rad=joint, corner_nmm_per_rad=joint)
        return portal_n_per_mm(held) > push_n / reads_mm

    low, high = -12.0, 18.0
    if not too_stiff(high):
        return inf
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if too_stiff(middle) else (middle, high)
    return float(10**high)
