"""A work order as its sheet shows it: the list of steps, and one step in full."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.build import (
    WIRING,
    Stage,
    State,
    Task,
    WayBack,
    gate_open,
    moves_handed_out,
    way_back,
)
from plumbrise.build.standing import barred_by
from plumbrise.cautions import HAZARDS
from plumbrise.report.amounts import minutes_words
from plumbrise.report.work_order import (
    WayBackSaid,
    accept_words,
    entry_words,
    news_of,
    setting_words,
    summary,
    tools_words,
    way_back_said,
    where_it_stands,
)
from plumbrise.report.work_order_section import STATES, entered_words, limit_of
from plumbrise.web import build_words as words
from plumbrise.web.build_kept import Work


@dataclass(frozen=True, slots=True)
class Row:
    """A step in the list. `state` is a word for style, `is_so` for people; `turn` marks one
    whose turn it is."""

    id: str
    number: int
    title: str
    state: str
    is_so: str
    turn: bool
    limit: str
    entered: str


@dataclass(frozen=True, slots=True)
class StageSaid:
    """A stage of the work with its steps."""

    title: str
    minutes: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class StepSaid:
    """One step in full. `after` are steps that come first, by id and title; `last` is what its
    latest entry did; `asks` is how it is entered: "value", "words" or
    "wiring"; `may_skip` whether one may go on without a value."""

    id: str
    number: int
    title: str
    stage: str
    minutes: str
    words: str
    lines: tuple[str, ...]
    tools: str
    cautions: tuple[tuple[str, str], ...]
    accept: str
    unit: str
    fails: str
    state: str
    is_so: str
    last: str
    when: str
    after: tuple[tuple[str, str], ...]
    asks: str
    firm: bool
    may_skip: bool
    drawn: bool


@dataclass(frozen=True, slots=True)
class SettingSaid:
    """A setting of the controller: old and new, why, and how it is verified."""

    what: str
    why: str
    verify: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """All of a build sheet but its drawing."""

    summary: str
    tools: str
    stands: str
    news: tuple[str, ...]
    stages: tuple[StageSaid, ...]
    step: StepSaid
    settings: tuple[SettingSaid, ...]
    shut: bool
    moves: str
    moves_missing: str


def said_of(found: Work, here: Task) -> Sheet:
    """The sheet with one step open."""
    order, stands = found.order, found.standing
    moves = moves_handed_out(order, found.progress)
    return Sheet(
        summary=summary(order),
        tools=tools_words(order),
        stands=where_it_stands(order, stands),
        news=news_of(stands),
        stages=tuple(_stages(found)),
        step=step_said(found, here),
        settings=tuple(SettingSaid(setting_words(s), s.why, s.verify) for s in order.settings),
        shut=not gate_open(order, found.progress),
        moves=moves.text if moves else "",
        moves_missing=moves.missing if moves else "",
    )


def _stages(found: Work) -> list[StageSaid]:
    order, stands = found.order, found.standing
    turn = {task.id for task in stands.next}
    made = []
    for stage in Stage:
        tasks = [(n, task) for n, task in enumerate(order.tasks, 1) if task.step.stage is stage]
        rows = tuple(
            Row(
                id=task.id,
                number=number,
                title=task.title,
                state=stands.states[task.id].name.lower(),
                is_so=STATES[stands.states[task.id]],
                turn=task.id in turn,
                limit=limit_of(task),
                entered=entered_words(task, found.progress),
            )
            for number, task in tasks
        )
        if rows:
            minutes = minutes_words(sum(task.step.minutes for _, task in tasks))
            made.append(StageSaid(stage.value, minutes, rows))
    return made


def step_said(found: Work, task: Task) -> StepSaid:
    """One step in full."""
    order, progress = found.order, found.progress
    states = found.standing.states
    last = progress.last(task.id)
    titles = {one.id: one.title for one in order.tasks}
    asks = "value" if task.accept is not None else "words"
    return StepSaid(
        id=task.id,
        number=order.tasks.index(task) + 1,
        title=task.title,
        stage=task.step.stage.value,
        minutes=minutes_words(task.step.minutes),
        words=task.step.words,
        lines=task.lines,
        tools=", ".join(task.step.tools),
        cautions=tuple((HAZARDS[h].title, HAZARDS[h].words) for h in task.step.hazards),
        accept=accept_words(task),
        unit=task.accept.unit if task.accept is not None else "",
        fails=task.step.fails,
        state=states[task.id].name.lower(),
        is_so=STATES[states[task.id]],
        last="" if last is None else entry_words(task, last),
        when="" if last is None else words.LAST.format(last.when.replace("T", " ")[:16]),
        after=tuple((one, titles[one]) for one in barred_by(order, progress, states, task)),
        asks="wiring" if task.id == WIRING else asks,
        firm=task.step.firm,
        may_skip=task.accept is not None
        and not task.step.firm
        and states[task.id] in (State.OPEN, State.AGAIN),
        drawn=bool(task.station),
    )


def opened(found: Work, asked: str) -> Task:
    """The step that an address names; else the one whose turn it is, else the last."""
    by_id = {task.id: task for task in found.order.tasks}
    if asked in by_id:
        return by_id[asked]
    outside = (t for t in found.order.tasks if found.standing.states[t.id] is State.OUTSIDE)
    return next(outside, next(iter(found.standing.next), found.order.tasks[-1]))


def back_said(found: Work, task: Task) -> WayBackSaid:
    """The way back when this step cannot be brought to its limit."""
    way: WayBack = way_back(found.order, found.progress, task)
    return way_back_said(task, way)
