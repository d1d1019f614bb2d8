"""A work order and what is done of it as a section of the report: a line a step."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.build import Progress, Stage, State, Task, WorkOrder, standing
from plumbrise.report.layout import plain_line
from plumbrise.report.tables import Table
from plumbrise.report.work_order import (
    SCOPE,
    accepted_words,
    limit_words,
    news_of,
    setting_words,
    summary,
    where_it_stands,
)

STATES = {
    State.OPEN: "open",
    State.DONE: "done",
    State.OUTSIDE: "outside its limit",
    State.AGAIN: "to be done again",
}


@dataclass(frozen=True, slots=True)
class WorkDone:
    """A work order and what was entered of it."""

    order: WorkOrder
    progress: Progress


@dataclass(frozen=True, slots=True)
class WorkSection:
    """The work: what is changed and how far it is, the steps of each stage, the settings with why
    they change and how that is verified."""

    lead: str
    stands: str
    news: tuple[str, ...]
    stages: tuple[tuple[str, Table], ...]
    settings: tuple[tuple[str, str, str], ...]
    scope: str


def work_section(work: WorkDone) -> WorkSection:
    """The section; the steps in full stand in the work order itself."""
    order, progress = work.order, work.progress
    found = standing(order, progress)
    numbers = {task.id: number for number, task in enumerate(order.tasks, 1)}
    stages = []
    for stage in Stage:
        tasks = [task for task in order.tasks if task.step.stage is stage]
        rows = tuple(
            (
                f"{numbers[task.id]}. {task.title}",
                limit_of(task),
                entered_words(task, progress),
                STATES[found.states[task.id]],
            )
            for task in tasks
        )
        if rows:
            head = ("Step", "accepted", "entered", "state")
            stages.append((stage.value, Table(head, rows, stage.value, words=4)))
    return WorkSection(
        lead=summary(order),
        stands=where_it_stands(order, found),
        news=news_of(found),
        stages=tuple(stages),
        settings=tuple((setting_words(one), one.why, one.verify) for one in order.settings),
        scope=SCOPE,
    )


def limit_of(task: Task) -> str:
    """The limit of a step; "" where nothing is measured, or none can be told."""
    one = task.accept
    return "" if one is None or one.bounds.missing else limit_words(one)


def entered_words(task: Task, progress: Progress) -> str:
    """What was entered last, with its unit, and why it was taken as it is; "" for nothing yet."""
    last = progress.last(task.id)
    if last is None:
        return ""
    unit = f" {task.accept.unit}" if task.accept is not None and task.accept.unit else ""
    told = last.words if last.value is None else f"{last.value:g}{unit} {last.words}".strip()
    return plain_line(f"{told}{accepted_words(last)}")
