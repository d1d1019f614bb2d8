"""From a described machine to the numbers of its model, and to a vector and back."""

from dataclasses import replace

import numpy as np
import pytest

from plumbrise.axis import layout_of, parameters_of, sound, vector_of
from plumbrise.axis.parameters import knots_of, shares
from plumbrise.machine import ARRANGEMENTS, Machine, blank
from plumbrise.machine.description import Bearing, Gantry, Nut, PerSide, Screw


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_a_vector_gives_its_axis_back(arrangement):
    axis = sound(blank(arrangement))
    theta = vector_of(axis)
    assert np.array_equal(vector_of(parameters_of(axis, theta)), theta)
    assert len(layout_of(axis).names) == len(theta)


def test_what_a_person_gives_is_taken():
    machine = replace(
        blank("one-screw"),
        gantry=Gantry(mass_kg=2.0, centre_of_mass_mm=85.0),
        nut=PerSide(Nut(play_mm=0.07, bracket_stiffness_n_per_mm=90.0)),
    )
    axis = sound(machine)
    assert axis.weight_n == pytest.approx(19.6133)
    assert axis.weight_shares == pytest.approx((0.75, 0.25))
    assert axis.lifts[0].play_mm == 0.07
    assert axis.lifts[0].bracket_stiffness_n_per_mm == 90.0


def test_one_side_of_a_machine_may_differ():
    machine: Machine = replace(
        blank("two-screw"),
        bearing=PerSide(Bearing(), (("right", Bearing(carries_weight="thrust-bearing")),)),
    )
    left, right = sound(machine).lifts
    assert right.seat_stiffness_n_per_mm > left.seat_stiffness_n_per_mm


def test_a_screw_on_the_right_carries_the_right_end():
    machine = replace(blank("one-screw"), screw=PerSide(Screw(side="right")))
    axis = sound(machine)
    assert axis.lifts[0].end == "right"
    assert axis.tight_spot.end == "right"


@pytest.mark.parametrize("ends", [2, 3])
@pytest.mark.parametrize("place", [0.2, 0.5, 0.8])
def test_shares_of_a_load_carry_it_whole_and_at_its_place(ends, place):
    parts = shares(ends, place)
    at = (0.0, 1.0) if ends == 2 else (0.0, 1.0, 0.5)
    assert sum(parts) == pytest.approx(1.0)
    assert np.dot(parts, at) == pytest.approx(place)


@pytest.mark.parametrize("height_mm", [40.0, 250.0, 600.0])
def test_knots_rise_from_the_bottom_to_the_top(height_mm):
    knots = knots_of(height_mm)
    assert (knots[0], knots[-1]) == pytest.approx((0.0, height_mm))
    assert (np.diff(knots) > 0).all()
