"""Bearings against textbook examples, tables of the standards, and contact theory."""

import pytest

from plumbrise.elements import bearing, bearing_contact, bearing_groove, bearing_life

LBF_N = 4.4482216152605


def test_BRG_01_rating_for_a_life():
    """Shigley, Mechanical Engineering Design, example 11-1 (from memory)."""
    found = bearing_life.dynamic_rating_needed_n(load_n=400 * LBF_N, hours=5000, turns_per_min=1725)
    assert found / LBF_N == pytest.approx(3211, abs=0.5)
    assert found / 1e3 == pytest.approx(14.3, abs=0.05)


def test_BRG_02_radial_and_axial_load():
    """Shigley, Mechanical Engineering Design, example 11-4 (from memory); 0.1 %."""
    e, y = bearing_life.deep_groove_factors(axial_n=400 * LBF_N, static_n=4450 * LBF_N)
    assert (e, y) == pytest.approx((0.285, 1.527), abs=0.0005)
    load = bearing_life.equivalent_load_n(
        radial_n=500 * LBF_N, axial_n=400 * LBF_N, static_n=4450 * LBF_N
    )
    assert load / LBF_N == pytest.approx(891, rel=1e-3)
    turns = bearing_life.life_turns(dynamic_n=7900 * LBF_N, load_n=load)
    hours = bearing_life.life_hours(turns=turns, turns_per_min=720)
    assert hours == pytest.approx(16_150, rel=1e-3)


@pytest.mark.parametrize(
    ("ratio", "e", "y"),
    [
        (0.014, 0.19, 2.30), (0.028, 0.22, 1.99), (0.056, 0.26, 1.71), (0.084, 0.28, 1.55),
        (0.11, 0.30, 1.45), (0.17, 0.34, 1.31), (0.28, 0.38, 1.15), (0.42, 0.42, 1.04),
        (0.56, 0.44, 1.00),
    ],
)  # fmt: skip
def test_BRG_03_factors_of_deep_groove_bearings(ratio, e, y):
    """ISO 281 and Shigley table 11-1 (from memory, not looked up again)."""
    found = bearing_life.deep_groove_factors(axial_n=1000 * ratio, static_n=1000)
    assert found == pytest.approx((e, y), rel=1e-12)
    assert bearing_life.X_DEEP_GROOVE == 0.56


@pytest.mark.parametrize(
    ("reliability", "of_2007", "of_1990"),
    [
        (0.90, 1, 1), (0.95, 0.64, 0.62), (0.96, 0.55, 0.53), (0.97, 0.47, 0.44),
        (0.98, 0.37, 0.33), (0.99, 0.25, 0.21),
    ],
)  # fmt: skip
def test_BRG_04_life_factor(reliability, of_2007, of_1990):
    """ISO 281, editions of 2007 and 1990 (from memory); 0.005."""
    found = bearing_life.life_factor(reliability=reliability)
    assert found == pytest.approx(of_2007, abs=0.005)
    older = bearing_life.life_factor(reliability=reliability, never_fails=0)
    assert older == pytest.approx(of_1990, abs=0.005)


def test_BRG_05_life_never_governs_here():
    """ISO 281 for C 3300 N under 100 N at 60 turns a minute; closed form."""
    turns = bearing_life.life_turns(dynamic_n=3300, load_n=100)
    assert turns / 1e6 == pytest.approx(35_937, rel=1e-12)
    hours = bearing_life.life_hours(turns=turns, turns_per_min=60)
    assert hours == pytest.approx(9.98e6, abs=0.005e6)
    rollers = bearing_life.life_turns(
        dynamic_n=1000, load_n=1, exponent=bearing_life.ROLLER_EXPONENT
    )
    assert rollers / 1e6 == pytest.approx(1e10, rel=1e-12)


def test_BRG_06_load_at_rest():
    """ISO 76 (from memory, not looked up again)."""
    assert bearing_life.static_load_n(radial_n=10, axial_n=30) == pytest.approx(0.6 * 10 + 0.5 * 30)
    assert bearing_life.static_load_n(radial_n=10, axial_n=2) == 10
    assert bearing_life.static_safety(static_n=1400, load_n=700) == 2


def test_BRG_07_sizes_of_deep_groove_bearings():
    """ISO 15 dimension series (from memory, not looked up again)."""
    listed = {
        "623": (3, 10, 4), "624": (4, 13, 5), "625": (5, 16, 5), "626": (6, 19, 6),
        "608": (8, 22, 7), "688": (8, 16, 4), "6000": (10, 26, 8), "6200": (10, 30, 9),
        "61800": (10, 19, 5), "61900": (10, 22, 6),
    }  # fmt: skip
    for designation, sizes in listed.items():
        found = bearing.RADIAL[designation]
        assert (found.bore_mm, found.outer_mm, found.width_mm) == sizes


