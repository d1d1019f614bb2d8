"""Sag, shear and twist of beams, against handbook closed forms and values.

Unit beams: E I = 1, L = 1, load 1. Roark's Formulas for Stress and Strain, tables 8.1 and 10.1,
and Timoshenko, from memory; each was also met by a beam of 100 finite elements.
"""

from math import isclose

import pytest

from plumbrise.elements import beam, sections

UNIT = {"force_n": 1, "length_mm": 1, "bending_stiffness_nmm2": 1}


def test_BEA_01_cantilever_with_end_force():
    """Roark, table 8.1: deflection 1/3, slope 1/2; closed form, 1e-9."""
    assert beam.sag_mm("cantilever", **UNIT) == pytest.approx(1 / 3, rel=1e-9)
    assert beam.end_slope_rad("cantilever", **UNIT) == pytest.approx(1 / 2, rel=1e-9)


def test_BEA_02_cantilever_with_end_moment():
    """Roark, table 8.1: deflection 1/2, slope 1; closed form, 1e-9."""
    found = beam.moment_sag_mm(moment_nmm=1, length_mm=1, bending_stiffness_nmm2=1)
    assert found == pytest.approx((1 / 2, 1), rel=1e-9)


def test_BEA_03_cantilever_with_a_spread_load():
    """Roark, table 8.1: 1/8; closed form, 1e-9."""
    assert beam.sag_mm("cantilever-spread", **UNIT) == pytest.approx(1 / 8, rel=1e-9)


def test_BEA_04_cantilever_with_a_force_on_the_way():
    """Roark, table 8.1, a 0.4: 0.069333; closed form, last digit."""
    assert beam.sag_mm("cantilever-at", at_mm=0.4, **UNIT) == pytest.approx(0.069333, abs=5e-7)


def test_BEA_05_end_that_slides_but_does_not_turn():
    """Roark, table 8.1: 1/12; closed form, 1e-9."""
    assert beam.sag_mm("guided", **UNIT) == pytest.approx(1 / 12, rel=1e-9)


def test_BEA_06_supported_with_a_force_in_the_middle():
    """Roark, table 8.1: deflection 1/48, end slope 1/16; closed form, 1e-9."""
    assert beam.sag_mm("supported", **UNIT) == pytest.approx(1 / 48, rel=1e-9)
    assert beam.end_slope_rad("supported", **UNIT) == pytest.approx(1 / 16, rel=1e-9)


def test_BEA_07_supported_with_a_force_on_the_way():
    """Roark, table 8.1, a 0.3: 0.0147; closed form, last digit."""
    assert beam.sag_mm("supported-at", at_mm=0.3, **UNIT) == pytest.approx(0.0147, abs=5e-5)


def test_BEA_08_supported_with_a_spread_load():
    """Roark, table 8.1: 5/384; closed form, 1e-9."""
    assert beam.sag_mm("supported-spread", **UNIT) == pytest.approx(5 / 384, rel=1e-9)


def test_BEA_09_clamped_at_both_ends():
    """Roark, table 8.1: 1/192; closed form, 1e-9."""
    assert beam.sag_mm("clamped", **UNIT) == pytest.approx(1 / 192, rel=1e-9)


def test_BEA_10_clamped_and_propped():
    """Roark, table 8.1: 7/768; closed form, 1e-9."""
    assert beam.sag_mm("propped", **UNIT) == pytest.approx(7 / 768, rel=1e-9)


def test_BEA_11_overhang():
    """Roark, table 8.1, a 0.4: 0.0746667; closed form, last digit."""
    assert beam.sag_mm("overhang", at_mm=0.4, **UNIT) == pytest.approx(0.0746667, abs=5e-8)


def test_BEA_12_a_guided_end_is_an_end_force_less_the_moment_that_levels_it():
    """Superposition: the end force turns the end by 1/2, a moment of 1/2 turns it back."""
    turned = beam.end_slope_rad("cantilever", **UNIT)
    back, _ = beam.moment_sag_mm(moment_nmm=turned, length_mm=1, bending_stiffness_nmm2=1)
    levelled = beam.sag_mm("cantilever", **UNIT) - back
    assert levelled == pytest.approx(beam.sag_mm("guided", **UNIT), rel=1e-9)


