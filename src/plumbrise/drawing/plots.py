"""Charts: a run's readings as what is lost, told beside computed, a frame for every kind."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, floor, log10

from plumbrise.analyse.results import Analysis, RunAnalysis
from plumbrise.drawing import svg
from plumbrise.drawing.letters import Box, text_box, text_width
from plumbrise.drawing.tokens import DASHES, SMALL_PX, Line, Theme, theme_named
from plumbrise.explain.results import Explanation, RunFit
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

LEFT_PX, RIGHT_PX, TOP_PX, BOTTOM_PX = 62.0, 18.0, 34.0, 44.0
TICK_PX = 12.5
MARK_PX = 3.4
MOST_GRID_LINES = 4
"""Between the lowest and the highest tick; the axis itself is drawn apart."""
GRAVITY_N_PER_KG = 9.80665


@dataclass(frozen=True, slots=True)
class Point:
    """A measured point; `u` is half of its 95 % whisker, `shape` disc, square, diamond or cross,
    `hollow` a mark of the second branch."""

    x: float
    y: float
    u: float = 0.0
    shape: str = "disc"
    hollow: bool = False


@dataclass(frozen=True, slots=True)
class Curve:
    """A line through points; `computed` dashed. `band` is half the width of a grey band."""

    points: tuple[tuple[float, float], ...]
    computed: bool = False
    band: tuple[float, ...] = ()
    soft: bool = False


@dataclass(frozen=True, slots=True)
class Plot:
    """What one chart shows. Axis names carry their unit; `names` label ends of branches."""

    title: str
    x_name: str
    y_name: str
    points: tuple[Point, ...] = ()
    curves: tuple[Curve, ...] = ()
    level: float | None = None
    level_name: str = ""
    key: tuple[tuple[str, Point], ...] = field(default=())


# --- what each kind shows -------------------------------------------------------------------------


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
    for target in analysis.targets:
        for mean, sd, branch, hollow in (
            (target.mean_up_mm, target.sd_up_mm, up, False),
            (target.mean_down_mm, target.sd_down_mm, down, True),
        ):
            if mean is None:
                continue
            branch.append((target.target_mm, mean))
            points.append(Point(target.target_mm, mean, 2 * (sd or 0.0), hollow=hollow))
    curves = tuple(Curve(tuple(branch), soft=True) for branch in (up, down) if len(branch) > 1)
    key = (("up", Point(0, 0)), ("down", Point(0, 0, hollow=True)))
    return Plot(
        "Mean of reading less told, with twice its spread",
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
        force = pull if run.kind is SIDE_PUSH else reading.mass_kg * GRAVITY_N_PER_KG - pull
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


# --- drawing --------------------------------------------------------------------------------------


def drawn(plot: Plot, theme: Theme, width_px: int, prefix: str) -> str:
    """A plot as SVG that stands alone: thin axes, few grid lines, marks over curves."""
    height_px = round(min(300.0, 0.5 * width_px + 80))
    frame = Box(LEFT_PX, TOP_PX, width_px - RIGHT_PX, height_px - BOTTOM_PX)
    xs = [p.x for p in plot.points] + [x for c in plot.curves for x, _ in c.points]
    ys = [y for p in plot.points for y in (p.y - p.u, p.y + p.u)]
    ys += [y for c in plot.curves for _, y in c.points]
    ys += [0.0, *([plot.level] if plot.level is not None else [])]
    if not plot.points and not plot.curves:
        body = svg.text("Nothing to plot yet", LEFT_PX, height_px / 2, 14, fill=theme.soft)
        return _sheet([body], plot, theme, width_px, height_px, prefix)
    x_ticks, y_ticks = ticks(min(xs), max(xs)), ticks(min(ys), max(ys))
    x_range = (min(min(xs), x_ticks[0]), max(max(xs), x_ticks[-1]))
    y_range = (min(min(ys), y_ticks[0]), max(max(ys), y_ticks[-1]))

    def px(x: float, y: float) -> tuple[float, float]:
        across = (x - x_range[0]) / (x_range[1] - x_range[0])
        up = (y - y_range[0]) / (y_range[1] - y_range[0])
        return (
            frame.left + 8 + across * (frame.right - frame.left - 16),
            frame.bottom - 6 - up * (frame.bottom - frame.top - 12),
        )

    made = [_axes(plot, theme, frame, x_ticks, y_ticks, px)]
    made += [_curve(curve, theme, frame, px) for curve in plot.curves]
    if plot.level is not None:
        made.append(_level(plot, theme, frame, px(x_range[0], plot.level)[1]))
    made += [_mark(point, px, theme) for point in plot.points]
    made.append(_key(plot, theme, frame))
    return _sheet(made, plot, theme, width_px, height_px, prefix)


def _sheet(
    made: Sequence[str], plot: Plot, theme: Theme, width: int, height: int, prefix: str
) -> str:
    words = f"{len(plot.points)} points, {plot.y_name} over {plot.x_name}."
    if plot.level_name:
        words += f" Marked: {plot.level_name}."
    return svg.sheet(
        made,
        width_px=width,
        height_px=height,
        prefix=prefix,
        title=plot.title,
        description=words,
        background=theme.sheet,
    )


def ticks(low: float, high: float) -> tuple[float, ...]:
    """Two to five round values over a stretch.

    Example:
        >>> ticks(0.0, 0.37)
        (0.0, 0.1, 0.2, 0.3)
    """
    if high - low < 1e-9:
        low, high = low - 0.005, high + 0.005
    raw = (high - low) / MOST_GRID_LINES
    power = 10.0 ** floor(log10(raw))
    step = next(f * power for f in (1, 2, 2.5, 5, 10) if f * power >= raw * (1 + 1e-9))
    first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    return tuple(round(i * step, 9) + 0.0 for i in range(first, max(last, first + 1) + 1))


PixelOf = Callable[[float, float], tuple[float, float]]


def _axes(
    plot: Plot,
    theme: Theme,
    frame: Box,
    x_ticks: Sequence[float],
    y_ticks: Sequence[float],
    px: PixelOf,
) -> str:
    made = []
    for y in y_ticks:
        at = px(x_ticks[0], y)[1]
        made += [
            svg.line(frame.left, at, frame.right, at, stroke=theme.hair, stroke_width=0.8),
            svg.text(f"{y:g}", frame.left - 7, at + 4, TICK_PX, fill=theme.soft, anchor="end"),
        ]
    taken = -1e9
    name_left = frame.right - text_width(plot.x_name, SMALL_PX)
    for x in x_ticks:
        at = px(x, y_ticks[0])[0]
        made.append(
            svg.line(at, frame.bottom, at, frame.bottom + 4, stroke=theme.rule, stroke_width=0.8)
        )
        box = text_box(f"{x:g}", at, frame.bottom + 17, TICK_PX, anchor="middle")
        if box.left > taken + 6:
            made.append(
                svg.text(f"{x:g}", at, frame.bottom + 17, TICK_PX, fill=theme.soft, anchor="middle")
            )
            taken = box.right
    made += [
        svg.line(
            frame.left, frame.bottom, frame.right, frame.bottom, stroke=theme.rule, stroke_width=0.9
        ),
        svg.line(
            frame.left, frame.top, frame.left, frame.bottom, stroke=theme.rule, stroke_width=0.9
        ),
        svg.text(plot.x_name, name_left, frame.bottom + 36, SMALL_PX, fill=theme.soft),
        svg.text(plot.y_name, 8, frame.top - 14, SMALL_PX, fill=theme.soft),
    ]
    return "".join(made)


def _curve(curve: Curve, theme: Theme, frame: Box, px: PixelOf) -> str:
    made = []
    if curve.band:
        high = [px(x, y + b) for (x, y), b in zip(curve.points, curve.band, strict=True)]
        low = [px(x, y - b) for (x, y), b in zip(curve.points, curve.band, strict=True)]
        if all(b[0] <= a[0] for b, a in pairwise(high)):
            edge = [(x, min(max(y, frame.top), frame.bottom)) for x, y in [*high, *reversed(low)]]
            made.append(svg.path(edge, closed=True, fill=theme.ink, fill_opacity=0.08))
    if len(curve.points) > 1:
        made.append(
            svg.path(
                [px(x, y) for x, y in curve.points],
                fill="none",
                stroke=theme.soft if curve.soft else theme.ink,
                stroke_width=0.9 if curve.soft else 1.3,
                stroke_dasharray=DASHES[Line.COMPUTED] if curve.computed else None,
            )
        )
    return "".join(made)


def _level(plot: Plot, theme: Theme, frame: Box, y: float) -> str:
    """A marked value: a line over the frame, its words above the frame, off all points."""
    line = svg.line(frame.left, y, frame.right, y, stroke=theme.lost, stroke_width=1)
    words = svg.text(
        plot.level_name, frame.right, frame.top - 14, SMALL_PX, fill=theme.lost, anchor="end"
    )
    return line + words


def _mark(point: Point, px: PixelOf, theme: Theme) -> str:
    x, y = px(point.x, point.y)
    whisker = ""
    if point.u > 0:
        low, high = px(point.x, point.y - point.u)[1], px(point.x, point.y + point.u)[1]
        if low - high > 2 * MARK_PX + 2:
            whisker = svg.line(x, low, x, high, stroke=theme.meas, stroke_width=1.2)
    return whisker + _mark_at(point, x, y, theme)


def _mark_at(point: Point, x: float, y: float, theme: Theme) -> str:
    fill = theme.sheet if point.hollow else theme.meas
    if point.shape == "square":
        return svg.rect(x - 3, y - 3, x + 3, y + 3, fill=fill, stroke=theme.meas, stroke_width=1.3)
    if point.shape == "diamond":
        d = 4.4
        corners = ((x - d, y), (x, y - d), (x + d, y), (x, y + d))
        return svg.path(corners, closed=True, fill=fill, stroke=theme.meas, stroke_width=1.3)
    if point.shape == "cross":
        d = 3.2
        arms = [((x - d, y - d), (x + d, y + d)), ((x - d, y + d), (x + d, y - d))]
        return svg.strokes(arms, stroke=theme.meas, stroke_width=1.3)
    return svg.circle(x, y, MARK_PX, fill=fill, stroke=theme.meas, stroke_width=1.3)


def _key(plot: Plot, theme: Theme, frame: Box) -> str:
    """What the marks mean: above the frame, or under it where a marked value stands above."""
    base = frame.top - 14 if not plot.level_name else frame.bottom + 36
    wide = sum(text_width(words, SMALL_PX) + 30 for words, _ in plot.key)
    x = frame.right - wide if not plot.level_name else frame.left
    made = []
    for words, point in plot.key:
        made.append(_mark_at(point, x + 13, base - 4, theme))
        made.append(svg.text(words, x + 22, base, SMALL_PX, fill=theme.soft))
        x += text_width(words, SMALL_PX) + 30
    return "".join(made)