def test_BRG_08_sizes_of_thrust_bearings():
    """ISO 104 series 11 (from memory, not looked up again)."""
    listed = {
        "51100": (10, 24, 9), "51101": (12, 26, 9), "51102": (15, 28, 9), "51103": (17, 30, 9),
        "51104": (20, 35, 10), "51105": (25, 42, 11),
    }  # fmt: skip
    for designation, sizes in listed.items():
        found = bearing.THRUST[designation]
        assert (found.bore_mm, found.outer_mm, found.width_mm) == sizes


def test_BRG_09_ratings_of_series_02():
    """Shigley table 11-2, bores 10 to 20 mm (from memory, not looked up again)."""
    found = [bearing.RADIAL[f"620{n}"] for n in range(5)]
    assert [b.dynamic_n for b in found] == [5070, 6890, 7800, 9560, 12_700]
    assert [b.static_n for b in found] == [2240, 3100, 3550, 4500, 6200]


def test_BRG_10_sphere_on_a_flat():
    """Johnson, Contact Mechanics, section 4.2 (Hertz): R 10, 100 N, steel; closed form, 1e-4."""
    found = bearing_contact.sphere_on_flat(force_n=100, radius_mm=10)
    assert found.patch_radius_mm == pytest.approx(0.18783, rel=1e-4)
    assert found.pressure_n_per_mm2 == pytest.approx(1353.4, rel=1e-4)
    assert found.approach_mm * 1e3 == pytest.approx(3.528, rel=1e-4)
    assert found.n_per_mm / 1e3 == pytest.approx(42.519, rel=1e-4)


def test_BRG_11_ball_under_a_screw():
    """Johnson, Contact Mechanics, section 4.2: ball of 4 mm under 12 N; closed form, 1e-3."""
    found = bearing_contact.sphere_on_flat(force_n=12, radius_mm=2)
    assert found.approach_mm * 1e3 == pytest.approx(1.468, rel=1e-3)
    assert found.n_per_mm / 1e3 == pytest.approx(12.265, rel=1e-3)
    assert found.pressure_n_per_mm2 == pytest.approx(1952, rel=1e-3)


def test_BRG_12_approach_of_a_ball_in_its_grooves():
    """Harris, Rolling Bearing Analysis, approximate formula (from memory); 2 % of elliptic Hertz.

    Groove ratios 0.52, 0.54 and 0.55 give 4.53e-4, 5.28e-4 and 5.53e-4 by the full theory.
    """
    elliptic = [
        bearing_groove.groove_approach_mm(force_n=1, ball_diameter_mm=1, groove_ratio=ratio)
        for ratio in (0.52, 0.54, 0.55)
    ]
    assert elliptic == pytest.approx([4.53e-4, 5.28e-4, 5.53e-4], abs=0.005e-4)
    found = bearing_contact.thrust_approach_mm(thrust_n=1, balls=1, ball_diameter_mm=1)
    assert found == pytest.approx(elliptic[1], rel=0.02)
    larger = {"thrust_n": 80, "balls": 10, "ball_diameter_mm": 8}
    assert bearing_contact.thrust_approach_mm(**larger) == pytest.approx(
        bearing_groove.groove_approach_mm(force_n=8, ball_diameter_mm=8), rel=0.02
    )


def test_BRG_13_thrust_bearing_lightly_loaded():
    """Ten balls of 4.762 mm under 20 N by the formula of BRG-12; closed form, 2 %."""
    given = {"thrust_n": 20, "balls": 10, "ball_diameter_mm": 4.762}
    assert bearing_contact.thrust_approach_mm(**given) * 1e3 == pytest.approx(0.49, rel=0.02)
    assert bearing_contact.thrust_n_per_mm(**given) / 1e3 == pytest.approx(61, rel=0.02)


def test_BRG_14_washer_out_of_square():
    """2 r γ: circle of 17 mm, 0.1 mm over 24 mm; closed form, 1 %."""
    found = bearing_contact.take_up_mm(out_of_square_mm_per_mm=0.1 / 24, ball_circle_mm=17)
    assert found * 1e3 == pytest.approx(71, rel=0.01)


def test_BRG_15_angular_contact_under_thrust():
    """Harris, Rolling Bearing Analysis, thrust-loaded 218 bearing (from memory); 1 %."""
    found = bearing_contact.angular_contact(
        thrust_n=17_800, balls=16, ball_diameter_mm=22.23, free_angle_deg=40,
        groove_excess=0.0464, stiffness_n_per_mm2=896.7,
    )  # fmt: skip
    assert found.angle_deg == pytest.approx(41.6, rel=0.01)
    assert found.approach_mm == pytest.approx(0.0386, rel=0.01)
