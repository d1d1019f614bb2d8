"""Whether two sessions were read with the same gauge, and to its own steps."""

from __future__ import annotations

from collections.abc import Iterator

from plumbrise.machine import known
from plumbrise.prove.results import Stage, Unfair
from plumbrise.readings.kinds import GAUGE_CHECK

BY_CHANCE = 1e-4
"""Readings are taken to be rounded where exact ones would look so less often than this."""


def of_gauge(before: Stage, after: Stage) -> Iterator[Unfair]:
    """What differs of the gauge itself: its steps, and its scale where it was tried on a block."""
    was, now = (
        float(known(stage.machine, "gauge.resolution_mm").value) for stage in (before, after)
    )
    if was != now:
        yield Unfair(
            "gauge",
            f"{was:g} mm steps",
            f"{now:g} mm steps",
            "The gauge is another one: its steps count in both uncertainties, its own errors may "
            "differ by about a step.",
            max(was, now),
        )
    one, two = _gauge_scale(before), _gauge_scale(after)
    if one is None and two is None:
        return
    if one is None or two is None:
        said = ("tried on a block", "not tried")
        was_said, now_said = said if one is not None else said[::-1]
        words = "The gauge was tried on a solid block once only."
        yield Unfair("gauge scale", was_said, now_said, words, None)
        return
    scale = abs(one[0] - two[0])
    if scale > one[1] + two[1]:
        words = "The gauge, tried on a block, has another scale: it adds a share of what it reads."
        effect = round(scale * longest_way_mm(before, after), 4)
        yield Unfair("gauge scale", f"{one[0]:+.4f}", f"{two[0]:+.4f}", words, effect)


def of_rounding(before: Stage, after: Stage) -> Iterator[Unfair]:
    """Readings in coarser steps than the gauge has: what is between them was not written down."""
    was, now = step_read_mm(before), step_read_mm(after)
    if was is None and now is None:
        return
    words = "The readings are in coarser steps than the gauge has."
    first, second = ("as the gauge" if mm is None else f"{mm:g} mm steps" for mm in (was, now))
    yield Unfair("rounding", first, second, words, max(mm for mm in (was, now) if mm is not None))


def step_read_mm(stage: Stage) -> float | None:
    """The step to which the readings of a session were rounded; None where they are in the
    gauge's own, or too few to tell."""
    fine = float(known(stage.machine, "gauge.resolution_mm").value)
    read = [
        round(r.reading_mm / fine)
        for run in stage.readings.runs
        for r in run.taken
        if r.reading_mm and abs(r.reading_mm / fine - round(r.reading_mm / fine)) < 1e-3
    ]
    for steps in (100, 50, 20, 10, 5, 2):
        if all(mm % steps == 0 for mm in read) and steps ** -len(read) < BY_CHANCE:
            return steps * fine
    return None


def longest_way_mm(*stages: Stage) -> float:
    """The longest way that the gauge went in one run, wherever it was zeroed."""
    read = [
        [r.reading_mm for r in run.taken if r.reading_mm is not None]
        for stage in stages
        for run in stage.readings.runs
    ]
    return max((max(mm) - min(mm) for mm in read if mm), default=0.0)


def _gauge_scale(stage: Stage) -> tuple[float, float] | None:
    """Scale error of the gauge on a block, and its give or take."""
    for one in stage.analysis.runs:
        figure = one.figure("scale_error") if one.run.kind is GAUGE_CHECK else None
        if figure is not None:
            return figure.value.value, figure.value.expanded
    return None
