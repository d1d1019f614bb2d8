"""A plan in sentences: what to do at the machine, in which order, and where one may stop."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from math import sqrt

from plumbrise.cautions import DEFER, MEASURING, Hazard
from plumbrise.explain.noise import first_level
from plumbrise.explain.plan import Plan, PlannedSetUp
from plumbrise.machine import Machine, Station, known
from plumbrise.measure.home_guess import home_guess
from plumbrise.measure.motion_path import commands_moves
from plumbrise.measure.mounting import Look, doing_of, looks_for, mounting
from plumbrise.measure.pairs import Pairs, pairs_of
from plumbrise.measure.session import Session
from plumbrise.measure.setups import kinds_too_long
from plumbrise.measure.stroke import how_set_by_plan, stroke_of
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import GAUGE_CHECK, Kind
from plumbrise.report.amounts import minutes_words
from plumbrise.report.layout import folded, plain_line
from plumbrise.report.names import (
    as_sentence,
    cause_phrase,
    counted,
    listed,
    lowered,
    with_places,
)
from plumbrise.report.plan_names import run_title

ENOUGH = 0.6
"""Share of what the plan tells from which stopping leaves a useful answer."""
MEANS = 5
"""How many readings a mean is taken of, for the smallest effect that is told."""
FIRST, WITH_GAUGE = "First, without the gauge", "Besides, where the gauge stands"
"""Over what is looked at by eye and hand."""
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


def plan_steps(
    plan: Plan, machine: Machine | None = None, *, gauges: int = 1
) -> tuple[PlanStep, ...]:
    """The set-ups of a plan, in the order in which they are done.

    Args:
        plan: what is to be done.
        machine: the axis; with it each step says how the plunger is set.
        gauges: how many read at once; with two each step says what is read with it.
    """
    runs = [step.set_up.run for step in plan.steps]
    pairs = pairs_of(Session(tuple(runs))) if gauges > 1 else {}
    out = []
    guesses = ["" if machine is None else home_guess(machine, run) for run in runs]
    enough = next((i for i, s in enumerate(plan.steps) if s.share >= ENOUGH), None)
    for place, step in enumerate(plan.steps):
        run = step.set_up.run
        doing = doing_of(run)
        where = [
            _together(place, pairs),
            _where(run, _stands(runs[:place], gauges)),
            how_set_by_plan(machine, run) if machine is not None else "",
            guesses[place] if not any(guesses[:place]) else "",
        ]
        out.append(
            PlanStep(
                place + 1,
                run_title(run),
                minutes_words(step.minutes),
                " ".join(words for words in where if words),
                doing.moves,
                doing.watch,
                as_sentence(with_places(step.why)),
                _tells(step),
                _stop(step) if enough is not None and place >= enough else "",
                doing.hazards,
                *_table(step),
            )
        )
    return tuple(out)


def _together(place: int, pairs: Pairs) -> str:
    other = pairs.get(place)
    if other is None:
        return ""
    if other > place:
        return (
            f"Read together with set-up {other + 1}, a gauge at each: the axis moves once for both."
        )
    return f"The second gauge, read together with set-up {other + 1}: nothing moves again."


def _stands(before: Sequence[Run], gauges: int) -> list[Station]:
    """Where the gauges stand after these set-ups."""
    return list(dict.fromkeys(run.station for run in reversed(before)))[:gauges]


def _where(run: Run, stands: Collection[Station]) -> str:
    """Where the gauge goes. It is set anew for each set-up: where the stand is there already, at
    the height at which the axis waits for it."""
    if run.station not in stands:
        return mounting(run.station)
    if not commands_moves(run):
        return "The gauge stays where it is."
    height = run.readings[0].target_mm
    return f"The stand stays. The axis waits at {height:g} mm: set the gauge anew there."


def _tells(step: PlannedSetUp) -> str:
    if not step.tells:
        return ""
    return f"It tells of {listed([cause_phrase(c) for c in step.tells])}."


def _stop(step: PlannedSetUp) -> str:
    share = round(100 * step.share)
    if share >= 100:
        return ""
    return f"You may stop here: {share} % of what this plan can tell is told."


def _told_head(kind: Kind) -> str:
    """What a row's height is: on the block it is the leaf under the plunger."""
    return "leaf, mm" if kind is GAUGE_CHECK else "told, mm"


