"""Frames give way as finite elements say, and less the more they are held."""

from dataclasses import replace
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements.bracing import brace_n_per_mm, gusset_nmm_per_rad, panel_n_per_mm
from plumbrise.elements.frame import (
    Portal,
    foot_twist_mm,
    joint_nmm_per_rad,
    lean_mm,
    portal_n_per_mm,
    portal_reads_mm,
)
from plumbrise.errors import InputError

PORTAL = Portal(
    upright_nmm2=3e9,
    height_mm=400,
    span_mm=340,
    beam_nmm2=5e8,
    foot_nmm_per_rad=4e6,
    corner_nmm_per_rad=2e6,
)
JOINTS = st.floats(1e3, 1e9)
PORTALS = st.builds(
    Portal,
    upright_nmm2=st.floats(1e8, 1e11),
    height_mm=st.floats(100, 1000),
    span_mm=st.floats(100, 1000),
    beam_nmm2=st.floats(1e7, 1e11) | st.just(inf),
    foot_nmm_per_rad=JOINTS | st.just(inf),
    corner_nmm_per_rad=JOINTS | st.just(inf),
)


def solved(plane_frame, portal, at_share=1.0):
    """Sideways at a share of the left upright's height, for 1 N at the top."""
    h, span = portal.height_mm, portal.span_mm
    nodes = [(0, 0), (0, h * at_share), (0, h), (0, h), (span, h), (span, h), (span, 0)]
    e = portal.upright_nmm2
    bars = [(0, 1, e), (1, 2, e), (3, 4, portal.beam_nmm2), (5, 6, e)]
    stiff = 1e12
    # corners are two nodes at one place: they move together and turn against a spring
    nodes_moved_together = ((2, 3), (4, 5))
    springs = [(2, 3, portal.corner_nmm_per_rad), (4, 5, portal.corner_nmm_per_rad)]
    springs += [(0, None, portal.foot_nmm_per_rad), (6, None, portal.foot_nmm_per_rad)]
    held = [(0, 0), (0, 1), (6, 0), (6, 1)]
    ties = [(a, b, stiff) for a, b in nodes_moved_together]
    moved = plane_frame(nodes, bars, held, {(2, 0): 1.0}, springs, axial=1e10, ties=ties)
    return moved[1, 0], moved[2, 0]


@pytest.mark.parametrize("share", [0.25, 0.5, 0.9])
@pytest.mark.parametrize("foot", [4e6, 1e12])
def test_a_portal_gives_way_as_finite_elements_say(plane_frame, share, foot):
    portal = replace(PORTAL, foot_nmm_per_rad=foot)
    there, top = solved(plane_frame, portal, share)
    assert 1 / portal_n_per_mm(portal) == pytest.approx(top, rel=1e-3)
    reads = portal_reads_mm(portal, push_n=1, at_mm=share * portal.height_mm)
    assert reads == pytest.approx(there, rel=1e-3)


@given(PORTALS)
def test_a_push_reads_nothing_at_the_foot_and_all_of_it_at_the_top(portal):
    assert portal_reads_mm(portal, push_n=10, at_mm=0) == 0
    top = portal_reads_mm(portal, push_n=10, at_mm=portal.height_mm)
    assert top == pytest.approx(10 / portal_n_per_mm(portal))


@given(
    PORTALS,
    st.floats(1.1, 10),
    st.sampled_from(["beam_nmm2", "foot_nmm_per_rad", "corner_nmm_per_rad"]),
)
def test_a_stiffer_beam_or_joint_never_makes_the_frame_softer(portal, factor, part):
    stiffer = replace(portal, **{part: factor * getattr(portal, part)})
    assert portal_n_per_mm(stiffer) >= portal_n_per_mm(portal) * (1 - 1e-9)


@given(PORTALS)
def test_no_portal_is_stiffer_than_one_that_is_rigid_but_for_its_uprights(portal):
    rigid = replace(portal, beam_nmm2=inf, foot_nmm_per_rad=inf, corner_nmm_per_rad=inf)
    assert portal_n_per_mm(portal) <= portal_n_per_mm(rigid) * (1 + 1e-9)
    uprights_alone = replace(portal, beam_nmm2=0.0)
    assert portal_n_per_mm(uprights_alone) <= portal_n_per_mm(portal) * (1 + 1e-9)


def test_a_frame_of_hinges_does_not_stand():
    hinges = replace(PORTAL, foot_nmm_per_rad=0.0, corner_nmm_per_rad=0.0)
    assert portal_n_per_mm(hinges) == 0
    with pytest.raises(InputError, match="brace"):
        portal_reads_mm(hinges, push_n=1, at_mm=100)


@given(st.floats(1e4, 1e9))
def test_joints_are_found_again_from_what_a_push_reads(joint):
    portal = replace(PORTAL, foot_nmm_per_rad=joint, corner_nmm_per_rad=joint)
    reads = 10 / portal_n_per_mm(portal)
    found = joint_nmm_per_rad(PORTAL, push_n=10, reads_mm=reads)
    assert found == pytest.approx(joint, rel=1e-3)


def test_a_frame_stiffer_than_rigid_joints_allow_says_no_limit():
    assert joint_nmm_per_rad(PORTAL, push_n=1e6, reads_mm=1e-3) == inf


@pytest.mark.parametrize("part", ["upright_nmm2", "height_mm", "span_mm"])
def test_a_portal_without_size_is_refused_by_name(part):
    with pytest.raises(InputError, match=part):
        portal_n_per_mm(replace(PORTAL, **{part: 0.0}))


@given(st.floats(50, 800), st.floats(50, 800))
def test_a_brace_holds_best_lying_flat(bay, height):
    leaning = brace_n_per_mm(axial_stiffness_n=1e6, bay_mm=bay, height_mm=height)
    assert leaning < brace_n_per_mm(axial_stiffness_n=1e6, bay_mm=bay, height_mm=height / 2)


@given(st.floats(100, 1e6))
def test_a_brace_or_panel_is_never_stiffer_than_what_fastens_it(fastener):
    brace = brace_n_per_mm(axial_stiffness_n=1e6, bay_mm=300, height_mm=400, end_n_per_mm=fastener)
    panel = panel_n_per_mm(
        shear_modulus_n_per_mm2=26e3,
        thickness_mm=2,
        width_mm=300,
        height_mm=400,
        edge_n_per_mm=fastener,
    )
    assert brace < fastener / 2
    assert panel < fastener / 2


@given(st.floats(10, 200), st.floats(10, 1e5))
def test_twice_the_leg_of_a_gusset_is_four_times_as_stiff(leg, fastener):
    short, long = (gusset_nmm_per_rad(leg_mm=a, fastener_n_per_mm=fastener) for a in (leg, 2 * leg))
    assert long == pytest.approx(4 * short)


def test_two_panels_one_on_the_other_give_way_twice_as_far():
    half, whole = (
        panel_n_per_mm(shear_modulus_n_per_mm2=26e3, thickness_mm=2, width_mm=340, height_mm=h)
        for h in (200, 400)
    )
    assert 1 / whole == pytest.approx(2 / half)


@given(st.floats(-5, 5), st.floats(10, 1000))
def test_leaning_left_and_right_are_mirror_images(angle, height):
    assert lean_mm(angle_deg=angle, height_mm=height) == -lean_mm(
        angle_deg=-angle, height_mm=height
    )


def test_a_foot_that_stands_twists_nothing():
    assert foot_twist_mm(foot_gap_mm=0, depth_mm=400, height_mm=400) == 0
