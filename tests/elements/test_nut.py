"""Nuts: which flank carries, springs both ways up, wear, and floats that may part."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import nut, nut_mount, nut_wear
from plumbrise.elements.nut import Flank, Orientation, SolidHalf
from plumbrise.errors import InputError

FORCES = st.floats(0, 100)


@given(FORCES, FORCES)
def test_going_up_the_upper_flank_carries(weight, drag):
    found = nut.contact(weight_n=weight, drag_n=drag, going_up=True)
    assert found.flank is (Flank.UPPER if weight + drag > 0 else Flank.NEITHER)


@given(FORCES, FORCES)
def test_play_opens_when_drag_reaches_the_weight(weight, drag):
    opens = nut.play_opens(weight_n=weight, drag_n=drag)
    assert opens == (drag >= weight and weight + drag > 0)


@given(FORCES, FORCES)
def test_the_weight_that_closes_it_just_does(weight, drag):
    more = nut.weight_that_closes_n(weight_n=weight, drag_n=drag)
    assert not nut.play_opens(weight_n=weight + more + 1e-6, drag_n=drag)


@given(FORCES, FORCES)
def test_a_spring_upside_down_has_to_be_stronger_by_up_to_twice_the_weight(weight, drag):
    right, wrong = (
        nut.spring_needed_n(weight_n=weight, drag_n=drag, solid_half=half) for half in SolidHalf
    )
    assert 0 <= right <= wrong
    if drag >= weight:
        assert wrong - right == pytest.approx(2 * weight)


@given(FORCES, st.floats(0, 100), FORCES)
def test_right_way_up_more_weight_helps_and_upside_down_it_harms(weight, more, drag):
    def needed(total, half):
        return nut.spring_needed_n(weight_n=total, drag_n=drag, solid_half=half)

    right, wrong = SolidHalf
    assert needed(weight + more, right) <= needed(weight, right)
    assert needed(weight + more, wrong) >= needed(weight, wrong)


@given(FORCES, FORCES, st.integers(1, 8))
def test_a_hanging_flange_pulls_at_its_screws_as_hard_as_lifting_does(weight, drag, screws):
    pulls = {
        way: nut.flange_screw_pull_n(orientation=way, weight_n=weight, drag_n=drag, screws=screws)
        for way in Orientation
    }
    up = nut.contact(weight_n=weight, drag_n=drag, going_up=True)
    assert screws * pulls[Orientation.HANGING] == pytest.approx(up.force_n)
    assert pulls[Orientation.STANDING] <= pulls[Orientation.HANGING]


@pytest.mark.parametrize(("nominal", "pitch"), [(8, 1.5), (8, 2), (10, 2), (12, 3), (16, 4)])
def test_a_new_pair_has_some_play_and_less_than_a_worn_out_one(nominal, pitch):
    least, most = nut.play_limits_mm(nominal_mm=nominal, pitch_mm=pitch)
    assert 0 < least < most < nut_wear.WORN_OUT_SHARE_OF_PITCH * pitch


@given(st.floats(0, 360), st.floats(1, 10))
def test_a_dead_angle_of_a_turn_is_a_lead(angle, lead):
    found = nut.play_from_dead_angle_mm(angle_deg=angle, lead_mm=lead)
    assert found == pytest.approx(lead * angle / 360)
    assert nut.play_from_dead_angle_mm(angle_deg=360, lead_mm=lead) == pytest.approx(lead)


@given(st.floats(0.01, 5), st.floats(1e-10, 1e-6), st.floats(0, 0.4))
def test_after_the_travel_that_is_left_the_nut_is_worn_out(pressure, rate, play):
    travel = nut_wear.travel_until_worn_mm(
        play_now_mm=play, pitch_mm=2, lead_mm=8, pitch_diameter_mm=7,
        pressure_n_per_mm2=pressure, wear_rate_mm3_per_nmm=rate,
    )  # fmt: skip
    worn = nut_wear.worn_play_mm(
        pressure_n_per_mm2=pressure,
        sliding_mm=nut_wear.sliding_mm(travel_mm=travel, lead_mm=8, pitch_diameter_mm=7),
        wear_rate_mm3_per_nmm=rate,
    )
    assert play + worn == pytest.approx(0.5)


def test_a_nut_past_its_wear_has_no_travel_left():
    found = nut_wear.travel_until_worn_mm(
        play_now_mm=0.6, pitch_mm=2, lead_mm=8, pitch_diameter_mm=7, pressure_n_per_mm2=1,
        wear_rate_mm3_per_nmm=1e-8,
    )  # fmt: skip
    assert found == 0


def test_a_longer_lead_slides_less_for_the_same_travel():
    slid = [
        nut_wear.sliding_mm(travel_mm=100, lead_mm=lead, pitch_diameter_mm=7) for lead in (2, 4, 8)
    ]
    assert slid == sorted(slid, reverse=True)
    assert min(slid) > 100


@pytest.mark.parametrize("mount", nut_mount.MOUNTS.values(), ids=lambda mount: mount.id)
@pytest.mark.parametrize("drag", [2, 9, 20])
def test_only_an_uncaptive_mount_can_part(mount, drag):
    stays = nut_mount.stays_together(mount=mount, hanging_weight_n=12, drag_n=drag)
    assert stays == (mount.captive or drag == 2)


@pytest.mark.parametrize("mount", nut_mount.MOUNTS.values(), ids=lambda mount: mount.id)
def test_a_mount_that_gives_way_does_so_at_a_push_and_others_never(mount):
    push = nut_mount.push_to_slide_n(mount=mount, hanging_weight_n=12)
    assert (push < 12) == (mount.lateral_freedom_mm > 0)


@given(st.floats(0, 1), st.floats(0, 1), st.floats(0, 0.01), st.floats(0, 500))
def test_freedom_needed_is_never_less_than_the_orbit(orbit, offset, slope, travel):
    found = nut_mount.freedom_needed_mm(
        orbit_mm=orbit, offset_mm=offset, out_of_parallel_mm_per_mm=slope, travel_mm=travel
    )
    assert found >= orbit


def test_an_unknown_mount_is_told_the_known_ones():
    with pytest.raises(InputError, match="two-axis-slide"):
        nut_mount.mount("rubber")
