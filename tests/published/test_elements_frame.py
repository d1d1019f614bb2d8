"""Frames pushed sideways, against a textbook's examples and closed forms.

A. K. Chopra, Dynamics of Structures, from memory, recomputed; a plane frame solver gave the same.
"""

from math import inf

import pytest

from plumbrise.elements.bracing import brace_n_per_mm
from plumbrise.elements.frame import Portal, columns_n_per_mm, lean_mm, portal_n_per_mm
from plumbrise.elements.springs import side_by_side_n_per_mm


def test_FRM_01_rigid_beam_and_clamped_feet():
    """Chopra, section 1.3: k = 24 E I / h³; 1e-6."""
    portal = Portal(upright_nmm2=1, height_mm=1, span_mm=1, beam_nmm2=inf)
    assert portal_n_per_mm(portal) == pytest.approx(24, rel=1e-6)


def test_FRM_02_beam_twice_as_long_as_the_uprights():
    """Chopra, example 1.1: k = 96/7 E I / h³; 1e-6."""
    portal = Portal(upright_nmm2=1, height_mm=1, span_mm=2, beam_nmm2=1)
    assert portal_n_per_mm(portal) == pytest.approx(96 / 7, rel=1e-6)


@pytest.mark.parametrize(("span", "beam", "expected"), [(1, 1, 16.8), (3, 2, 15.0)])
def test_FRM_03_beam_and_uprights_that_both_bend(span, beam, expected):
    """Chopra, eq. 1.3.5, in E I / h³ of an upright; 1e-6."""
    portal = Portal(upright_nmm2=1, height_mm=1, span_mm=span, beam_nmm2=beam)
    assert portal_n_per_mm(portal) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(("span", "beam", "expected"), [(1, inf, 6), (1, 1, 4), (2, 1, 3)])
def test_FRM_04_feet_on_hinges(span, beam, expected):
    """Moment area: 6 E I / h³ / (1 + L / 2h); closed form, 1e-6."""
    portal = Portal(upright_nmm2=1, height_mm=1, span_mm=span, beam_nmm2=beam, foot_nmm_per_rad=0)
    assert portal_n_per_mm(portal) == pytest.approx(expected, rel=1e-6)


def test_FRM_05_four_columns():
    """Chopra, example 1.2: W8x24, I 82.8 in⁴, 12 ft, 29e3 ksi: 38.6 kip/in, last digit. The unit
    is that of the inputs, kip and inch."""
    found = columns_n_per_mm(count=4, bending_stiffness_nmm2=29e3 * 82.8, height_mm=144)
    assert found == pytest.approx(38.6, abs=0.05)


def test_FRM_06_diagonal_rods():
    """Chopra, example 1.2: rod of 1 in (its area rounded to 0.785 in²), bay 20 by 12 ft: 59.8 kip/in,
    two bays 119.6; last digit."""
    rod = brace_n_per_mm(axial_stiffness_n=29e3 * 0.785, bay_mm=240, height_mm=144)
    assert rod == pytest.approx(59.8, abs=0.05)
    assert side_by_side_n_per_mm([rod, rod]) == pytest.approx(119.6, abs=0.05)


def test_FRM_07_a_brace_stands_beside_the_frame():
    """Statics: stiffnesses add, exactly; closed form."""
    assert side_by_side_n_per_mm([38.5, 119.5]) == 158.0


def test_FRM_08_rigid_bars_and_corners_that_turn():
    """Virtual work: four corners of stiffness c give 4 c / h²; closed form, 1e-9."""
    portal = Portal(
        upright_nmm2=1e20,
        height_mm=400,
        span_mm=340,
        foot_nmm_per_rad=3e6,
        corner_nmm_per_rad=3e6,
    )
    assert portal_n_per_mm(portal) == pytest.approx(4 * 3e6 / 400**2, rel=1e-9)


def test_FRM_09_corner_out_by_a_tenth_of_a_degree():
    """Geometry: 0.1° over 350 mm is 0.611 mm; closed form, 1e-3."""
    assert lean_mm(angle_deg=0.1, height_mm=350) == pytest.approx(0.611, abs=1e-3)
