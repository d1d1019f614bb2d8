"""When a part fails: the way back to a printer that prints, from wherever the work stands."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.build.order import WorkOrder, build_steps
from plumbrise.build.standing import State, states_of
from plumbrise.build.step import Stage, Task
from plumbrise.build.work_done import Progress


@dataclass(frozen=True, slots=True, kw_only=True)
class WayBack:
    """What to undo (newest first), then what to do until it prints.

    `given_up` are the changes that are taken back, `kept` those that are done or begun and stay,
    `later` those not begun, which can be taken up another day.
    """

    undo: tuple[tuple[Task, str], ...]
    then: tuple[Task, ...]
    given_up: tuple[str, ...]
    kept: tuple[str, ...]
    later: tuple[str, ...]


def way_back(order: WorkOrder, progress: Progress, task: Task) -> WayBack:
    """The shortest way to a printer that prints when this task cannot be brought to its limit.

    The changes that only this task belongs to are taken back; what else was begun is brought to
    its end, what was not begun is left for another day.

    Args:
        order: the work.
        progress: what was done so far.
        task: the step that failed, or whose part did.
    """
    states = states_of(order, progress)
    touched = [t for t in order.tasks if states[t.id] is not State.OPEN]
    at_axis = [t for t in touched if t.step.stage is Stage.WORK]
    given_up = _given_up(order, task)
    begun = {
        change
        for change in order.changes
        if any(change in t.changes for t in at_axis if t.step.back)
    }
    kept = tuple(c for c in order.changes if c in begun and c not in given_up)
    opened = any(t.step.stage is Stage.HELD for t in touched)
    begun_here = [*at_axis, *([task] if opened and task not in at_axis else [])]
    undo = tuple(
        (t, t.step.back)
        for t in sorted(begun_here, key=order.tasks.index, reverse=True)
        if t.step.back and t.step.stage is Stage.WORK and set(t.changes) <= set(given_up)
    )
    return WayBack(
        undo=undo,
        then=_then(order, progress, kept, opened, bool(undo)),
        given_up=given_up,
        kept=kept,
        later=tuple(c for c in order.changes if c not in kept and c not in given_up),
    )


def _given_up(order: WorkOrder, task: Task) -> tuple[str, ...]:
    """What hangs on this task alone: all of its changes, unless nearly every change brings it."""
    if set(task.changes) == set(order.changes) and len(order.changes) > 1 and task.step.restores:
        return ()
    return task.changes


def _then(
    order: WorkOrder, progress: Progress, kept: tuple[str, ...], opened: bool, undone: bool
) -> tuple[Task, ...]:
    """What is left: of the kept changes, and what any machine that was open needs."""
    if not opened:
        return ()
    wanted = {t.id for t in build_steps(order.before, kept).tasks} if kept else set()
    states = states_of(order, progress)
    left = []
    for task in order.tasks:
        if task.step.stage is Stage.BEFORE:
            continue
        needed = task.id in wanted or task.step.restores
        again = undone and task.step.restores and task.step.stage is not Stage.HELD
        if needed and (again or states[task.id] is not State.DONE):
            left.append(task)
    return tuple(left)
