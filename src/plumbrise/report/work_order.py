"""A work order in words, as text."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from math import ceil, floor, log10

from plumbrise.build import (
    Acceptance,
    Entry,
    Progress,
    Setting,
    Stage,
    Standing,
    State,
    Task,
    WayBack,
    WorkOrder,
    moves_handed_out,
    standing,
)
from plumbrise.build.progress import NOT_MEASURED, OWN_WORD
from plumbrise.cautions import DEFER, HAZARDS
from plumbrise.redesign import CATALOGUE
from plumbrise.report.amounts import minutes_words
from plumbrise.report.layout import folded, plain_line
from plumbrise.report.names import lowered

SCOPE = (
    "Not in this order: anything on mains, and the wiring of a heated bed. That belongs to "
    "qualified people and the rules of your place."
)
STATE_MARKS = {State.OPEN: "[ ]", State.DONE: "[x]", State.OUTSIDE: "[!]", State.AGAIN: "[~]"}
KEY = "[x] done, [ ] open, [!] outside its limit, [~] to be done again since something before it is"


def work_order_text(order: WorkOrder, progress: Progress) -> str:
    """Every step in its order, what accepts it and what to do if it fails; then the settings."""
    return "\n".join(_lines(order, progress)) + "\n"


def _lines(order: WorkOrder, progress: Progress) -> Iterator[str]:
    found = standing(order, progress)
    name = plain_line(order.before.name) or order.before.arrangement.title
    yield f"Work order for {name}"
    yield from folded(summary(order))
    yield from folded(SCOPE)
    yield from folded(tools_words(order))
    for news in news_of(found):
        yield from folded(news)
    if progress.entries:
        yield from folded(where_it_stands(order, found, by_id=True))
        yield from folded(KEY)
    shown: set[str] = set()
    for stage in Stage:
        tasks = [task for task in order.tasks if task.step.stage is stage]
        if not tasks:
            continue
        yield ""
        minutes = sum(task.step.minutes for task in tasks)
        yield f"{stage.value} ({minutes_words(minutes)})"
        for task in tasks:
            yield from _task(order, task, found, progress, shown)
    yield from _settings(order)
    moves = moves_handed_out(order, progress)
    if moves is not None and moves.missing:
        yield ""
        yield from folded(f"There is no program of first moves yet. It needs {moves.missing}.")
    yield ""
    yield "Cautions:"
    for hazard in hazards_of(order):
        yield from _indented(f"{HAZARDS[hazard].title}: {HAZARDS[hazard].words}")
    yield from _indented(DEFER)


def summary(order: WorkOrder) -> str:
    """What is changed, in how many steps, and how long the printer is out of use."""
    titles = "; ".join(CATALOGUE[change].title for change in order.changes)
    out = (
        f"The printer is out of use for about {minutes_words(order.minutes_out)} of work."
        if order.opens
        else "Nothing is taken apart."
    )
    return f"{titles}. {len(order.tasks)} steps. {out}"


def tools_words(order: WorkOrder) -> str:
    """All tools that the order needs, to be had before anything is taken apart.

    Example:
        >>> from plumbrise.build import build_steps
        >>> from plumbrise.machine import blank
        >>> tools_words(build_steps(blank("one-screw"), ["set-rollers"])).partition(",")[0]
        'Have these at hand before anything is taken apart: dial gauge'
    """
    when = " before anything is taken apart" if order.opens else ""
    return f"Have these at hand{when}: {', '.join(order.tools)}."


def where_it_stands(order: WorkOrder, found: Standing, *, by_id: bool = False) -> str:
    """How many steps are done, and what comes next, by the id that a command enters it by or as a
    person says it."""
    done = sum(state is State.DONE for state in found.states.values())
    if found.done:
        return "All steps are done."
    following = "; ".join(task.id if by_id else lowered(task.title) for task in found.next[:4])
    return (
        f"{done} of {len(order.tasks)} steps are done, about "
        f"{minutes_words(found.minutes_left)} are left. Next: {following}."
    )


def news_of(found: Standing) -> tuple[str, ...]:
    """What a change of mind did to the work."""
    told = []
    if found.added:
        told.append(f"New since the last time: {_titles(found.added)}.")
    if found.dropped:
        told.append(f"No longer wanted: {_titles(found.dropped)}.")
    if found.gone:
        told.append(
            f"Already done for what is no longer wanted: {', '.join(found.gone)}. Take it back as "
            "its step says, or leave it in and say so in the machine file."
        )
    return tuple(told)


def _titles(changes: tuple[str, ...]) -> str:
    return ", ".join(CATALOGUE[c].title if c in CATALOGUE else c for c in changes)


def _task(
    order: WorkOrder, task: Task, found: Standing, progress: Progress, shown: set[str]
) -> Iterator[str]:
    state = found.states[task.id]
    number = order.tasks.index(task) + 1
    head = f"{STATE_MARKS[state]} {number}. {task.title}"
    yield f"{head}  ({minutes_words(task.step.minutes)})  {task.id}"
    if state is not State.DONE:
        yield from _how(task, first=task.step.id not in shown)
        shown.add(task.step.id)
    last = progress.last(task.id)
    if last is not None:
        told = last.words if last.value is None else f"{last.value:g} {last.words}".strip()
        own = accepted_words(last)
        yield from _indented(f"Entered {last.when}: {plain_line(told + own)}.")


def _how(task: Task, *, first: bool) -> Iterator[str]:
    """How a step is done; on a second side only what is accepted there."""
    if not first:
        yield from _indented("As on the first side.")
        yield from _indented(accept_words(task))
        return
    yield from _indented(task.step.words)
    yield from _indented(f"Tools: {', '.join(task.step.tools)}." if task.step.tools else "")
    cautions = ", ".join(HAZARDS[h].title.lower() for h in task.step.hazards)
    yield from _indented(f"Caution: {cautions}." if cautions else "")
    for line in task.lines:
        yield from _indented(f"- {line}")
    yield from _indented(accept_words(task))
    yield from _indented(f"Otherwise: {task.step.fails}")


def accept_words(task: Task) -> str:
    """What accepts a step.

    Example:
        >>> from plumbrise.build import build_steps
        >>> from plumbrise.machine import blank
        >>> order = build_steps(blank("one-screw"), ["clean-screw"])
        >>> accept_words(next(t for t in order.tasks if t.id == "power-off"))
        'Accept: time waited after the lamps went out, by clock, 60 s or more (common practice).'
    """
    if task.accept is None:
        return f"Not measured. {task.step.unmeasured}"
    one = task.accept
    if one.bounds.missing:
        return (
            f"Measure: {one.what}, by {one.tool}. No limit can be told: it needs "
            f"{one.bounds.missing}"
        ).rstrip(".") + "."
    return f"Accept: {one.what}, by {one.tool}, {limit_words(one)} ({one.bounds.source})."


def limit_words(one: Acceptance) -> str:
    """The limit with its unit.

    Example:
        >>> from plumbrise.build.step import Bounds
        >>> limit_words(Acceptance("gap", "feeler", "mm", Bounds(high=0.0681)))
        '0.068 mm or less'
    """
    low, high = one.bounds.low, one.bounds.high
    tail = f" {one.unit}" if one.unit else ""
    if one.bounds.multiple is not None:
        return f"a whole multiple of {one.bounds.multiple:.4g}{tail}"
    if low is not None and high is not None:
        if low == high:
            return f"exactly {low:g}{tail}"
        places = _places(high - low)
        return f"{_cut(low, places, ceil)} to {_cut(high, places, floor)}{tail}"
    if high is not None:
        return f"{_cut(high, _places(high), floor)}{tail} or less"
    assert low is not None
    return f"{_cut(low, _places(low), ceil)}{tail} or more"


def _places(size: float) -> int:
    """Decimal places that show two digits of a limit, or of the room between two."""
    return max(0, 1 - floor(log10(size))) if size > 0 else 0


def _cut(limit: float, places: int, towards: Callable[[float], int]) -> str:
    """A limit with so many places, to its strict side: what is read as allowed is allowed."""
    whole = towards(round(limit * 10**places, 6))
    return f"{whole / 10**places:.10g}"


def _settings(order: WorkOrder) -> Iterator[str]:
    if not order.settings:
        return
    yield ""
    yield "Settings of the controller that change"
    for one in order.settings:
        yield from _indented(setting_words(one))
        yield from _indented(f"  Why: {one.why}")
        yield from _indented(f"  Verify: {one.verify}")


def setting_words(one: Setting) -> str:
    """New and old.

    Example:
        >>> travel = Setting(
        ...     id="travel", title="Travel", old="250", new="as measured",
        ...     unit="mm", why="", verify="",
        ... )
        >>> setting_words(travel)
        'Travel: as measured (now 250 mm).'
    """
    new, old = (f"{v} {one.unit}".rstrip() if v[:1].isdigit() else v for v in (one.new, one.old))
    return f"{one.title}: {new} (now {old})."


@dataclass(frozen=True, slots=True)
class WayBackSaid:
    """The way back in words: what stands now, which changes become what, and numbered steps under
    heads."""

    title: str
    now: tuple[str, ...]
    changes: tuple[str, ...]
    steps: tuple[tuple[str, tuple[str, ...]], ...]


def way_back_said(task: Task, way: WayBack) -> WayBackSaid:
    """How to get back to a printer that prints when this step cannot be brought to its limit."""
    changes = (("Given up", way.given_up), ("Brought to its end", way.kept),
               ("Left for another day", way.later))  # fmt: skip
    undo = [(f"{done.title}: {words}", done.step.stage) for done, words in way.undo]
    numbers = count(1)
    steps = (
        (head, tuple(f"{next(numbers)}. {line}" for line in lines))
        for head, lines in (
            (
                "Take back, the machine switched off, its plug out and blocks under it:",
                [line for line, stage in undo if stage is Stage.WORK],
            ),
            ("Take back:", [line for line, stage in undo if stage is Stage.HELD]),
            (
                "Take back in the settings, before anything moves:",
                [line for line, stage in undo if stage not in (Stage.WORK, Stage.HELD)],
            ),
            (
                "Then, as in the order, until it prints:",
                [f"{left.title} ({left.id}). {accept_words(left)}" for left in way.then],
            ),
        )
    )
    return WayBackSaid(
        title=f"{task.title}: where it cannot be brought to its limit",
        now=_now(task, way),
        changes=tuple(f"{head}: {_titles(ids)}." for head, ids in changes if ids),
        steps=tuple((head, lines) for head, lines in steps if lines),
    )


NOT_OPENED = "Nothing has been opened: the printer still prints. Leave it so."
NOT_LOOSENED = "Nothing at the axis has been loosened: only this is put right again."


def _now(task: Task, way: WayBack) -> tuple[str, ...]:
    """What to do about the step that failed, where it can have been begun; what was left alone."""
    begun = way.loosened or task.step.stage in (Stage.BEFORE, Stage.HELD)
    mend = (task.step.fails,) if begun else ()
    if not way.opened:
        return (*mend, NOT_OPENED)
    return mend if way.loosened else (*mend, NOT_LOOSENED)


def way_back_text(task: Task, way: WayBack) -> str:
    """The way back as text."""
    return "\n".join(_way_lines(way_back_said(task, way))) + "\n"


def _way_lines(said: WayBackSaid) -> Iterator[str]:
    yield said.title
    for line in said.now:
        yield from _indented(line)
    for line in said.changes:
        yield from folded(line)
    for head, lines in said.steps:
        yield head
        for line in lines:
            yield from _indented(line)


def entered_text(order: WorkOrder, progress: Progress, new: Sequence[Entry]) -> str:
    """What was entered now, whether it is within its limit, and what comes next."""
    return "\n".join(_entered_lines(order, progress, new)) + "\n"


def _entered_lines(order: WorkOrder, progress: Progress, new: Sequence[Entry]) -> Iterator[str]:
    by_id = {task.id: task for task in order.tasks}
    for entry in new:
        yield from folded(entry_words(by_id[entry.step], entry))
    found = standing(order, progress)
    yield from folded(where_it_stands(order, found, by_id=True))
    for task in found.next[:1]:
        yield from _task(order, task, found, progress, set())


def entry_words(task: Task, entry: Entry) -> str:
    """What one entry did: done, taken as it is, or not done and what to do then."""
    told = entry.words if entry.value is None else f"{entry.value:g}"
    if entry.accepted:
        return f"{task.title}: {told}{accepted_words(entry)}. It is kept so."
    if entry.holds:
        return f"{task.title}: {told}, done."
    limit = "" if task.accept is None else f" {accept_words(task)}"
    return f"{task.title}: {told}, not done.{limit} {task.step.fails}"


def accepted_words(entry: Entry) -> str:
    """Why it was taken as it is, or gone past without a value; "" where it was not."""
    if not entry.accepted:
        return ""
    head = {NOT_MEASURED: ", because", OWN_WORD: ":"}.get(entry.words, "; taken as it is:")
    return f"{head} {entry.accepted.rstrip('.')}"


def hazards_of(order: WorkOrder) -> tuple[str, ...]:
    """Every hazard of the work, in the order in which it is met."""
    return tuple(dict.fromkeys(h for task in order.tasks for h in task.step.hazards))


def _indented(words: str) -> list[str]:
    return [f"    {line}" for line in folded(words)]
