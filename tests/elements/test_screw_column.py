"""Columns and whirling: scaling, order of the ends, and where two formulas meet."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.elements import screw_column as column
from plumbrise.elements.screw import STEEL_KG_PER_MM3, STEEL_N_PER_MM2, Ends

CORES = st.floats(3, 30)
LENGTHS = st.floats(50, 2000)
WEAKEST_FIRST = (Ends.HELD_FREE, Ends.PINNED_PINNED, Ends.HELD_PINNED, Ends.HELD_HELD)


@given(CORES, LENGTHS)
def test_better_held_ends_carry_more_and_whirl_later(core, length):
    part = {"core_diameter_mm": core, "length_mm": length}
    loads = [column.buckling_load_n(ends=ends, **part) for ends in WEAKEST_FIRST]
    whirls = [column.whirl_hz(ends=ends, **part) for ends in WEAKEST_FIRST]
    assert loads == sorted(loads)
    assert whirls == sorted(whirls)


@given(CORES, LENGTHS, st.floats(1.05, 4))
def test_a_longer_screw_buckles_sooner(core, length, longer):
    loads = [
        column.buckling_load_n(core_diameter_mm=core, length_mm=x, ends=Ends.PINNED_PINNED)
        for x in (length, longer * length)
    ]
    assert loads[1] < loads[0]


@given(CORES, st.sampled_from(WEAKEST_FIRST))
def test_both_formulas_meet_at_half_the_yield(core, ends):
    slender = column.euler_from_slenderness(ends=ends, yield_n_per_mm2=350)
    at = slender * core / 4
    loads = [
        column.buckling_load_n(core_diameter_mm=core, length_mm=at * share, ends=ends)
        for share in (1 - 1e-9, 1 + 1e-9)
    ]
    assert loads[0] == pytest.approx(loads[1], rel=1e-7)


@pytest.mark.parametrize(
    ("ends", "held"),
    [(Ends.HELD_FREE, (2, 0)), (Ends.PINNED_PINNED, (1, 1)), (Ends.HELD_HELD, (2, 2))],
)
def test_whirling_agrees_with_a_screw_cut_into_short_beams(ends, held):
    """A second route: bending elements with consistent masses, lowest eigenvalue."""
    core, length, parts = 5.5, 350.0, 12
    bending = STEEL_N_PER_MM2 * np.pi * core**4 / 64
    mass = STEEL_KG_PER_MM3 / 1000 * np.pi * core**2 / 4
    x = length / parts
    stiff = bending / x**3 * np.array(
        [[12, 6 * x, -12, 6 * x], [6 * x, 4 * x * x, -6 * x, 2 * x * x],
         [-12, -6 * x, 12, -6 * x], [6 * x, 2 * x * x, -6 * x, 4 * x * x]]
    )  # fmt: skip
    heavy = mass * x / 420 * np.array(
        [[156, 22 * x, 54, -13 * x], [22 * x, 4 * x * x, 13 * x, -3 * x * x],
         [54, 13 * x, 156, -22 * x], [-13 * x, -3 * x * x, -22 * x, 4 * x * x]]
    )  # fmt: skip
    size = 2 * (parts + 1)
    k, m = np.zeros((size, size)), np.zeros((size, size))
    for part in range(parts):
        at = slice(2 * part, 2 * part + 4)
        k[at, at] += stiff
        m[at, at] += heavy
    kept = np.arange(size)
    last = [size - 2, size - 1][: held[1]]
    kept = np.setdiff1d(kept, [*range(held[0]), *last])
    squares = np.linalg.eigvals(np.linalg.solve(m[np.ix_(kept, kept)], k[np.ix_(kept, kept)]))
    lowest = np.sqrt(np.min(squares.real)) / (2 * np.pi)
    found = column.whirl_hz(core_diameter_mm=core, length_mm=length, ends=ends)
    assert found == pytest.approx(lowest, rel=1e-3)


def test_lifting_may_be_faster_with_more_lead():
    speeds = [
        column.fastest_lift_mm_per_s(whirl_turns_per_s=30, lead_mm=lead) for lead in (2, 4, 8)
    ]
    assert speeds == [speeds[0], 2 * speeds[0], 4 * speeds[0]]
