"""Charts of runs: what each kind of test shows, side against side, and what is left over."""

from __future__ import annotations

from collections.abc import Callable

from plumbrise.analyse.results import Analysis, RunAnalysis
from plumbrise.drawing.chart import Curve, Plot, Point, drawn
from plumbrise.drawing.tokens import theme_named
from plumbrise.explain.results import Explanation, RunFit
from plumbrise.quantity import GRAVITY_M_PER_S2
from plumbrise.readings import Run
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
    Kind,
)


def _behind(analysis: RunAnalysis) -> list[tuple[int, float, float]]:
    """(reading, told, how far behind) of readings that count, from the first one on."""
    run = analysis.run
    first: tuple[float, float] | None = None
    found = []
    for i, (reading, value) in enumerate(zip(run.readings, analysis.mended_mm, strict=True)):
        if value is None:
            continue
        if first is None:
            first = reading.target_mm, value
        told = reading.target_mm - first[0] if _counts_told(run) else 0.0
        found.append((i, reading.target_mm, told - (value - first[1])))
    return found


def _counts_told(run: Run) -> bool:
    """True where the reading holds what was told, or the thickness of the leaf under the tip."""
    return run.follows_command or run.kind is GAUGE_CHECK


def _odd(analysis: RunAnalysis) -> set[int]:
    return {i for oddity in analysis.oddities if oddity.set_aside for i in oddity.readings}


def _computed(analysis: RunAnalysis, fit: RunFit | None) -> Curve | None:
    """How far behind the axis model has the run, laid on the readings by their mean."""
    if fit is None or len(fit.readings) < 2:
        return None
    run, behind = analysis.run, {i: b for i, _, b in _behind(analysis)}
    targets = [run.readings[i].target_mm for i in fit.readings]
    follows = _counts_told(run)
    raw = [(t if follows else 0.0) - c for t, c in zip(targets, fit.computed_mm, strict=True)]
    both = [(behind[i], r) for i, r in zip(fit.readings, raw, strict=True) if i in behind]
    if not both:
        return None
    shift = sum(b - r for b, r in both) / len(both)
    points = tuple((t, r + shift) for t, r in zip(targets, raw, strict=True))
    return Curve(points, computed=True, band=tuple(2 * s for s in fit.scatter_mm))


def _set_aside(analysis: RunAnalysis) -> list[Point]:
    """Crosses where a reading was set aside, held at the edge of what the others show."""
    run, behind = analysis.run, _behind(analysis)
    if not behind:
        return []
    values = [b for _, _, b in behind]
    low, high = min(*values, 0.0), max(*values, 0.0)
    first = behind[0][0]
    start, zero = run.readings[first].target_mm, analysis.mended_mm[first] or 0.0
    shift = zero - (run.readings[first].reading_mm or 0.0)
    crosses = []
    for i in sorted(_odd(analysis)):
        reading = run.readings[i]
        if reading.reading_mm is None:
            continue
        told = reading.target_mm - start if _counts_told(run) else 0.0
        off = told - (reading.reading_mm + shift - zero)
        crosses.append(Point(reading.target_mm, min(max(off, low), high), shape="cross"))
    return crosses


def _behind_plot(analysis: RunAnalysis, fit: RunFit | None, title: str) -> Plot:
    odd, run = _odd(analysis), analysis.run
    climbs = run.kind in (FINE_STEPS, COARSE_STEPS)
    points = [
        Point(told, behind, hollow=run.readings[i].approach == "down" and not (climbs and i == 0))
        for i, told, behind in _behind(analysis)
        if i not in odd
    ]
    points += _set_aside(analysis)
    curve = _computed(analysis, fit)
    both_ways = len({run.readings[i].approach for i, _, _ in _behind(analysis)}) > 1
    key: tuple[tuple[str, Point], ...] = ()
    if both_ways and not climbs:
        key = (("up", Point(0, 0)), ("down", Point(0, 0, hollow=True)))
    if any(point.shape == "cross" for point in points):
        key = (*key, ("set aside", Point(0, 0, shape="cross")))
    shown = (curve,) if curve else ()
    return Plot(title, "told, mm", "behind, mm", tuple(points), shown, key=key)


def _steps(analysis: RunAnalysis, fit: RunFit | None) -> Plot:
    plot = _behind_plot(analysis, fit, "How far behind the told height")
    lost = analysis.figure("lost_motion")
    if lost is None:
        return plot
    words = "at least lost" if lost.at_least else "lost motion"
    return Plot(
        plot.title,
        plot.x_name,
        plot.y_name,
        plot.points,
        plot.curves,
        lost.value.value,
        f"{words} {lost.value}",
        plot.key,
    )


def _loop(analysis: RunAnalysis, fit: RunFit | None) -> Plot:
    return _behind_plot(analysis, fit, "How far behind, up and down")


def _positioning(analysis: RunAnalysis, _fit: RunFit | None) -> Plot:
    up: list[tuple[float, float]] = []
    down: list[tuple[float, float]] = []
    points: list[Point] = []
    bands: dict[bool, list[float]] = {False: [], True: []}
    for target in analysis.targets:
        for mean, sd, branch, hollow in (
            (target.mean_up_mm, target.sd_up_mm, up, False),
            (target.mean_down_mm, target.sd_down_mm, down, True),
        ):
            if mean is None:
                continue
            branch.append((target.target_mm, mean))
            bands[hollow].append(2 * (sd or 0.0))
            points.append(Point(target.target_mm, mean, 2 * (sd or 0.0), hollow=hollow))
    curves = tuple(
        Curve(tuple(branch), band=tuple(bands[hollow]), soft=True)
        for branch, hollow in ((up, False), (down, True))
        if len(branch) > 1
    )
    key = (("up", Point(0, 0)), ("down", Point(0, 0, hollow=True)))
    return Plot(
        "Mean of reading less told; whisker and band are twice its spread",
        "told, mm",
        "off, mm",
        tuple(points),
        curves,
        key=key,
    )


