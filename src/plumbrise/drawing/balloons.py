"""Numbered balloons on the drawing and the ledger they stand for, where rows would crowd."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plumbrise.drawing import svg
from plumbrise.drawing.labels import Labels
from plumbrise.drawing.ledger import LedgerRow
from plumbrise.drawing.letters import Box, text_width, wrapped
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.tokens import DASHES, Line, ramp_step

RADIUS_PX = 11.0
LEDGER_ROW_PX = 28.0
LEDGER_LINE_PX = 17.0
NUMBER_PX = 13.0
TEXT_PX = 13.5
SWATCH_PX = 26.0


@dataclass(frozen=True, slots=True)
class Target:
    """What a balloon points at: its ledger number and the point on the part. `column` is the x
    of the column of balloons that it stands in; None puts it where it points."""

    number: int
    x: float
    y: float
    column: float | None = None


def placed(targets: Sequence[Target], figure: Box) -> dict[int, tuple[float, float]]:
    """A place for each balloon: in its column, in the order of what they point at and never on
    each other, or where it points."""
    spots: dict[int, tuple[float, float]] = {}
    step = 2 * RADIUS_PX + 4
    for x in sorted({t.column for t in targets if t.column is not None}):
        column = sorted((t for t in targets if t.column == x), key=lambda t: (t.y, t.number))
        y = figure.top + RADIUS_PX
        ys: list[float] = []
        for target in column:
            y = max(y, target.y)
            ys.append(y)
            y += step
        limit = figure.bottom - RADIUS_PX
        for i in reversed(range(len(ys))):
            ys[i] = min(ys[i], limit)
            limit = ys[i] - step
        for target, at in zip(column, ys, strict=True):
            spots[target.number] = (x, at)
    return spots | {t.number: (t.x, t.y) for t in targets if t.column is None}


def reserved(
    targets: Sequence[Target], spots: dict[int, tuple[float, float]], labels: Labels
) -> None:
    """Keep labels off the rings and their leaders."""
    for target in targets:
        x, y = spots[target.number]
        labels.reserve(Box(x, y, x, y).grown(RADIUS_PX))
        labels.rule((x, y), (target.x, target.y))


def drawn(targets: Sequence[Target], spots: dict[int, tuple[float, float]], pen: Pen) -> str:
    """Leaders first, then balloons over them."""
    ink = pen.theme.ink
    leaders, rings = [], []
    for target in targets:
        x, y = spots[target.number]
        if abs(x - target.x) + abs(y - target.y) > RADIUS_PX:
            leaders.append(
                svg.line(x, y, target.x, target.y, stroke=ink, stroke_width=0.8)
                + svg.circle(target.x, target.y, 1.8, fill=ink)
            )
        rings.append(ring(target.number, x, y, pen))
    return svg.group((*leaders, *rings), data_part="balloons")


def ring(number: int, x: float, y: float, pen: Pen) -> str:
    """A number in a ring."""
    return svg.circle(
        x, y, RADIUS_PX, fill=pen.theme.sheet, stroke=pen.theme.ink, stroke_width=1.3
    ) + svg.text(str(number), x, y + 4.6, NUMBER_PX, fill=pen.theme.ink, anchor="middle", bold=True)


def ledger_height(rows: Sequence[LedgerRow], width_px: float) -> float:
    """How tall the ledger is at this width, px."""
    name_px = _names_px(rows, width_px)
    return sum(_row_height(row, name_px) for row in rows) + 6


def _row_height(row: LedgerRow, name_px: float) -> float:
    return LEDGER_ROW_PX + LEDGER_LINE_PX * (len(wrapped(row.written, TEXT_PX, name_px)) - 1)


def _values_px(rows: Sequence[LedgerRow]) -> float:
    return max((text_width(row.value, TEXT_PX, bold=True) for row in rows), default=0.0)


def _names_px(rows: Sequence[LedgerRow], width_px: float) -> float:
    """What is left for names beside number, colour and value; longer ones take more lines."""
    return width_px - 2 * RADIUS_PX - 18 - _values_px(rows) - SWATCH_PX


def ledger_drawn(
    rows: Sequence[LedgerRow],
    pen: Pen,
    *,
    left: float,
    right: float,
    top: float,
    links: dict[str, tuple[str, ...]],
    interactive: bool,
) -> str:
    """Number, name, bar in the colour of the loss, value with give or take, a hairline each."""
    made = []
    theme = pen.theme
    name_px, values_px = _names_px(rows, right - left), _values_px(rows)
    y = top
    for row in rows:
        middle = y + LEDGER_ROW_PX / 2
        name_left = left + 2 * RADIUS_PX + 10
        is_link = row.key in links
        pressed = pen.marking.pressed in links.get(row.key, ())
        low = y + _row_height(row, name_px)
        inside = [
            svg.rect(left, y, right, low, fill=theme.sel) if pressed else "",
            svg.line(left, y, right, y, stroke=theme.hair, stroke_width=1),
            ring(row.number, left + RADIUS_PX + 1, middle, pen),
            *(
                svg.text(
                    words,
                    name_left,
                    middle + 4.8 + i * LEDGER_LINE_PX,
                    TEXT_PX,
                    fill=theme.ink,
                    bold=pressed,
                )
                for i, words in enumerate(wrapped(row.written, TEXT_PX, name_px))
            ),
            svg.text(
                row.value, right, middle + 4.8, TEXT_PX, fill=theme.ink, anchor="end", bold=True
            ),
        ]
        if is_link:
            inside.append(_swatch(row, right - values_px - 28, middle, pen))
        made.append(
            svg.group(
                inside,
                data_row=row.key,
                data_known=row.line.value,
                **svg.spoken_link(row.spoken, links.get(row.key, ()), interactive),
            )
        )
        y = low
    return "".join(made)


def _swatch(row: LedgerRow, x: float, middle: float, pen: Pen) -> str:
    step = ramp_step(row.span.value)
    fill = {
        Line.MEASURED: pen.theme.ramp[step],
        Line.SHARED: f"url(#{pen.prefix}stripe{step})",
        Line.COMPUTED: pen.theme.wash,
        Line.ASSUMED: "none",
    }[row.line]
    return svg.group(
        [
            svg.rect(
                x,
                middle - 6,
                x + 12,
                middle + 6,
                fill=fill,
                stroke=pen.theme.ink,
                stroke_width=0.8,
                stroke_dasharray=DASHES[row.line],
            )
        ],
        data_bar=row.key,
    )
