"""What sets of changes make of an axis."""

from dataclasses import replace

import numpy as np
import pytest

from plumbrise.axis import follow_path
from plumbrise.axis.parameters import sound
from plumbrise.axis.vector import parameters_of
from plumbrise.explain.priors import CHANCE, LINEAR
from plumbrise.machine import known
from plumbrise.readings import Move
from plumbrise.redesign.axes import altered, base_of, drawn, onto
from plumbrise.redesign.blocks import MAKERS, ends_lost
from plumbrise.redesign.catalogue import CATALOGUE
from plumbrise.redesign.changes import Change, Effect, Span, Way
from plumbrise.redesign.figures import BAND, FRAME, HEIGHT, LOST_MOTION, SIDES, STAYS_UP
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.sets import members
from plumbrise.redesign.unread import COLUMNS, unread_terms


def _bit(prospects, change):
    return 1 << [c.id for c in prospects.changes].index(change)


def test_an_axis_left_alone_loses_what_the_model_says_of_it(prospects):
    draws = prospects.draws
    none = np.zeros(1, dtype=np.int64)
    lost = ends_lost(draws, draws.base, prospects.changes, none)[0]
    for draw in (0, 17, 101):
        axis = parameters_of(draws.base, draws.thetas[draw])
        path = [Move(target_mm=z) for z in (8.0, 0.0, 4.0, 8.0)]
        behind = follow_path(axis, path).behind_mm
        assert lost[draw] == pytest.approx(behind[3] - behind[1], abs=0.004)


def test_every_figure_of_a_set_is_that_of_the_set_worked_out_by_itself(prospects):
    rng = np.random.default_rng(3)
    block = prospects.block_of(LOST_MOTION.id)
    for mask in rng.choice(block.masks, 6, replace=False):
        changes = members(int(mask), prospects.changes)
        base = sound(machine_changed(prospects.machine, changes))
        alone = ends_lost(prospects.draws, base, changes, np.array([(1 << len(changes)) - 1]))[0]
        assert prospects.of(LOST_MOTION.id, int(mask)) == pytest.approx(alone.max(axis=1))
        assert prospects.of(SIDES.id, int(mask)) == pytest.approx(np.ptp(alone, axis=1))


def test_a_set_that_changes_nothing_of_a_figure_leaves_it(prospects):
    mask = _bit(prospects, "slow-second-touch")
    assert np.array_equal(prospects.of(LOST_MOTION.id, mask), prospects.of(LOST_MOTION.id, 0))


def test_a_second_screw_brings_the_sides_together(prospects):
    mask = _bit(prospects, "second-screw-tied")
    before, after = prospects.of(SIDES.id, 0), prospects.of(SIDES.id, mask)
    assert np.median(after) < 0.2 * np.median(before)


def test_easing_the_guides_makes_a_fall_likelier(prospects):
    mask = _bit(prospects, "set-rollers") | _bit(prospects, "clean-screw")
    before, after = prospects.of(STAYS_UP.id, 0), prospects.of(STAYS_UP.id, mask)
    assert np.mean(after >= 0) < np.mean(before >= 0)


def test_a_lead_of_two_millimetres_keeps_it_up(prospects):
    mask = _bit(prospects, "short-lead-screw") | _bit(prospects, "set-rollers")
    assert np.mean(prospects.of(STAYS_UP.id, mask) >= 0) > 0.97


def test_where_a_cause_is_not_meant_its_remedy_does_nothing(explanation):
    change = Change(
        id="x",
        title="",
        words="",
        effects=(Effect(entry="drag_n", way=Way.TIMES, middle=0.5, cause="guide-drag"),),
        hours=Span(0, 0, 0),
    )
    draws = drawn(explanation.believed, [change], np.random.default_rng(0))
    now = np.arange(1.0, draws.count + 1)
    after = altered(draws, now, "drag_n", None, [change], np.array([1]), draws.base)[0]
    meant = draws.meant["guide-drag"]
    assert 0 < meant.sum() < draws.count
    assert np.array_equal(after, np.where(meant, now / 2, now))


