"""A plan as PDF: fit to be printed and filled in at the machine."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from plumbrise import drawing
from plumbrise.cautions import DEFER, MEASURING
from plumbrise.explain.plan import Plan
from plumbrise.machine import Machine
from plumbrise.measure.mounting import Look
from plumbrise.readings import Readings
from plumbrise.report.amounts import minutes_words
from plumbrise.report.layout import held_together, plain_line
from plumbrise.report.names import cause_phrase, listed, station_name
from plumbrise.report.pdf import typeset
from plumbrise.report.plan import (
    FIRST,
    WITH_GAUGE,
    PlanStep,
    looks,
    plan_steps,
    stroke_words,
    summary,
)

ROWS_A_COLUMN = 17
PICTURE_PX, PICTURE_HEIGHT_PX = 320, 380


def plan_pdf(
    machine: Machine,
    plan: Plan,
    *,
    when: str,
    version: str,
    symptoms: Sequence[str] = (),
    gauges: int = 1,
    paper: str = "a4",
) -> bytes:
    """The plan with a picture of every place the gauge stands at, and blanks for the readings.

    Args:
        machine: the axis as described.
        plan: what is to be done.
        when: the date as it shall be printed.
        version: the program's version.
        symptoms: what the person sees, for what is looked at first.
        gauges: how many read at once.
        paper: a4 or letter.

    Raises:
        InputError: another paper.
    """
    name = plain_line(machine.name) or "This axis"
    wanted = looks(machine, plan, symptoms)
    return typeset(
        "plan.typ",
        {
            "title": f"{name}: what to read, in which order",
            "name": f"{name}, {when}",
            "version": version,
            "lead": held_together(f"{summary(plan)} {stroke_words(machine, plan)}".rstrip()),
            "cautions": [f"{h.title}: {h.words}" for h in MEASURING] + [DEFER],
            "looks": [
                {"head": head, "words": [_look(look) for look in wanted if look.with_gauge is out]}
                for head, out in ((FIRST, False), (WITH_GAUGE, True))
            ],
            "steps": [
                _step(machine, plan, number, step)
                for number, step in enumerate(plan_steps(plan, machine, gauges=gauges))
            ],
            "little": listed([cause_phrase(c) for c in plan.unseen]).capitalize() + "."
            if plan.unseen
            else "",
        },
        paper,
    )


def _look(look: Look) -> str:
    return held_together(f"{look.title} ({minutes_words(look.minutes)}). {look.words}")


def _step(machine: Machine, plan: Plan, number: int, step: PlanStep) -> dict[str, Any]:
    planned = plan.steps[number]
    here = planned.set_up.station.id
    before = plan.steps[number - 1].set_up.station.id if number else ""
    points = [
        step.where,
        step.moves,
        f"Watch: {step.watch}",
        *(f"{h.title}: {h.words}" for h in step.hazards),
        " ".join(words for words in (step.why, step.tells, step.stop) if words),
    ]
    rows = [list(row) for row in step.rows]
    return {
        "number": str(step.number),
        "title": step.title,
        "minutes": f"{planned.minutes:.0f}",
        "share": f"{100 * planned.share:.0f} %",
        "points": [held_together(words) for words in points if words],
        "picture": _picture(machine, here, number) if here != before else None,
        "tables": [
            {"head": list(step.columns), "rows": rows[i : i + ROWS_A_COLUMN]}
            for i in range(0, len(rows), ROWS_A_COLUMN)
        ],
    }


def _picture(machine: Machine, station: str, number: int) -> dict[str, str] | None:
    """The axis with the place of the gauge marked; None for a block on the bench."""
    if station == "block":
        return None
    marking = drawing.mark(machine, Readings(()), here=station)
    return {
        "svg": drawing.load_path(
            machine,
            marking,
            theme="print",
            width_px=PICTURE_PX,
            height_px=PICTURE_HEIGHT_PX,
            prefix=f"plan-{number}-",
        ),
        "spoken": f"The axis; the gauge stands at the {station_name(station)}",
    }
