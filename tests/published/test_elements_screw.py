"""Screws against worked examples of textbooks, thread tables and closed forms."""

from math import pi

import pytest

from plumbrise.elements import screw, screw_column, screw_stress, screw_thread
from plumbrise.elements.screw import Ends
from plumbrise.elements.screw_torque import (
    collar_torque_nmm,
    efficiency,
    highest_efficiency_that_holds,
    holding_friction,
    lift_torque_nmm,
    lower_torque_nmm,
    thread_efficiency,
)

INCH_MM = 25.4
LBF_N = 4.4482216152605
LBF_IN_NMM = LBF_N * INCH_MM
SHIGLEY = {
    "axial_load_n": 6400, "lead_mm": 8, "pitch_diameter_mm": 30, "thread_friction": 0.08,
    "flank_angle_deg": 0,
}  # fmt: skip
TR8_LEADS = (2, 4, 8)


def test_SCR_01_power_screw_of_two_starts():
    """Shigley, Mechanical Engineering Design, 8th to 10th ed., example 8-1 (from memory)."""
    up, down = lift_torque_nmm(**SHIGLEY), lower_torque_nmm(**SHIGLEY)
    collar = collar_torque_nmm(axial_load_n=6400, friction=0.08, mean_diameter_mm=40)
    assert up / 1e3 == pytest.approx(15.94, abs=0.005)
    assert collar / 1e3 == pytest.approx(10.24, abs=0.005)
    assert (up + collar) / 1e3 == pytest.approx(26.18, abs=0.005)
    assert down / 1e3 == pytest.approx(-0.466, abs=0.0005)
    assert (down + collar) / 1e3 == pytest.approx(9.77, abs=0.005)
    found = efficiency(axial_load_n=6400, lead_mm=8, torque_nmm=up + collar)
    assert found == pytest.approx(0.311, abs=0.0005)


def test_SCR_02_stresses_of_its_body():
    """Shigley, Mechanical Engineering Design, example 8-1 (from memory); see NUT-03 for bearing."""
    torsion = screw_stress.torsion_n_per_mm2(torque_nmm=26_180, core_diameter_mm=28)
    axial = screw_stress.axial_n_per_mm2(axial_load_n=-6400, core_diameter_mm=28)
    bending = screw_stress.root_bending_n_per_mm2(
        axial_load_n=6400, core_diameter_mm=28, pitch_mm=4
    )
    assert torsion == pytest.approx(6.07, abs=0.005)
    assert axial == pytest.approx(-10.39, abs=0.005)
    assert bending == pytest.approx(41.5, abs=0.05)


def test_SCR_03_acme_screw():
    """Norton, Machine Design, power-screw example (from memory)."""
    thread = {
        "axial_load_n": 1000 * LBF_N, "lead_mm": 0.2 * INCH_MM, "thread_friction": 0.15,
        "pitch_diameter_mm": 1.15 * INCH_MM, "flank_angle_deg": 14.5,
    }  # fmt: skip
    up, down = (f(**thread) / LBF_IN_NMM for f in (lift_torque_nmm, lower_torque_nmm))
    collar = (
        collar_torque_nmm(axial_load_n=1000 * LBF_N, friction=0.02, mean_diameter_mm=1.75 * INCH_MM)
        / LBF_IN_NMM
    )
    assert (up, collar, up + collar) == pytest.approx((122.0, 17.5, 139.5), abs=0.05)
    assert (down, down + collar) == pytest.approx((56.8, 74.3), abs=0.05)
    for torque, printed in ((up, 0.26), (up + collar, 0.23)):
        found = efficiency(axial_load_n=1000, lead_mm=0.2, torque_nmm=torque)
        assert found == pytest.approx(printed, abs=0.005)


def test_SCR_04_square_thread_of_three_starts():
    """Bhandari, Design of Machine Elements, example 6.1 (seen)."""
    thread = {
        "axial_load_n": 15_000, "lead_mm": 24, "pitch_diameter_mm": 46, "thread_friction": 0.15,
        "flank_angle_deg": 0,
    }  # fmt: skip
    collar = collar_torque_nmm(axial_load_n=15_000, friction=0.15, mean_diameter_mm=(100 + 65) / 2)
    up, down = lift_torque_nmm(**thread) + collar, lower_torque_nmm(**thread) + collar
    assert up == pytest.approx(204_644, rel=1e-5)
    assert down == pytest.approx(87_401, rel=1e-5)
    assert up / 500 == pytest.approx(409.3, abs=0.05)


