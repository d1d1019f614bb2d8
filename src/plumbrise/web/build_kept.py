"""The work order of a machine on the shelf: what was chosen, and what is done of it.

It is kept as `plumbrise build --progress` keeps it, beside the machine's description as it was when
the work began: steps and limits are those of the machine before the changes.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from plumbrise.build import (
    WIRING,
    Progress,
    Standing,
    State,
    WorkOrder,
    build_steps,
    standing,
    wiring_seen,
)
from plumbrise.errors import InputError
from plumbrise.files import read_machine, write_machine
from plumbrise.files.json_text import json_object
from plumbrise.files.proposal import read_proposal
from plumbrise.files.work_order import changes_in, read_progress, work_order_dict
from plumbrise.report.work_order_section import WorkDone
from plumbrise.web import build_words as words
from plumbrise.web.bench import Bench, Story
from plumbrise.web.wiring_kept import judged, kept_harness
from plumbrise.wiring import Verdict

WORK = "work-order"
"""Kind of the results that hold a work order."""
KEPT = ("version", "changes", "made_for", "entries")
"""What of a work order is kept."""


@dataclass(frozen=True, slots=True)
class Work:
    """A work order and what is done of it."""

    order: WorkOrder
    progress: Progress

    @property
    def standing(self) -> Standing:
        """How far it is."""
        return standing(self.order, self.progress)


def work_of(bench: Bench, machine_id: int) -> Work | None:
    """The work order of a machine; None where none was made."""
    kept = [one for one in bench.shelf.results(machine_id) if one.kind == WORK]
    if not kept:
        return None
    found: Work = bench.remembered(
        ("work", machine_id, kept[-1].id), lambda: _read(json.loads(kept[-1].text))
    )
    return found


def _read(kept: dict[str, Any]) -> Work:
    machine = read_machine(kept["machine"], name=words.BEFORE_WORK)
    progress = read_progress(json.dumps(kept["work"]), name=WORK)
    return Work(build_steps(machine, kept["work"]["changes"]), progress)


def keep_work(bench: Bench, machine_id: int, order: WorkOrder, progress: Progress) -> None:
    """Keep how far it is, without the steps: they are made anew, and would be kept each time."""
    whole = work_order_dict(order, progress)
    bench.shelf.add_result(
        machine_id,
        WORK,
        {"machine": write_machine(order.before), "work": {key: whole[key] for key in KEPT}},
    )


def enter(bench: Bench, machine_id: int, order: WorkOrder, progress: Progress) -> None:
    """Keep something that was entered: from now on the progress is of these changes."""
    keep_work(bench, machine_id, order, replace(progress, changes=order.changes))


def choose(bench: Bench, story: Story, text: str, *, name: str) -> None:
    """Begin the work of a chosen set, or go on with a work order that was kept as a file.

    What was done for a set that was chosen before stays done, where it still belongs to the work.

    Args:
        bench: the bench.
        story: the machine.
        text: JSON of a proposal, or of a work order.
        name: the file's name, for errors.

    Raises:
        InputError: neither, nothing chosen, or changes that this machine cannot have.
    """
    given = json_object(text)
    before = work_of(bench, story.id)
    begun = before is not None and before.progress.entries
    machine = before.order.before if before is not None and begun else story.machine
    progress: Progress | None
    if "entries" in given:
        progress, changes = read_progress(text, name=name), changes_in(given)
    else:
        progress = before.progress if before is not None and begun else None
        changes = tuple(one.id for one in read_proposal(text, name=name).changes)
    order = build_steps(machine, changes)
    keep_work(bench, story.id, order, progress or Progress(changes=order.changes))


def anew(bench: Bench, story: Story) -> None:
    """Take the machine's description as it is now for the machine before the work.

    Raises:
        InputError: a change that this machine cannot have (any more).
    """
    found = work_of(bench, story.id)
    if found is not None:
        keep_work(bench, story.id, build_steps(story.machine, found.order.changes), found.progress)


def verdict_of(bench: Bench, machine_id: int) -> Verdict | None:
    """What the wiring sheet of a machine says; None where it holds nothing."""
    text = kept_harness(bench, machine_id)
    return judged(bench, text).answer.verdict if text else None


def wiring_went_bad(bench: Bench, machine_id: int, *, when: str) -> None:
    """A go that was entered ends when the wiring sheet says otherwise: the power is shut again."""
    found, verdict = work_of(bench, machine_id), verdict_of(bench, machine_id)
    if found is None or verdict is None or verdict is Verdict.GO:
        return
    last = found.progress.last(WIRING)
    if last is not None and last.words == Verdict.GO.value:
        made = wiring_seen(found.order, found.progress, verdict.value, when=when)
        enter(bench, machine_id, found.order, made)


def work_done(bench: Bench, machine_id: int) -> WorkDone | None:
    """The work order of a machine as its report shows it; None where none was made."""
    found = work_of(bench, machine_id)
    return None if found is None else WorkDone(found.order, found.progress)


def brief(bench: Bench, machine_id: int) -> str:
    """How far the work is, and what the wiring sheet says; "" where there is neither."""
    try:
        found, verdict = work_of(bench, machine_id), verdict_of(bench, machine_id)
    except InputError:  # kept by an earlier version that knew other changes
        return ""
    told = []
    if found is not None:
        states = found.standing.states.values()
        done = sum(state is State.DONE for state in states)
        told.append(
            words.ALL_DONE
            if done == len(found.order.tasks)
            else words.DONE_OF.format(done, len(found.order.tasks))
        )
    if verdict is not None:
        told.append(words.WIRING_IS.format(str(verdict)))
    return ", ".join(told)
