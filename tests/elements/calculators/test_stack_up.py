"""The sheet of a stack-up."""

import pytest

from plumbrise.elements.calculators import calculator
from plumbrise.elements.worked import sheet
from plumbrise.errors import InputError

SLOT = {"name": "slot", "nominal_mm": 20.0, "plus_mm": 0.1, "minus_mm": 0.1}
BLOCK = {"name": "block", "nominal_mm": 19.8, "plus_mm": 0.05, "minus_mm": 0.05, "sensitivity": -1}
KIT = [
    {"name": "a", "x_mm": 0, "y_mm": 0, "width_mm": 5.5},
    {"name": "b", "x_mm": 31, "y_mm": 0, "width_mm": 5.5},
]


def _worked(**given):
    return sheet(calculator("stack-up"), given).worked


def _said(worked):
    return " ".join(verdict.words for verdict in worked.verdicts)


def test_a_chain_names_the_link_to_hold_closer():
    found = _worked(link=[BLOCK, SLOT])
    assert "slot makes 80 % of the scatter" in _said(found)
    assert found["worst_mm"] == pytest.approx(0.15)


def test_limits_in_the_middle_of_the_gap_let_half_of_the_sets_through():
    found = _worked(link=[SLOT, BLOCK], least_mm=0.2)
    assert found["within_percent"] == pytest.approx(50, abs=1)
    assert found.verdicts[1].holds is False


def test_one_link_has_nothing_to_inflate():
    assert not any(line.name == "inflated_mm" for line in _worked(link=[SLOT]).sums)


def test_exact_parts_leave_nobody_to_blame():
    found = _worked(link=[{**SLOT, "plus_mm": 0, "minus_mm": 0}])
    assert "scatter" not in _said(found)


@pytest.mark.parametrize(("off_mm", "goes_on"), [(0.3, True), (1.6, False)])
def test_a_kit_goes_on_or_lacks_a_said_room(off_mm, goes_on):
    there = [KIT[0], {**KIT[1], "x_mm": 31 + off_mm}]
    found = _worked(kit=KIT, there=there, bolt_mm=5)
    assert found.verdicts[0].holds == goes_on
    assert ("mm too little at" in _said(found)) != goes_on
    assert found["spare_mm"] == pytest.approx(0.5 - off_mm / 2, abs=0.01)


def test_a_chain_and_a_kit_go_on_one_sheet():
    found = _worked(link=[SLOT, BLOCK], kit=KIT, there=KIT)
    assert {"worst_mm", "spare_mm"} <= {line.name for line in found.sums}


def test_nothing_to_reckon_is_refused():
    with pytest.raises(InputError, match="a chain of dimensions, a kit, or a hole"):
        _worked()


def test_a_shaft_in_a_hole_has_the_room_of_its_fit():
    found = _worked(fit_mm=8, hole="H7", shaft="g6")
    assert (found["least_room_mm"], found["most_room_mm"]) == pytest.approx((0.005, 0.029))
    assert "8 H7/g6: 0.0050 to 0.029 mm of room." in _said(found)
