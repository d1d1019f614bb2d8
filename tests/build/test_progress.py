"""Work is done step by step, left, taken up again, and never reaches power before a go."""

from contextlib import suppress
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.build import (
    WIRING,
    Progress,
    Stage,
    State,
    accepted,
    build_steps,
    entered,
    on_own_word,
    standing,
    task_named,
    wiring_seen,
)
from plumbrise.errors import InputError
from plumbrise.machine.description import Guide
from plumbrise.report.work_order_section import entered_words

NOW = "2026-01-05T10:00"
SENTENCE = "I measured every wire myself today"


def test_an_order_can_be_worked_from_the_first_step_to_the_last(many_sets, worked):
    for machine, changes in many_sets(40):
        order = build_steps(machine, changes)
        found = standing(order, worked(order))
        assert found.done
        assert found.minutes_left == 0
        assert found.next == ()


def test_whatever_is_tried_power_waits_for_a_go_and_work_for_blocks(many_sets, good, bad, worked):
    """Any acts in any order, refused or not: what was let through is what is looked at."""
    chance = Random(8)
    for machine, changes in many_sets(28):
        order = build_steps(machine, changes)
        start = chance.choice(order.tasks).id
        progress = worked(order, start)
        for _ in range(24):
            task = chance.choice(order.tasks)
            if chance.random() < 0.6:
                task = chance.choice(standing(order, progress).next or order.tasks)
            progress = _tried(order, progress, task, chance, good, bad)
        _holds(order, progress)


def _tried(order, progress, task, chance, good, bad):
    try:
        if task.id == WIRING:
            verdict = chance.choice(("go", "no-go", "cannot-tell"))
            return wiring_seen(order, progress, verdict, when=NOW)
        value = bad(task) if chance.random() < 0.1 else good(task)
        return entered(order, progress, task.id, value or "done", when=NOW)
    except InputError:
        return progress


def _holds(order, progress):
    by_id = {task.id: task for task in order.tasks}
    held = {t.id for t in order.tasks if t.step.stage is Stage.HELD}
    last = {}
    on = False
    for entry in progress.entries:
        task = by_id[entry.step]
        if task.step.stage is Stage.WORK:
            assert all(last.get(one) is True for one in held), "worked at without blocks"
            assert not on, "worked at while it was switched on"
            last[WIRING] = False
        if task.step.stage is Stage.POWER:
            assert last.get(WIRING) is True, "power before a go"
        if task.id == "plug-in":
            assert not on, "plugged in under power"
        if task.id == "first-power":
            on = True
        if task.id == "power-off" and entry.holds:
            on = False
        last[entry.step] = entry.holds


def test_a_value_outside_its_limit_is_kept_and_the_step_stays_open(machine, worked):
    order = build_steps(machine, ["new-nut"])
    before = worked(order, "nut-left")
    after = entered(order, before, "nut-left", "0,09 first try", when=NOW)
    assert after.last("nut-left").value == 0.09
    assert after.last("nut-left").words == "first try"
    found = standing(order, after)
    assert found.states["nut-left"] is State.OUTSIDE
    assert "nut-left" in [task.id for task in found.next]
    with pytest.raises(InputError, match="nut-left"):
        entered(order, after, "line-up-low-left", "done", when=NOW)
    mended = entered(order, after, "nut-left", "0.04", when=NOW)
    assert standing(order, mended).states["nut-left"] is State.DONE


def test_a_value_outside_can_be_taken_as_it_is_in_words(machine, worked):
    order = build_steps(machine, ["new-nut"])
    outside = entered(order, worked(order, "nut-left"), "nut-left", "0.09", when=NOW)
    with pytest.raises(InputError, match="words"):
        accepted(order, outside, "nut-left", "fine", when=NOW)
    taken = accepted(order, outside, "nut-left", "the better one comes next week", when=NOW)
    assert standing(order, taken).states["nut-left"] is State.DONE
    assert taken.last("nut-left").accepted == "the better one comes next week"


