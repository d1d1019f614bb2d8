"""Couplings: kinematics of joints in closed form."""

from math import atan, atan2, cos, degrees, hypot, radians, tan

import numpy as np
import pytest

from plumbrise.elements import coupling


@pytest.mark.parametrize(("lead_mm", "micrometres"), [(2, 2.78), (8, 11.11)])
def test_CPL_01_wind_up_turns_into_height(lead_mm, micrometres):
    """Half a degree of wind-up; geometry, 0.01 µm."""
    found = coupling.wind_up_mm(angle_rad=radians(0.5), lead_mm=lead_mm)
    assert found * 1000 == pytest.approx(micrometres, abs=0.01)


def test_CPL_02_universal_joint():
    """Hooke's joint at 10°: closed form, with the angles found by turning it step by step; 1e-5."""
    ratios = [coupling.universal_joint_ratio(tilt_deg=10, angle_deg=angle) for angle in range(181)]
    assert (min(ratios), max(ratios)) == pytest.approx((0.98481, 1.01543), abs=1e-5)
    assert coupling.universal_joint_error_deg(tilt_deg=10) == pytest.approx(0.43856, abs=1e-5)
    ahead = max(
        degrees(atan(tan(radians(angle)) / cos(radians(10)))) - angle
        for angle in np.linspace(1, 89, 8801)
    )
    assert ahead == pytest.approx(0.43856, abs=1e-5)


def test_CPL_03_slotted_disc():
    """Oldham's joint: equal speeds, the disc twice round a circle as wide as the offset; closed
    form, held against slots at right angles through the two shafts."""
    offset = 0.5
    for angle in (10, 35, 80, 130, 265):
        x, y = coupling.slotted_disc_centre_mm(offset_mm=offset, angle_deg=angle)
        assert hypot(x - offset / 2, y) == pytest.approx(offset / 2, rel=1e-12)
        driving = degrees(atan2(y, x)) - angle
        driven = degrees(atan2(y, x - offset)) - angle
        assert driving % 180 == pytest.approx(0, abs=1e-9) or driving % 180 == pytest.approx(180)
        assert driven % 180 == pytest.approx(90, abs=1e-9)
        x_later, y_later = coupling.slotted_disc_centre_mm(offset_mm=offset, angle_deg=angle + 1)
        turned = degrees(atan2(y_later, x_later - offset / 2) - atan2(y, x - offset / 2))
        assert turned % 360 == pytest.approx(2, abs=1e-9)