def test_BEA_20_rectangular_tube():
    """40 x 20 x 2: A 224, I 44 458.7 and 14 378.7, J by Bredt 33 418.3; closed form, 0.1."""
    tube = sections.tube(width_mm=20, height_mm=40, wall_mm=2)
    assert tube.area_mm2 == 224
    assert tube.tall_mm4 == pytest.approx(44458.7, abs=0.1)
    assert tube.flat_mm4 == pytest.approx(14378.7, abs=0.1)
    assert tube.torsion_mm4 == pytest.approx(33418.3, abs=0.1)


@pytest.mark.parametrize(
    ("ratio", "c1", "c2"),
    [
        (1, 0.2082, 0.1406),
        (1.5, 0.2310, 0.1958),
        (2, 0.2459, 0.2287),
        (2.5, 0.2576, 0.2494),
        (3, 0.2672, 0.2633),
        (4, 0.2817, 0.2808),
        (6, 0.2984, 0.2983),
        (10, 0.3123, 0.3123),
        (1e5, 0.3333, 0.3333),
    ],
)
def test_BEA_21_torsion_of_a_solid_rectangle(ratio, c1, c2):
    """Timoshenko and Goodier, Theory of Elasticity, from memory; 1e-4. The print has 0.299 for
    c1 at 6, a rounding; the series gives 0.2984."""
    assert sections.rectangle_torsion(ratio=ratio) == pytest.approx((c1, c2), abs=1e-4)


def test_BEA_22_short_formula_for_the_torsion_of_a_rectangle():
    """Roark, table 10.1, sides 2 to 1: c2 0.22888; from memory, 1e-4 (the digits printed)."""
    assert sections.rectangle_torsion_short(ratio=2) == pytest.approx(0.22888, abs=1e-5)


@pytest.mark.parametrize(
    ("coefficient", "expected"),
    [
        (sections.rectangle_shear, 0.8497),
        (sections.round_shear, 0.8864),
        (sections.thin_pipe_shear, 0.5306),
    ],
)
def test_BEA_23_shear_coefficient(coefficient, expected):
    """G. R. Cowper, J. Appl. Mech. 33 (1966) 335, ν 0.3; from memory, 1e-4."""
    assert coefficient(poisson=0.3) == pytest.approx(expected, abs=1e-4)


def test_BEA_24_shear_share_of_a_short_cantilever():
    """L/h 5, ν 0.3, κ 0.8497: shear is 3.06 % of bending; closed form, 0.01."""
    bar = sections.bar(width_mm=10, height_mm=20, poisson=0.3)
    modulus, shear_modulus = 1.0, 1 / 2.6
    bending = beam.sag_mm(
        "cantilever", force_n=1, length_mm=100, bending_stiffness_nmm2=modulus * bar.tall_mm4
    )
    shear = beam.shear_sag_mm(
        "cantilever",
        force_n=1,
        length_mm=100,
        shear_stiffness_n=0.8497 * shear_modulus * bar.area_mm2,
    )
    assert isclose(bar.tall_shear, 0.8497, abs_tol=1e-4)
    assert 100 * shear / bending == pytest.approx(3.06, abs=0.01)


def test_BEA_25_tube_on_edge_as_a_cantilever():
    """10 N at 300 mm on the tube of BEA-20, E 70 GPa: 0.028919 mm; closed form, 1e-5."""
    tube = sections.tube(width_mm=20, height_mm=40, wall_mm=2)
    found = beam.sag_mm(
        "cantilever", force_n=10, length_mm=300, bending_stiffness_nmm2=70e3 * tube.tall_mm4
    )
    assert found == pytest.approx(0.028919, abs=1e-5)
    stiffness = beam.cantilever_n_per_mm(bending_stiffness_nmm2=70e3 * tube.tall_mm4, length_mm=300)
    assert 10 / stiffness == pytest.approx(0.028919, abs=1e-5)
