"""The sheet of a frame."""

import pytest

from plumbrise.elements.calculators import calculator
from plumbrise.elements.worked import sheet


def _told(read_mm):
    return sheet(calculator("frame"), {"read_mm": read_mm}).worked.verdicts[0]


def test_a_reading_is_judged_only_where_joints_can_make_it():
    worked = sheet(calculator("frame"), {}).worked
    low, high = worked["reads_low_mm"], worked["reads_high_mm"]
    assert _told(0.9 * high).holds is True
    assert _told(1.1 * high).holds is False
    assert _told(0.9 * low).holds is True
    assert "if the gauge stood" in _told(0.9 * low).words


@pytest.mark.parametrize("share", [0.99, 0.5, 0.01])
def test_less_than_rigid_joints_leave_tells_nothing_of_them(share):
    rigid_mm = 10 / sheet(calculator("frame"), {}).worked["rigid_n_per_mm"]
    assert _told(share * rigid_mm).holds is None
    assert "tells nothing of them" in _told(share * rigid_mm).words
    assert _told(1.01 * rigid_mm).holds is True
