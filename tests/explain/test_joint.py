"""Belief over sets in factors is belief over sets."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.explain.calibration import Signs, calibrated, state
from plumbrise.explain.calibration_maps import MAPS
from plumbrise.explain.joint import Joint, channel

CAUSES = ("motor-seat", "racking", "nut-play", "guide-drag")
chances = st.floats(0.0, 1.0)


def subsets():
    return [frozenset(one) for n in range(len(CAUSES) + 1) for one in combinations(CAUSES, n)]


@st.composite
def joints(draw):
    sets = draw(st.lists(st.sampled_from(subsets()), min_size=1, max_size=5, unique=True))
    weights = [draw(st.floats(0.05, 1.0)) for _ in sets]
    total = sum(weights)
    held = {one: w / total for one, w in zip(sets, weights, strict=True)}
    now = {c: sum(w for one, w in held.items() if c in one) for c in CAUSES}
    return Joint(held, {c: channel(min(now[c], 1.0), draw(chances)) for c in CAUSES})


@given(joints())
def test_sets_sum_to_one_and_causes_are_the_sums_of_their_sets(joint):
    p = {one: joint.of_set(one, CAUSES) for one in subsets()}
    assert sum(p.values()) == pytest.approx(1.0, abs=1e-9)
    for cause in CAUSES:
        assert joint.of(cause) == pytest.approx(sum(v for s, v in p.items() if cause in s))
    pair = CAUSES[:2]
    assert joint.of_any(pair) == pytest.approx(sum(v for s, v in p.items() if s & set(pair)))


@given(joints())
def test_the_likeliest_set_is_found(joint):
    found = joint.likeliest(CAUSES, most=3)
    best = max(joint.of_set(one, CAUSES) for one in subsets())
    assert found[0][1] == pytest.approx(best)
    assert [p for _, p in found] == sorted((p for _, p in found), reverse=True)


@given(now=chances, aim=chances)
def test_a_channel_takes_a_probability_where_it_is_wanted(now, aim):
    one = channel(now, aim)
    assert now * one.keep + (1 - now) * one.suppose == pytest.approx(aim, abs=1e-9)
    assert 0 <= one.keep <= 1 + 1e-12
    assert 0 <= one.suppose <= 1 + 1e-12


@pytest.mark.parametrize("depth", list(MAPS))
def test_more_evidence_never_states_less_and_nothing_is_stated_as_certain(depth):
    stated = [state(MAPS[depth], "racking", Signs(p)) for p in (0.0, 0.1, 0.5, 0.9, 1.0)]
    assert stated == sorted(stated)
    assert stated[-1] <= MAPS[depth].most < 1


def test_causes_that_predict_the_same_share_what_is_stated_of_their_group():
    sets = {frozenset({"motor-seat"}): 0.6, frozenset({"racking"}): 0.4}
    pair = ("motor-seat", "racking")
    joint = calibrated(CAUSES, sets, CAUSES, "gantry", alike=[pair])
    assert joint.of("motor-seat") / joint.of("racking") == pytest.approx(1.5)
    assert joint.of_any(pair) >= max(joint.of(c) for c in pair)


def test_a_cap_holds_whatever_was_computed():
    sets = {frozenset({"racking"}): 1.0}
    joint = calibrated(CAUSES, sets, CAUSES, "full", most={"racking": 0.3})
    assert joint.of("racking") <= 0.3


def test_a_cause_ruled_out_where_it_was_looked_for_may_still_be_elsewhere():
    sets = {frozenset({"racking"}): 1.0}
    here = calibrated(CAUSES, sets, CAUSES, "full").of("guide-drag")
    joint = calibrated(CAUSES, sets, CAUSES, "full", elsewhere={"guide-drag": 0.075})
    assert joint.of("guide-drag") == pytest.approx(1 - (1 - here) * (1 - 0.075))


@pytest.mark.parametrize("pair_share", [0.0, 0.1, 0.6, 1.0])
def test_a_group_that_stands_together_is_stated_as_its_map_says(pair_share):
    pair = CAUSES[:2]
    sets = {
        frozenset(pair[:1]): 0.75 * pair_share,
        frozenset(pair): 0.25 * pair_share,
        frozenset({"guide-drag"}): 1 - pair_share,
    }
    joint = calibrated(CAUSES, sets, CAUSES, "gantry", alike=[pair])
    now = {c: sum(w for one, w in sets.items() if c in one) for c in pair}
    leader = max(pair, key=lambda c: now[c])
    aim = state(MAPS["gantry"], leader, Signs(pair_share))
    assert joint.of_any(pair) == pytest.approx(aim, abs=1e-6)
