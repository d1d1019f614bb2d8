"""Proposals for the invented machine, and for machines that little is known of."""

from dataclasses import replace

import numpy as np
import pytest

from plumbrise.axis import sound
from plumbrise.errors import InputError
from plumbrise.explain import CAUSES, explain
from plumbrise.machine import blank
from plumbrise.readings import Readings
from plumbrise.redesign import (
    CATALOGUE,
    Workshop,
    propose,
    prospects_for,
    redesign,
    share_within,
    targets_of,
)
from plumbrise.redesign.axes import DRAWS, drawn
from plumbrise.redesign.blocks import ends_lost
from plumbrise.redesign.choosing import holds
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.worth import completing, met_by_draw


def _proposed(prospects, limits=None, **asked):
    return propose(prospects, targets_of(limits), rng=np.random.default_rng(2), **asked)


def test_the_front_rises_in_cost_and_probability(prospects):
    front = _proposed(prospects).front
    cost = [line.cost.expected + 10 * line.hours.expected for line in front]
    assert cost == sorted(cost)
    chance = [line.probability for line in front]
    assert chance == sorted(chance)


def test_a_set_is_as_likely_as_its_draws_that_hold_every_target(prospects):
    proposal = _proposed(prospects)
    ids = [c.id for c in prospects.changes]
    mask = sum(1 << ids.index(c) for c in proposal.chosen.line.changes)
    met = np.logical_and.reduce(
        [holds(prospects.of(t.figure.id, mask), t) for t in proposal.targets]
    )
    assert proposal.chosen.line.probability == pytest.approx(met.mean())


def test_no_set_as_likely_is_cheaper(prospects):
    proposal = _proposed(prospects, probability=0.5)
    narrow = prospects.narrowed(frozenset(t.figure.id for t in proposal.targets))
    rng = np.random.default_rng(4)
    at = np.sort(rng.choice(len(narrow.masks), 3000, replace=False))
    likely = met_by_draw(narrow, proposal.targets, at).mean(axis=1) >= 0.5
    chosen = proposal.chosen.line
    for mask in narrow.masks[at[likely]]:
        changes = [c for k, c in enumerate(narrow.changes) if mask >> k & 1]
        cost = sum(c.cost.expected + 10 * c.hours.expected for c in changes)
        assert cost >= chosen.cost.expected + 10 * chosen.hours.expected - 1e-9


def test_a_budget_that_is_too_small_is_told_with_what_limits_it(prospects):
    proposal = _proposed(prospects, budget=20.0)
    assert not proposal.reachable
    assert proposal.chosen.line.cost.expected <= 20
    assert "Without a bound on money" in proposal.limited_by


def test_an_easier_target_never_costs_more(prospects):
    costs = []
    for limit in (0.9, 0.5, 0.2, 0.1, 0.06):
        line = _proposed(prospects, {"lost-motion": limit}, probability=0.6).chosen.line
        costs.append(line.cost.expected + 10 * line.hours.expected)
    assert costs == sorted(costs)


def test_an_axis_that_meets_its_targets_is_left_alone(prospects):
    proposal = _proposed(prospects, {"lost-motion": 2.0})
    assert proposal.chosen.line.changes == ()
    assert proposal.met_already == 1.0


def test_what_is_ruled_out_is_not_proposed_and_parts_at_hand_cost_nothing(example, explanation):
    workshop = Workshop(
        without=frozenset({"second-screw-tied"}), at_hand=frozenset({"second-screw-motor"})
    )
    proposal = redesign(
        example.machine,
        explanation,
        targets_of(),
        rng=np.random.default_rng(1),
        probability=0.5,
        workshop=workshop,
    )
    assert all("second-screw-tied" not in line.changes for line in proposal.front)
    assert "second-screw-motor" in proposal.chosen.line.changes
    motor = next(c for c in proposal.chosen.changes if c.id == "second-screw-motor")
    assert motor.cost.high == 0


def test_what_a_missing_tool_keeps_out_is_said_whatever_the_tool_is_called(prospects):
    workshop = Workshop(no_tools=frozenset({"hex keys", "paint pen"}))
    hex_keys, paint_pen = _proposed(prospects, workshop=workshop).remarks
    assert hex_keys.startswith("Left out, since “hex keys” is missing: ")
    assert paint_pen.endswith(f": {CATALOGUE['tighten-clamps'].title.lower()}.")


def test_the_free_set_costs_no_money(prospects):
    assert _proposed(prospects).free.cost.high == 0


def test_each_change_of_the_choice_is_there_for_something(prospects):
    chosen = _proposed(prospects).chosen
    assert all(p <= chosen.line.probability + 1e-9 for p in chosen.alone.values())


def test_targets_that_nothing_read_tells_of_are_not_said_to_be_met(prospects):
    rest = {name: block for name, block in prospects.blocks.items() if name != "bands"}
    unread = replace(prospects, blocks=rest, untold={"bands": "nothing was read"})
    proposal = _proposed(unread, {"bands": 0.01})
    assert (proposal.chosen, proposal.free, proposal.met_already) == (None, None, 0.0)
    assert not proposal.reachable
    assert "say nothing" in proposal.limited_by