def test_a_value_that_cannot_be_had_is_gone_past_with_the_reason_and_none_is_invented(
    machine, worked
):
    order = build_steps(machine, ["new-nut"])
    there = worked(order, "nut-left")
    with pytest.raises(InputError, match="words"):
        accepted(order, there, "nut-left", "no gauge", when=NOW)
    past = accepted(order, there, "nut-left", "there is no spring balance here", when=NOW)
    entry = past.last("nut-left")
    assert (entry.value, entry.words) == (None, "not measured")
    assert standing(order, past).states["nut-left"] is State.DONE
    assert entered_words(task_named(order, "nut-left"), past).endswith("because " + entry.accepted)
    with pytest.raises(InputError, match="nut-left"):
        accepted(order, worked(order, "screw-in"), "nut-left", entry.accepted, when=NOW)
    with pytest.raises(InputError, match="Enter what was done"):
        accepted(order, worked(order, "screw-in"), "screw-in-left", entry.accepted, when=NOW)
    with pytest.raises(InputError, match="hurt"):
        accepted(order, worked(order, "blocks"), "blocks-left", entry.accepted, when=NOW)


def test_nobody_takes_on_themselves_what_can_hurt(machine, worked):
    order = build_steps(machine, ["new-nut"])
    outside = entered(order, worked(order, "blocks"), "blocks-left", "40", when=NOW)
    with pytest.raises(InputError, match="hurt"):
        accepted(order, outside, "blocks-left", "I shall hold it by hand", when=NOW)


@pytest.mark.parametrize("verdict", ["no-go", "cannot-tell"])
def test_power_stays_shut_without_a_go(machine, worked, verdict):
    order = build_steps(machine, ["new-nut"])
    refused = wiring_seen(order, worked(order, WIRING), verdict, when=NOW)
    assert standing(order, refused).states[WIRING] is State.OUTSIDE
    for step in ("plug-in", "first-power"):
        with pytest.raises(InputError, match=WIRING):
            entered(order, refused, step, "120", when=NOW)
    with pytest.raises(InputError, match="verdict file"):
        entered(order, refused, WIRING, "go", when=NOW)


def test_a_person_can_take_the_wiring_on_themselves_in_a_sentence(machine, worked):
    order = build_steps(machine, ["new-nut"])
    at_wiring = worked(order, WIRING)
    with pytest.raises(InputError, match="words"):
        on_own_word(order, at_wiring, "ok", when=NOW)
    taken = on_own_word(order, at_wiring, SENTENCE, when=NOW)
    assert taken.last(WIRING).accepted == SENTENCE
    assert standing(order, taken).states[WIRING] is State.DONE
    assert "plug-in" in [task.id for task in standing(order, taken).next]


def test_work_after_a_go_makes_it_worth_nothing(machine, worked):
    order = build_steps(machine, ["new-nut"])
    proved = worked(order, "plug-in")
    again = entered(order, proved, "nut-left", "0.03", when=NOW)
    states = standing(order, again).states
    assert states[WIRING] is State.AGAIN
    assert states["line-up-low-left"] is State.AGAIN
    assert states["screw-out-left"] is State.DONE


def test_a_change_of_mind_plans_anew_what_is_left_and_keeps_what_stands(machine, worked):
    first = build_steps(machine, ["clean-screw", "new-nut"])
    halfway = worked(first, "line-up-low")
    second = build_steps(machine, ["clean-screw", "new-nut", "set-rollers"])
    found = standing(second, halfway)
    assert found.added == ("set-rollers",)
    assert found.states["blocks-left"] is State.DONE
    assert found.states["rollers-left"] is State.OPEN
    assert found.states["coupling-open-left"] is State.AGAIN
    assert "rollers-left" in [task.id for task in found.next]


