"""Couplings: what they take of the height, and what they do to shafts that do not line up."""

from math import inf, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import coupling
from plumbrise.errors import InputError


def test_every_kind_of_the_machine_file_is_known_in_both_tables():
    assert set(coupling.KINDS) == set(coupling.AXIAL_STIFFNESS_N_PER_MM)
    for name, kind in coupling.KINDS.items():
        assert kind.id == name
        assert coupling.axial_n_per_mm(name) > 0


def test_a_turn_of_wind_up_is_a_lead():
    assert coupling.wind_up_mm(angle_rad=2 * pi, lead_mm=8) == pytest.approx(8)


@given(st.floats(1, 100), st.floats(1e3, 1e5), st.floats(1, 16))
def test_torque_wind_up_is_the_angle_of_the_spring(torque, stiffness, lead):
    found = coupling.torque_wind_up_mm(
        torque_nmm=torque, torsional_nmm_per_rad=stiffness, lead_mm=lead
    )
    angle = torque / stiffness
    assert found == pytest.approx(coupling.wind_up_mm(angle_rad=angle, lead_mm=lead))
    rigid = coupling.torque_wind_up_mm(torque_nmm=torque, torsional_nmm_per_rad=inf, lead_mm=lead)
    assert rigid == 0


@given(st.floats(0, 1), st.floats(0.1, 500), st.floats(0.1, 500))
def test_side_force_is_that_of_two_springs_and_never_above_either(offset, first, second):
    found = coupling.side_force_n(offset_mm=offset, sideways_n_per_mm=first, shaft_n_per_mm=second)
    assert found <= offset * min(first, second) * (1 + 1e-12)
    assert found == pytest.approx(
        coupling.side_force_n(offset_mm=offset, sideways_n_per_mm=second, shaft_n_per_mm=first)
    )


def test_a_slotted_disc_pushes_nothing_and_two_rigid_parts_cannot_be_reckoned():
    free = coupling.side_force_n(offset_mm=0.5, sideways_n_per_mm=0, shaft_n_per_mm=200)
    assert free == 0
    with pytest.raises(InputError, match="sideways_n_per_mm"):
        coupling.side_force_n(offset_mm=0.5, sideways_n_per_mm=inf)


@given(st.sampled_from(sorted(coupling.KINDS)), st.floats(0, 1), st.floats(0, 1))
def test_shafts_in_line_use_nothing_of_what_a_coupling_puts_up_with(name, offset, tilt):
    kind = coupling.of_kind(name)
    assert coupling.capacity_used(kind=kind, offset_mm=0, tilt_deg=0) == 0
    used = coupling.capacity_used(
        kind=kind, offset_mm=offset * kind.offset_mm, tilt_deg=tilt * kind.tilt_deg
    )
    assert used == pytest.approx(offset + tilt)


@given(st.floats(0, 60))
def test_a_universal_joint_makes_whole_turns(tilt):
    """The mean of speed out over speed in is one: both shafts end a turn together."""
    steps = 720
    ratios = [
        coupling.universal_joint_ratio(tilt_deg=tilt, angle_deg=360 * n / steps)
        for n in range(steps)
    ]
    assert sum(ratios) / steps == pytest.approx(1, abs=1e-9)


@given(st.floats(0, 2), st.floats(-360, 360))
def test_the_disc_meets_both_shafts_in_a_turn(offset, angle):
    x, y = coupling.slotted_disc_centre_mm(offset_mm=offset, angle_deg=angle)
    to_first, to_second = (x, y), (x - offset, y)
    assert to_first[0] * to_second[0] + to_first[1] * to_second[1] == pytest.approx(0, abs=1e-9)
    again = coupling.slotted_disc_centre_mm(offset_mm=offset, angle_deg=angle + 180)
    assert again == pytest.approx((x, y), abs=1e-9)


def test_twice_the_drag_stretches_a_coupling_at_a_reversal():
    assert coupling.axial_stretch_mm(force_n=2 * 3, axial_n_per_mm=30) == pytest.approx(0.2)


def test_an_unknown_kind_is_told_the_known_ones():
    for look_up in (coupling.axial_n_per_mm, coupling.of_kind):
        with pytest.raises(InputError, match="slotted-disc"):
            look_up("rubber")
