"""Choosing changes against worked examples and definitions printed elsewhere."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.redesign.changes import Change, Span
from plumbrise.redesign.choosing import Weighed, cheapest, front
from plumbrise.redesign.sets import allowed_sets, members, summed
from plumbrise.redesign.worth import perfect_saves, sample_saves

COSTS = (23, 31, 29, 44, 53, 38, 63, 85, 89, 82)
GAINS = (92, 57, 49, 68, 60, 43, 67, 84, 87, 72)


def _weighed(gains):
    return Weighed((), np.array(gains, dtype=float) / sum(GAINS), np.zeros(len(gains)))


def test_RED_01_the_best_within_a_bound_of_a_printed_knapsack():
    """Kreher and Stinson, Combinatorial Algorithms (1999), instance P01 (seen as open data)."""
    changes = [
        Change(
            id=str(i + 1), title="", words="", effects=(), cost=Span(c, c, c), hours=Span(0, 0, 0)
        )
        for i, c in enumerate(COSTS)
    ]
    masks = allowed_sets(changes)
    cost, gain = summed(masks, COSTS), summed(masks, GAINS)
    within = cost <= 165
    at = cheapest(cost, _weighed(gain), within, 309 / sum(GAINS))
    assert at is not None
    assert [change.id for change in members(int(masks[at]), changes)] == ["1", "2", "3", "4", "6"]
    assert (cost[at], gain[at]) == (165, 309)
    assert cheapest(cost, _weighed(gain), within, 309.5 / sum(GAINS)) is None


@given(st.lists(st.tuples(st.integers(0, 40), st.integers(0, 100)), min_size=1, max_size=40))
def test_RED_02_the_front_is_what_looking_at_all_pairs_finds(sets):
    """Definition of a Pareto front, against looking at every pair. Closed form."""
    cost = np.array([c for c, _ in sets], dtype=float)
    chance = np.array([100 * round(g / 100) + g % 100 for _, g in sets], dtype=float) / 100
    chance = np.round(chance * 20) / 20  # steps of 0.05: above the least step of the front
    weighed = Weighed((), chance, np.ones(len(sets)))
    found = front(cost, weighed, np.ones(len(sets), dtype=bool))
    best = {(float(cost[i]), float(chance[i])) for i in found}
    undominated = {
        (float(c), float(p))
        for c, p in zip(cost, chance, strict=True)
        if not any(
            (cost[k] <= c and chance[k] > p) or (cost[k] < c and chance[k] >= p)
            for k in range(len(sets))
        )
    }
    assert best == undominated


@given(
    st.integers(1, 5).flatmap(
        lambda n: st.lists(
            st.lists(st.floats(0, 100), min_size=6, max_size=6), min_size=n, max_size=n
        )
    )
)
def test_RED_03_knowing_everything_is_worth_the_mean_of_the_best_less_the_best_mean(cost):
    """Raiffa and Schlaifer, Applied Statistical Decision Theory (1961), chapter 4 (from memory)."""
    table = np.array(cost)
    expected = table.mean(axis=1).min() - table.min(axis=0).mean()
    assert perfect_saves(table) == pytest.approx(expected, abs=1e-9)
    assert perfect_saves(table) >= 0


@given(st.lists(st.lists(st.floats(0, 100), min_size=5, max_size=5), min_size=2, max_size=4))
def test_RED_03_a_test_is_worth_no_more_than_knowing_everything(cost):
    """The same source: the value of a sample lies between nothing and that of perfect knowledge."""
    table = np.array(cost)
    nothing = np.full((5, 5), 0.2)
    assert sample_saves(table, nothing) == pytest.approx(0.0, abs=1e-9)
    assert sample_saves(table, np.eye(5)) == pytest.approx(perfect_saves(table), abs=1e-9)


@given(st.integers(0, 5), st.floats(0.01, 50))
def test_RED_04_a_dearer_set_that_is_no_likelier_is_never_proposed(which, more):
    """Definition of dominance. Closed form."""
    cost = np.array([0.0, 10.0, 20.0, 30.0, 40.0, 50.0])
    chance = np.array([0.0, 0.2, 0.4, 0.6, 0.8, 1.0])
    cost = np.append(cost, cost[which] + more)
    weighed = Weighed((), np.append(chance, chance[which]), np.ones(7))
    everything = np.ones(7, dtype=bool)
    assert 6 not in front(cost, weighed, everything)
    assert cheapest(cost, weighed, everything, float(chance[which])) != 6
