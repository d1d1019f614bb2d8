"""Does a bought kit go on."""

from dataclasses import replace
from math import cos, nan, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements.kit_fit import Opening, fit_probability, placed, spacing_room_mm
from plumbrise.errors import InputError

CORNERS = ((0, 0), (31, 0), (31, 31), (0, 31))
KIT = tuple(Opening(name=str(i), x_mm=x, y_mm=y, width_mm=3.4) for i, (x, y) in enumerate(CORNERS))
PAIR = (KIT[0], KIT[1])


def _slots(pair, length_mm, angle_deg=0.0):
    return tuple(replace(o, length_mm=length_mm, angle_deg=angle_deg) for o in pair)


@given(st.floats(-0.2, 0.2), st.floats(3.4, 5), st.floats(2.5, 3.3))
def test_two_bolts_have_half_of_their_room_each(off_mm, slot_mm, bolt_mm):
    there = _slots((KIT[0], replace(KIT[1], x_mm=31 + off_mm)), slot_mm)
    room = spacing_room_mm(
        hole_spacing_mm=31, slot_spacing_mm=31 + off_mm, hole_width_mm=3.4, slot_length_mm=slot_mm,
        bolt_mm=bolt_mm,
    )  # fmt: skip
    across = 3.4 - bolt_mm  # across the slot there is less room where the slot is long
    found = placed(PAIR, there, bolt_mm=bolt_mm)
    assert found.spare_mm == pytest.approx(min(room / 2, across), abs=0.006)


@given(st.floats(-200, 200), st.floats(-200, 200), st.floats(-2, 2))
def test_a_kit_that_lies_elsewhere_and_turned_fits_as_well(dx, dy, turn_deg):
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    there = [
        replace(o, x_mm=c * o.x_mm - s * o.y_mm + dx, y_mm=s * o.x_mm + c * o.y_mm + dy)
        for o in KIT
    ]
    found = placed(KIT, there, bolt_mm=3.0)
    # a turn is taken as small: 2° shorten 15 mm by 0.01
    assert found.spare_mm == pytest.approx(0.4, abs=0.02)
    assert found.turn_deg == pytest.approx(turn_deg, abs=0.05)


@given(st.lists(st.tuples(st.floats(-0.3, 0.3), st.floats(-0.3, 0.3)), min_size=4, max_size=4))
def test_a_place_that_is_said_to_fit_lets_every_bolt_through(offsets):
    there = [
        replace(o, x_mm=o.x_mm + dx, y_mm=o.y_mm + dy)
        for o, (dx, dy) in zip(KIT, offsets, strict=True)
    ]
    found = placed(KIT, there, bolt_mm=3.0)
    turn = radians(found.turn_deg)
    for mine, other in zip(KIT, there, strict=True):
        x = mine.x_mm - turn * (mine.y_mm - 15.5) + found.shift_mm[0] - other.x_mm
        y = mine.y_mm + turn * (mine.x_mm - 15.5) + found.shift_mm[1] - other.y_mm
        assert np.hypot(x, y) <= 0.4 - found.spare_mm + 0.004
    assert found.tight


def test_a_slot_helps_along_itself_only():
    wider = replace(KIT[1], x_mm=32.2)
    along, across = (
        placed(PAIR, _slots((KIT[0], wider), 5.0, angle), bolt_mm=3.0) for angle in (0, 90)
    )
    assert along.fits
    assert not across.fits


def test_one_bolt_always_fits():
    found = placed(KIT[:1], [replace(KIT[0], x_mm=70)], bolt_mm=3.0)
    assert found.spare_mm == pytest.approx(0.4, abs=0.003)
    assert found.shift_mm == pytest.approx((70, 0), abs=0.01)


def test_measured_at_the_edge_it_is_as_likely_as_not():
    """Two holes with no room left: each error in spacing counts, either way alike."""
    there = (KIT[0], replace(KIT[1], x_mm=31.8))
    found = fit_probability(
        PAIR, there, bolt_mm=3.0, position_u_mm=0.02, rng=np.random.default_rng(3), draws=300
    )
    assert found == pytest.approx(0.5, abs=0.15)


@given(st.floats(0, 0.3), st.integers(0, 100), st.sampled_from([31.0, 31.4, 31.7, 32.0]))
def test_the_quick_count_is_that_of_placing_each_draw(u_mm, seed, spacing_mm):
    there = (KIT[0], replace(KIT[1], x_mm=spacing_mm))
    quick = fit_probability(
        PAIR, there, bolt_mm=3.0, position_u_mm=u_mm, rng=np.random.default_rng(seed), draws=20
    )
    apart = np.random.default_rng(seed).normal(0, 2**0.5 * u_mm, (20, 2, 2))
    fitting = [
        placed([replace(o, x_mm=o.x_mm + dx, y_mm=o.y_mm + dy) for o, (dx, dy) in zip(PAIR, by, strict=True)],
               there, bolt_mm=3.0).spare_mm
        for by in apart
    ]  # fmt: skip
    # the quick count turns the kit about its nominal openings, by 0.05 rad at most
    near_mm = 0.05 * np.abs(apart).max() * 2 + 1e-6
    sure, possible = (sum(spare > side * near_mm for spare in fitting) for side in (1, -1))
    assert sure + 1 <= round(22 * quick) <= possible + 1


@pytest.mark.parametrize(("spacing_mm", "likely"), [(31.2, True), (32.4, False)])
def test_far_from_the_edge_it_is_nearly_sure(spacing_mm, likely):
    there = (KIT[0], replace(KIT[1], x_mm=spacing_mm))
    found = fit_probability(
        PAIR, there, bolt_mm=3.0, position_u_mm=0.05, rng=np.random.default_rng(3), draws=60
    )
    assert (found > 0.95) == likely
    assert 0 < found < 1


@pytest.mark.parametrize(
    ("kit", "there", "words"),
    [
        ((), (), "at least one"),
        (KIT, PAIR, "in pairs"),
        (PAIR, (KIT[0], replace(KIT[1], width_mm=2.9)), "1, width_mm"),
        (PAIR, (KIT[0], replace(KIT[1], x_mm=nan)), "1, x_mm"),
        (PAIR, _slots(PAIR, 3.0), "Length runs along the slot"),
    ],
)
def test_a_pattern_that_is_none_is_refused(kit, there, words):
    with pytest.raises(InputError, match=words):
        placed(kit, there, bolt_mm=3.0)


def test_a_bolt_too_thick_for_a_spacing_is_refused():
    with pytest.raises(InputError, match="drill it out"):
        spacing_room_mm(
            hole_spacing_mm=31, slot_spacing_mm=31, hole_width_mm=3.4, slot_length_mm=3.4, bolt_mm=4
        )
