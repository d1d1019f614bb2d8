"""The first layers of axes whose losses are known in closed form."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbrise.axis import with_guide, with_lift
from plumbrise.errors import InputError
from plumbrise.foresee import Lift, Print, Start, one_axis
from plumbrise.foresee.heights import heights
from plumbrise.foresee.layers import gaps_mm, layers_of

CLOSE = 2e-4


def _rng():
    return np.random.default_rng(0)


def _gaps(axis, job, bead=0):
    """Gap of every layer at every place, (layers, places)."""
    made = heights(one_axis(axis), job, _rng())
    return np.diff(made.usual_mm[0, :, :, bead], axis=0, prepend=0.0)


def test_come_down_to_layer_one_it_is_right_and_layer_two_lacks_all_that_is_lost(loses):
    gaps = _gaps(loses(0.10), Print())
    assert gaps[0] == pytest.approx(0.2, abs=CLOSE)
    assert gaps[1] == pytest.approx(0.1, abs=CLOSE)
    assert gaps[2:] == pytest.approx(0.2, abs=CLOSE)


def test_what_is_lost_beyond_a_layer_falls_on_the_next(loses):
    gaps = _gaps(loses(0.30), Print())
    assert gaps[1] == pytest.approx(0.0, abs=CLOSE)
    assert gaps[2] == pytest.approx(0.1, abs=CLOSE)
    assert gaps[3:] == pytest.approx(0.2, abs=CLOSE)


def test_risen_from_home_layer_one_lacks_what_is_lost_and_the_rest_is_right(loses):
    gaps = _gaps(loses(0.10), Print(start=Start.UP))
    assert gaps[0] == pytest.approx(0.1, abs=CLOSE)
    assert gaps[1:] == pytest.approx(0.2, abs=CLOSE)


def test_a_dip_brings_the_axis_to_where_it_follows(loses):
    gaps = _gaps(loses(0.10), Print(start=Start.DIP, dip_to_mm=0.05, offset_mm=0.1))
    assert gaps == pytest.approx(0.2, abs=CLOSE)


def test_a_lift_at_every_layer_keeps_all_layers_right_and_the_height_true(loses):
    gaps = _gaps(loses(0.10), Print(lift=Lift.EVERY))
    assert gaps == pytest.approx(0.2, abs=CLOSE)


def test_a_lift_shorter_than_what_is_lost_does_not_help_all_the_way(losing):
    short = _gaps(losing(0.10), Print(lift=Lift.EVERY, lift_mm=0.04))
    assert short.sum(axis=0) == pytest.approx(2.0 - 0.06, abs=CLOSE)


def test_lifts_at_some_moves_leave_two_heights_within_a_layer(loses):
    made = heights(one_axis(loses(0.10)), Print(lift=Lift.SOME), _rng()).usual_mm[0]
    within = made[..., 1] - made[..., 0]
    assert within[0] == pytest.approx(0.0, abs=CLOSE)
    assert within[1:] == pytest.approx(0.1, abs=CLOSE)


def test_lifted_at_some_moves_the_top_stands_between_right_and_short_by_what_is_lost(loses):
    top = heights(one_axis(loses(0.10)), Print(lift=Lift.SOME), _rng()).usual_mm[0, -1]
    assert top[:, 0] == pytest.approx(1.9, abs=CLOSE)
    assert top[:, 1] == pytest.approx(2.0, abs=CLOSE)


def test_half_a_layer_lost_bulges_the_second_by_the_law_of_the_bead(loses):
    made = heights(one_axis(loses(0.10)), Print(), _rng())
    second = layers_of(replace(made, foretold_mm=made.usual_mm), _rng())[1]
    area = (0.45 - 0.2) * 0.2 + np.pi * 0.01  # of the bead as told
    wide = area / 0.1 + 0.1 * (1 - np.pi / 4)
    assert wide - 0.45 == pytest.approx(0.39, abs=0.005)
    for at in second.at.values():
        assert at.width_mm.estimate == pytest.approx(wide, abs=2e-3)
        assert at.bulge_mm.estimate == pytest.approx((wide - 0.45) / 2, abs=1e-3)
        in_its_gap = (0.45 - 0.1) * 0.1 + np.pi * 0.1**2 / 4  # of a line of the told width
        assert at.flow.estimate == pytest.approx(area / in_its_gap, abs=5e-3)


@pytest.mark.parametrize("start", [Start.DOWN, Start.UP])
@pytest.mark.parametrize("lift", [Lift.NONE, Lift.EVERY])
def test_however_it_starts_the_print_is_short_by_what_is_lost_or_not_at_all(losing, start, lift):
    total = _gaps(losing(0.10), Print(start=start, lift=lift)).sum(axis=0)
    short = 0.0 if lift is Lift.EVERY else 0.10
    assert total == pytest.approx(2.0 - short, abs=CLOSE)


def test_a_nozzle_that_presses_at_homing_lowers_layer_one_by_force_over_stiffness(losing):
    gaps = _gaps(losing(0.0, stiffness=100.0), Print(probe_n=4.0))
    assert gaps[0] == pytest.approx(0.2 - 4.0 / 200.0, abs=CLOSE)  # two screws share the force
    assert gaps[1:] == pytest.approx(0.2, abs=CLOSE)


def test_a_bed_is_pressed_down_by_the_nozzle_and_layer_one_is_as_much_lower(losing):
    gaps = _gaps(losing(0.0, "three-screw-bed", stiffness=100.0), Print(probe_n=6.0))
    assert gaps[0] == pytest.approx(0.2 - 6.0 / 300.0, abs=CLOSE)


def test_a_side_that_drags_more_makes_a_wedge_and_the_part_between_is_between(losing):
    axis = losing(0.10)
    axis = with_guide(axis, lambda guide: replace(guide, drag_n=1.5 * guide.drag_n), "right")
    axis = replace(axis, racking_n_per_mm=0.0)
    second = _gaps(axis, Print(place_mm=0.25 * axis.span_mm))[1]
    left, right, part = 0.2 - second
    assert (left, right) == pytest.approx((0.10, 0.15), abs=CLOSE)
    assert part == pytest.approx(0.75 * left + 0.25 * right, abs=1e-9)


def test_a_print_higher_than_the_axis_is_refused(losing):
    axis = losing(0.1)
    with pytest.raises(InputError, match="as far as the axis goes"):
        heights(one_axis(axis), Print(layers=2000), _rng())


@settings(max_examples=25)
@given(
    lost=st.floats(0.0, 0.5),
    layers=st.integers(1, 30),
    layer=st.floats(0.05, 0.4),
    start=st.sampled_from(Start),
    lift=st.sampled_from(Lift),
)
def test_gaps_add_up_to_the_height_of_the_top(losing, lost, layers, layer, start, lift):
    job = Print(layer_mm=layer, layers=layers, width_mm=0.6, start=start, lift=lift)
    made = heights(one_axis(losing(lost)), job, _rng())
    total = gaps_mm(made, _rng(), usual=True).sum(axis=1)
    low, high = made.usual_mm[:, -1].min(axis=-1), made.usual_mm[:, -1].max(axis=-1)
    assert (total >= low - 1e-9).all()
    assert (total <= high + 1e-9).all()


def test_a_screw_that_moves_too_far_makes_every_layer_thicker_in_proportion(losing):
    axis = losing(0.0)
    long = with_lift(
        axis, lambda lift: replace(lift, thread=replace(lift.thread, error_ratio=0.01))
    )
    assert _gaps(long, Print()) == pytest.approx(0.202, abs=1e-6)
