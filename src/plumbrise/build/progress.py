"""What was done of a work order: one entry an act, kept in the order in which they were made."""

from __future__ import annotations

import re
from dataclasses import replace
from math import isfinite

from plumbrise.build.order import WorkOrder
from plumbrise.build.standing import State, barred_by, states_of
from plumbrise.build.step import Task
from plumbrise.build.work_done import WIRING, Entry, Progress
from plumbrise.errors import InputError

LONGEST_WORDS = 500
LARGEST = 1e6
"""No value of a step is larger."""
FEWEST_WORDS = 4
"""So many words make a sentence; fewer do not say what somebody takes on themselves."""
OWN_WORD = "on my own word"
"""What stands in place of a verdict where a person took the wiring on themselves."""
NOT_MEASURED = "not measured"
"""What stands in place of a value where a person went on without one."""
VERDICTS = ("go", "no-go", "cannot-tell")
_NUMBER = re.compile(r"([+-]?\d+(?:[.,]\d+)?)(?:\s+|$)(.*)", re.DOTALL)


def task_named(order: WorkOrder, name: str) -> Task:
    """The task with this id.

    Raises:
        InputError: none of this order.
    """
    for task in order.tasks:
        if task.id == name:
            return task
    near = [task.id for task in order.tasks if task.id.startswith(name)]
    raise InputError(
        place="step",
        value=name,
        allowed="one of " + ", ".join(near or [task.id for task in order.tasks]),
        remedy="The work order lists them in their order.",
    )


def entered(order: WorkOrder, progress: Progress, name: str, said: str, *, when: str) -> Progress:
    """A step with its value entered: a number where something is measured, else a word or two.

    A value outside its limit is kept too, and the step stays open.

    Args:
        order: the work.
        progress: what was done so far.
        name: id of the task.
        said: "0.04", "0.04 with the second shim", or words where nothing is measured.
        when: date and time as they shall be kept; no clock is read here.

    Raises:
        InputError: no such step; no number where one is needed; a step whose turn has not come.
    """
    task = task_named(order, name)
    if task.step.id == WIRING:
        raise InputError(
            place=name,
            value=said,
            allowed="a verdict file, or your own word",
            remedy="Give the verdict of `plumbrise wiring HARNESS --json`, or take it on yourself "
            "in words.",
        )
    value, note = _read(task, said)
    _in_turn(order, progress, task)
    fits = task.accept is None or (value is not None and task.accept.takes(value))
    made = Entry(step=task.id, when=when, value=value, words=note, holds=fits, handled=task.handles)
    return replace(progress, entries=(*progress.entries, made))


def _read(task: Task, said: str) -> tuple[float | None, str]:
    words = " ".join(said.split())
    if not words or len(words) > LONGEST_WORDS:
        raise InputError(
            place=task.id,
            value=words[:40],
            allowed=f"a value or words, {LONGEST_WORDS} letters at most",
            remedy="Give what was measured, or write done.",
        )
    if task.accept is None:
        return None, words
    found = _NUMBER.fullmatch(words)
    value = float(found[1].replace(",", ".")) if found else float("nan")
    if not isfinite(value) or abs(value) > LARGEST:
        unit = f" ({task.accept.unit})" if task.accept.unit else ""
        raise InputError(
            place=task.id,
            value=words[:40],
            allowed="only a number, or a number and then a note,",
            remedy=f"Give in figures: {task.accept.what}{unit}.",
        )
    return value, found[2] if found else ""


def _in_turn(order: WorkOrder, progress: Progress, task: Task) -> None:
    barred = barred_by(order, progress, states_of(order, progress), task)
    if barred:
        raise InputError(
            place=task.id,
            value="done",
            allowed="after " + ", ".join(barred[:6]) + (" and more" if len(barred) > 6 else ""),
            remedy="Do these first; nothing is entered out of turn.",
        )


def accepted(order: WorkOrder, progress: Progress, name: str, why: str, *, when: str) -> Progress:
    """A value outside its limit taken as it is, or a step gone past that was not measured, with the
    reason kept.

    Raises:
        InputError: no such step, nothing to measure in it, its value is within its limit, no
            reason, its turn has not come, or a step on which an injury hangs.
    """
    task = task_named(order, name)
    last = progress.last(task.id)
    if task.step.firm:
        raise InputError(
            place=name,
            value=why,
            allowed="a value within its limit",
            remedy="Somebody can be hurt here: mend it and measure again.",
        )
    state = states_of(order, progress)[task.id]
    if task.accept is None or state is State.DONE:
        raise InputError(
            place=name,
            value=why,
            allowed="a step that is not measured, or has a value outside its limit",
            remedy="Enter what was done." if task.accept is None else "It is done already.",
        )
    _sentence(name, why)
    if state is not State.OUTSIDE or last is None:
        _in_turn(order, progress, task)
        last = Entry(step=task.id, when=when, value=None, words=NOT_MEASURED, holds=True)
        last = replace(last, handled=task.handles)
    made = replace(last, when=when, holds=True, accepted=" ".join(why.split()))
    return replace(progress, entries=(*progress.entries, made))


def wiring_seen(order: WorkOrder, progress: Progress, verdict: str, *, when: str) -> Progress:
    """The verdict on the wiring, entered: only a go opens the way to power.

    Raises:
        InputError: a word that is no verdict; nothing here needs one; its turn has not come.
    """
    if verdict not in VERDICTS:
        raise InputError(
            place="verdict",
            value=verdict,
            allowed="go, no-go or cannot-tell",
            remedy="Give the file that `plumbrise wiring HARNESS --json` wrote.",
        )
    task = task_named(order, WIRING)
    if verdict == "go":
        _in_turn(order, progress, task)
    made = Entry(step=WIRING, when=when, value=None, words=verdict, holds=verdict == "go")
    return replace(progress, entries=(*progress.entries, made))


def on_own_word(order: WorkOrder, progress: Progress, words: str, *, when: str) -> Progress:
    """The person takes the wiring on themselves; their words are kept.

    Raises:
        InputError: too few words to say so; its turn has not come.
    """
    task = task_named(order, WIRING)
    _sentence(WIRING, words)
    _in_turn(order, progress, task)
    taken = " ".join(words.split())
    made = Entry(step=WIRING, when=when, value=None, words=OWN_WORD, holds=True, accepted=taken)
    return replace(progress, entries=(*progress.entries, made))


def _sentence(place: str, words: str) -> None:
    if not len(words.split()) >= FEWEST_WORDS or len(words) > LONGEST_WORDS:
        raise InputError(
            place=place,
            value=words[:40],
            allowed=f"{FEWEST_WORDS} words or more, {LONGEST_WORDS} letters at most",
            remedy="Say in a sentence what you take on yourself, and why.",
        )
