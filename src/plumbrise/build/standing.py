"""How far a work order is: which steps stand, which are open, and which must be done again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from plumbrise.build.first_moves import FirstMoves, without_moves
from plumbrise.build.order import WorkOrder
from plumbrise.build.step import Stage, Task
from plumbrise.build.work_done import WIRING, Entry, Progress

FIRST_POWER = "first-power"
"""The step that switches the machine on."""
_CLOSING = (Stage.WIRING, Stage.POWER, Stage.SETTLE)
_AT_THE_AXIS = (Stage.HELD, Stage.WORK)
_SWITCHED_OFF = (Stage.WORK, Stage.WIRING)


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
    """How far it is, and whose turn it is.

    A step counts as done while its value is within its limit, the parts in hand are those that are
    wanted, and everything that it depends on was done before it: what comes in
    between by a change of mind, or is done anew, opens what follows. Wiring, power-up and what
    comes after them hang on all work at the axis; blocks and a machine that is switched off last
    until it is switched on again.
    """
    states = states_of(order, progress)
    known = {task.id for task in order.tasks}
    return Standing(
        states=states,
        next=_turn(order, progress, states),
        minutes_left=sum(t.step.minutes for t in order.tasks if states[t.id] is not State.DONE),
        added=tuple(c for c in order.changes if progress.entries and c not in progress.changes),
        dropped=tuple(c for c in progress.changes if c not in order.changes),
        gone=tuple(dict.fromkeys(e.step for e in progress.entries if e.step not in known)),
    )


def gate_open(order: WorkOrder, progress: Progress) -> bool:
    """Whether the wiring stands, so that power may be entered and moves handed out; True where
    nothing is opened."""
    return states_of(order, progress).get(WIRING, State.DONE) is State.DONE


def moves_handed_out(order: WorkOrder, progress: Progress) -> FirstMoves | None:
    """The program of first moves; without its text until the wiring stands. None where nothing is
    opened."""
    moves = order.moves
    if moves is None or not moves.text or gate_open(order, progress):
        return moves
    return without_moves("a go for the wiring first, or your own word for it")


def states_of(order: WorkOrder, progress: Progress) -> dict[str, State]:
    """The state of every task."""
    states: dict[str, State] = {}
    places = progress.places()
    work = [t.id for t in order.tasks if t.step.stage is Stage.WORK]
    last_work = max((places.get(one, -1) for one in work), default=-1)
    work_open = False
    for task in order.tasks:  # in an order in which needs come first
        place = places.get(task.id, -1)
        if place < 0:
            state = State.OPEN
        elif _of_other_parts(task, progress.entries[place]):
            state = State.AGAIN
        elif not _within(task, progress.entries[place]):
            state = State.OUTSIDE
        elif any(states[need] is not State.DONE or places[need] > place for need in task.after) or (
            task.step.stage in _CLOSING and (place < last_work or work_open)
        ):
            state = State.AGAIN
        else:
            state = State.DONE
        states[task.id] = state
        work_open = work_open or (task.step.stage is Stage.WORK and state is not State.DONE)
    if work_open:
        for task in order.tasks:
            if states[task.id] is State.DONE and not _lasts(task, places):
                states[task.id] = State.AGAIN
    return states


def _within(task: Task, entry: Entry) -> bool:
    """Whether a value is within the limit that the step has now, or was taken as it is."""
    if not entry.holds or entry.accepted or task.accept is None or entry.value is None:
        return entry.holds
    return task.accept.takes(entry.value)


def _of_other_parts(task: Task, entry: Entry) -> bool:
    """Whether a step was done for other parts than are wanted now."""
    return bool(entry.handled) and not set(task.handles) <= set(entry.handled)


def _lasts(task: Task, places: Mapping[str, int]) -> bool:
    """Whether this still is so: blocks and a dead machine until it is switched on."""
    switched_on = places.get(FIRST_POWER, -1)
    return task.step.stage is not Stage.HELD or places.get(task.id, -1) > switched_on


def barred_by(
    order: WorkOrder, progress: Progress, states: Mapping[str, State], task: Task
) -> tuple[str, ...]:
    """What has to be done before this task is entered, in order; () where its turn has come.

    Besides what it depends on: blocks and a dead machine come before anything at the axis or its
    wires, however often it was switched on before; all that is prepared comes before the blocks,
    unless the machine is open already; wiring, power and settings come after all of the earlier
    stages.
    """
    stage = task.step.stage
    places = progress.places()
    work_begun = any(t.id in places for t in order.tasks if t.step.stage is Stage.WORK)
    found = []
    for other in order.tasks:
        theirs = other.step.stage
        if other.id not in task.after and theirs.place >= stage.place:
            continue
        spared = theirs is Stage.BEFORE and work_begun and stage in _AT_THE_AXIS
        if spared and other.id not in task.after:
            continue
        stands = states[other.id] is State.DONE
        if stage in _SWITCHED_OFF and theirs is Stage.HELD:
            stands = stands and _lasts(other, places)
        if not stands:
            found.append(other.id)
    return tuple(found)


def _turn(order: WorkOrder, progress: Progress, states: Mapping[str, State]) -> tuple[Task, ...]:
    """The tasks whose turn it is."""
    return tuple(
        task
        for task in order.tasks
        if states[task.id] is not State.DONE and not barred_by(order, progress, states, task)
    )
