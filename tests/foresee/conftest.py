"""Ideal axes whose losses are known in closed form."""

from dataclasses import replace

import pytest

from plumbrise.axis import sound, with_guide, with_lift
from plumbrise.axis.kernel import HARD_MM_PER_N
from plumbrise.machine import blank


def _rigid(arrangement, stiffness):
    """Everything rigid but the bracket, heavy enough that the nut never floats. Bracket and the
    motor's own bearing, which is never quite rigid, together have the stiffness."""
    bracket = 1 / (1 / stiffness - HARD_MM_PER_N)
    axis = with_lift(
        sound(blank(arrangement)),
        lambda lift: replace(
            lift,
            seat_stiffness_n_per_mm=1e9,
            seat_travel_mm=1e6,
            coupling_stiffness_n_per_mm=1e9,
            bracket_stiffness_n_per_mm=bracket,
            play_mm=0.0,
            end_float_mm=0.0,
            lag_mm=0.0,
            wind_up_mm_per_n=0.0,
        ),
    )
    ends = len(axis.ends)
    return replace(axis, weight_n=1000.0, weight_shares=(1 / ends,) * ends, plunger_mm=0.0)


def _losing(lost_mm, arrangement="two-screw", stiffness=100.0):
    """One spring and one dry friction at every end: 2 F / k is lost on a reversal, all at once."""
    return with_guide(
        _rigid(arrangement, stiffness),
        lambda guide: replace(guide, drag_n=lost_mm * stiffness / 2, reach_mm=1e-5, spread=0.0),
    )


@pytest.fixture(scope="session")
def losing():
    """Makes an axis that loses so many mm on every reversal; arrangement two-screw unless said."""
    return _losing


@pytest.fixture(scope="session", params=["two-screw", "two-screw-tied", "three-screw-bed"])
def loses(request):
    """The same on each arrangement whose ends all have a screw."""
    return lambda lost_mm: _losing(lost_mm, request.param)
