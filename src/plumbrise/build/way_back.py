"""When a part fails: the way back to a printer that prints, from wherever the work stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from plumbrise.build.order import WorkOrder, build_steps
from plumbrise.build.standing import State, barred_by, states_of
from plumbrise.build.step import Each, Stage, Task
from plumbrise.build.steps import OPENS
from plumbrise.build.work_done import Progress

_PUT_RIGHT_BY = {
    "power-off": ("first-power", "first-home"),
    "unplug-motors": ("first-power", "first-move", "first-home"),
}
"""What was undone where nothing at the axis was begun -> the steps that bring it back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WayBack:
    """What to undo (newest first), then what to do until it prints.

    `opened` is whether it was held up or switched off yet, `loosened` whether anything at the axis
    was begun, `given_up` are the changes that are taken back, `kept` those that are done or begun
    and stay, `later` those not begun, which can be taken up another day.
    """

    opened: bool
    loosened: bool
    undo: tuple[tuple[Task, str], ...]
    then: tuple[Task, ...]
    given_up: tuple[str, ...]
    kept: tuple[str, ...]
    later: tuple[str, ...]


def way_back(order: WorkOrder, progress: Progress, task: Task) -> WayBack:
    """The shortest way to a printer that prints when this task cannot be brought to its limit.

    The changes that this task belongs to are taken back, none for a step that every open machine
    needs; what else was begun is brought to its end, what was not begun is left for another day.
    What was never undone is not put right: a step counts as begun once it was entered, or where
    it is the one that failed and its turn had come.

    Args:
        order: the work.
        progress: what was done so far.
        task: the step that failed, or whose part did.
    """
    states = states_of(order, progress)
    failed = task if not barred_by(order, progress, states, task) else None
    touched = [t for t in order.tasks if states[t.id] is not State.OPEN or t is failed]
    loosened = any(t.step.stage is Stage.WORK for t in touched)
    opened = any(t.step.stage is Stage.HELD for t in touched if states[t.id] is not State.OPEN)
    given_up = () if set(OPENS) <= set(task.step.changes) else task.changes
    taken = {
        t.id
        for t in touched
        if t.step.back and t.step.stage is not Stage.HELD and set(t.changes) <= set(given_up)
        if opened or t.step.stage is Stage.BEFORE
    }
    taken |= {t.id for t in touched if t.step.covers and taken & set(t.after)}
    if opened and not loosened:
        taken |= _held_back(touched)
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
        loosened=loosened,
        then=_then(order, states, kept, taken, touched) if opened else (),
        given_up=given_up,
        kept=kept,
        later=tuple(c for c in order.changes if c not in kept and c not in given_up),
    )


def _held_back(touched: Sequence[Task]) -> set[str]:
    """What is taken back of holding it up and switching it off: blocks go at once while it is
    still on, else when it homes again."""
    held = [t for t in touched if t.step.stage is Stage.HELD]
    off = any(t.step.id in _PUT_RIGHT_BY for t in held)
    return {t.id for t in held if t.step.back and not (off and t.step.each is Each.END)}


def _then(
    order: WorkOrder,
    states: Mapping[str, State],
    kept: tuple[str, ...],
    taken: set[str],
    touched: Sequence[Task],
) -> tuple[Task, ...]:
    """What is left: of the kept changes, and what a machine needs at which this much was undone,
    at the screws that there will be; anew what was taken back or hangs on it."""
    if not any(t.step.stage is Stage.WORK for t in touched):
        needed = {one for t in touched for one in _PUT_RIGHT_BY.get(t.step.id, ())}
        return tuple(t for t in order.tasks if t.step.id in needed)
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
        if (task.id in wanted or _restores(task, touched)) and (
            again or states[task.id] is not State.DONE
        ):
            left.append(task)
    return tuple(left)


def _restores(task: Task, touched: Sequence[Task]) -> bool:
    """Whether a step puts something right again that was undone: at the axis only what a step
    before it loosened, or what it was itself begun at."""
    if not task.step.restores or task.step.stage is not Stage.WORK or task in touched:
        return task.step.restores
    loosened = [t for t in touched if t.step.loosens and t.id in task.after]
    if task.step.closes:
        return any(t.step.id in task.step.closes for t in loosened)
    return bool(loosened)
