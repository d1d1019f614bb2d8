"""The verb of this room: from a session of readings to its figures, doubts and oddities."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from plumbrise.analyse.between import between_runs, cross_checks, disagreements
from plumbrise.analyse.beyond_told import beyond_told
from plumbrise.analyse.budget import GaugeDoubt, cannot, gauge_doubt
from plumbrise.analyse.full_travel import deviations, full_travel, target_table
from plumbrise.analyse.lines import line_doubts
from plumbrise.analyse.mending import mend
from plumbrise.analyse.one_turn import returning_errors
from plumbrise.analyse.proportion import agreed, out_of_proportion
from plumbrise.analyse.results import Analysis, CannotTell, Figure, Oddity, RunAnalysis
from plumbrise.analyse.reversals import reversal
from plumbrise.analyse.slips import FEWEST_TO_TELL, Mended
from plumbrise.analyse.staircase import settled_part, staircase
from plumbrise.analyse.standing import branches, compliance, drift, gauge_check, home
from plumbrise.analyse.used import Used, load_n, used
from plumbrise.readings import Readings, Run, Scale
from plumbrise.readings.kinds import (
    COARSE_STEPS,
    DEAD_WEIGHT,
    FINE_STEPS,
    FULL_TRAVEL,
    GAUGE_CHECK,
    HAND_TURN,
    HOLD,
    ONE_TURN,
    REPEAT_HOME,
    REVERSAL,
    SIDE_PUSH,
    WARM_UP,
)

RESOLVED = 5.0
"""A loss should be this many display steps (resolution at most a fifth of what is judged)."""


def analyse(readings: Readings, scale: Scale) -> Analysis:
    """What a session says by itself, without a model of the machine.

    Args:
        readings: the runs of a session.
        scale: lead, full step, gauge resolution and side of the only screw; what needs a lead
            that is not known is "cannot tell yet".

    Returns:
        Per run the figures of its kind with their budgets, what cannot be told and what would
        tell it, and what is odd; then what takes two runs.

    Source:
        Uncertainty by the GUM (JCGM 100:2008); full travel by ISO 230-2.
    """
    runs = agreed(tuple(analyse_run(run, scale) for run in readings.runs))
    few = [
        f"Run {one.run.name}: with {len(one.run.taken)} readings one odd reading cannot be told."
        for one in runs
        if one.run.kind is not HAND_TURN and 0 < len(one.run.taken) < FEWEST_TO_TELL
    ]
    return Analysis(
        runs,
        between_runs(runs, scale),
        cross_checks(runs),
        disagreements(runs),
        (*readings.remarks, *few),
    )


def analyse_run(run: Run, scale: Scale) -> RunAnalysis:
    """What one run says: looked through first, then its figures."""
    beyond = beyond_told(run)
    if beyond is not None:
        nothing = Mended([None] * len(run.readings), scale.resolution_mm, [beyond.oddity])
        return _worked_out(run, scale, nothing, "most of its readings are beyond what was told.")
    return _worked_out(run, scale, mend(run, scale), "no reading is there.")


def _worked_out(run: Run, scale: Scale, mended: Mended, why_none: str) -> RunAnalysis:
    """The figures of a run looked through, or why there are none."""
    data = used(run, mended.values)
    seen = replace(scale, resolution_mm=mended.resolution_mm)
    stroke = float(np.ptp(data.lag)) if data.n else 0.0
    if data.n and run.follows_command:
        stroke = float(np.ptp(data.told))
    job = _Job(run, seen, data, gauge_doubt(seen, stroke), mended)
    found: list[Figure | CannotTell] = []
    if data.n:
        for make in FIGURES[run.kind.id]:
            found += make(job)
    elif FIGURES[run.kind.id]:
        need = "Read the gauge at each row."
        found = [cannot(n, why_none, need) for n in NAMES[run.kind.id]]
    figures = tuple(item for item in found if isinstance(item, Figure))
    first = out_of_proportion(run, mended.values, scale.wrap_mm)
    coarse = () if first else _too_coarse(figures, mended)
    oddities = (*first, *mended.oddities, *_doubts(job), *coarse)
    passes = run.kind in (FULL_TRAVEL, REVERSAL) and data.n > 0
    return RunAnalysis(
        run,
        figures,
        tuple(item for item in found if isinstance(item, CannotTell)),
        oddities,
        target_table(deviations(data)) if passes else (),
        tuple(mended.values),
    )


@dataclass(frozen=True, slots=True)
class _Job:
    """One run on its way to figures."""

    run: Run
    scale: Scale
    data: Used
    gauge: GaugeDoubt
    mended: Mended


Made = list[Figure | CannotTell]


def _of_steps(job: _Job) -> Made:
    data = job.data
    rising = np.concatenate([[True], np.diff(data.told) > 0])
    if not rising.all():  # a way back down belongs to no staircase
        data = data.only(np.cumsum(~rising) == 0)
    told, lag = data.told - data.told[0], data.lag
    if job.run.axis != "up":
        return _sideways(job)
    found = staircase(told, lag, job.gauge, gains=job.run.follows_command)
    part = settled_part(told, told - lag, job.gauge.resolution_mm)
    if part is not None and job.run.follows_command:
        settled = slice(part.start, None)
        found += returning_errors(
            data.told[settled], -lag[settled], job.scale, job.gauge, ask=False
        )
    return found


def _of_reversal(job: _Job) -> Made:
    return reversal(job.data, job.gauge) if job.run.axis == "up" else _sideways(job)


def _sideways(job: _Job) -> Made:
    why = "the gauge was set sideways, and a loss is read upward."
    need = "Set the gauge upright and repeat the test."
    return [cannot(name, why, need) for name in NAMES[job.run.kind.id]]


def _of_full_travel(job: _Job) -> Made:
    transient = np.array([int(i) in job.mended.transient for i in job.data.index])
    return full_travel(job.data, job.gauge, transient)


def _of_one_turn(job: _Job) -> Made:
    data = job.data
    main = data.up if data.up.sum() >= data.n / 2 else ~data.up
    data = data.only(main)
    return returning_errors(data.told, -data.lag, job.scale, job.gauge, ask=True)


def _of_homes(job: _Job) -> Made:
    return home(-job.data.lag, job.gauge, job.mended.drift_mm)


def _of_time(job: _Job) -> Made:
    times = [job.run.readings[i].time_s for i in job.data.index]
    known = np.array([t for t in times if t is not None], dtype=float)
    return drift(-job.data.lag, known if len(known) == job.data.n else None, job.gauge)


def _loads(job: _Job) -> tuple[np.ndarray, np.ndarray]:
    rows = [job.run.readings[i] for i in job.data.index]
    if job.run.kind is SIDE_PUSH:
        return np.array([r.force_n or 0.0 for r in rows]), -job.data.lag
    return np.array([load_n(r) for r in rows]), job.data.lag


def _of_loads(job: _Job) -> Made:
    load, way = _loads(job)
    return compliance(load, way, job.gauge)


def _of_gauge(job: _Job) -> Made:
    return gauge_check(job.data.told, -job.data.lag, job.gauge)


FIGURES: dict[str, tuple[Callable[[_Job], Made], ...]] = {
    FINE_STEPS.id: (_of_steps,),
    COARSE_STEPS.id: (_of_steps,),
    REVERSAL.id: (_of_reversal,),
    FULL_TRAVEL.id: (_of_full_travel,),
    ONE_TURN.id: (_of_one_turn,),
    REPEAT_HOME.id: (_of_homes,),
    DEAD_WEIGHT.id: (_of_loads,),
    HOLD.id: (_of_time,),
    WARM_UP.id: (_of_time,),
    SIDE_PUSH.id: (_of_loads,),
    HAND_TURN.id: (),
    GAUGE_CHECK.id: (_of_gauge,),
}
"""What is made of each kind of test. A hand turn gives no figure by itself."""
NAMES = {
    FINE_STEPS.id: ("lost_motion", "take_up", "shortfall", "step_gain"),
    COARSE_STEPS.id: ("lost_motion", "take_up", "shortfall", "step_gain"),
    REVERSAL.id: ("lost_motion", "reversal_value"),
    FULL_TRAVEL.id: ("reversal_value", "repeatability", "accuracy", "mean_bidirectional"),
    ONE_TURN.id: ("once_per_turn", "full_step_pattern"),
    REPEAT_HOME.id: ("home_range", "home_sd"),
    DEAD_WEIGHT.id: ("compliance",),
    HOLD.id: ("drift",),
    WARM_UP.id: ("drift",),
    SIDE_PUSH.id: ("compliance",),
    HAND_TURN.id: (),
    GAUGE_CHECK.id: ("scale_error",),
}


def _doubts(job: _Job) -> tuple[Oddity, ...]:
    """Straight lines that are not straight, or that hang on one reading."""
    if job.run.kind not in (DEAD_WEIGHT, SIDE_PUSH) or not job.data.n:
        return ()
    load, way = _loads(job)
    found = []
    for words, chosen in zip(("loading", "unloading"), branches(load), strict=True):
        if len(chosen) < 4:
            continue
        doubt = line_doubts(load[chosen], way[chosen])
        bend = float(np.ptp(way[chosen]))
        if doubt.curved and bend > RESOLVED * job.gauge.resolution_mm:
            text = f"The line of {words} is curved: one slope does not say all of it."
            found.append(Oddity("curved", text))
        if doubt.decides is not None:
            at = int(job.data.index[chosen[doubt.decides]])
            text = f"The slope of {words} hangs on reading {at + 1} alone."
            found.append(Oddity("one-reading-decides", text, (at,)))
    return tuple(found)


def _too_coarse(figures: tuple[Figure, ...], mended: Mended) -> tuple[Oddity, ...]:
    lost = next((f for f in figures if f.name == "lost_motion" and not f.at_least), None)
    step = mended.resolution_mm
    if lost is None or abs(lost.value.value) >= RESOLVED * step:
        return ()
    words = (
        f"The loss is under five display steps of {step:g} mm: the gauge is too coarse to judge it."
    )
    return (Oddity("quantised", words, size_mm=step),)
