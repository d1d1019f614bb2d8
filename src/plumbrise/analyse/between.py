"""What takes two runs: the far side behind the driven one, right less left, the loop's width."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import hypot, inf, sqrt

import numpy as np

from plumbrise.analyse.budget import (
    GaugeDoubt,
    cannot,
    figure,
    gauge_doubt,
    scatter_part,
)
from plumbrise.analyse.lines import fit
from plumbrise.analyse.results import (
    BetweenRuns,
    CannotTell,
    CrossCheck,
    Figure,
    Oddity,
    Part,
    RunAnalysis,
)
from plumbrise.analyse.standing import loop_width_mm
from plumbrise.analyse.used import load_n, used
from plumbrise.quantity import Measured, Unit, student_factor
from plumbrise.readings import Scale
from plumbrise.readings.kinds import DEAD_WEIGHT, KINDS, STEP_KINDS, Kind

NOT_SAID_WHY = (
    "Whether something beside drag takes the rest, or drag is greater on the move than at rest, "
    "these two tests do not say."
)
MOVING = tuple(kind for kind in KINDS.values() if kind.moves and kind.id != "repeat-home")


def between_runs(runs: tuple[RunAnalysis, ...], scale: Scale) -> tuple[BetweenRuns, ...]:
    """All figures that take two runs of the same test."""
    return (*_far_side_lags(runs, scale), *_side_differences(runs, scale))


def _ends(runs: tuple[RunAnalysis, ...], kind: Kind) -> dict[str, dict[str, RunAnalysis]]:
    """Runs of one kind by family of stations ("gantry") and side; the first of each."""
    found: dict[str, dict[str, RunAnalysis]] = {}
    for one in runs:
        station = one.run.station
        if one.run.kind is not kind or station.side is None or not one.run.follows_command:
            continue
        family = station.id.removesuffix(f"-{station.side}")
        found.setdefault(family, {}).setdefault(station.side, one)
    return found


def _far_side_lags(runs: tuple[RunAnalysis, ...], scale: Scale) -> Iterator[BetweenRuns]:
    if scale.screw_side is None:
        return
    far_side = "right" if scale.screw_side == "left" else "left"
    for kind in MOVING:
        sides = _ends(runs, kind).get("gantry", {})
        driven, far = sides.get(scale.screw_side), sides.get(far_side)
        if driven is None and far is None:
            continue
        if driven is None or far is None:
            if kind not in STEP_KINDS:
                continue
            there = driven or far
            assert there is not None
            missing = far_side if far is None else scale.screw_side
            why = f"both ends of the gantry are wanted, the {missing} one was not read."
            need = f"Do the same {kind.title.lower()} test with the gauge at the {missing} end."
            yield BetweenRuns((there.run.name,), cannot("far_side_lag", why, need, kind.id))
            continue
        yield BetweenRuns((driven.run.name, far.run.name), _lag(driven, far, kind))


def _lag(driven: RunAnalysis, far: RunAnalysis, kind: Kind) -> Figure | CannotTell:
    near_loss, far_loss = driven.figure("lost_motion"), far.figure("lost_motion")
    if near_loss is None or far_loss is None:
        which = driven if near_loss is None else far
        why = f"run {which.run.name} gives no lost motion."
        return cannot("far_side_lag", why, "Mend or repeat that run.", kind.id)
    parts = [
        replace(part, words=f"{part.words}, {one.run.station.side} end")
        for one, found in ((driven, near_loss), (far, far_loss))
        for part in found.budget
    ]
    return figure(
        "far_side_lag",
        far_loss.value.value - near_loss.value.value,
        parts,
        detail=kind.id,
        at_least=far_loss.at_least or near_loss.at_least,
    )


def _side_differences(runs: tuple[RunAnalysis, ...], scale: Scale) -> Iterator[BetweenRuns]:
    for kind in MOVING:
        for family, sides in _ends(runs, kind).items():
            for one, other in (("right", "left"), ("back", "left")):
                if one not in sides or other not in sides:
                    continue
                names = (sides[one].run.name, sides[other].run.name)
                tail = "" if one == "right" else f", {one} less {other}"
                head = "" if family in ("gantry", "bed") else f"{family}, "
                for found in _difference(sides[one], sides[other], scale):
                    detail = f"{head}{found.detail}, {kind.id}{tail}"
                    yield BetweenRuns(names, replace(found, detail=detail))


def _difference(
    one: RunAnalysis, other: RunAnalysis, scale: Scale
) -> Iterator[Figure | CannotTell]:
    """Mean of one less other over the common heights, from each run's own zero, and its change
    over the heights read and from up to down."""
    first, second = _levels(one), _levels(other)
    common = sorted(set(first) & set(second))
    if len(common) < 2:
        why = f"2 heights read at both sides are wanted, {len(common)} there."
        yield cannot("side_difference", why, "Read the same heights at both sides.", "mean")
        return
    height = np.array([place for place, _ in common])
    down = np.array([way == "down" for _, way in common])
    gap = np.array([first[key] - second[key] for key in common])
    span = float(np.ptp(height))
    gauge = gauge_doubt(scale, span)
    columns = [np.ones(len(gap))]
    names = ["mean"]
    if span > 0 and len(np.unique(height)) > 1:
        columns.append((height - height.mean()) / span)
        names.append("change with height")
    both_ways = 1 < down.sum() < len(down) - 1
    if both_ways:
        columns.append(down - down.mean())
        names.append("change with direction")
    found = fit(columns, gap)
    sd = found.sd if found.dof > 0 else inf
    for name, value, u in zip(names, found.coefficients, found.u, strict=True):
        yield _difference_figure(name, value, u, sd, found.dof, span, gauge)
    if not both_ways:
        why = "the common heights were read in one direction."
        need = "Read the same heights upward and downward at both sides."
        yield cannot("side_difference", why, need, "change with direction")


def _difference_figure(
    name: str, value: float, u: float, sd: float, dof: int, span: float, gauge: GaugeDoubt
) -> Figure | CannotTell:
    if dof < 1:
        why = "more common heights are wanted to see the scatter."
        return cannot("side_difference", why, "Read more heights at both sides.", name)
    scatter = scatter_part("scatter from height to height", u, dof)
    rounding = [] if sd >= 0.5 * gauge.resolution_mm else [gauge.resolution(sqrt(2))]
    place = gauge.place(span)
    twice = Part(place.words, sqrt(2) * place.u, inf, "B")
    if name == "change with direction":
        return figure("side_difference", value, [scatter, *rounding, gauge.retrace()], detail=name)
    zeros = [scatter_part("first readings, the zeros", sd, dof)] if name == "mean" else []
    return figure(
        "side_difference",
        value,
        [scatter, *zeros, *rounding, twice, gauge.stand()],
        detail=name,
    )


def _levels(one: RunAnalysis) -> dict[tuple[float, str], float]:
    data = used(one.run, one.mended_mm)
    levels: dict[tuple[float, str], list[float]] = {}
    for told, lag, up in zip(data.told, data.lag, data.up, strict=True):
        levels.setdefault((round(float(told), 4), "up" if up else "down"), []).append(-float(lag))
    return {key: sum(values) / len(values) for key, values in levels.items()}


def cross_checks(runs: tuple[RunAnalysis, ...]) -> tuple[CrossCheck, ...]:
    """The loop's width against twice drag times compliance, station by station.

    Drag follows from the loop that loading and unloading at rest leaves: half its width over the
    compliance. Both then meet in 2 · drag · compliance.
    """
    found: list[CrossCheck] = []
    for loaded in runs:
        if loaded.run.kind is not DEAD_WEIGHT:
            continue
        lost = [
            (one, figure)
            for one in runs
            if one.run.station is loaded.run.station and one.run.follows_command
            if (figure := one.figure("lost_motion")) is not None and not figure.at_least
        ]
        loop = _loop(loaded)
        if loop is not None:
            found += [_check(one, figure, loaded, *loop) for one, figure in lost]
        elif lost:
            found.append(_no_loop(loaded, lost))
    return tuple(found)


def _loop(loaded: RunAnalysis) -> tuple[Figure, tuple[float, float, float]] | None:
    """The slope of dead weights and the loop they left: its width, its uncertainty and degrees
    of freedom; None where there is no loop to tell from scatter."""
    slope = loaded.figure("compliance") or loaded.figure("compliance", "loading")
    data = used(loaded.run, loaded.mended_mm)
    load = np.array([load_n(loaded.run.readings[i]) for i in data.index])
    loop = loop_width_mm(load, data.lag) if data.n > 4 else None
    if slope is None or loop is None or loop[0] <= student_factor(loop[2]) * loop[1]:
        return None
    return slope, loop


def _no_loop(loaded: RunAnalysis, lost: list[tuple[RunAnalysis, Figure]]) -> CrossCheck:
    """That drag is not known, once for all runs whose loss it would have been held against."""
    names = ", ".join(one.run.name for one, _ in lost)
    words = (
        f"{loaded.run.station.seen}: hanging masses on and off left no loop, so drag is not known "
        f"and the loss of {'run' if len(lost) == 1 else 'runs'} {names} cannot be checked against "
        "it. Heavier masses would tell."
    )
    return CrossCheck(words, lost[0][1].value if len(lost) == 1 else None, None, None)


def _check(
    one: RunAnalysis,
    lost: Figure,
    loaded: RunAnalysis,
    slope: Figure,
    loop: tuple[float, float, float],
) -> CrossCheck:
    place = one.run.station.seen
    data = used(loaded.run, loaded.mended_mm)
    load = np.array([load_n(loaded.run.readings[i]) for i in data.index])
    width, u, dof = loop
    gauge = next((p.u for p in slope.budget if p.kind == "B"), 0.0)
    expected = Measured(width, hypot(u, gauge * float(np.ptp(load)) / 2), Unit.MM, dof)
    dof = min(lost.value.dof, expected.dof)
    apart = Measured(
        abs(lost.value.value - expected.value), hypot(lost.value.u, expected.u), Unit.MM, dof
    )
    agrees = apart.value <= apart.expanded
    drag = Measured(width / (2 * slope.value.value), 0.0, Unit.N) if slope.value.value else None
    newton = f" (drag about {drag.value:.2g} N)" if drag is not None else ""
    verdict = "they agree." if agrees else f"they stand {apart} apart. {NOT_SAID_WHY}"
    words = (
        f"{place}: run {one.run.name} loses {lost.value}, twice drag times compliance gives "
        f"{expected}{newton}; {verdict}"
    )
    return CrossCheck(words, lost.value, expected, agrees)


def disagreements(runs: tuple[RunAnalysis, ...]) -> tuple[Oddity, ...]:
    """Two runs of one test at one station that differ by more than their uncertainty."""
    found = []
    for i, one in enumerate(runs):
        for other in runs[i + 1 :]:
            same = one.run.station is other.run.station and one.run.kind is other.run.kind
            a, b = one.figure("lost_motion"), other.figure("lost_motion")
            if not same or a is None or b is None or a.at_least or b.at_least:
                continue
            apart = a.value.value - b.value.value
            both = hypot(a.value.u, b.value.u)
            if abs(apart) > student_factor(min(a.value.dof, b.value.dof), 0.99) * both:
                words = (
                    f"Runs {one.run.name} and {other.run.name} are the same test at one station "
                    f"and lose {a.value} and {b.value}: more apart than their uncertainty. "
                    "Something changed between them."
                )
                found.append(Oddity("disagreement", words, size_mm=apart))
    return tuple(found)
