"""A screw's stiffness and size: laws and limits."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import screw, screw_thread
from plumbrise.errors import InputError

LENGTHS = st.floats(50, 1000)
CORES = st.floats(3, 40)


@given(CORES, LENGTHS, st.floats(0.1, 10))
def test_a_screw_scaled_in_all_lengths_is_stiffer_in_proportion(core, length, scale):
    small = screw.axial_n_per_mm(core_diameter_mm=core, length_mm=length)
    large = screw.axial_n_per_mm(core_diameter_mm=scale * core, length_mm=scale * length)
    assert large == pytest.approx(scale * small)


@given(CORES, LENGTHS, st.floats(0.01, 0.99))
def test_a_screw_fixed_at_both_ends_is_never_softer_than_at_the_nearer_one(core, length, share):
    both = screw.axial_held_at_both_ends_n_per_mm(
        core_diameter_mm=core, length_mm=length, height_mm=share * length
    )
    near = screw.axial_n_per_mm(core_diameter_mm=core, length_mm=min(share, 1 - share) * length)
    assert both >= near


def test_a_screw_fixed_at_both_ends_is_softest_in_the_middle_and_there_four_times_as_stiff():
    stiffness = [
        screw.axial_held_at_both_ends_n_per_mm(
            core_diameter_mm=5.5, length_mm=300, height_mm=height
        )
        for height in range(10, 300, 10)
    ]
    assert min(stiffness) == stiffness[14]
    whole = screw.axial_n_per_mm(core_diameter_mm=5.5, length_mm=300)
    assert min(stiffness) == pytest.approx(4 * whole)


@given(st.floats(0.5, 30), st.floats(-50, 50), st.floats(-50, 50))
def test_turns_add_up(lead, first, second):
    together = screw.travel_mm(angle_rad=first + second, lead_mm=lead)
    apart = [screw.travel_mm(angle_rad=angle, lead_mm=lead) for angle in (first, second)]
    assert together == pytest.approx(sum(apart), abs=1e-9)


@given(st.sampled_from([(8, 1.5), (8, 2), (10, 2), (12, 3), (16, 4), (20, 4), (30, 6)]))
def test_a_nut_goes_over_its_screw_with_room_at_both_crests(size):
    thread = screw_thread.trapezoidal(nominal_mm=size[0], pitch_mm=size[1])
    assert thread.nut_outer_mm > thread.nominal_mm
    assert thread.nut_bore_mm > thread.core_diameter_mm
    assert thread.core_diameter_mm < thread.pitch_diameter_mm < thread.nominal_mm


@pytest.mark.parametrize(
    ("wrong", "place"),
    [
        ({"pitch_mm": 1.0}, "pitch_mm"),
        ({"pitch_mm": 8.0}, "pitch_mm"),  # the lead given for the pitch
        ({"starts": 0}, "starts"),
        ({"starts": 1.5}, "starts"),
        ({"nominal_mm": float("nan")}, "nominal_mm"),
    ],
)
def test_a_thread_that_cannot_be_is_refused_by_name(wrong, place):
    with pytest.raises(InputError, match=place):
        screw_thread.trapezoidal(**{"nominal_mm": 8, "pitch_mm": 2, "starts": 4, **wrong})


def test_the_limits_of_class_7e_lie_below_the_basic_size():
    for nominal, pitch in ((8, 1.5), (8, 2), (10, 2), (12, 3), (14, 3), (16, 4), (20, 4)):
        basic = screw_thread.trapezoidal(nominal_mm=nominal, pitch_mm=pitch)
        found = screw_thread.pitch_diameter_limits(nominal_mm=nominal, pitch_mm=pitch)
        assert found.screw_smallest_mm < found.screw_largest_mm < basic.pitch_diameter_mm
        assert basic.pitch_diameter_mm == found.nut_smallest_mm < found.nut_largest_mm


@pytest.mark.parametrize(("nominal", "pitch"), [(5, 1.5), (30, 6), (10, 2.5)])
def test_no_tolerance_is_made_up_for_sizes_that_are_not_kept(nominal, pitch):
    with pytest.raises(InputError, match="ISO 2903"):
        screw_thread.pitch_diameter_limits(nominal_mm=nominal, pitch_mm=pitch)


def test_a_finer_grade_deviates_less():
    grades = ("grade-1", "grade-3", "grade-5", "grade-7", "rolled")
    found = [screw_thread.lead_deviation_mm(grade=grade, length_mm=200) for grade in grades]
    assert found == sorted(found)
