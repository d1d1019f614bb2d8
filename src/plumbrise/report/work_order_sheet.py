"""A work order on paper: one HTML file that stands alone, or a PDF, with blanks to fill in."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from plumbrise import drawing
from plumbrise.build import (
    Progress,
    Stage,
    State,
    Task,
    WorkOrder,
    moves_handed_out,
    standing,
)
from plumbrise.cautions import DEFER, HAZARDS
from plumbrise.drawing.marking import Called, Marking, assumed_parts
from plumbrise.report.amounts import minutes_words
from plumbrise.report.document import environment, style_sheet
from plumbrise.report.layout import held_together, plain_line
from plumbrise.report.pdf import typeset
from plumbrise.report.pictures import following_the_page, with_own_ids
from plumbrise.report.work_order import (
    SCOPE,
    accept_words,
    hazards_of,
    setting_words,
    summary,
    tools_words,
    where_it_stands,
)

PICTURE_PX = 420
Values = dict[str, Any]


@dataclass(slots=True)
class _Said:
    """What the sheet has said already: steps told in full, and places drawn, with the step's
    number. `theme` is that of the drawings."""

    theme: str
    steps: set[str] = field(default_factory=set)
    places: dict[str, int] = field(default_factory=dict)


def work_order_html(order: WorkOrder, progress: Progress, *, when: str, version: str) -> str:
    """The sheet as one HTML file: no network, font and drawings inside, fit to be printed.

    Args:
        order: the work.
        progress: what was done so far; its values stand in the blanks.
        when: the date as it shall be printed.
        version: the program's version.
    """
    values = _values(order, progress, when, version, theme="light")
    for number, picture in enumerate(_pictures(values)):
        picture["svg"] = following_the_page(with_own_ids(picture["svg"], f"w{number}"))
    return environment().get_template("work_order.html").render(r=values, style=style_sheet())


def work_order_pdf(
    order: WorkOrder, progress: Progress, *, when: str, version: str, paper: str = "a4"
) -> bytes:
    """The sheet as PDF on A4 or letter; the same input gives the same bytes.

    Args:
        order: the work.
        progress: what was done so far; its values stand in the blanks.
        when: the date as it shall be printed.
        version: the program's version.
        paper: a4 or letter.

    Raises:
        InputError: another paper.
    """
    return typeset("work_order.typ", _values(order, progress, when, version, theme="print"), paper)


def _pictures(values: Values) -> list[dict[str, str]]:
    steps = (step for stage in values["stages"] for step in stage["steps"])
    return [step["picture"] for step in steps if step["picture"] is not None]


def _values(order: WorkOrder, progress: Progress, when: str, version: str, *, theme: str) -> Values:
    name = plain_line(order.before.name) or "This axis"
    found, moves = standing(order, progress), moves_handed_out(order, progress)
    return {
        "title": f"{name}: work order",
        "name": f"{name}, {when}",
        "version": version,
        "lead": held_together(summary(order)),
        "scope": f"{SCOPE} {tools_words(order)}",
        "stands": held_together(where_it_stands(order, found)) if progress.entries else "",
        "cautions": [
            f"{HAZARDS[h].title}: {HAZARDS[h].words}" for h in hazards_of(order)
        ] + [DEFER],
        "stages": _stages(order, progress, _Said(theme)),
        "settings": [
            {"what": setting_words(one), "why": one.why, "verify": held_together(one.verify)}
            for one in order.settings
        ],
        "program": moves.text if moves else "",
        "no_program": moves.missing if moves else "",
    }  # fmt: skip


def _stages(order: WorkOrder, progress: Progress, said: _Said) -> list[Values]:
    states = standing(order, progress).states
    stages = []
    for stage in Stage:
        tasks = [(n, t) for n, t in enumerate(order.tasks, 1) if t.step.stage is stage]
        if not tasks:
            continue
        steps = []
        for number, task in tasks:
            steps.append(_step(order, progress, number, task, said, states[task.id]))
            said.steps.add(task.step.id)
        stages.append(
            {
                "title": stage.value,
                "minutes": minutes_words(sum(task.step.minutes for _, task in tasks)),
                "steps": steps,
            }
        )
    return stages


def _step(
    order: WorkOrder,
    progress: Progress,
    number: int,
    task: Task,
    said: _Said,
    state: State,
) -> Values:
    """One step; what was said of it on another side is not said again, and each place is drawn
    where it is first worked at."""
    last = progress.last(task.id)
    entered = ""
    if last is not None and state in (State.DONE, State.OUTSIDE):
        entered = last.words if last.value is None else f"{last.value:g} {last.words}".strip()
    first = task.step.id not in said.steps
    picture = None
    if task.station and task.station not in said.places and task.step.stage is not Stage.BEFORE:
        said.places[task.station] = number
        picture = _picture(order, task, number, said.theme)
    where = ""
    if task.station in said.places and picture is None:
        where = f"The place is drawn at step {said.places[task.station]}."
    words = [task.step.words, *task.lines] if first else ["As on the first side."]
    return {
        "number": str(number),
        "id": task.id,
        "title": task.title,
        "minutes": f"{task.step.minutes:g}",
        "words": [held_together(line) for line in words],
        "tools": ", ".join(task.step.tools) if first else "",
        "cautions": ", ".join(HAZARDS[h].title.lower() for h in task.step.hazards) if first else "",
        "accept": held_together(accept_words(task)),
        "fails": held_together(task.step.fails) if first else "",
        "where": where,
        "picture": picture,
        "unit": task.accept.unit if task.accept else "",
        "entered": entered,
        "done": state is State.DONE,
        "when": last.when if last and entered else "",
    }


def _picture(order: WorkOrder, task: Task, number: int, theme: str) -> dict[str, str]:
    """The drawing of a step's place, with its spoken words."""
    svg = place_drawing(
        order, task, number, theme=theme, width_px=PICTURE_PX, prefix=f"work-{number}-"
    )
    return {"svg": svg, "spoken": f"The axis with the place of step {number} marked"}


def place_drawing(
    order: WorkOrder, task: Task, number: int, *, theme: str, width_px: int, prefix: str
) -> str:
    """The machine as it will be, with the part that is worked at picked out; square."""
    part = _drawn_part(order, task)
    marking = Marking(
        assumed=assumed_parts(order.after),
        new=frozenset({part}),
        called=(Called(part, (number,), task.title.lower()),),
        at_work=True,
    )
    return drawing.load_path(
        order.after,
        marking,
        theme=theme,
        width_px=width_px,
        height_px=width_px,
        prefix=prefix,
    )


_PARTS = {"motor-shaft": "coupling", "screw": "screw", "nut": "nut"}
"""Mark of a step -> what the drawing calls the part there."""


def _drawn_part(order: WorkOrder, task: Task) -> str:
    mark = task.step.mark
    side = task.side or order.after.screw_sides[0]
    if mark in _PARTS:
        return f"{_PARTS[mark]}-{side}"
    return "frame" if mark == "frame" else f"end-{task.side or 'middle'}"
