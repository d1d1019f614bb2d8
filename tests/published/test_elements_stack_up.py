"""Chains of dimensions and standard tolerances, against handbooks and the standard's table."""

import numpy as np
import pytest

from plumbrise.elements import fits, stack_up
from plumbrise.elements.stack_up import Link

MOTOR = (
    ("A", -0.375, 0.000, 0.031),
    ("B", 0.032, 0.002, 0.002),
    ("C", 0.060, 0.003, 0.003),
    ("D", 0.438, 0.000, 0.015),
    ("E", 0.120, 0.005, 0.005),
    ("F", 1.500, 0.010, 0.004),
    ("G", 0.120, 0.005, 0.005),
    ("H", 0.438, 0.000, 0.015),
    ("I", 0.450, 0.007, 0.007),
    ("J", -3.019, 0.012, 0.000),
    ("K", 0.300, 0.030, 0.030),
)
"""Name, size with the sign of its way round the gap, and the tolerance on its length, inch."""
EQUAL = (0.0155, 0.002, 0.003, 0.0075, 0.005, 0.007, 0.005, 0.0075, 0.007, 0.006, 0.030)

ANGLED = tuple(
    zip(
        (-0.5146, 0.1567, 0.4180, -1, -0.0540, 0.4372, 1, -0.9956, -0.7530, -0.4006, -1.0914),
        (0.875, 1.625, 1.700, 0.875, 2.625, 7.875, 4.125, 1.125, 3.625, 5.125, 1.000),
        (0.010, 0.020, 0.012, 0.010, 0.020, 0.030, 0.010, 0.020, 0.015, 0.020, 0.010),
        strict=True,
    )
)


def _motor():
    return [
        Link(
            name=name,
            nominal_mm=abs(size),
            plus_mm=plus,
            minus_mm=minus,
            sensitivity=1 if size > 0 else -1,
        )
        for name, size, plus, minus in MOTOR
    ]


def _within(found, middle, half, tolerance):
    assert found.middle_mm == pytest.approx(middle, abs=tolerance)
    assert found.half_mm == pytest.approx(half, abs=tolerance)


def test_STK_01_bracket_of_four_dimensions():
    """1.750±.003 less .750±.001, .120±.005 and .875±.001: 0.005 ± 0.010, by chance ± 0.006;
    Shigley's Mechanical Engineering Design, example 1-7, from memory, exact."""
    chain = [
        Link(name=name, nominal_mm=size, plus_mm=t, minus_mm=t, sensitivity=way)
        for name, size, t, way in (
            ("a", 1.750, 0.003, 1), ("b", 0.750, 0.001, -1), ("c", 0.120, 0.005, -1),
            ("d", 0.875, 0.001, -1),
        )
    ]  # fmt: skip
    worst = stack_up.worst_case(chain)
    _within(worst, 0.005, 0.010, 1e-12)
    assert (worst.least_mm, worst.most_mm) == pytest.approx((-0.005, 0.015), abs=1e-12)
    _within(stack_up.root_sum_square(chain), 0.005, 0.006, 1e-12)


def test_STK_02_motor_assembly_at_worst():
    """Eleven dimensions, two of them one-sided: 0.0615 ± 0.0955, -0.0340 to 0.1570; Drake (ed.),
    Dimensioning and Tolerancing Handbook, chapter 9, seen in print, 1e-4."""
    halves = [link.half_mm for link in _motor()]
    assert halves == pytest.approx(list(EQUAL), abs=1e-9)
    worst = stack_up.worst_case(_motor())
    _within(worst, 0.0615, 0.0955, 1e-4)
    assert (worst.least_mm, worst.most_mm) == pytest.approx((-0.0340, 0.1570), abs=1e-4)


def test_STK_03_motor_assembly_by_chance():
    """± 0.0381, 0.0234 to 0.0996; same source, seen in print, 1e-4."""
    found = stack_up.root_sum_square(_motor())
    _within(found, 0.0615, 0.0381, 1e-4)
    assert (found.least_mm, found.most_mm) == pytest.approx((0.0234, 0.0996), abs=1e-4)


def test_STK_04_motor_assembly_inflated():
    """Factor 1.3255, ± 0.0505, 0.0110 to 0.1120; same source, seen in print, 1e-4."""
    found = stack_up.inflated(_motor())
    factor = found.half_mm / stack_up.root_sum_square(_motor()).half_mm
    assert factor == pytest.approx(1.3255, abs=1e-4)
    assert (found.least_mm, found.most_mm) == pytest.approx((0.0110, 0.1120), abs=1e-4)


def test_STK_05_chain_with_sensitivities():
    """Print: gap 0.0719, worst ± 0.0967; recomputed from the rounded sensitivities 0.0720 and
    ± 0.0976; same source, chapter 12, seen in print, 0.001."""
    chain = [
        Link(name=str(i), nominal_mm=size, plus_mm=t, minus_mm=t, sensitivity=s)
        for i, (s, size, t) in enumerate(ANGLED)
    ]
    found = stack_up.worst_case(chain)
    _within(found, 0.0719, 0.0967, 1e-3)
    _within(found, 0.0720, 0.0976, 1e-3)


def test_STK_06_four_rectangular_tolerances():
    """± √3 each: 95 % ± 3.88, worst ± 6.93, root sum square of the limits ± 3.46; JCGM 101, 9.2.3,
    from memory, 0.01 (the 95 % limit here from two million draws, whose own scatter is 0.003)."""
    limit = 3**0.5
    chain = [
        Link(name=str(i), nominal_mm=0, plus_mm=limit, minus_mm=limit, law="rectangular")
        for i in range(4)
    ]
    found = stack_up.monte_carlo(chain, rng=np.random.default_rng(9), draws=2_000_000)
    assert (found.high_mm - found.low_mm) / 2 == pytest.approx(3.88, abs=0.01)
    assert stack_up.worst_case(chain).half_mm == pytest.approx(6.93, abs=0.01)
    assert stack_up.root_sum_square(chain).half_mm == pytest.approx(3.46, abs=0.01)


@pytest.mark.parametrize(
    ("size_mm", "widths_um"),
    [(6, (5, 8, 12, 18)), (10, (6, 9, 15, 22)), (18, (8, 11, 18, 27)), (30, (9, 13, 21, 33)),
     (50, (11, 16, 25, 39))],
)  # fmt: skip
def test_STK_07_standard_tolerances(size_mm, widths_um):
    """Grades 5 to 8 at the upper end of each range and just above its lower one; ISO 286-1,
    table 1, seen in print, exact."""
    lower = {6: 3, 10: 6, 18: 10, 30: 18, 50: 30}[size_mm]
    for size in (size_mm, lower + 0.001):
        found = [fits.tolerance_width_mm(size_mm=size, grade=grade) for grade in (5, 6, 7, 8)]
        assert [1000 * width for width in found] == pytest.approx(list(widths_um))


@pytest.mark.parametrize(
    ("size_mm", "zone", "upper_um", "lower_um"),
    [(8, "h6", 0, -9), (10, "g6", -5, -14), (22, "H7", 21, 0), (24, "H7", 21, 0)],
)
def test_STK_08_limits_of_holes_and_shafts(size_mm, zone, upper_um, lower_um):
    """8 h6, 10 g6, 22 H7, 24 H7; ISO 286-2, from memory, exact."""
    found = fits.limits(size_mm=size_mm, zone=zone)
    assert 1000 * found.upper_mm == pytest.approx(upper_um)
    assert 1000 * found.lower_mm == pytest.approx(lower_um)
