"""Which belt to buy, and how far a pulley must give."""

from dataclasses import replace
from math import cos, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements.belt_loop import loop
from plumbrise.elements.belt_pulley import Pulley
from plumbrise.elements.belt_stock import nearest_stock, outward_deg, pull_per_newton, shift_mm
from plumbrise.errors import InputError

LEFT = Pulley(name="left", x_mm=0, y_mm=0, teeth=20)
RIGHT = Pulley(name="right", x_mm=341, y_mm=0, teeth=20)
MOTOR = Pulley(name="motor", x_mm=160, y_mm=-70, teeth=16)
ROLLER = Pulley(name="roller", x_mm=120, y_mm=8, diameter_mm=12, outside=True)


@given(st.floats(200, 500))
def test_equal_pulleys_move_by_half_of_what_a_belt_is_longer(distance):
    two = (LEFT, replace(RIGHT, x_mm=distance))
    for fit in nearest_stock(two, moved="right", each_way=1):
        assert fit.shift_mm == pytest.approx((fit.length_mm - 40) / 2 - distance, abs=1e-9)


@pytest.mark.parametrize("moved", ["motor", "left", "right", "roller"])
def test_the_shifted_layout_has_the_length_of_the_belt(moved):
    layout = (LEFT, MOTOR, RIGHT, ROLLER)
    fits = nearest_stock(layout, moved=moved, reach_mm=60)
    assert [fit.length_mm for fit in fits] == sorted(fit.length_mm for fit in fits)
    reached = [fit for fit in fits if fit.loop is not None]
    assert reached
    for fit in reached:
        assert fit.loop.length_mm == pytest.approx(fit.length_mm, abs=1e-8)
        assert fit.teeth * 2 == fit.length_mm


@given(st.floats(-180, 180))
def test_belt_taken_up_is_pull_against_the_motion(direction_deg):
    """Virtual work: dL/ds is the pull for each newton, against the direction of the shift."""
    layout, step = (LEFT, MOTOR, RIGHT, ROLLER), 1e-4
    dx, dy = cos(radians(direction_deg)), sin(radians(direction_deg))
    ahead, behind = (
        replace(MOTOR, x_mm=MOTOR.x_mm + s * dx, y_mm=MOTOR.y_mm + s * dy) for s in (step, -step)
    )
    change = (
        loop((LEFT, ahead, RIGHT, ROLLER)).length_mm - loop((LEFT, behind, RIGHT, ROLLER)).length_mm
    )
    x, y = pull_per_newton(loop(layout), "motor")
    assert change / (2 * step) == pytest.approx(-(x * dx + y * dy), abs=1e-5)


def test_outward_is_where_a_motor_below_has_to_go():
    found = loop((LEFT, replace(MOTOR, x_mm=170.5), replace(RIGHT, teeth=20)))
    assert outward_deg(found, "motor") == pytest.approx(-90)


def test_a_belt_out_of_reach_is_told_as_such():
    assert shift_mm((LEFT, RIGHT), length_mm=900, moved="right", reach_mm=20) is None
    fits = nearest_stock((LEFT, RIGHT), moved="right", stock_mm=(200, 900), reach_mm=20)
    assert [(fit.length_mm, fit.shift_mm, fit.loop) for fit in fits] == [
        (200, None, None),
        (900, None, None),
    ]


def test_a_belt_that_fits_as_it_is_needs_no_shift():
    fits = nearest_stock((LEFT, replace(RIGHT, x_mm=340)), moved="right", each_way=1)
    assert fits[-1].length_mm == 720
    assert fits[-1].shift_mm == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"moved": "idler"}, "left, right allowed"),
        ({"stock_mm": (721,)}, "whole multiples of 2 mm"),
        ({"stock_mm": ()}, "List the lengths"),
        ({"reach_mm": 0}, "reach_mm"),
        ({"direction_deg": float("nan")}, "direction_deg"),
        ({"direction_deg": 90.0, "moved": "idler"}, "left, right allowed"),
    ],
)
def test_what_cannot_be_looked_for_is_refused(change, words):
    with pytest.raises(InputError, match=words):
        nearest_stock((LEFT, RIGHT), **{"moved": "right", **change})


def test_a_roller_that_only_touches_has_no_outward():
    top = Pulley(
        name="roller", x_mm=170, y_mm=40 / 6.283185307179586 + 6, diameter_mm=12, outside=True
    )
    with pytest.raises(InputError, match="runs straight past"):
        outward_deg(loop((LEFT, RIGHT, top)), "roller")
