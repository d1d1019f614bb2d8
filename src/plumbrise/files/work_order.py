"""A work order and how far it is, as JSON: one file that is printed, kept and read back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from plumbrise.build import (
    Acceptance,
    Entry,
    Progress,
    Setting,
    Standing,
    Task,
    WayBack,
    WorkOrder,
    moves_handed_out,
    standing,
)
from plumbrise.build.progress import LARGEST
from plumbrise.errors import InputError
from plumbrise.files.json_text import json_object, versioned

VERSION = 1
Json = dict[str, Any]
_MAKER = "`plumbrise build --progress`"


def work_order_dict(order: WorkOrder, progress: Progress, way: WayBack | None = None) -> Json:
    """What `build --json` prints and `--progress` keeps; the schema is "work-order". `way` is the
    way back where one was asked for."""
    found, moves = standing(order, progress), moves_handed_out(order, progress)
    return {
        "version": VERSION,
        "machine": order.before.name,
        "arrangement": {
            "before": order.before.arrangement.id,
            "after": order.after.arrangement.id,
        },
        "changes": list(order.changes),
        "minutes_out_of_use": order.minutes_out,
        "minutes_left": found.minutes_left,
        "next": [task.id for task in found.next],
        "added": list(found.added),
        "dropped": list(found.dropped),
        "steps": [_task(task, found, progress) for task in order.tasks],
        "settings": [_setting(one) for one in order.settings],
        "first_moves": None
        if moves is None
        else {"program": moves.text or None, "missing": moves.missing or None},
        "way_back": None if way is None else _way_back(way),
        "made_for": list(progress.changes or order.changes),
        "entries": [_entry(one) for one in progress.entries],
    }


def _task(task: Task, found: Standing, progress: Progress) -> Json:
    last = progress.last(task.id)
    return {
        "step": task.id,
        "title": task.title,
        "stage": task.step.stage.name.lower(),
        "changes": list(task.changes),
        "after": list(task.after),
        "words": task.step.words,
        "lines": list(task.lines),
        "tools": list(task.step.tools),
        "minutes": task.step.minutes,
        "mark": task.station or None,
        "hazards": list(task.step.hazards),
        "accept": None if task.accept is None else _acceptance(task.accept),
        "unmeasured": task.step.unmeasured or None,
        "fails": task.step.fails,
        "back": task.step.back or None,
        "state": found.states[task.id].name.lower(),
        "value": None if last is None else last.value,
    }


def _acceptance(one: Acceptance) -> Json:
    return {
        "what": one.what,
        "tool": one.tool,
        "unit": one.unit,
        "low": one.bounds.low,
        "high": one.bounds.high,
        "multiple_of": one.bounds.multiple,
        "source": one.bounds.source,
        "missing": one.bounds.missing or None,
    }


def _setting(one: Setting) -> Json:
    return {
        "setting": one.id,
        "title": one.title,
        "old": one.old,
        "new": one.new,
        "unit": one.unit,
        "why": one.why,
        "verify": one.verify,
    }


def _way_back(way: WayBack) -> Json:
    return {
        "undo": [{"step": task.id, "words": words} for task, words in way.undo],
        "then": [task.id for task in way.then],
        "given_up": list(way.given_up),
        "kept": list(way.kept),
        "later": list(way.later),
    }


def _entry(one: Entry) -> Json:
    return {
        "step": one.step,
        "when": one.when,
        "value": one.value,
        "words": one.words,
        "holds": one.holds,
        "accepted": one.accepted or None,
        "handled": list(one.handled),
    }


def read_progress(text: str, *, name: str) -> Progress:
    """What was done, from a kept work order; the steps themselves are always made anew.

    Args:
        text: the file's text.
        name: the file's name, for errors.

    Raises:
        InputError: no JSON, another version, or entries that the program did not write.

    Example:
        >>> read_progress('{"version": 1, "made_for": ["new-nut"], "entries": []}', name="p")
        Progress(changes=('new-nut',), entries=())
    """
    try:
        return progress_in(json_object(text))
    except InputError as problem:
        raise problem.within(name) from None


def progress_in(kept: Mapping[str, Any]) -> Progress:
    """What was done, from a kept work order as a dict.

    Raises:
        InputError: another version, or entries that the program did not write.
    """
    given = versioned(dict(kept), VERSION, _MAKER)
    made_for, entries = given.get("made_for"), given.get("entries")
    if not _words(made_for) or not isinstance(entries, list):
        raise _spoilt("made_for, entries")
    return Progress(
        changes=tuple(made_for or ()),
        entries=tuple(_read_entry(number, one) for number, one in enumerate(entries, 1)),
    )


def changes_in(given: Mapping[str, object]) -> tuple[str, ...]:
    """The changes that a kept work order is made of.

    Raises:
        InputError: none, or something else.
    """
    found = given.get("changes")
    if not isinstance(found, list) or not found or not all(isinstance(c, str) for c in found):
        raise InputError(
            place="changes",
            value=found,
            allowed="the changes of a work order",
            remedy=f"Give a file that {_MAKER} kept.",
        )
    return tuple(found)


def _read_entry(number: int, given: object) -> Entry:
    if not isinstance(given, dict):
        raise _spoilt(f"entry {number}")
    step, when, words = (given.get(key) for key in ("step", "when", "words"))
    value, holds, accepted = (given.get(key) for key in ("value", "holds", "accepted"))
    handled = given.get("handled") or []
    if not _words([step, when, words, accepted or ""]) or not isinstance(holds, bool):
        raise _spoilt(f"entry {number}")
    counts = isinstance(value, int | float) and not isinstance(value, bool)
    if value is not None and not (counts and abs(value) <= LARGEST):
        raise _spoilt(f"entry {number}, value")
    if not _words(handled):
        raise _spoilt(f"entry {number}, handled")
    return Entry(
        step=str(step),
        when=str(when),
        value=None if value is None else float(value),
        words=str(words),
        holds=holds,
        accepted=str(accepted or ""),
        handled=tuple(handled),
    )


def _words(given: object) -> bool:
    return isinstance(given, list) and all(isinstance(one, str) for one in given)


def _spoilt(place: str) -> InputError:
    return InputError(
        place=place,
        value="something else",
        allowed="what the program writes",
        remedy="Take the file as it was kept; do not mend it by hand.",
    )


def read_verdict(text: str, *, name: str) -> str:
    """The verdict in the JSON of `wiring --json`.

    Raises:
        InputError: no JSON, another version, no verdict.
    """
    try:
        given = versioned(json_object(text), VERSION, "`plumbrise wiring HARNESS --json`")
        verdict = given.get("verdict")
        if verdict not in ("go", "no-go", "cannot-tell"):
            raise InputError(
                place="verdict",
                value=verdict,
                allowed="go, no-go or cannot-tell",
                remedy="Give the file that `plumbrise wiring HARNESS --json` wrote.",
            )
        return str(verdict)
    except InputError as problem:
        raise problem.within(name) from None
