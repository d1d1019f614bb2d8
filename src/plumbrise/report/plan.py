"""A plan in sentences: what to do at the machine, in which order, and where one may stop."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt

from plumbrise.cautions import DEFER, MEASURING, Hazard
from plumbrise.explain.noise import first_level
from plumbrise.explain.plan import Plan, PlannedSetUp
from plumbrise.machine import Machine, known
from plumbrise.measure.mounting import DOING, Look, looks_for, mounting
from plumbrise.readings import Reading
from plumbrise.report.amounts import minutes_words
from plumbrise.report.layout import folded, plain_line
from plumbrise.report.names import (
    as_sentence,
    cause_phrase,
    listed,
    lowered,
    station_name,
    test_title,
    with_places,
)

ENOUGH = 0.6
"""Share of what the plan tells from which stopping leaves a useful answer."""
MEANS = 5
"""How many readings a mean is taken of, for the smallest effect that is told."""
JUDGED = 5.0
"""A single reading judges what is so many times the gauge's step (common practice)."""


@dataclass(frozen=True, slots=True)
class PlanStep:
    """One set-up as a person is told of it."""

    number: int
    title: str
    minutes: str
    where: str
    moves: str
    watch: str
    why: str
    tells: str
    stop: str
    hazards: tuple[Hazard, ...]
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def plan_steps(plan: Plan) -> tuple[PlanStep, ...]:
    """The set-ups of a plan, in the order in which they are done."""
    stood = ""
    out = []
    enough = next((i for i, s in enumerate(plan.steps) if s.share >= ENOUGH), None)
    for number, step in enumerate(plan.steps, start=1):
        setup = step.set_up
        doing = DOING[setup.kind]
        here = setup.station.id
        where = mounting(setup.station) if here != stood else "The gauge stays where it is."
        stood = here
        out.append(
            PlanStep(
                number,
                set_up_title(step),
                minutes_words(step.minutes),
                where,
                BALANCE if setup.with_balance else doing.moves,
                doing.watch if not setup.with_balance else "Pull straight up and down.",
                as_sentence(with_places(step.why)),
                _tells(step),
                _stop(step) if enough is not None and number - 1 >= enough else "",
                doing.hazards,
                *_table(step),
            )
        )
    return tuple(out)


BALANCE = (
    "Nothing moves. A spring balance pulls this end up, and then down, by these forces; read at "
    "each."
)


def set_up_title(step: PlannedSetUp) -> str:
    """The set-up in a title."""
    setup = step.set_up
    title = "Spring balance" if setup.with_balance else test_title(setup.kind.id)
    return f"{title}, {station_name(setup.station.id)}"


def _tells(step: PlannedSetUp) -> str:
    if not step.tells:
        return ""
    return f"It tells of {listed([cause_phrase(c) for c in step.tells])}."


def _stop(step: PlannedSetUp) -> str:
    share = round(100 * step.share)
    if share >= 100:
        return ""
    return f"You may stop here: {share} % of what this plan can tell is told."


def _table(step: PlannedSetUp) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """What is told and what is left blank, reading by reading."""
    rows = step.set_up.run.readings
    asked: list[tuple[str, Callable[[Reading], str], bool]] = [
        ("told, mm", lambda r: f"{r.target_mm:g}", True),
        ("coming", lambda r: r.approach or "", step.set_up.kind.moves),
        ("mass, kg", lambda r: f"{r.mass_kg:g}", any(r.mass_kg for r in rows)),
        ("force, N", lambda r: f"{r.force_n or 0:g}", any(r.force_n for r in rows)),
        ("time, s", lambda r: f"{r.time_s or 0:g}", any(r.time_s for r in rows)),
    ]
    used = [(head, cell) for head, cell, there in asked if there]
    table = tuple((str(i + 1), *(cell(r) for _, cell in used), "") for i, r in enumerate(rows))
    return ("no.", *(head for head, _ in used), "read, mm"), table


def smallest_effect_mm(machine: Machine) -> tuple[float, float]:
    """The smallest loss that a mean of five readings each way tells (95 %), and the smallest
    that a single reading judges (mm).

    Example:
        >>> from plumbrise.machine import blank
        >>> [round(mm, 3) for mm in smallest_effect_mm(blank("one-screw"))]
        [0.004, 0.05]
    """
    resolution = float(known(machine, "gauge.resolution_mm").value)
    sigma = first_level(resolution).sigma_mm
    return 2.0 * sqrt(2.0 / MEANS) * sigma, JUDGED * resolution


def looks(plan: Plan, symptoms: Sequence[str] = ()) -> tuple[Look, ...]:
    """What to do with eyes and hands first: for causes that readings of this plan tell little of,
    and for those that the symptoms point at."""
    from plumbrise.explain.symptoms import SYMPTOMS

    pointed = {c for one in symptoms for c in SYMPTOMS[one].causes}
    return looks_for(frozenset(plan.unseen) | frozenset(pointed))


def plan_text(machine: Machine, plan: Plan, symptoms: Sequence[str] = ()) -> str:
    """The whole plan as text."""
    name = f"{plain_line(machine.name)}: " if machine.name else ""
    mean, single = smallest_effect_mm(machine)
    resolution = float(known(machine, "gauge.resolution_mm").value)
    lines = [f"{name}{summary(plan)}"]
    lines += folded(
        f"A gauge of {resolution:g} mm tells a loss of {mean:.3f} mm from means of five readings "
        f"each way; a single reading judges {single:g} mm."
    )
    first = looks(plan, symptoms)
    if first:
        more = minutes_words(sum(look.minutes for look in first))
        lines += ["", f"First, without the gauge ({more} more)"]
        for look in first:
            lines += _indented(f"{look.title} ({minutes_words(look.minutes)}). {look.words}")
    for step in plan_steps(plan):
        lines += ["", f"{step.number}. {step.title}, {step.minutes}, {len(step.rows)} readings"]
        for words in (step.where, step.moves, f"Watch: {lowered(step.watch)}", step.why):
            lines += _indented(words)
        for words in (step.tells, step.stop):
            lines += _indented(words)
    if plan.unseen:
        lines.append("")
        lines += folded(
            f"This plan says little of {listed([cause_phrase(c) for c in plan.unseen])}."
        )
    lines.append("")
    named = "; ".join(lowered(hazard.title) for hazard in MEASURING)
    lines += folded(f"Mind: {named}. {DEFER}")
    return "\n".join(lines)


def summary(plan: Plan) -> str:
    """The plan in one sentence."""
    if not plan.steps:
        return "No set-up fits in this time. Give it more minutes, or a gauge with a longer stroke."
    moved = len({s.set_up.station.id for s in plan.steps})
    stands = "one place" if moved == 1 else f"{moved} places"
    share = round(100 * plan.gain_bits / max(plan.doubt_bits, 1e-9))
    count = sum(len(s.set_up.run.readings) for s in plan.steps)
    what = f"{len(plan.steps)} set-ups at {stands} in {minutes_words(plan.minutes)}"
    gain = f"they are expected to take away {share} % of the doubt over the causes"
    return f"{what}, {count} readings; {gain}."


def _indented(words: str) -> list[str]:
    return [f"   {line}" for line in folded(words)] if words else []
