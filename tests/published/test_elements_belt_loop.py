"""Belt loops: lengths, meshes, tones and wind-up against handbooks, closed forms and hulls.

Closed forms and identities, recomputed; where a second route was run (perimeter of the convex hull
of the circles) it is named. Tolerances are those of the printed digits.
"""

from math import hypot, pi

import pytest

from plumbrise.elements import belt_drive, belt_pair, belt_tension
from plumbrise.elements.belt_loop import loop
from plumbrise.elements.belt_pulley import Pulley, pitch_diameter_mm


def _toothed(name, x_mm, y_mm, teeth):
    return Pulley(name=name, x_mm=x_mm, y_mm=y_mm, teeth=teeth)


def _pair(distance_mm, teeth=20, other_teeth=20):
    return (_toothed("left", 0, 0, teeth), _toothed("right", distance_mm, 0, other_teeth))


@pytest.mark.parametrize(
    ("teeth", "diameter_mm"),
    [(16, 10.186), (20, 12.732), (36, 22.918), (40, 25.465), (60, 38.197)],
)
def test_BLT_01_pitch_diameter(teeth, diameter_mm):
    """z p / π at 2 mm pitch; form of ISO 5294, closed form, 0.0005 mm."""
    assert pitch_diameter_mm(teeth=teeth) == pytest.approx(diameter_mm, abs=0.0005)


def test_BLT_02_open_belt_on_unequal_pulleys():
    """40 and 20 teeth, centres 100 mm: 260.4054 mm, wrap 172.700°, the shop's approximation gives
    260.4053; Shigley eq. 17-1 and 17-2, and the convex hull gives 260.40542; 1e-4."""
    large, small = pitch_diameter_mm(teeth=40), pitch_diameter_mm(teeth=20)
    found = loop(_pair(100, 40, 20))
    formula = belt_pair.length_mm(
        centre_distance_mm=100, diameter_mm=large, other_diameter_mm=small
    )
    assert found.length_mm == pytest.approx(260.4054, abs=1e-4)
    assert formula == pytest.approx(260.4054, abs=1e-4)
    assert formula == pytest.approx(260.4053, abs=2e-4)
    assert found.arcs[found.at("right")].wrap_deg == pytest.approx(172.700, abs=0.0005)


def test_BLT_03_open_belt_on_equal_pulleys():
    """20 teeth, centres 350 mm: 2 C + z p = 740 mm; same source, closed form, 1e-9."""
    assert loop(_pair(350)).length_mm == pytest.approx(740, rel=1e-9)


def test_BLT_04_centre_distance_for_a_belt():
    """280 mm round 20 and 40 teeth: 109.8154 mm; same source, inverted, 1e-4."""
    found = belt_pair.centre_distance_mm(belt_length_mm=280, teeth=20, other_teeth=40)
    assert found == pytest.approx(109.8154, abs=1e-4)


def test_BLT_05_teeth_in_mesh():
    """The pair of BLT-02 has 9.59 teeth, so 9, in mesh on the small pulley; ISO 5295, from
    memory, exact after cutting to whole teeth."""
    found = loop(_pair(100, 40, 20))
    arc = found.arcs[found.at("right")]
    assert arc.teeth_in_mesh == 9
    assert 20 * arc.wrap_deg / 360 == pytest.approx(9.59, abs=0.005)


def test_BLT_06_three_equal_pulleys():
    """20 teeth at the corners of a triangle 350, 200, 250: perimeter + z p = 840 mm; Steiner's
    formula for parallel bodies, and the hull gives 840.000; 1e-9."""
    x = (350**2 + 200**2 - 250**2) / (2 * 350)
    y = (200**2 - x**2) ** 0.5
    assert hypot(350 - x, y) == pytest.approx(250)
    three = (_toothed("a", 0, 0, 20), _toothed("b", 350, 0, 20), _toothed("c", x, y, 20))
    assert loop(three).length_mm == pytest.approx(840, rel=1e-9)


def test_BLT_07_inner_idler():
    """20 teeth at 0 and 350, a 16-tooth idler at (175, 60): 759.1677 mm; hull of circles by its
    support function, 1e-3."""
    found = loop((*_pair(350), _toothed("idler", 175, 60, 16)))
    assert found.length_mm == pytest.approx(759.1677, abs=1e-3)


def test_BLT_08_back_idler():
    """A smooth roller of radius 6 on the back of the upper span at (175, 10): 740.0320 mm; where
    it just touches, 740.000; internal tangents and three arcs, 1e-4."""
    roller = Pulley(name="roller", x_mm=175, y_mm=10, diameter_mm=12, outside=True)
    touching = Pulley(name="roller", x_mm=175, y_mm=20 / pi + 6, diameter_mm=12, outside=True)
    assert loop((*_pair(350), roller)).length_mm == pytest.approx(740.0320, abs=1e-4)
    assert loop((*_pair(350), touching)).length_mm == pytest.approx(740.000, abs=1e-4)


def test_BLT_09_tone_of_a_span():
    """350 mm, 25 N, 8.5 g/m: 77.48 Hz, and back by T = 4 μ l² f²; string, closed form, 0.01."""
    tone = belt_tension.span_frequency_hz(tension_n=25, mass_g_per_m=8.5, length_mm=350)
    assert tone == pytest.approx(77.48, abs=0.01)
    back = belt_tension.span_tension_n(frequency_hz=77.48, mass_g_per_m=8.5, length_mm=350)
    assert back == pytest.approx(25, abs=0.01)


def test_BLT_10_wind_up():
    """2 E A r²/L with 10 kN, 20 teeth, 350 mm: 2315.9 N·mm/rad; 20 N·mm wind up 11.0 µm at a lead
    of 8 mm; springs, closed form, 0.1."""
    stiffness = belt_drive.torsional_nmm_per_rad(axial_stiffness_n=10e3, teeth=20, length_mm=350)
    assert stiffness == pytest.approx(2315.9, abs=0.1)
    found = belt_drive.wind_up(
        loop(_pair(350)), axial_stiffness_n=10e3, held="left", torques_nmm={"right": 20}
    )
    height = belt_drive.left_right_mm(found, left="left", right="right", lead_mm=8)
    assert height * 1000 == pytest.approx(11.0, abs=0.1)


@pytest.mark.parametrize(("teeth", "height_mm"), [(20, 0.400), (36, 0.222)])
def test_BLT_11_tooth_skip(teeth, height_mm):
    """Lead over teeth at a lead of 8 mm; arithmetic, to the printed digit."""
    found = belt_drive.tooth_offset_mm(lead_mm=8, screw_teeth=teeth)
    assert round(found, 3) == height_mm


@pytest.mark.parametrize(("wrap_deg", "load_n"), [(180, 50.0), (60, 25.0)])
def test_BLT_12_shaft_load(wrap_deg, load_n):
    """2 T for half a turn, 2 T sin(θ/2) in general, T 25 N; statics, exact."""
    found = belt_tension.shaft_load_n(tension_n=25, wrap_deg=wrap_deg)
    assert found == pytest.approx(load_n, rel=1e-12)
