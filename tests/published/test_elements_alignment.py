"""Straightness, squareness and the force of a screw that stands out, against closed forms."""

from math import degrees

import pytest

from plumbrise.elements import alignment, straightness


def test_ALN_01_side_force_of_a_short_screw():
    """3 E I δ / L³: end out by 0.1 mm, 50 mm free, core 5.5, E 206 GPa: 22.21 N; 0.01."""
    found = alignment.side_force_n(offset_mm=0.1, free_length_mm=50, core_diameter_mm=5.5)
    assert found == pytest.approx(22.21, abs=0.01)


@pytest.mark.parametrize(
    ("at_mm", "expected", "digit"),
    [(350, 0.65, 0.01), (300, 1.03, 0.01), (150, 8.22, 0.01), (100, 27.76, 0.01), (50, 222.1, 0.1)],
)
def test_ALN_02_lateral_stiffness_of_a_free_screw(at_mm, expected, digit):
    """3 E I / L³ of the same core; closed form, last digit."""
    found = alignment.side_n_per_mm("free-top", at_mm=at_mm, length_mm=350, core_diameter_mm=5.5)
    assert found == pytest.approx(expected, abs=digit / 2)


def test_ALN_03_plane_through_three_points():
    """Geometry: z = 0.1 + 5e-4 x - 8.6538e-4 y, tilt 0.99945 mrad, centre 0.0625; 1e-6."""
    plane = straightness.plane_through((0, 0, 0.10), (300, 0, 0.25), (150, 260, -0.05))
    assert plane.height_mm == pytest.approx(0.1, abs=1e-6)
    assert plane.along_x == pytest.approx(5e-4, abs=1e-6)
    assert plane.along_y == pytest.approx(-8.6538e-4, abs=1e-6)
    assert 1000 * plane.tilt_rad == pytest.approx(0.99945, abs=1e-5)
    assert plane.at_mm(150, 130) == pytest.approx(0.0625, abs=1e-6)


def test_ALN_04_four_corners_off_one_plane():
    """Least squares and linear programming agree: 0, 0.1, 0, 0.1 leave ±0.05, zone 0.1; 1e-9."""
    left, zone = straightness.corner_warp_mm(0, 0.1, 0, 0.1)
    assert abs(left) == pytest.approx(0.05, abs=1e-9)
    assert zone == pytest.approx(0.1, abs=1e-9)


def test_ALN_05_straightness_of_five_readings():
    """Least squares 1.8 + 0.3 x, spread 4.7; minimum zone 2.25 + 0.5 x, 4.5; ISO 1101 and linear
    programming, 1e-9."""
    readings = ([0, 1, 2, 3, 4], [0, 5, 1, 4, 2])
    fitted = straightness.least_squares_line(*readings)
    zone = straightness.minimum_zone_line(*readings)
    assert (fitted.start_mm, fitted.slope, fitted.spread_mm) == pytest.approx(
        (1.8, 0.3, 4.7), abs=1e-9
    )
    assert (zone.start_mm, zone.slope, zone.spread_mm) == pytest.approx((2.25, 0.5, 4.5), abs=1e-9)


def test_ALN_06_straightness_of_a_bow():
    """Both lines are level and 4 apart, the strip's middle at 2; linear programming, 1e-9."""
    readings = ([0, 1, 2, 3, 4], [0, 3, 4, 3, 0])
    zone = straightness.minimum_zone_line(*readings)
    assert straightness.least_squares_line(*readings).spread_mm == pytest.approx(4, abs=1e-9)
    assert (zone.start_mm, zone.slope, zone.spread_mm) == pytest.approx((2, 0, 4), abs=1e-9)


def test_ALN_07_skew_from_two_diagonals():
    """Parallelogram law: 400 x 400, diagonals 566.0 and 565.0: 1.767 mrad, 0.1013°; the digits."""
    skew = straightness.skew_rad(
        width_mm=400, height_mm=400, diagonal_mm=566.0, other_diagonal_mm=565.0
    )
    assert 1000 * skew == pytest.approx(1.767, abs=5e-4)
    assert degrees(skew) == pytest.approx(0.1013, abs=5e-5)


def test_ALN_08_reversal_parts_machine_and_straightedge():
    """Evans, Hocken, Estler, CIRP Annals 45 (1996), from memory: exact for any pair of errors."""
    machine, edge = 0.25, -0.125
    assert straightness.reversed_straightedge_mm(edge + machine, edge - machine) == (machine, edge)


def test_ALN_09_wall_leans_as_the_gantry_tilts():
    """Geometry: H δ / S, exactly; the tilt is the lean of a wall 1 mm high."""
    assert alignment.wall_lean_mm(difference_mm=0.25, span_mm=500, height_mm=100) == 0.05
    assert alignment.wall_lean_mm(difference_mm=0.25, span_mm=500, height_mm=1) == 0.25 / 500


def test_ALN_10_droop_by_roller_clearance():
    """c S / s: 0.05, 70, 400: 0.286 mm; geometry, 1e-3."""
    found = alignment.droop_mm(clearance_mm=0.05, spacing_mm=70, span_mm=400)
    assert found == pytest.approx(0.286, abs=1e-3)


def test_ALN_11_the_two_to_one_rule():
    """Statics: 1 / 2μ, 2.0 at 0.25; exact."""
    assert alignment.jamming_ratio(friction=0.25) == 2.0
