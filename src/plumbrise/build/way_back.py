"""When a part fails: the way back to a printer that prints, from wherever the work stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from plumbrise.build.order import WorkOrder, build_steps
from plumbrise.build.standing import State, states_of
from plumbrise.build.step import Each, Stage, Task
from plumbrise.build.steps import OPENS
from plumbrise.build.work_done import Progress


@dataclass(frozen=True, slots=True, kw_only=True)
class WayBack:
    """What to undo (newest first), then what to do until it prints.

    `opened` is whether anything was opened yet, `given_up` are the changes that are taken back,
    `kept` those that are done or begun and stay, `later` those not begun, which can be taken up
    another day.
    """

    opened: bool
    undo: tuple[tuple[Task, str], ...]
    then: tuple[Task, ...]
    given_up: tuple[str, ...]
    kept: tuple[str, ...]
    later: tuple[str, ...]


def way_back(order: WorkOrder, progress: Progress, task: Task) -> WayBack:
    """The shortest way to a printer that prints when this task cannot be brought to its limit.

    The changes that this task belongs to are taken back, none for a step that every open machine
    needs; what else was begun is brought to its end, what was not begun is left for another day.

    Args:
        order: the work.
        progress: what was done so far.
        task: the step that failed, or whose part did.
    """
    states = states_of(order, progress)
    touched = [t for t in order.tasks if states[t.id] is not State.OPEN or t is task]
    opened = any(t.step.stage is Stage.HELD for t in touched if states[t.id] is not State.OPEN)
    given_up = () if set(OPENS) <= set(task.step.changes) else task.changes
    taken = {
        t.id
        for t in touched
        if t.step.back and t.step.stage is not Stage.HELD and set(t.changes) <= set(given_up)
        if opened or t.step.stage is Stage.BEFORE
    }
    taken |= {t.id for t in touched if t.step.covers and taken & set(t.after)}
    undo = tuple((t, t.step.back) for t in reversed(touched) if t.id in taken)
    begun = {
        change
        for t in touched
        if t.step.stage is Stage.WORK and t.step.back and states[t.id] is not State.OPEN
        for change in t.changes
    }
    kept = tuple(c for c in order.changes if c in begun and c not in given_up)
    return WayBack(
        opened=opened,
        undo=undo,
        then=_then(order, states, kept, taken) if opened else (),
        given_up=given_up,
        kept=kept,
        later=tuple(c for c in order.changes if c not in kept and c not in given_up),
    )


def _then(
    order: WorkOrder, states: Mapping[str, State], kept: tuple[str, ...], taken: set[str]
) -> tuple[Task, ...]:
    """What is left: of the kept changes, and what any machine that was open needs, at the screws
    that there will be; anew what was taken back or hangs on it."""
    rest = build_steps(order.before, kept)
    wanted = {task.id for task in rest.tasks}
    screws = rest.after.screw_sides
    left = []
    for task in order.tasks:
        if task.step.stage is Stage.BEFORE:
            continue
        if task.step.each is Each.SCREW and task.side not in screws:
            continue
        again = bool(taken) and task.step.restores and task.step.stage is not Stage.HELD
        again = again or bool(taken & {task.id, *task.after})
        needed = task.id in wanted or task.step.restores
        if needed and (again or states[task.id] is not State.DONE):
            left.append(task)
    return tuple(left)