def _by_order(analysis: RunAnalysis, _fit: RunFit | None) -> Plot:
    run = analysis.run
    timed = all(reading.time_s is not None for reading in run.taken) and run.kind is not REPEAT_HOME
    behind = _behind(analysis)
    start = run.readings[behind[0][0]].time_s or 0.0 if behind else 0.0
    points = tuple(
        Point(((run.readings[i].time_s or 0.0) - start) / 60 if timed else i + 1, -b)
        for i, _, b in behind
    )
    return Plot(
        "Readings one after the other",
        "time, min" if timed else "reading",
        "moved, mm",
        points,
    )


def _by_force(analysis: RunAnalysis, _fit: RunFit | None) -> Plot:
    run = analysis.run
    points: list[Point] = []
    for i, value in enumerate(analysis.mended_mm):
        if value is None:
            continue
        reading = run.readings[i]
        pull = reading.force_n or 0.0
        force = pull if run.kind is SIDE_PUSH else reading.mass_kg * GRAVITY_M_PER_S2 - pull
        before = points[-1].x if points else 0.0
        points.append(Point(force, value, hollow=force < before))
    first = points[0].y if points else 0.0
    moved = tuple(Point(p.x, p.y - first, hollow=p.hollow) for p in points)
    key = (("more", Point(0, 0)), ("less", Point(0, 0, hollow=True)))
    way = Curve(tuple((p.x, p.y) for p in moved), soft=True)
    ways = (way,) if moved else ()
    return Plot("Movement under load", "load, N", "moved, mm", moved, ways, key=key)


def _torque(analysis: RunAnalysis, _fit: RunFit | None) -> Plot:
    points = tuple(
        Point(reading.target_mm, reading.torque_nmm)
        for reading in analysis.run.readings
        if reading.torque_nmm is not None
    )
    return Plot("Torque to turn the screw by hand", "height, mm", "torque, N·mm", points)


PLOTS: dict[Kind, Callable[[RunAnalysis, RunFit | None], Plot]] = {
    FINE_STEPS: _steps,
    COARSE_STEPS: _steps,
    REVERSAL: _loop,
    FULL_TRAVEL: _positioning,
    ONE_TURN: lambda a, f: _behind_plot(a, f, "How far behind over the turns"),
    REPEAT_HOME: _by_order,
    DEAD_WEIGHT: _by_force,
    HOLD: _by_order,
    WARM_UP: _by_order,
    SIDE_PUSH: _by_force,
    HAND_TURN: _torque,
    GAUGE_CHECK: lambda a, f: _behind_plot(a, f, "How far the gauge is short of the leaf"),
}
"""Kind -> its chart."""


def chart_for(
    run: RunAnalysis,
    fit: RunFit | None,
    *,
    theme: str = "light",
    width_px: int = 700,
    prefix: str = "chart-",
) -> str:
    """The chart of one run by its kind, with the axis model's curve where there is a fit.

    Raises:
        KeyError: no such theme.
    """
    return drawn(PLOTS[run.run.kind](run, fit), theme_named(theme), width_px, prefix)


def sides_chart(
    analysis: Analysis, *, theme: str = "light", width_px: int = 700, prefix: str = "sides-"
) -> str:
    """Side against side: how far each end is behind over the told height, staircases only."""
    points: list[Point] = []
    key: list[tuple[str, Point]] = []
    for side, shape in (("left", "disc"), ("right", "square"), ("back", "diamond")):
        run = next(
            (
                r
                for kind in (COARSE_STEPS, FINE_STEPS)
                for r in analysis.runs
                if r.run.kind is kind and r.run.station.id in (f"gantry-{side}", f"bed-{side}")
            ),
            None,
        )
        if run is None:
            continue
        odd = _odd(run)
        points += [Point(t, b, shape=shape) for i, t, b in _behind(run) if i not in odd]
        key.append((side, Point(0, 0, shape=shape)))
    plot = Plot(
        "How far behind, side against side",
        "told, mm",
        "behind, mm",
        tuple(points),
        key=tuple(key),
    )
    return drawn(plot, theme_named(theme), width_px, prefix)


def residual_strip(
    explanation: Explanation,
    *,
    theme: str = "light",
    width_px: int = 700,
    prefix: str = "rest-",
) -> str:
    """What is left over at every reading, on a grey band of twice the reading scatter; upright
    lines part the runs."""
    points, band, at = [], [], 0
    starts = []
    for fit in explanation.fits:
        starts.append(at + 0.5)
        for read, computed, scatter, weight in zip(
            fit.read_mm, fit.computed_mm, fit.scatter_mm, fit.weight, strict=True
        ):
            at += 1
            band.append((float(at), 2 * scatter))
            shape = "disc" if weight >= 0.5 else "cross"
            points.append(Point(at, read - computed, shape=shape))
    inside = [p for p in points if p.shape == "disc"]
    top = max((abs(p.y) for p in inside), default=0.01) * 1.15
    kept = tuple(Point(p.x, min(max(p.y, -top), top), shape=p.shape) for p in points)
    zero = Curve(tuple((x, 0.0) for x, _ in band), band=tuple(b for _, b in band), soft=True)
    parts = [Curve(((x, -top), (x, top)), soft=True) for x in starts[1:]]
    curves = (zero, *parts) if band else ()
    plot = Plot("What is left over", "reading", "left over, mm", kept, curves)
    return drawn(plot, theme_named(theme), width_px, prefix)
