"""Stiffness formulas that the axis model leans on, against handbook values.

Closed forms of the named handbooks, recomputed; the tolerance is that of the printed digits.
"""

from math import radians

import pytest

from plumbrise.elements import coupling, screw


def test_SCR_20_axial_stiffness_of_a_screw():
    """E A / L: core 5.5 mm, 300 mm, 206 GPa give 16.314 N/µm; closed form, 1e-4."""
    found = screw.axial_n_per_mm(core_diameter_mm=5.5, length_mm=300)
    assert found / 1000 == pytest.approx(16.314, rel=1e-4)


@pytest.mark.parametrize(("lead_mm", "micrometres"), [(2, 2.78), (8, 11.11)])
def test_CPL_01_wind_up_turns_into_height(lead_mm, micrometres):
    """Half a degree of wind-up; geometry, 0.01 µm."""
    found = coupling.wind_up_mm(angle_rad=radians(0.5), lead_mm=lead_mm)
    assert found * 1000 == pytest.approx(micrometres, abs=0.01)
