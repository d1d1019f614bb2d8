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
    for too_little in (0.9 * low, 0.01 * low):
        assert _told(too_little).holds is None
        assert "tells nothing" in _told(too_little).words


def test_a_frame_with_rigid_joints_reads_less_than_any_other():
    rigid = float(_told(0.0001).words.partition("still read ")[2].partition(" mm")[0])
    assert rigid == pytest.approx(10 / _rigid_n_per_mm(), rel=0.02)


def _rigid_n_per_mm():
    return sheet(calculator("frame"), {"read_mm": 0.1}).worked["rigid_n_per_mm"]