@pytest.mark.parametrize(
    ("was", "now", "again"),
    [
        ("new-nut", "split-nut", {"coupling-open-left", "screw-out-left", "nut-left"}),
        ("straight-screw", "short-lead-screw", {"order-parts", "fit-lead-screw", "screw-in-left"}),
    ],
)
def test_another_part_in_the_place_of_one_that_is_in_is_put_in_again(
    machine, worked, was, now, again
):
    done = worked(build_steps(machine, [was]), "wiring-go")
    found = standing(build_steps(machine, [now]), done)
    assert {found.states[one] for one in again} == {State.AGAIN}
    assert found.states["write-down"] is found.states["blocks-left"] is State.DONE


def test_a_change_without_parts_has_nothing_ordered_or_put_in_again(machine, worked):
    done = worked(build_steps(machine, ["new-nut"]), "blocks")
    found = standing(build_steps(machine, ["new-nut", "clean-screw"]), done)
    kept = ("measure-first", "order-parts", "fit-nut")
    assert {found.states[one] for one in kept} == {State.DONE}


def test_a_value_is_held_against_the_limit_that_the_step_has_now(machine, worked):
    """A wider gantry hangs further by the same shake."""
    narrow, wide = (
        build_steps(replace(machine, guide=Guide(span_mm=mm)), ["set-rollers"])
        for mm in (150.0, 300.0)
    )
    done = worked(narrow, "hand-turn")
    assert standing(narrow, done).states["rollers-left"] is State.DONE
    assert standing(wide, done).states["rollers-left"] is State.OUTSIDE


def test_what_was_done_for_a_change_no_longer_wanted_is_named(machine, worked):
    first = build_steps(machine, ["clean-screw", "counterweight"])
    done = worked(first, "hand-turn")
    found = standing(build_steps(machine, ["clean-screw"]), done)
    assert found.dropped == ("counterweight",)
    assert "spring" in found.gone
    assert found.states["clean-left"] is State.DONE


def test_work_taken_up_after_power_begins_with_blocks_again(machine, worked):
    first = build_steps(machine, ["clean-screw"])
    finished = worked(first)
    second = build_steps(machine, ["clean-screw", "tighten-clamps"])
    found = standing(second, finished)
    assert found.states["blocks-left"] is State.AGAIN
    with pytest.raises(InputError, match="blocks-left"):
        entered(second, finished, "clamps-left", "0", when=NOW)


@pytest.mark.parametrize("said", ["", "about right", "nan", "inf", "1e9", "x" * 501])
def test_a_measured_step_wants_a_number(machine, said):
    order = build_steps(machine, ["new-nut"])
    with pytest.raises(InputError):
        entered(order, Progress(), "blocks-left", said, when=NOW)


def test_what_was_asked_for_is_said_where_no_number_came(machine):
    order = build_steps(machine, ["new-nut"])
    task = next(one for one in order.tasks if one.id == "blocks-left")
    with pytest.raises(InputError) as problem:
        entered(order, Progress(), task.id, "zwei", when=NOW)
    assert f"{task.accept.what} ({task.accept.unit})" in str(problem.value)


def test_every_limit_says_what_its_number_counts(many_sets):
    for machine, changes in many_sets(40):
        tasks = build_steps(machine, changes).tasks
        assert [one.id for one in tasks if one.accept and not one.accept.unit] == []


@given(st.text(max_size=60))
def test_whatever_is_typed_is_taken_or_refused_in_words(machine, said):
    order = build_steps(machine, ["set-rollers"])
    with suppress(InputError):
        assert entered(order, Progress(), "read-before", said, when=NOW).entries[-1].holds


def test_a_step_that_is_none_is_refused_with_those_that_are(machine):
    order = build_steps(machine, ["new-nut"])
    with pytest.raises(InputError, match="blocks-left, blocks-right"):
        entered(order, Progress(), "blocks", "1", when=NOW)
