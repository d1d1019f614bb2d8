"""What each end of the moving part loses now, and would lose after a set of changes."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.drawing import svg
from plumbrise.drawing.chart import ticks
from plumbrise.drawing.figures import Span, loss_in_a_line, span_of
from plumbrise.drawing.letters import text_width
from plumbrise.drawing.tokens import DASHES, NAME_PX, SMALL_PX, THIN_PX, Line, Theme, theme_named
from plumbrise.redesign import LOST_MOTION, Choice, Target

ROW_PX, BAR_PX, GAP_PX = 24.0, 13.0, 10.0
TOP_PX, BOTTOM_PX, SIDE_PX = 30.0, 40.0, 10.0
NOW, THEN = "now", "then"


@dataclass(frozen=True, slots=True)
class Pair:
    """One end, as it is and as it would be."""

    end: str
    now: Span
    then: Span


def pairs(choice: Choice) -> tuple[Pair, ...]:
    """The ends that a prediction of lost motion tells of, both before and after."""
    return tuple(
        Pair(station.rsplit("-", 1)[-1], span_of(one.before[station]), span_of(then))
        for one in choice.predictions
        if one.figure.id == LOST_MOTION.id
        for station, then in one.after.items()
        if station in one.before
    )


def before_after(
    choice: Choice,
    target: Target | None,
    *,
    theme: str = "light",
    width_px: int = 700,
    prefix: str = "before-after-",
) -> str:
    """Two bars for each end with their intervals, and the target for lost motion if there is one.

    Args:
        choice: the set of changes.
        target: the most that may be lost; None draws no line.
        theme: light, dark or print.
        width_px: of the sheet; the height follows.
        prefix: begins every id.
    """
    colours, found = theme_named(theme), pairs(choice)
    height = TOP_PX + len(found) * (2 * ROW_PX + GAP_PX) + BOTTOM_PX
    frame = _framed(found, target, float(width_px), height)
    made = [_axis(frame, target, colours)]
    for i, pair in enumerate(found):
        made.append(_rows(pair, TOP_PX + i * (2 * ROW_PX + GAP_PX), frame, colours))
    said = [f"{p.end}: now {loss_in_a_line(p.now)}, then {loss_in_a_line(p.then)}." for p in found]
    if target is not None:
        said.append(f"Target: {target.limit:g} mm.")
    return svg.sheet(
        made,
        width_px=width_px,
        height_px=height,
        prefix=prefix,
        title="Lost motion at each end, now and after the changes",
        description=" ".join(said),
        background=colours.sheet,
    )


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the bars begin and end, px, how far the axis of losses goes, mm, and its foot."""

    left: float
    right: float
    sheet: float
    most: float
    foot: float

    def x(self, mm: float) -> float:
        return self.left + min(max(mm, 0.0), self.most) / self.most * (self.right - self.left)


def _framed(found: tuple[Pair, ...], target: Target | None, width: float, height: float) -> _Frame:
    names = max((text_width(p.end, NAME_PX, bold=True) for p in found), default=0.0)
    values = [loss_in_a_line(span) for p in found for span in (p.now, p.then)]
    value = max((text_width(v, SMALL_PX, bold=True) for v in values), default=0.0)
    highs = [max(p.now.high, p.then.high) for p in found]
    highs += [target.limit] if target is not None else []
    left = SIDE_PX + names + 12 + text_width(THEN, SMALL_PX) + 10
    most = 1.02 * max([*highs, 0.01])
    return _Frame(left, width - SIDE_PX - value - 14, width - SIDE_PX, most, height - BOTTOM_PX)


def _axis(frame: _Frame, target: Target | None, theme: Theme) -> str:
    made, taken = [], -1e9
    for mm in ticks(0.0, frame.most):
        if mm > frame.most:
            continue
        x, words = frame.x(mm), f"{mm:g}"
        made.append(svg.line(x, TOP_PX - 4, x, frame.foot, stroke=theme.hair, stroke_width=THIN_PX))
        half = text_width(words, SMALL_PX) / 2
        if x - half > taken + 6:
            made.append(
                svg.text(words, x, frame.foot + 16, SMALL_PX, fill=theme.soft, anchor="middle")
            )
            taken = x + half
    made.append(
        svg.text("lost, mm", frame.right, frame.foot + 33, SMALL_PX, fill=theme.soft, anchor="end")
    )
    if target is not None:
        x, words = frame.x(target.limit), f"target {target.limit:g} mm"
        half = text_width(words, SMALL_PX) / 2
        middle = min(max(x, SIDE_PX + half), frame.sheet - half)
        made += [
            svg.line(x, TOP_PX - 8, x, frame.foot, stroke=theme.lost, stroke_width=1.2),
            svg.text(words, middle, TOP_PX - 13, SMALL_PX, fill=theme.lost, anchor="middle"),
        ]
    return "".join(made)


def _rows(pair: Pair, top: float, frame: _Frame, theme: Theme) -> str:
    made = [
        svg.text(pair.end, SIDE_PX, top + ROW_PX - 7, NAME_PX, fill=theme.ink, bold=True),
        _bar(NOW, pair.now, top, frame, theme),
        _bar(THEN, pair.then, top + ROW_PX, frame, theme),
        svg.line(
            frame.left, top, frame.left, top + 2 * ROW_PX, stroke=theme.rule, stroke_width=0.9
        ),
    ]
    return svg.group(made, data_end=pair.end)


def _bar(name: str, span: Span, top: float, frame: _Frame, theme: Theme) -> str:
    """Now hollow in a solid line; then filled, dashed, since it is computed."""
    computed = name == THEN
    middle = top + ROW_PX / 2
    low, high = frame.x(span.low), frame.x(span.high)
    ends = [((x, middle - 4), (x, middle + 4)) for x in (low, high)]
    made = [
        svg.text(name, frame.left - 8, middle + 4, SMALL_PX, fill=theme.soft, anchor="end"),
        svg.rect(
            frame.left,
            middle - BAR_PX / 2,
            max(frame.x(span.value), frame.left + 1),
            middle + BAR_PX / 2,
            fill=theme.wash if computed else theme.sheet,
            stroke=theme.ink,
            stroke_width=1.2,
            stroke_dasharray=DASHES[Line.COMPUTED] if computed else None,
        ),
        svg.strokes([((low, middle), (high, middle)), *ends], stroke=theme.ink, stroke_width=1.2),
        svg.text(
            loss_in_a_line(span),
            frame.sheet,
            middle + 4,
            SMALL_PX,
            fill=theme.ink,
            anchor="end",
            bold=computed,
        ),
    ]
    return svg.group(made, data_bar=f"{name}")
