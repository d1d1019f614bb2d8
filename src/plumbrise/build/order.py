"""A work order: the steps that a set of changes needs on one machine, in an order that holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

from plumbrise.build.first_moves import FirstMoves, first_moves
from plumbrise.build.settings import Setting, settings_of
from plumbrise.build.step import Acceptance, Each, On, Stage, Step, Task
from plumbrise.build.steps import PLACE, STEPS
from plumbrise.machine import Machine, known
from plumbrise.redesign import CATALOGUE, Change, PartLine
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.named import set_for
from plumbrise.redesign.parts import parts_of


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkOrder:
    """What is to be done on one machine, in order.

    `before` and `after` are the machine's descriptions without and with the changes; `parts` what
    is bought or printed; `settings` what changes in the controller; `moves` the program of the
    first bounded moves, None where nothing is opened.
    """

    before: Machine
    after: Machine
    changes: tuple[str, ...]
    tasks: tuple[Task, ...]
    parts: tuple[PartLine, ...]
    settings: tuple[Setting, ...]
    moves: FirstMoves | None

    @property
    def minutes_out(self) -> float:
        """How long the printer cannot print, waiting not counted."""
        return sum(t.step.minutes for t in self.tasks if t.step.stage is not Stage.BEFORE)

    @property
    def tools(self) -> tuple[str, ...]:
        """All tools of the work, in the order in which they are first taken up."""
        return tuple(dict.fromkeys(tool for task in self.tasks for tool in task.step.tools))

    @property
    def opens(self) -> bool:
        """Whether anything is taken apart."""
        return any(task.step.stage is Stage.HELD for task in self.tasks)


def build_steps(machine: Machine, changes: Iterable[Change | str]) -> WorkOrder:
    """The ordered work for a set of changes.

    The order respects what every step depends on; within that it keeps the printer in use until
    everything is there and fits, and is always the same for the same set.

    Args:
        machine: the axis as it is.
        changes: changes of the catalogue, or their ids; what a proposal chose.

    Raises:
        InputError: an unknown change, one that this machine cannot have, or a set that cannot be
            made together.

    Example:
        >>> from plumbrise.machine import blank
        >>> order = build_steps(blank("one-screw"), ["new-nut"])
        >>> [task.id for task in order.tasks if task.step.stage is Stage.HELD]
        ['blocks-left', 'blocks-right', 'power-off', 'unplug-motors']
    """
    chosen = set_for(machine, changes)
    after = machine_changed(machine, chosen)
    ids = frozenset(change.id for change in chosen)
    parts = parts_of(machine, chosen)
    on = On(before=machine, after=after, changes=ids)
    tasks = _ordered(tuple(_tasks(on, parts)))
    opens = any(task.step.stage is Stage.HELD for task in tasks)
    return WorkOrder(
        before=machine,
        after=after,
        changes=tuple(change.id for change in chosen),
        tasks=tasks,
        parts=parts,
        settings=settings_of(on),
        moves=first_moves(after) if opens else None,
    )


def _tasks(on: On, parts: Sequence[PartLine]) -> Iterable[Task]:
    """Every step that a change brings, on every side that it is done on; in the table's order."""
    sides = {step.id: _sides(step, on) for step in STEPS.values()}
    lists = {kind: _listed(kind, parts) for kind in ("bought", "printed", "measure-first")}
    for step in STEPS.values():
        if step.lists and not lists[step.lists]:
            continue
        lines = lists[step.lists] if step.lists else _of_part(step, parts)
        for side in sides[step.id]:
            yield _task(step, side, on, _needs(step, side, sides, lists), lines)


def _needs(
    step: Step,
    side: str,
    sides: Mapping[str, tuple[str, ...]],
    lists: Mapping[str, tuple[str, ...]],
) -> tuple[str, ...]:
    """The tasks before this one: those of its own side where a step has sides."""
    found: list[str] = []
    for other_id in _BEFORE_EACH[step.id]:
        other, theirs = STEPS[other_id], sides[other_id]
        if other.lists and not lists[other.lists]:
            continue
        same = other.each is step.each and side in theirs
        found += [_id(other, s) for s in theirs if not same or s == side]
    return tuple(found)


def _all_before() -> dict[str, tuple[str, ...]]:
    """Step -> every step before it, through those that may be left out, in the table's order."""
    found: dict[str, frozenset[str]] = {}

    def before(step_id: str) -> frozenset[str]:
        if step_id not in found:
            direct = STEPS[step_id].after
            found[step_id] = frozenset(direct).union(*(before(one) for one in direct))
        return found[step_id]

    return {step_id: tuple(sorted(before(step_id), key=PLACE.__getitem__)) for step_id in STEPS}


_BEFORE_EACH = _all_before()