def test_what_both_makes_have_is_carried_over(prospects):
    after = machine_changed(prospects.machine, [CATALOGUE["second-screw-tied"]])
    base = sound(after)
    thetas = onto(prospects.draws, base)
    axis = parameters_of(base, thetas[5])
    was = parameters_of(prospects.draws.base, prospects.draws.thetas[5])
    assert axis.weight_n == was.weight_n
    assert axis.guides == was.guides
    assert axis.lifts[1] == base.lifts[1]


def test_an_upright_that_nobody_pushed_is_not_told_of(prospects):
    draws = prospects.draws
    same = np.tile(draws.thetas[:1], (draws.count, 1))
    values, untold = MAKERS[FRAME](
        prospects.machine, replace(draws, thetas=same), prospects.changes, np.zeros(1, np.int64)
    )
    assert not values
    assert "pushed" in untold["push"]
    assert "push" not in prospects.untold


def test_what_else_is_ruled_out_moves_no_draw(explanation):
    every = list(CATALOGUE.values())
    all_of_them = drawn(explanation.believed, every, np.random.default_rng(5))
    some = drawn(explanation.believed, every[3:9], np.random.default_rng(5))
    assert np.array_equal(some.thetas, all_of_them.thetas)
    assert np.array_equal(some.detent_nmm, all_of_them.detent_nmm)
    for key, values in some.strength.items():
        assert np.array_equal(values, all_of_them.strength[key])


def test_a_second_screw_may_have_a_wrong_lead_of_its_own(prospects):
    mask = _bit(prospects, "second-screw-motor")
    now, then = (prospects.of(HEIGHT.id, m) for m in (0, mask))
    new = 100 * np.abs(prospects.draws.unread["lead-error"])
    assert np.array_equal(then, np.maximum(now, new))
    steps = _bit(prospects, "steps-per-mm")  # mends the lead of the screw that was read
    mended = prospects.of(HEIGHT.id, mask | steps)
    assert (mended >= new).all()


@pytest.mark.parametrize("cause", COLUMNS)
def test_most_unread_screws_are_sound_and_a_few_are_not(cause):
    terms = unread_terms(0, 40_000)
    prior = LINEAR[cause]
    for column in COLUMNS[cause]:
        values = terms[cause + column]
        spread = CHANCE * prior.faulty**2 + (1 - CHANCE) * prior.sound**2
        assert np.mean(values**2) == pytest.approx(spread, rel=0.1)
        assert np.mean(np.abs(values) < 2 * prior.sound) > 0.8


def test_a_second_screw_may_be_bent_and_straightening_the_first_does_not_mend_it(prospects):
    unread = prospects.draws.unread
    bow = np.hypot(unread["screw-bend:cos"], unread["screw-bend:sin"])
    mask = _bit(prospects, "second-screw-motor")
    assert (prospects.of(BAND.id, mask) >= np.maximum(prospects.of(BAND.id, 0), bow) - 1e-12).all()
    assert (prospects.of(BAND.id, mask) > prospects.of(BAND.id, 0)).any()
    straight = mask | _bit(prospects, "straight-screw")
    assert (prospects.of(BAND.id, straight) >= bow - 1e-12).all()


def test_a_belt_holds_the_tops_of_screws_that_were_free(prospects):
    assert known(prospects.machine, "screw.top_end").value == "free"
    tied, motor = (_bit(prospects, one) for one in ("second-screw-tied", "second-screw-motor"))
    now, then = (np.median(prospects.of(BAND.id, mask)) for mask in (0, tied))
    assert then > np.median(prospects.of(BAND.id, motor)) > now


def test_a_bearing_at_the_top_frees_nothing_at_the_bottom(prospects):
    before = prospects.draws.base
    after = machine_changed(prospects.machine, [CATALOGUE["second-screw-tied"]])
    ends = {lift.end: lift.held_end for lift in base_of(before, after).lifts}
    assert ends == {"left": "bottom", "right": "top"}
    held = sound(after)
    freed = machine_changed(after, [CATALOGUE["free-top"]])
    assert {lift.held_end for lift in base_of(held, freed).lifts} == {"bottom"}
