"""A set that a person names, put in full instead of the cheapest."""

import numpy as np
import pytest

from plumbrise.errors import InputError
from plumbrise.redesign import propose, targets_of

NUT_AND_ROLLERS = frozenset({"new-nut", "set-rollers"})


def taken(prospects, changes, limits=None, **asked):
    rng = np.random.default_rng(2)
    return propose(prospects, targets_of(limits), rng=rng, taken=changes, **asked)


def test_what_is_taken_is_put_in_full_however_little_it_helps(prospects):
    found = taken(prospects, NUT_AND_ROLLERS)
    assert set(found.chosen.line.changes) == NUT_AND_ROLLERS
    assert found.taken
    assert not found.reachable
    assert "This set meets all targets with" in found.limited_by


def test_taking_what_is_proposed_says_the_same_of_it(prospects):
    cheapest = propose(prospects, targets_of(), rng=np.random.default_rng(2))
    found = taken(prospects, cheapest.chosen.line.changes)
    assert found.chosen == cheapest.chosen
    assert found.reachable == cheapest.reachable
    assert found.front == cheapest.front


def test_a_change_that_no_target_hangs_on_can_be_taken_with_others(prospects):
    """The touch of the switch alters the range of homings, which is not asked for here."""
    alone = taken(prospects, {"set-rollers"}).chosen.line
    both = taken(prospects, {"set-rollers", "slow-second-touch"}).chosen.line
    assert both.probability == alone.probability
    assert set(both.changes) == {"set-rollers", "slow-second-touch"}


def test_a_sum_that_says_no_on_guesses_names_them(prospects):
    """How motor shaft and screw stand to each other was never measured on this axis."""
    (said,) = [
        one for one in taken(prospects, {"rigid-coupling"}).chosen.warnings if "puts up with" in one
    ]
    assert "nobody measured" in said
    assert "side step between motor shaft and screw" in said
    assert "angle between them" in said
    assert "Measure before you buy" in said


def test_a_set_over_the_budget_says_what_it_costs(prospects):
    found = taken(prospects, {"second-screw-tied", "set-rollers"}, budget=10.0, probability=0.1)
    assert not found.reachable
    assert "and 10 may be spent" in found.limited_by


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"second-screw-tied", "second-screw-motor"}, "made together"),
        ({"new-nutt"}, "new-nutt"),
    ],
)
def test_what_cannot_be_made_is_refused(prospects, changes, problem):
    with pytest.raises(InputError, match=problem):
        taken(prospects, changes)