def _sides(step: Step, on: On) -> tuple[str, ...]:
    """Where a step is done: () not at all, ("",) once."""
    brings = [change for change in step.changes if change in on.changes]
    if not brings or on.changes & set(step.unless):
        return ()
    if step.each is Each.ONCE:
        return ("",) if _suits(step, on, "") else ()
    places = on.after.screw_sides if step.each is Each.SCREW else on.after.arrangement.ends
    old = on.before.screw_sides
    kept = set()
    for change in brings:
        for place in places:
            if change in step.only_new and place in old:
                continue
            if change in step.only_old and place not in old:
                continue
            kept.add(place)
    return tuple(place for place in places if place in kept and _suits(step, on, place))


def _suits(step: Step, on: On, side: str) -> bool:
    return all(str(known(on.after, key, side or None).value) in may for key, may in step.only_if)


def _id(step: Step, side: str) -> str:
    return f"{step.id}-{side}" if side else step.id


def _task(step: Step, side: str, on: On, after: tuple[str, ...], lines: tuple[str, ...]) -> Task:
    here = On(before=on.before, after=on.after, changes=on.changes, side=side)
    accept = None
    if step.accept is not None:
        measure = step.accept
        accept = Acceptance(measure.what, measure.tool, measure.unit, measure.bounds(here))
    return Task(
        id=_id(step, side),
        step=step,
        side=side,
        title=f"{step.title}, {side}" if side else step.title,
        after=after,
        changes=tuple(change for change in step.changes if change in on.changes),
        accept=accept,
        station=_station(step, side, on.after),
        lines=lines,
        handles=tuple(c for c in step.changes if c in on.changes and _handles(step, c)),
    )


def _handles(step: Step, change: str) -> bool:
    """Whether parts of a change are in hand in a step: measured, ordered, printed, put in or taken
    out, which is what can be undone."""
    if not step.lists:
        return step.id.startswith("fit-") or (step.stage is Stage.WORK and bool(step.back))
    parts = CATALOGUE[change].parts
    if step.lists == "measure-first":
        return any(part.measure_first for part in parts)
    return any(part.printed is (step.lists == "printed") for part in parts)


def _station(step: Step, side: str, machine: Machine) -> str:
    """The station of the drawing that marks the part, "" for none."""
    if not step.mark:
        return ""
    if step.mark == "frame":
        return "frame-left"
    if step.mark == "ends":
        body = machine.arrangement.body
        if step.each is Each.END or side:
            return f"{body}-{side}"
        return "bed" if body == "bed" else "gantry-middle"
    several = len(machine.arrangement.sides) > 1
    return f"{step.mark}-{side or machine.screw_sides[0]}" if several else step.mark


def _listed(kind: str, parts: Sequence[PartLine]) -> tuple[str, ...]:
    if kind == "measure-first":
        lines = [
            f"{line.part.name}: {line.part.measure_first}"
            for line in parts
            if line.part.measure_first
        ]
        return tuple(dict.fromkeys(lines))
    found = [line for line in parts if line.part.printed is (kind == "printed")]
    found.sort(key=lambda line: -line.part.lead_days)
    return tuple(_part_words(line, kind) for line in found)


def _part_words(line: PartLine, kind: str = "") -> str:
    days = line.part.lead_days
    lead = f", about {days} days" if days and kind == "bought" else ""
    note = f". {line.part.note}" if line.part.note else ""
    return f"{line.count} x {line.part.name}, {line.size}{lead}{note}"


def _of_part(step: Step, parts: Sequence[PartLine]) -> tuple[str, ...]:
    """Under the measuring of a part: which ones, for which change."""
    name = step.title.partition(":")[0]
    if not step.id.startswith("fit-"):
        return ()
    return tuple(
        f"{_part_words(line)} (for: {CATALOGUE[line.change].title})"
        for line in parts
        if line.part.name == name
    )


def _ordered(tasks: tuple[Task, ...]) -> tuple[Task, ...]:
    """Topological order; of what is ready comes first what stands first by stage and table, so
    that the printer is opened as late as can be."""
    place = {task.id: number for number, task in enumerate(tasks)}
    open_needs = {task.id: set(task.after) for task in tasks}
    waits: dict[str, list[Task]] = {task.id: [] for task in tasks}
    for task in tasks:
        for need in task.after:
            waits[need].append(task)
    by_id = {task.id: task for task in tasks}
    ready: list[tuple[int, int, int, str]] = []

    def push(task: Task) -> None:
        key = (task.step.stage.place, PLACE[task.step.id], place[task.id], task.id)
        heappush(ready, key)

    for task in tasks:
        if not open_needs[task.id]:
            push(task)
    found = []
    while ready:
        task = by_id[heappop(ready)[3]]
        found.append(task)
        for later in waits[task.id]:
            open_needs[later.id].discard(task.id)
            if not open_needs[later.id]:
                push(later)
    assert len(found) == len(tasks), "the table of steps depends on itself in a circle"
    return tuple(found)