def test_SCR_05_trapezoidal_thread_of_two_starts():
    """Bhandari, Design of Machine Elements, example 6.2 (seen)."""
    thread = {
        "axial_load_n": 300_000, "lead_mm": 24, "pitch_diameter_mm": 94, "thread_friction": 0.15,
    }  # fmt: skip
    up = lift_torque_nmm(**thread)
    assert up / 1e3 == pytest.approx(3378.16, rel=1e-5)
    assert lower_torque_nmm(**thread) / 1e3 == pytest.approx(1030.69, rel=1e-5)
    found = efficiency(axial_load_n=300_000, lead_mm=24, torque_nmm=up)
    assert found == pytest.approx(0.3392, abs=0.00005)


def test_SCR_06_hand_clamp():
    """Bhandari, Design of Machine Elements, example 6.3 (seen)."""
    per_newton = lift_torque_nmm(
        axial_load_n=1, lead_mm=5, pitch_diameter_mm=19.5, thread_friction=0.15, flank_angle_deg=0
    ) + collar_torque_nmm(axial_load_n=1, friction=0.17, mean_diameter_mm=50)
    force = 125 * 150 / per_newton
    assert force == pytest.approx(2868.6, abs=0.05)
    found = efficiency(axial_load_n=force, lead_mm=5, torque_nmm=125 * 150)
    assert found == pytest.approx(0.1217, abs=0.00005)


def test_SCR_07_load_that_friction_helps_or_hinders():
    """Bhandari, Design of Machine Elements, example 6.4 (seen)."""
    thread = {
        "lead_mm": 7, "pitch_diameter_mm": 36.5, "thread_friction": 0.15, "flank_angle_deg": 0,
    }  # fmt: skip
    washer = {"friction": 0.12, "mean_diameter_mm": 60}
    up = lift_torque_nmm(axial_load_n=7000, **thread) + collar_torque_nmm(
        axial_load_n=7000, **washer
    )
    down = lower_torque_nmm(axial_load_n=3000, **thread) + collar_torque_nmm(
        axial_load_n=3000, **washer
    )
    assert (up / 1000, down / 1000) == pytest.approx((52.41, 15.63), abs=0.005)
    assert efficiency(axial_load_n=7000, lead_mm=7, torque_nmm=up) == pytest.approx(
        0.1488, abs=0.00005
    )


@pytest.mark.parametrize(
    ("nominal", "pitch", "d2", "d3", "nut_outer", "nut_bore"),
    [
        (8, 1.5, 7.25, 6.2, 8.3, 6.5),
        (10, 2, 9, 7.5, 10.5, 8),
        (12, 3, 10.5, 8.5, 12.5, 9),
        (16, 4, 14, 11.5, 16.5, 12),
        (20, 4, 18, 15.5, 20.5, 16),
    ],
)
def test_SCR_08_basic_sizes_of_trapezoidal_threads(nominal, pitch, d2, d3, nut_outer, nut_bore):
    """ISO 2904:1977 and DIN 103-4 (first three rows seen)."""
    found = screw_thread.trapezoidal(nominal_mm=nominal, pitch_mm=pitch)
    sizes = (
        found.pitch_diameter_mm, found.core_diameter_mm, found.nut_outer_mm, found.nut_bore_mm,
    )  # fmt: skip
    assert sizes == pytest.approx((d2, d3, nut_outer, nut_bore), rel=1e-12)


def test_SCR_09_tr8_with_pitch_2():
    """The formulas of ISO 2904 for a size out of the preferred list (closed form)."""
    found = screw_thread.trapezoidal(nominal_mm=8, pitch_mm=2)
    assert (found.pitch_diameter_mm, found.core_diameter_mm) == (7, 5.5)
    assert (found.nut_outer_mm, found.nut_bore_mm) == (8.5, 6)


@pytest.mark.parametrize(
    ("nominal", "pitch", "largest", "smallest", "core"),
    [
        (8, 1.5, 7.183, 7.013, 5.921),
        (10, 2, 8.929, 8.739, 7.191),
        (12, 3, 10.415, 10.191, 8.135),
        (16, 4, 13.905, 13.640, 11.074),
    ],
)
def test_SCR_10_limits_of_class_7e(nominal, pitch, largest, smallest, core):
    """ISO 2903 class 7e, handbook table (seen); 0.001 mm."""
    found = screw_thread.pitch_diameter_limits(nominal_mm=nominal, pitch_mm=pitch)
    limits = (found.screw_largest_mm, found.screw_smallest_mm, found.core_smallest_mm)
    assert limits == pytest.approx((largest, smallest, core), abs=0.001)


