"""The sheet of a bearing."""

import pytest

from plumbrise.elements.calculators import calculator
from plumbrise.elements.worked import sheet


def _worked(**given):
    return sheet(calculator("bearing"), {"bore_mm": 8, **given})


def test_a_thrust_bearing_does_not_do_for_a_load_from_the_side():
    assert _worked(type="thrust").holds
    pulled = _worked(type="thrust", radial_n=40)
    assert not pulled.holds
    told = next(v.words for v in pulled.worked.verdicts if v.holds is False)
    assert "40.0 N need a radial bearing" in told


@pytest.mark.parametrize("radial", [40, 400])
def test_a_radial_bearing_takes_it(radial):
    loaded, free = _worked(type="radial", radial_n=radial), _worked(type="radial")
    assert not any("beside it" in v.words for v in loaded.worked.verdicts)
    assert loaded.worked["static_safety"] < free.worked["static_safety"]
