"""When a part fails there is a way back to a printer that prints."""

from random import Random

import pytest

from plumbrise.build import Each, Stage, State, build_steps, standing, way_back
from plumbrise.build.standing import states_of


def _task(order, name):
    return next(task for task in order.tasks if task.id == name)


def test_a_part_that_fails_before_anything_is_opened_costs_nothing(machine, worked):
    order = build_steps(machine, ["new-nut", "clean-screw"])
    way = way_back(order, worked(order, "fit-nut"), _task(order, "fit-nut"))
    assert way.undo == ()
    assert way.then == ()
    assert way.given_up == ("new-nut",)


def test_a_nut_that_fails_is_taken_back_and_the_printer_put_together(machine, worked):
    order = build_steps(machine, ["new-nut", "set-rollers"])
    way = way_back(order, worked(order, "nut-left"), _task(order, "nut-left"))
    assert way.given_up == ("new-nut",)
    undone = [task.id for task, _ in way.undo]
    assert undone == [
        "nut-left",
        "coupling-on-left",
        "screw-in-left",
        "screw-out-left",
        "coupling-open-left",
    ]
    left = [task.id for task in way.then]
    assert "nut-left" not in left
    for step in ("line-up-low-left", "hand-turn-left", "wiring-go", "first-power"):
        assert step in left
    assert left[-2:] == ["level-beam", "nozzle"]


def test_what_was_not_begun_is_left_for_another_day(machine, worked):
    order = build_steps(machine, ["square-frame", "counterweight", "new-nut"])
    way = way_back(order, worked(order, "nut-left"), _task(order, "nut-left"))
    assert "counterweight" in way.later
    assert "spring" not in [task.id for task in way.then]


def test_from_wherever_the_work_stands_there_is_a_way_back(many_sets, worked):
    chance = Random(3)
    for machine, changes in many_sets(60):
        order = build_steps(machine, changes)
        task = chance.choice(order.tasks)
        progress = worked(order, task.id)
        way = way_back(order, progress, task)
        assert {*way.given_up, *way.kept, *way.later} == set(order.changes)
        states = states_of(order, progress)
        if all(states[t.id] is State.OPEN for t in order.tasks if t.step.stage is Stage.HELD):
            assert all(t.step.stage is Stage.BEFORE for t, _ in way.undo)
            assert way.then == ()
            continue
        assert all(
            t.step.back and (t is task or states[t.id] is not State.OPEN) for t, _ in way.undo
        )
        if not way.loosened:
            assert {t.step.stage for t in way.then} <= {Stage.POWER}
        elif task.id != "nozzle":
            assert [t.id for t in way.then][-1] == "nozzle"
        begun = {t.id for t in order.tasks if t is task or states[t.id] is not State.OPEN}
        wanted = {t.id for t in build_steps(machine, way.kept).tasks}
        for t in way.then:  # a coupling that was never opened is not put together again
            opened = [one for one in t.after if one.startswith("coupling-open")]
            if t.step.id == "coupling-on" and opened and t.id not in begun | wanted:
                assert begun & set(opened)
        ids = [t.id for t in order.tasks]
        places = [ids.index(t.id) for t in way.then]
        assert places == sorted(places)


@pytest.mark.parametrize("step", ["hand-turn-left", "first-move-left"])
def test_a_step_that_belongs_to_all_changes_takes_none_back(machine, worked, step):
    order = build_steps(machine, ["new-nut", "set-rollers"])
    way = way_back(order, worked(order, step), _task(order, step))
    assert way.given_up == ()
    assert way.undo == ()
    assert step in [task.id for task in way.then]
    assert not standing(order, worked(order, step)).done


def test_a_second_screw_that_is_given_up_leaves_nothing_to_do_at_its_side(machine, worked):
    order = build_steps(machine, ["second-screw-tied"])
    way = way_back(order, worked(order, "nut-right"), _task(order, "nut-right"))
    assert way.given_up == ("second-screw-tied",)
    screw_steps = [task for task in way.then if task.step.each is Each.SCREW]
    assert screw_steps
    assert {task.side for task in screw_steps} == {"left"}


def test_a_lead_that_is_given_up_takes_its_steps_per_mm_with_it(machine, worked):
    order = build_steps(machine, ["short-lead-screw", "set-rollers"])
    way = way_back(order, worked(order, "hundred-mm"), _task(order, "hundred-mm"))
    assert way.given_up == ("short-lead-screw",)
    assert "set-lead" in [task.id for task, _ in way.undo]
    assert "nozzle" in [task.id for task in way.then]


def test_what_lies_under_a_screw_that_stays_is_reached_through_it(machine, worked):
    """The block of a bearing that is given up: coupling off, screw out, block off, and the new
    screw and its coupling back in."""
    order = build_steps(machine, ["thrust-bearing", "short-lead-screw"])
    failed = next(task for task in order.tasks if task.id == "end-float-left")
    way = way_back(order, worked(order, failed.id), failed)
    assert way.kept == ("short-lead-screw",)
    undone = [task.id for task, _ in way.undo]
    assert undone == ["coupling-on-left", "screw-in-left", "block-centred-left"]
    then = [task.id for task in way.then]
    assert then.index("screw-in-left") < then.index("coupling-on-left") < then.index("nut-left")
    assert "screw-out-left" not in then


@pytest.mark.parametrize(
    ("stop", "undone", "then"),
    [
        ("blocks-right", ["blocks-left"], []),
        ("power-off", ["blocks-right", "blocks-left"], []),
        ("unplug-motors", [], ["first-power", "first-home"]),
        ("rollers-left", ["unplug-motors"], ["first-power", "first-move-left", "first-home"]),
    ],
)
def test_only_what_was_undone_is_put_right(machine, worked, stop, undone, then):
    """The drag of a guide is given up before its turn comes: nothing was loosened for it."""
    order = build_steps(machine, ["set-rollers"])
    way = way_back(order, worked(order, stop), _task(order, "guide-drag-left"))
    assert way.opened
    assert not way.loosened
    assert [task.id for task, _ in way.undo] == undone
    assert [task.id for task in way.then] == then


def test_rollers_that_were_set_leave_uprights_and_coupling_alone(machine, worked):
    order = build_steps(machine, ["set-rollers", "new-nut"])
    way = way_back(order, worked(order, "rollers-right"), _task(order, "rollers-right"))
    then = {task.step.id for task in way.then}
    assert {"line-up-low", "hand-turn", "wiring-go", "nozzle"} <= then
    assert not {"uprights", "coupling-on", "clamps"} & then