@pytest.mark.parametrize(
    ("nominal", "pitch", "starts", "angle"),
    [
        (8, 1.5, 1, 3.768),
        (8, 2, 1, 5.197),
        (8, 2, 2, 10.309),
        (8, 2, 4, 19.991),
        (10, 2, 1, 4.046),
        (12, 3, 1, 5.197),
        (16, 4, 1, 5.197),
        (20, 4, 1, 4.046),
    ],
)
def test_SCR_11_lead_angle(nominal, pitch, starts, angle):
    """Geometry of the helix, closed form; 0.001°."""
    thread = screw_thread.trapezoidal(nominal_mm=nominal, pitch_mm=pitch, starts=starts)
    found = screw.lead_angle_deg(lead_mm=thread.lead_mm, pitch_diameter_mm=thread.pitch_diameter_mm)
    assert found == pytest.approx(angle, abs=0.001)


@pytest.mark.parametrize(
    ("lead", "pitch_diameter", "printed"),
    [
        (2, 7, (0.463, 0.364, 0.299)),
        (4, 7, (0.625, 0.524, 0.450)),
        (8, 7, (0.749, 0.661, 0.589)),
        (2, 9, (0.403, 0.310, 0.251)),
    ],
)
def test_SCR_12_efficiency_of_usual_threads(lead, pitch_diameter, printed):
    """tan λ (1 - f' tan λ) / (f' + tan λ), f' = f / cos 15°; closed form, 0.0005."""
    found = [
        thread_efficiency(lead_mm=lead, pitch_diameter_mm=pitch_diameter, thread_friction=f)
        for f in (0.10, 0.15, 0.20)
    ]
    assert found == pytest.approx(printed, abs=0.0005)


def test_SCR_13_friction_below_which_a_load_turns_the_screw():
    """Shigley eq. 8-3 with the flank, closed form; 0.0005."""
    sizes = [(2, 7), (4, 7), (8, 7), (2, 9)]
    plain = [holding_friction(lead_mm=lead, pitch_diameter_mm=d2) for lead, d2 in sizes]
    assert plain == pytest.approx([0.0878, 0.1757, 0.3514, 0.0683], abs=0.0005)
    normal = [
        holding_friction(lead_mm=lead, pitch_diameter_mm=7, in_normal_plane=True)
        for lead in TR8_LEADS
    ]
    assert normal == pytest.approx([0.0879, 0.1759, 0.3528], abs=0.0005)


@pytest.mark.parametrize("lead", [1, 2, 4, 8, 12])
def test_SCR_14_a_screw_that_just_holds_itself(lead):
    """Square thread at f = tan λ: efficiency ½ (1 - tan² λ); identity."""
    limit = holding_friction(lead_mm=lead, pitch_diameter_mm=7, flank_angle_deg=0)
    found = thread_efficiency(
        lead_mm=lead, pitch_diameter_mm=7, thread_friction=limit, flank_angle_deg=0
    )
    angle = screw.lead_angle_deg(lead_mm=lead, pitch_diameter_mm=7)
    assert found == pytest.approx((1 - (lead / (7 * pi)) ** 2) / 2, rel=1e-12)
    assert found == pytest.approx(highest_efficiency_that_holds(lead_angle_deg=angle), rel=1e-12)


def test_SCR_15_torque_under_a_gantry():
    """Tr8, 12 N, f 0.15, leads 2, 4 and 8; closed form, 0.01 N·mm."""
    common = {"axial_load_n": 12, "pitch_diameter_mm": 7, "thread_friction": 0.15}
    up = [lift_torque_nmm(lead_mm=lead, **common) for lead in TR8_LEADS]
    down = [lower_torque_nmm(lead_mm=lead, **common) for lead in TR8_LEADS]
    assert up == pytest.approx([10.49, 14.57, 23.11], abs=0.01)
    assert down == pytest.approx([2.66, -1.09, -8.29], abs=0.01)


def test_SCR_16_tube_as_a_column():
    """Hibbeler, Mechanics of Materials, Euler column example (from memory)."""
    second_moment = pi / 4 * (3.0**4 - 2.75**4)
    load = screw_column.euler_load_n(
        bending_stiffness_nmm2=29e3 * second_moment, length_mm=24 * 12, ends=Ends.PINNED_PINNED
    )
    assert load == pytest.approx(64.5, abs=0.05)  # in kip and inch throughout
    assert load / (pi * (3.0**2 - 2.75**2)) == pytest.approx(14.3, abs=0.05)


