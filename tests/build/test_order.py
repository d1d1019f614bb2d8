"""The order of work holds for every set of changes that can be made together."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.build import STEPS, Each, Progress, Stage, build_steps
from plumbrise.build.part_checks import PART_CHECKS
from plumbrise.build.steps import EVERY, OPENS
from plumbrise.cautions import HAZARDS
from plumbrise.errors import InputError
from plumbrise.machine import blank
from plumbrise.redesign import CATALOGUE
from plumbrise.report.work_order import work_order_text

SETS = 300
"""Drawn anew for each test, so thousands in all; a table without a circle stands for the rest."""


@pytest.fixture
def thousands(many_sets, request):
    """Orders for sets that differ from test to test."""
    seed = sum(map(ord, request.node.name))
    return [build_steps(machine, changes) for machine, changes in many_sets(SETS, seed)]


def _all_before(step_id, seen=()):
    """By walking the table, apart from the code that orders."""
    assert step_id not in seen, f"{step_id} comes before itself"
    direct = STEPS[step_id].after
    return set(direct).union(*(_all_before(one, (*seen, step_id)) for one in direct))


def test_no_step_comes_before_itself_whichever_steps_are_left_out():
    """With this every one of the sets that can be made has an order: leaving steps out of a table
    without a circle makes none."""
    for step_id in STEPS:
        _all_before(step_id)


def test_no_step_waits_for_one_of_a_later_stage():
    for step in STEPS.values():
        for other in _all_before(step.id):
            assert STEPS[other].stage.place <= step.stage.place, (step.id, other)


def test_every_order_respects_what_depends_on_what(thousands):
    before = {step_id: _all_before(step_id) for step_id in STEPS}
    for order in thousands:
        place = {task.id: i for i, task in enumerate(order.tasks)}
        for task in order.tasks:
            for other in order.tasks:
                if other.step.id not in before[task.step.id]:
                    continue
                one_side = other.step.each is task.step.each and other.side != task.side
                if not one_side or task.step.each is Each.ONCE:
                    assert place[other.id] < place[task.id], (task.id, other.id, order.changes)


def test_nothing_is_loosened_before_blocks_stand_under_every_end(thousands):
    for order in thousands:
        loosening = [i for i, t in enumerate(order.tasks) if t.step.loosens]
        blocks = [i for i, t in enumerate(order.tasks) if t.step.id == "blocks"]
        off = [i for i, t in enumerate(order.tasks) if t.id == "power-off"]
        if loosening:
            assert len(blocks) == len(order.after.arrangement.ends)
            assert max(blocks) < off[0] < min(loosening)


def test_power_comes_after_the_wiring_is_proved_and_all_work_is_done(thousands):
    for order in thousands:
        stages = [task.step.stage.place for task in order.tasks]
        assert stages == sorted(stages)
        if order.opens:
            ids = [task.id for task in order.tasks]
            assert ids.index("wiring-go") < ids.index("first-power")
        else:
            assert all(t.step.stage not in (Stage.WIRING, Stage.POWER) for t in order.tasks)


def test_the_printer_is_opened_only_when_all_parts_are_there_and_fit(thousands):
    for order in thousands:
        if not order.opens:
            continue
        first = next(i for i, t in enumerate(order.tasks) if t.step.stage is Stage.HELD)
        prepared = {t.step.id for t in order.tasks[:first]}
        for line in order.parts:
            assert PART_CHECKS[line.part.name].id in prepared


def test_a_rebuild_ends_with_levelling_and_the_nozzle(thousands):
    for order in thousands:
        if order.opens:
            assert [task.id for task in order.tasks[-2:]] == ["level-beam", "nozzle"]


def test_every_step_has_a_limit_or_says_why_none(thousands):
    for order in thousands:
        for task in order.tasks:
            if task.accept is None:
                assert task.step.unmeasured, task.id
                continue
            bounds = task.accept.bounds
            limits = (bounds.low, bounds.high, bounds.multiple)
            assert bounds.missing or any(limit is not None for limit in limits), task.id
            assert bounds.source


def test_the_hazards_of_every_change_are_told_in_its_steps(thousands):
    for order in thousands:
        told = {hazard for task in order.tasks for hazard in task.step.hazards}
        for change in order.changes:
            assert set(CATALOGUE[change].hazards) <= told, change


@given(st.data())
def test_the_order_does_not_hang_on_how_the_changes_are_listed(orders, data):
    order = data.draw(orders)
    shuffled = data.draw(st.permutations(order.changes))
    assert build_steps(order.before, shuffled) == order


@pytest.mark.parametrize("step", STEPS.values(), ids=lambda step: step.id)
def test_a_step_of_the_table_is_whole(step):
    assert (step.accept is None) == bool(step.unmeasured)
    assert step.words
    assert step.fails
    assert step.minutes > 0
    assert set(step.after) <= set(STEPS)
    assert set(step.changes) <= set(CATALOGUE)
    assert set(step.hazards) <= set(HAZARDS)
    assert set(step.only_new) | set(step.only_old) <= set(step.changes)
    if step.loosens:
        assert set(step.changes) <= set(OPENS)
        assert step.stage is Stage.WORK
        assert "falling-gantry" in step.hazards or step.mark in ("frame", "screw")


@pytest.mark.parametrize("step", STEPS.values(), ids=lambda step: step.id)
def test_what_a_step_is_measured_with_lies_among_its_tools(step):
    at_hand = {"eye", "ear", "controller", "slicing program"}
    if step.accept is not None and step.accept.tool not in at_hand:
        assert any(step.accept.tool in tool for tool in step.tools)


@pytest.mark.parametrize("step", STEPS.values(), ids=lambda step: step.id)
def test_what_is_held_against_a_value_before_has_it_read_before_anything_is_opened(step):
    if step.accept is None or "before" not in step.accept.what:
        return
    read = [STEPS[one] for one in step.after if STEPS[one].stage is Stage.BEFORE]
    assert any(set(step.changes) <= set(one.changes) and one.tools for one in read)


@pytest.mark.parametrize("step", STEPS.values(), ids=lambda step: step.id)
def test_what_hangs_from_a_nut_is_read_while_the_nut_carries(step):
    if any("to hang" in tool for tool in step.tools):
        assert step.stage in (Stage.BEFORE, Stage.SETTLE)
        assert "hung-mass" in step.hazards


def test_no_step_at_a_bed_speaks_of_a_gantry():
    bed = blank("three-screw-bed")
    for change in CATALOGUE.values():
        if not change.applies_to(bed) or change.needs:
            continue
        order = build_steps(bed, [change])
        told = [words for s in order.settings for words in (s.title, s.why, s.verify)]
        for task in order.tasks:
            step = task.step
            told += [step.title, step.words, step.fails, step.back, step.unmeasured]
            told += [] if step.accept is None else [step.accept.what]
        for words in told:
            assert not re.search(r"\bgantry|\bbeam", words), words


def test_every_tool_is_named_once_before_the_first_step(machine):
    order = build_steps(machine, ["set-rollers", "stiff-bracket"])
    text = " ".join(work_order_text(order, Progress()).split())
    head = text[: text.index("1. ")]
    for tool in ("spring balance", "1 kg to hang", "multimeter", "feeler leaves"):
        assert head.count(tool) == 1
    assert all(tool in head for task in order.tasks for tool in task.step.tools)


def test_a_nut_that_was_unscrewed_to_feel_the_guide_is_lined_up_again(machine):
    ids = [task.id for task in build_steps(machine, ["clean-screw", "set-rollers"]).tasks]
    drag, low, high = (
        ids.index(f"{step}-left") for step in ("guide-drag", "line-up-low", "line-up-high")
    )
    assert drag < low < high < ids.index("hand-turn-left")


def test_the_gap_to_the_motor_is_felt_before_the_coupling_closes_over_it(machine):
    ids = [task.id for task in build_steps(machine, ["thrust-bearing"]).tasks]
    assert ids.index("coupling-open-left") < ids.index("shaft-gap-left")
    assert ids.index("shaft-gap-left") < ids.index("coupling-on-left")


@pytest.mark.parametrize("change", EVERY)
def test_every_change_has_steps_of_its_own(change):
    own = [s for s in STEPS.values() if change in s.changes and set(s.changes) != set(EVERY)]
    assert [s for s in own if s.stage is Stage.WORK or change not in OPENS]


def test_every_part_of_the_catalogue_is_measured_before_the_machine_is_opened():
    names = {part.name for change in CATALOGUE.values() for part in change.parts}
    assert names == set(PART_CHECKS)


def test_frame_before_screws_one_end_fixed_belt_with_the_beam_level(machine):
    order = build_steps(machine, ["second-screw-tied", "square-frame"])
    steps = [task.id for task in order.tasks]
    for first, then in (
        ("diagonals", "line-up-low-left"),
        ("line-up-low-right", "line-up-high-right"),
        ("line-up-high-left", "top-floats-left"),  # the belt brings a bearing to both tops
        ("line-up-high-right", "top-floats-right"),
        ("top-floats-right", "level-before-belt"),
        ("level-before-belt", "pulleys"),
        ("pulleys", "belt-tension"),
        ("screw-in-right", "end-float-right"),
        ("belt-tension", "hand-turn-left"),
    ):
        assert steps.index(first) < steps.index(then)


def test_a_second_screw_is_worked_at_where_it_is_new(machine):
    order = build_steps(machine, ["second-screw-motor"])
    ids = {task.id for task in order.tasks}
    assert {"screw-in-right", "nut-right", "second-motor-right"} <= ids
    assert not ids & {"screw-out-left", "nut-left", "screw-in-left"}


def test_settings_alone_open_nothing(machine):
    order = build_steps(machine, ["steps-per-mm", "four-step-layers"])
    assert not order.opens
    assert order.moves is None
    assert [task.id for task in order.tasks][-1] == "nozzle"


def test_steps_per_mm_of_a_new_lead_are_set_before_anything_moves(machine):
    ids = [task.id for task in build_steps(machine, ["short-lead-screw", "steps-per-mm"]).tasks]
    assert ids.index("first-power") < ids.index("set-lead") < ids.index("first-move-left")
    assert "set-steps" not in ids


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        (["glue"], "one of"),
        (["free-top"], "can have"),
        (["new-nut", "split-nut"], "together"),
    ],
)
def test_a_set_that_cannot_be_built_is_refused(changes, word):
    with pytest.raises(InputError, match=word):
        build_steps(blank("one-screw"), changes)
