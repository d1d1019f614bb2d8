"""One chart: marks and curves in a frame with thin axes, drawn anew for its width."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, floor, log10

from plumbrise.drawing import svg
from plumbrise.drawing.letters import Box, text_box, text_width
from plumbrise.drawing.tokens import DASHES, SMALL_PX, Line, Theme

LEFT_PX, RIGHT_PX, TOP_PX, BOTTOM_PX = 62.0, 18.0, 34.0, 44.0
TICK_PX = 12.5
MARK_PX = 3.4
MOST_GRID_LINES = 4
"""Between the lowest and the highest tick; the axis itself is drawn apart."""


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
    step = next(f * power for f in (1, 2, 2.5, 5, 10, 20) if f * power >= raw * (1 + 1e-9))
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
