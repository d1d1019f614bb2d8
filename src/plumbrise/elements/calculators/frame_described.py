"""What the inputs of a frame come to: uprights, joints, and what stands beside them."""

from __future__ import annotations

from math import pi

from plumbrise.elements import bracing, frame
from plumbrise.elements.frame import Portal
from plumbrise.elements.materials import MATERIALS
from plumbrise.elements.sections import EXTRUSIONS
from plumbrise.elements.springs import side_by_side_n_per_mm
from plumbrise.elements.worked import Given


def portal_of(given: Given) -> Portal:
    """The frame as uprights, beam and joints."""
    aluminium = MATERIALS["aluminium"].modulus_n_per_mm2
    upright, top = EXTRUSIONS[given.word("upright")], EXTRUSIONS[given.word("top")]
    tall = given.word("upright_way") == "tall"
    joint = given.number("joint_nmm_per_rad") + gusset_nmm_per_rad(given)
    return Portal(
        upright_nmm2=aluminium * (upright.tall_mm4 if tall else upright.flat_mm4),
        height_mm=given.number("height_mm"),
        span_mm=given.number("span_mm"),
        beam_nmm2=aluminium * top.tall_mm4,
        foot_nmm_per_rad=joint,
        corner_nmm_per_rad=joint,
    )


def with_joints(given: Given, factor: float) -> Given:
    """The frame with all joints and screws so many times as stiff."""
    names = ("joint_nmm_per_rad", "fastener_n_per_mm")
    return Given({**given.values, **{name: factor * given.number(name) for name in names}})


def gusset_nmm_per_rad(given: Given) -> float:
    """What a gusset adds to each joint; 0 without one."""
    leg = given.known("gusset_mm")
    if leg is None:
        return 0.0
    fastener = given.number("fastener_n_per_mm")
    return bracing.gusset_nmm_per_rad(leg_mm=leg, fastener_n_per_mm=fastener)


def braces_n_per_mm(given: Given) -> float:
    """What the diagonals add; 0 without one."""
    diameter = given.known("brace_mm")
    if diameter is None:
        return 0.0
    return given.count("braces") * bracing.brace_n_per_mm(
        axial_stiffness_n=MATERIALS["steel"].modulus_n_per_mm2 * pi * diameter**2 / 4,
        bay_mm=given.number("span_mm"),
        height_mm=given.number("height_mm"),
        end_n_per_mm=given.number("fastener_n_per_mm"),
    )


def panel_n_per_mm(given: Given) -> float:
    """What a panel adds at most; 0 without one."""
    thickness = given.known("panel_mm")
    if thickness is None:
        return 0.0
    return bracing.panel_n_per_mm(
        shear_modulus_n_per_mm2=MATERIALS["aluminium"].shear_modulus_n_per_mm2,
        thickness_mm=thickness,
        width_mm=given.number("span_mm"),
        height_mm=given.number("height_mm"),
        edge_n_per_mm=given.count("panel_screws") * given.number("fastener_n_per_mm"),
    )


def reads_mm(given: Given) -> float:
    """What the gauge reads; a brace or panel takes its share of the push."""
    portal = portal_of(given)
    stiffness = frame.portal_n_per_mm(portal)
    total = side_by_side_n_per_mm((stiffness, braces_n_per_mm(given), panel_n_per_mm(given)))
    at_mm = given.known("gauge_mm")
    return frame.portal_reads_mm(
        portal,
        push_n=given.number("push_n") * stiffness / total,
        at_mm=portal.height_mm if at_mm is None else at_mm,
    )
