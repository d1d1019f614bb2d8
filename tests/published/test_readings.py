"""What a dial gauge gets wrong: tilt, lever, offset, permissible errors, reference temperature."""

import pytest

from plumbrise.readings import gauge

TILTS = (1, 2, 3, 5, 10, 15, 20, 30)


def test_GAU_01_a_tilted_plunger_reads_long():
    """Trigonometry, closed form."""
    true = [gauge.true_travel_of_tilted_plunger_mm(reading_mm=1, tilt_deg=tilt) for tilt in TILTS]
    of_reading = (0.015, 0.061, 0.137, 0.381, 1.519, 3.407, 6.031, 13.397)
    of_travel = (0.015, 0.061, 0.137, 0.382, 1.543, 3.528, 6.418, 15.470)
    assert [100 * (1 - t) for t in true] == pytest.approx(of_reading, abs=5.01e-4)
    assert [100 * (1 / t - 1) for t in true] == pytest.approx(of_travel, abs=5.01e-4)


def test_GAU_02_a_lever_reads_long():
    """Indicator correction table of general handbooks (10 to 30° seen, the rest from memory)."""
    printed = {10: 0.98, 20: 0.94, 30: 0.87, 40: 0.77, 50: 0.64, 60: 0.50}
    for angle, factor in printed.items():
        found = gauge.true_travel_of_lever_mm(reading_mm=1, lever_deg=angle)
        assert found == pytest.approx(factor, abs=0.0051)


def test_GAU_03_permissible_errors():
    """JIS B 7503:2011 as excerpted in a handbook page (the standard was not seen), µm."""
    one = gauge.permissible(0.001, 1)
    hundredth = gauge.permissible(0.01, 8)
    errors = (one.retrace_mm, one.repeatability_mm, one.tenth_turn_mm, one.whole_range_mm)
    assert errors == pytest.approx((0.002, 0.0005, 0.002, 0.005))
    assert (hundredth.retrace_mm, hundredth.one_turn_mm, hundredth.whole_range_mm) == pytest.approx(
        (0.003, 0.010, 0.015)
    )


def test_GAU_04_offset_and_tilt():
    """Abbe's principle, closed form."""
    assert gauge.offset_error_mm(offset_mm=40, tilt_rad=0.5e-3) == pytest.approx(0.020, rel=1e-6)


def test_GAU_05_reference_temperature():
    """ISO 1:2022 (from memory)."""
    assert gauge.REFERENCE_CELSIUS == 20


def test_GAU_06_a_gauge_block_is_far_better_than_any_dial_it_checks():
    """ISO 3650, grade 2 limits of nominal lengths to 10, 25, 50, 75, 100 mm (handbook, seen)."""
    grade_2_mm = {10: 0.00045, 25: 0.0006, 50: 0.0008, 75: 0.0010, 100: 0.0012}
    for length, limit in grade_2_mm.items():
        assert limit <= gauge.permissible(0.01, length).whole_range_mm / 10