def test_what_was_asked_is_said_as_it_was_asked(prospects):
    assert "100 % is asked" in _proposed(prospects, probability=1.0).limited_by


def test_a_redesign_from_nothing_is_refused_in_words():
    machine = blank("one-screw")
    explanation = explain(machine, Readings(()), rng=np.random.default_rng(0))
    with pytest.raises(InputError, match="too few"):
        prospects_for(machine, explanation, rng=np.random.default_rng(0))


def test_from_python_it_is_the_same_proposal(example, explanation):
    import plumbrise
    from plumbrise.api import Answer

    answer = Answer(example.machine, example.readings, None, explanation)
    found = plumbrise.redesign(answer, at_most_mm={"lost-motion": 0.1}, probability=0.5)
    assert found.to_dict()["targets"][0]["figure"] == "lost-motion"
    assert "What to change on" in str(found)
    with pytest.raises(InputError, match="lost-motion"):
        plumbrise.redesign(answer, at_most_mm={"lost_motion": 0.1})


def test_buying_nothing_does_not_tell_what_would_have_done():
    """Each of two sets does in half of the draws, and nobody knows which: whoever has bought
    nothing yet must still choose, and knowing would save half of a set."""
    met = np.array([[True, False], [False, True]])
    price = np.array([8.0, 8.0])
    nothing = completing(price, met, np.array([True, True]), 8.0)
    assert nothing.mean() == pytest.approx(8.0 + 8.0 / 2)
    either = [completing(price, met, ~one, 8.0) for one in met]
    assert [cost[~one].item() for cost, one in zip(either, met, strict=True)] == [8.0, 8.0]


def test_a_test_never_saves_more_than_knowing_everything(prospects, explanation):
    for limits in (None, {"lost-motion": 0.1}, {"sides": 0.03}):
        proposal = _proposed(prospects, limits, explanation=explanation)
        assert proposal.worths
        assert all(worth.saves <= proposal.perfect_saves + 1e-9 for worth in proposal.worths)
        assert proposal.perfect_saves > 0


def test_where_an_hour_counts_nothing_no_work_is_proposed_for_nothing(prospects):
    proposal = _proposed(prospects, probability=0.6, workshop=Workshop(hour_worth=0.0))
    assert proposal.reachable
    for change, without in proposal.chosen.alone.items():
        free = CATALOGUE[change].free
        assert not free or without < 0.6


def test_only_causes_that_the_set_works_against_are_doubted(prospects):
    proposal = _proposed(prospects, probability=1.0)
    against = {e.cause for c in proposal.chosen.changes for e in c.effects if e.cause}
    doubted = proposal.limited_by.partition("doubt about causes: ")[2].partition(". Where")[0]
    assert set(doubted.split(", ")) <= {CAUSES[c].title.lower() for c in against}


def test_from_other_draws_a_probability_moves_no_further_than_is_said(example, explanation):
    """One set on a hundred times as many axes as a proposal takes, and on forty handfuls."""
    changes = [CATALOGUE[one] for one in ("set-rollers", "thrust-bearing", "stiff-bracket")]
    base = sound(machine_changed(example.machine, changes))
    every = np.array([2 ** len(changes) - 1])

    def share(seed, count):
        draws = drawn(explanation.believed, changes, np.random.default_rng(seed), count)
        return float(np.mean(ends_lost(draws, base, changes, every).max(axis=2) <= 0.15))

    truth = share(0, 100 * DRAWS)
    assert 0.1 < truth < 0.9
    spans = [share_within(share(seed, DRAWS), DRAWS) for seed in range(1, 41)]
    assert sum(low <= truth <= high for low, high in spans) >= 34


@pytest.mark.parametrize("met", [0, 40, 128])
def test_the_interval_of_a_share_ends_where_it_lies_two_deviations_off(met):
    """Wilson's definition: (p - p0)² = z² p0 (1 - p0) / n at both ends p0. Closed form."""
    share = met / 128
    for end in share_within(share, 128):
        if 0 < end < 1:
            assert (share - end) ** 2 == pytest.approx(1.959964**2 * end * (1 - end) / 128)
    low, high = share_within(share, 128)
    assert 0 <= low <= share + 1e-9 <= high + 2e-9 <= 1 + 2e-9


@pytest.mark.parametrize("wrong", [-1.0, float("nan"), float("inf")])
@pytest.mark.parametrize("asked", ["probability", "budget", "hour worth"])
def test_what_is_no_share_and_no_money_is_refused(prospects, asked, wrong):
    given = {asked: wrong}
    if asked == "hour worth":
        given = {"workshop": Workshop(hour_worth=wrong)}
    with pytest.raises(InputError, match=f"^{asked}: "):
        _proposed(prospects, **given)


def test_where_one_axis_alone_is_believed_a_test_is_worth_nothing_that_can_be_told(
    prospects, explanation
):
    same = np.zeros_like(prospects.draws.of)
    one = replace(prospects, draws=replace(prospects.draws, of=same))
    assert _proposed(one, explanation=explanation).worths == ()
