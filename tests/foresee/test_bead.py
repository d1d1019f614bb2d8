"""Beads that keep their volume."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputError
from plumbrise.foresee.bead import area_mm2, width_change_per_gap, widths_mm

heights = st.floats(0.05, 0.6)
ratios = st.floats(1.05, 5.0)


@given(height=heights, ratio=ratios, share=st.floats(0.3, 1.0))
def test_a_bead_in_any_gap_it_fills_keeps_its_area(height, ratio, share):
    area = area_mm2(width_mm=ratio * height, height_mm=height)
    gap = share * height
    width = float(widths_mm(area, np.array([gap]))[0])
    assert area_mm2(width_mm=width, height_mm=gap) == pytest.approx(area)


@given(height=heights, ratio=ratios)
def test_the_told_gap_gives_the_told_width(height, ratio):
    area = area_mm2(width_mm=ratio * height, height_mm=height)
    assert widths_mm(area, np.array([height]))[0] == pytest.approx(ratio * height)


@given(height=heights, ratio=ratios)
def test_a_lower_gap_makes_a_wider_bead(height, ratio):
    area = area_mm2(width_mm=ratio * height, height_mm=height)
    gaps = np.linspace(0.2, 1.0, 9) * height
    assert (np.diff(widths_mm(area, gaps)) < 0).all()


@given(height=heights, ratio=ratios)
def test_the_slope_is_that_of_the_width_itself(height, ratio):
    width, step = ratio * height, 1e-6
    area = area_mm2(width_mm=width, height_mm=height)
    below, above = widths_mm(area, np.array([height - step, height + step]))
    slope = -(above - below) / (2 * step)
    if np.isfinite(slope):
        assert width_change_per_gap(width_mm=width, height_mm=height) == pytest.approx(
            slope, rel=1e-4
        )


def test_without_a_gap_nothing_comes_out_and_the_width_has_no_bound():
    assert np.isinf(widths_mm(0.08, np.array([0.0, -0.1]))).all()


@pytest.mark.parametrize(("width", "height"), [(0.1, 0.2), (0.4, 0.0), (0.4, -0.2)])
def test_a_bead_that_cannot_be_is_refused(width, height):
    with pytest.raises(InputError):
        area_mm2(width_mm=width, height_mm=height)