def test_SCR_17_end_factors_of_columns():
    """Timoshenko and Gere, Theory of Elastic Stability, 2nd ed., section 2.1 (closed form)."""
    factors = screw_column.LENGTH_FACTOR
    assert factors[Ends.PINNED_PINNED] == 1
    assert factors[Ends.HELD_FREE] == 2
    assert factors[Ends.HELD_PINNED] == pytest.approx(0.699156, abs=1e-6)
    assert pi / factors[Ends.HELD_PINNED] == pytest.approx(4.493409, abs=1e-6)
    assert factors[Ends.HELD_HELD] == 0.5


@pytest.mark.parametrize(
    ("ends", "load"),
    [
        (Ends.HELD_FREE, 186.4),
        (Ends.PINNED_PINNED, 745.5),
        (Ends.HELD_PINNED, 1525.8),
        (Ends.HELD_HELD, 2982.0),
    ],
)
def test_SCR_18_buckling_of_a_tr8_core(ends, load):
    """π² E I / (K L)², core 5.5, length 350, 206 GPa, K 0.699 as rounded; closed form, 0.1 N.

    With K unrounded the held-pinned value is 1525.1 N.
    """
    found = screw_column.buckling_load_n(core_diameter_mm=5.5, length_mm=350, ends=ends)
    if ends is Ends.HELD_PINNED:
        found *= (screw_column.LENGTH_FACTOR[ends] / 0.699) ** 2
    assert found == pytest.approx(load, abs=0.1)


def test_SCR_19_short_columns():
    """Shigley eq. 4-43 to 4-46, J. B. Johnson's formula (from memory)."""
    limit = screw_column.euler_from_slenderness(ends=Ends.PINNED_PINNED, yield_n_per_mm2=350)
    assert limit == pytest.approx(107.79, abs=0.005)
    column = {"core_diameter_mm": 5.5, "ends": Ends.PINNED_PINNED, "yield_n_per_mm2": 350}
    short = screw_column.johnson_load_n(length_mm=100, **column)
    assert short == pytest.approx(6422.5, abs=0.1)
    area = screw.core_area_mm2(core_diameter_mm=5.5)
    assert short / area == pytest.approx(270.3, abs=0.1)
    at_limit = limit * 5.5 / 4
    for formula in (screw_column.johnson_load_n, screw_column.buckling_load_n):
        assert formula(length_mm=at_limit, **column) / area == pytest.approx(175, abs=0.1)


def test_SCR_20_stiffness_of_a_tr8_core():
    """E A / L and G J / L: core 5.5, length 300, E 206, G 79.3 GPa; closed form, 1e-4."""
    axial = screw.axial_n_per_mm(core_diameter_mm=5.5, length_mm=300)
    torsional = screw.torsional_nmm_per_rad(core_diameter_mm=5.5, length_mm=300)
    bending = screw.bending_stiffness_nmm2(core_diameter_mm=5.5)
    assert axial / 1e3 == pytest.approx(16.314, rel=1e-4)
    assert torsional / 1e3 == pytest.approx(23.747, rel=1e-4)
    assert bending / 206e3 == pytest.approx(44.918, rel=1e-4)
    assert bending == pytest.approx(9.253e6, rel=1e-4)


def test_SCR_21_first_bending_frequency():
    """Blevins, Formulas for Natural Frequency and Mode Shape, table 8-1; closed form, 0.01 Hz."""
    core = {"core_diameter_mm": 5.5, "length_mm": 350}
    assert screw_column.whirl_hz(ends=Ends.HELD_FREE, **core) == pytest.approx(32.18, abs=0.01)
    assert screw_column.whirl_hz(ends=Ends.PINNED_PINNED, **core) == pytest.approx(90.32, abs=0.01)


def test_SCR_22_lead_of_screws_by_grade():
    """ISO 3408-3, V300p and V2πp (from memory, not looked up again)."""
    per_300 = [
        screw_thread.lead_deviation_mm(grade=f"grade-{n}", length_mm=300) for n in (1, 3, 5, 7, 10)
    ]
    assert per_300 == pytest.approx([0.006, 0.012, 0.023, 0.052, 0.210])
    within = screw_thread.LEAD_DEVIATION_WITHIN_A_TURN_MM
    assert [within[f"grade-{n}"] for n in (1, 3, 5, 7)] == [0.004, 0.006, 0.008, 0.010]


def test_SCR_23_lead_of_screws_by_class():
    """JIS B 1192 classes C3, C5 and C7 (from memory, not looked up again)."""
    per_300 = [
        screw_thread.lead_deviation_mm(grade=f"class-C{n}", length_mm=300) for n in (3, 5, 7)
    ]
    assert per_300 == pytest.approx([0.008, 0.018, 0.050])
