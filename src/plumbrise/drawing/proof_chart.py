"""What was lost before and what is lost after, on one scale: the chart that tells the story."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plumbrise.drawing import svg
from plumbrise.drawing.chart import ticks
from plumbrise.drawing.figures import Span, in_a_line
from plumbrise.drawing.letters import text_width, wrapped
from plumbrise.drawing.tokens import DASHES, NAME_PX, SMALL_PX, THIN_PX, Line, Theme, theme_named

ROW_PX, LINE_PX = 38.0, 16.0
TOP_PX, FOOT_PX, SIDE_PX = 30.0, 62.0, 8.0
NARROW_PX = 520
MARK_PX, BOX_PX = 5.5, 16.0
LEAST_MM = 0.02


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A length before and after with 95 % intervals. `said` is the verdict, `foretold` what was
    promised."""

    name: str
    before: Span
    after: Span
    said: str
    foretold: Span | None = None


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the scale begins and ends, px, and how far it goes, mm."""

    left: float
    right: float
    most: float
    narrow: bool
    foot: float

    def x(self, mm: float) -> float:
        return self.left + min(max(mm, 0.0), self.most) / self.most * (self.right - self.left)


def proof_chart(
    rows: Sequence[ChangeRow],
    *,
    target_mm: float | None = None,
    theme: str = "light",
    width_px: int = 700,
    prefix: str = "proof-chart-",
) -> str:
    """A row for each figure: hollow before, filled after, dashed what was foretold, an arrow
    where a change was shown, and the verdict in words.

    Args:
        rows: lengths, the most telling first.
        target_mm: the most that may be left; None draws no line.
        theme: light, dark or print.
        width_px: of the sheet; the height follows. Names stand above their rows where it is
            narrow.
        prefix: begins every id.
    """
    colours, narrow = theme_named(theme), width_px < NARROW_PX
    height = TOP_PX + len(rows) * _row_px(narrow) + FOOT_PX
    names = max((text_width(row.name, NAME_PX) for row in rows), default=0.0)
    left = SIDE_PX if narrow else SIDE_PX + min(names, 0.4 * width_px) + 16
    highs = [max(r.before.high, r.after.high, r.foretold.high if r.foretold else 0) for r in rows]
    most = 1.04 * max([*highs, target_mm or 0.0, LEAST_MM])
    frame = _Frame(left, width_px - SIDE_PX - 8, most, narrow, height - FOOT_PX)
    made = [_scale(frame, target_mm, colours)]
    made += [_row(row, TOP_PX + i * _row_px(narrow), frame, colours) for i, row in enumerate(rows)]
    made.append(_key(frame, any(row.foretold for row in rows), colours))
    return svg.sheet(
        made,
        width_px=width_px,
        height_px=height,
        prefix=prefix,
        title="Before and after",
        description=" ".join(_spoken(row) for row in rows),
        background=colours.sheet,
    )


def _row_px(narrow: bool) -> float:
    return ROW_PX + (LINE_PX + 4 if narrow else 0)


def _spoken(row: ChangeRow) -> str:
    return f"{row.name}: {in_a_line(row.before)} before, {in_a_line(row.after)} after: {row.said}."


def _scale(frame: _Frame, target_mm: float | None, theme: Theme) -> str:
    made, taken = [], -1e9
    for mm in ticks(0.0, frame.most):
        if mm > frame.most:
            continue
        x, words = frame.x(mm), f"{mm:g}"
        made.append(svg.line(x, TOP_PX - 6, x, frame.foot, stroke=theme.hair, stroke_width=THIN_PX))
        half = text_width(words, SMALL_PX) / 2
        if x - half > taken + 6:
            where = frame.foot + 16
            made.append(svg.text(words, x, where, SMALL_PX, fill=theme.soft, anchor="middle"))
            taken = x + half
    end = frame.foot + 32
    made.append(svg.text("mm", frame.right, end, SMALL_PX, fill=theme.soft, anchor="end"))
    made.append(
        svg.line(frame.left, TOP_PX - 6, frame.left, frame.foot, stroke=theme.ink, stroke_width=1.2)
    )
    if target_mm is not None:
        x, words = frame.x(target_mm), f"target {target_mm:g} mm"
        half = text_width(words, SMALL_PX) / 2
        middle = min(max(x, frame.left + half), frame.right - half)
        made += [
            svg.line(x, TOP_PX - 8, x, frame.foot, stroke=theme.lost, stroke_width=1.4),
            svg.text(words, middle, TOP_PX - 14, SMALL_PX, fill=theme.lost, anchor="middle"),
        ]
    return "".join(made)


def _row(row: ChangeRow, top: float, frame: _Frame, theme: Theme) -> str:
    middle = top + _row_px(frame.narrow) - ROW_PX / 2 - 4
    made = [_name(row, top, middle, frame, theme)]
    if row.foretold is not None:
        low, high = frame.x(row.foretold.low), frame.x(row.foretold.high)
        made.append(
            svg.rect(
                low,
                middle - BOX_PX / 2,
                max(high, low + 3),
                middle + BOX_PX / 2,
                fill="none",
                stroke=theme.ink,
                stroke_width=1.1,
                stroke_dasharray=DASHES[Line.COMPUTED],
            )
        )
    made.append(_arrow(row, middle, frame, theme))
    made.append(_mark(row.before, middle, frame, theme.ink, theme.sheet))
    made.append(_mark(row.after, middle, frame, theme.meas, theme.meas))
    return svg.group(made, role="img", aria_label=_spoken(row))


def _name(row: ChangeRow, top: float, middle: float, frame: _Frame, theme: Theme) -> str:
    if frame.narrow:
        where = top + LINE_PX
        said = svg.text(row.said, frame.right, where, SMALL_PX, fill=theme.soft, anchor="end")
        end = SIDE_PX + text_width(row.name, SMALL_PX, bold=True) + 3
        clear = svg.rect(SIDE_PX - 2, where - SMALL_PX, end, where + 4, fill=theme.sheet)
        name = svg.text(row.name, SIDE_PX, where, SMALL_PX, fill=theme.ink, bold=True)
        return clear + name + said
    lines = wrapped(row.name, NAME_PX, frame.left - SIDE_PX - 12)
    name = svg.text(lines[0], frame.left - 12, middle - 1, NAME_PX, fill=theme.ink, anchor="end")
    where = middle + 14
    return name + svg.text(
        row.said, frame.left - 12, where, SMALL_PX, fill=theme.soft, anchor="end"
    )


def _arrow(row: ChangeRow, middle: float, frame: _Frame, theme: Theme) -> str:
    """From the whisker before to the one after, where there is room between them."""
    if row.after.value < row.before.value:
        begin, end, way = frame.x(row.before.low) - 4, frame.x(row.after.high) + 6, 1
    else:
        begin, end, way = frame.x(row.before.high) + 4, frame.x(row.after.low) - 6, -1
    if (begin - end) * way < 16:
        return ""
    head = [
        ((end + way * 7, middle - 4), (end, middle)),
        ((end + way * 7, middle + 4), (end, middle)),
    ]
    return svg.strokes([((begin, middle), (end, middle)), *head], stroke=theme.soft, stroke_width=1)


def _mark(span: Span, middle: float, frame: _Frame, stroke: str, fill: str) -> str:
    low, high = frame.x(span.low), frame.x(span.high)
    return svg.line(low, middle, high, middle, stroke=stroke, stroke_width=1.8) + svg.circle(
        frame.x(span.value), middle, MARK_PX, fill=fill, stroke=stroke, stroke_width=1.6
    )


def _key(frame: _Frame, foretold: bool, theme: Theme) -> str:
    x, y = SIDE_PX + 6, frame.foot + 48
    made = []
    for words, stroke, fill in (
        ("before", theme.ink, theme.sheet),
        ("after", theme.meas, theme.meas),
    ):
        made.append(svg.circle(x, y - 4, MARK_PX, fill=fill, stroke=stroke, stroke_width=1.6))
        made.append(svg.text(words, x + 12, y, SMALL_PX, fill=theme.soft))
        x += 12 + text_width(words, SMALL_PX) + 22
    if foretold:
        dashes = DASHES[Line.COMPUTED]
        made.append(
            svg.rect(
                x, y - 12, x + 24, y + 3, fill="none", stroke=theme.ink, stroke_dasharray=dashes
            )
        )
        made.append(svg.text("foretold", x + 32, y, SMALL_PX, fill=theme.soft))
    return "".join(made)