def _table(step: PlannedSetUp) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """What is told and what is left blank, reading by reading."""
    rows = step.set_up.run.readings
    asked: list[tuple[str, Callable[[Reading], str], bool]] = [
        (_told_head(step.set_up.kind), lambda r: f"{r.target_mm:g}", True),
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


def looks(machine: Machine, plan: Plan, symptoms: Sequence[str] = ()) -> tuple[Look, ...]:
    """What to do with eyes and hands first on this machine: for causes that readings of this plan
    tell little of, and for those that the symptoms point at."""
    from plumbrise.explain.symptoms import SYMPTOMS

    pointed = {c for one in symptoms for c in SYMPTOMS[one].causes}
    return looks_for(machine.arrangement, frozenset(plan.unseen) | frozenset(pointed))


def stroke_words(machine: Machine, plan: Plan) -> str:
    """What the gauge's stroke leaves out of a plan or needs blocks for, and where the stroke
    comes from."""
    stroke = stroke_of(machine)
    planned = {step.set_up.kind for step in plan.steps}
    long = kinds_too_long(machine)
    short = [lowered(kind.title) for kind in long if kind not in planned]
    left = (
        f"{as_sentence(listed(short)).removesuffix('.')} would need more, and can be in it only "
        "where there are blocks of known thickness to lay under the tip."
    )
    laid = [lowered(kind.title) for kind in long if kind in planned]
    if laid:
        words = f"For {listed(laid)} there must be blocks of known thickness to lay under the tip."
        left = f"{words} {left}" if short else words
        short = short or laid
    if stroke.assumed:
        said = (
            f"How far the gauge's plunger goes is not given: {stroke.value:g} mm is taken, as a "
            "common dial has it, until its stroke is given."
        )
        return f"{said} {left}" if short else said
    return f"The gauge's stroke is {stroke.value:g} mm. {left}" if short else ""


def plan_text(
    machine: Machine, plan: Plan, symptoms: Sequence[str] = (), *, gauges: int = 1
) -> str:
    """The whole plan as text."""
    name = f"{plain_line(machine.name)}: " if machine.name else ""
    mean, single = smallest_effect_mm(machine)
    resolution = float(known(machine, "gauge.resolution_mm").value)
    lines = folded(f"{name}{summary(plan)}")
    lines += folded(
        f"A gauge of {resolution:g} mm tells a loss of {mean:.3f} mm from means of five readings "
        f"each way; a single reading judges {single:g} mm."
    )
    lines += folded(stroke_words(machine, plan))
    wanted = looks(machine, plan, symptoms)
    lines += _look_lines(FIRST, [look for look in wanted if not look.with_gauge])
    for step in plan_steps(plan, machine, gauges=gauges):
        lines += ["", f"{step.number}. {step.title}, {step.minutes}, {len(step.rows)} readings"]
        for words in (step.where, step.moves, f"Watch: {lowered(step.watch)}", step.why):
            lines += _indented(words)
        for words in (step.tells, step.stop):
            lines += _indented(words)
    lines += _look_lines(WITH_GAUGE, [look for look in wanted if look.with_gauge])
    if plan.unseen:
        lines.append("")
        lines += folded(
            f"This plan says little of {listed([cause_phrase(c) for c in plan.unseen])}."
        )
    lines.append("")
    named = "; ".join(lowered(hazard.title) for hazard in MEASURING)
    lines += folded(f"Mind: {named}. {DEFER}")
    return "\n".join(lines)


def _look_lines(head: str, wanted: Sequence[Look]) -> list[str]:
    if not wanted:
        return []
    lines = ["", f"{head} ({minutes_words(sum(look.minutes for look in wanted))} more)"]
    for look in wanted:
        lines += _indented(f"{look.title} ({minutes_words(look.minutes)}). {look.words}")
    return lines


def summary(plan: Plan) -> str:
    """The plan in one sentence."""
    if not plan.steps:
        return "No set-up fits in this time. Give it more minutes, or a gauge with a longer stroke."
    moved = len({s.set_up.station.id for s in plan.steps})
    stands = "one place" if moved == 1 else f"{moved} places"
    share = round(100 * plan.gain_bits / max(plan.doubt_bits, 1e-9))
    count = sum(len(s.set_up.run.readings) for s in plan.steps)
    what = f"{counted(len(plan.steps), 'set-up')} at {stands} in {minutes_words(plan.minutes)}"
    gain = f"they are expected to take away {share} % of the doubt over the causes"
    return f"{what}, {count} readings; {gain}."


def _indented(words: str) -> list[str]:
    return [f"   {line}" for line in folded(words)] if words else []
