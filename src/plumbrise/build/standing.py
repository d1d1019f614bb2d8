"""How far a work order is: which steps stand, which are open, and which must be done again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from plumbrise.build.order import WorkOrder
from plumbrise.build.step import Stage, Task
from plumbrise.build.work_done import Progress

_CLOSING = (Stage.WIRING, Stage.POWER, Stage.SETTLE)


class State(Enum):
    """Of a step."""

    OPEN = "open"
    DONE = "done"
    OUTSIDE = "outside its limit"
    AGAIN = "to be done again"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """State of every task. `next` are the tasks whose turn it is; `added` and `dropped` are changes
    that the progress was not made for and those it was made for that are no longer wanted;
    `gone` are acts at the axis of steps that are no longer part of the work."""

    states: Mapping[str, State]
    next: tuple[Task, ...]
    minutes_left: float
    added: tuple[str, ...]
    dropped: tuple[str, ...]
    gone: tuple[str, ...]

    @property
    def done(self) -> bool:
        """Whether all is done."""
        return all(state is State.DONE for state in self.states.values())


def standing(order: WorkOrder, progress: Progress) -> Standing:
    """How far it is.

    A step counts as done while everything that it depends on was done before it: what comes in
    between by a change of mind, or is done anew, opens what follows. Wiring, power-up and what
    comes after them hang on all work at the axis; blocks and a machine that is switched off last
    until it is switched on again.
    """
    states: dict[str, State] = {}
    last_work = max(
        (progress.place(t.id) for t in order.tasks if t.step.stage is Stage.WORK), default=-1
    )
    for task in order.tasks:  # in an order in which needs come first
        states[task.id] = _state(order, progress, task, states, last_work)
    work_open = _any_open(order, states, Stage.WORK)
    switched_on = progress.place("first-power")
    if work_open and switched_on >= 0:
        for task in order.tasks:
            if task.step.stage is Stage.HELD and 0 <= progress.place(task.id) < switched_on:
                states[task.id] = State.AGAIN
    known = {task.id for task in order.tasks}
    made = Standing(
        states=states,
        next=(),
        minutes_left=sum(t.step.minutes for t in order.tasks if states[t.id] is not State.DONE),
        added=tuple(c for c in order.changes if progress.entries and c not in progress.changes),
        dropped=tuple(c for c in progress.changes if c not in order.changes),
        gone=tuple(dict.fromkeys(e.step for e in progress.entries if e.step not in known)),
    )
    return _with_next(order, made)


def _state(
    order: WorkOrder, progress: Progress, task: Task, states: Mapping[str, State], last_work: int
) -> State:
    last, place = progress.last(task.id), progress.place(task.id)
    if last is None:
        return State.OPEN
    if not last.holds:
        return State.OUTSIDE
    for need in task.after:
        if states[need] is not State.DONE or progress.place(need) > place:
            return State.AGAIN
    if task.step.stage in _CLOSING and (place < last_work or _any_open(order, states, Stage.WORK)):
        return State.AGAIN
    return State.DONE


def _any_open(order: WorkOrder, states: Mapping[str, State], stage: Stage) -> bool:
    return any(
        states[task.id] is not State.DONE for task in order.tasks if task.step.stage is stage
    )


def barred_by(order: WorkOrder, found: Standing, task: Task) -> tuple[str, ...]:
    """What has to be done before this task is entered, in order; () where its turn has come.

    Besides what it depends on: blocks and a dead machine come before anything at the axis; all
    that is prepared comes before the blocks, unless the machine is open already; wiring, power
    and settings come after all of the earlier stages.
    """
    stage = task.step.stage
    work_begun = any(
        found.states[t.id] is not State.OPEN for t in order.tasks if t.step.stage is Stage.WORK
    )
    needed = set(task.after)
    for other in order.tasks:
        theirs = other.step.stage
        if theirs.place >= stage.place:
            continue
        if theirs is Stage.BEFORE and work_begun and stage in (Stage.HELD, Stage.WORK):
            continue
        needed.add(other.id)
    return tuple(
        t.id for t in order.tasks if t.id in needed and found.states[t.id] is not State.DONE
    )


def _with_next(order: WorkOrder, found: Standing) -> Standing:
    turn = tuple(
        task
        for task in order.tasks
        if found.states[task.id] is not State.DONE and not barred_by(order, found, task)
    )
    return Standing(
        states=found.states,
        next=turn,
        minutes_left=found.minutes_left,
        added=found.added,
        dropped=found.dropped,
        gone=found.gone,
    )
