"""Numbered balloons on the drawing and the ledger they stand for, where rows would crowd."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plumbrise.drawing import svg
from plumbrise.drawing.ledger import LedgerRow
from plumbrise.drawing.letters import Box, shortened, text_width
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.tokens import DASHES, Line, ramp_step

RADIUS_PX = 11.0
LEDGER_ROW_PX = 28.0
NUMBER_PX = 13.0
TEXT_PX = 13.5
BAR_PX = 54.0


@dataclass(frozen=True, slots=True)
class Target:
    """What a balloon points at: its ledger number, the point on the part, and which edge of the
    figure its balloon should stand near (-1 left, +1 right, 0 above)."""

    number: int
    x: float
    y: float
    edge: int


def placed(targets: Sequence[Target], figure: Box) -> dict[int, tuple[float, float]]:
    """A place for each balloon: in columns at the left and right edge or a row at the top, in
    the order of what they point at, never on each other."""
    spots: dict[int, tuple[float, float]] = {}
    step = 2 * RADIUS_PX + 4
    for edge in (-1, 1):
        column = sorted((t for t in targets if t.edge == edge), key=lambda t: (t.y, t.number))
        x = figure.left + RADIUS_PX + 3 if edge < 0 else figure.right - RADIUS_PX - 3
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
    middle = sorted((t for t in targets if t.edge == 0), key=lambda t: t.x)
    for target in middle:
        spots[target.number] = (target.x, target.y)
    return spots


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


def ledger_height(rows: Sequence[LedgerRow]) -> float:
    """How tall the ledger is, px."""
    return LEDGER_ROW_PX * len(rows) + 6


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
    for i, row in enumerate(rows):
        y = top + i * LEDGER_ROW_PX
        middle = y + LEDGER_ROW_PX / 2
        value_width = text_width(row.value, TEXT_PX, bold=True)
        name_left = left + 2 * RADIUS_PX + 10
        bar_right = right - value_width - 8
        is_link = row.key in links
        name_right = bar_right - (26 if is_link else 0)
        name = shortened(row.name, TEXT_PX, name_right - name_left)
        inside = [
            svg.line(left, y, right, y, stroke=theme.hair, stroke_width=1),
            ring(row.number, left + RADIUS_PX + 1, middle, pen),
            svg.text(name, name_left, middle + 4.8, TEXT_PX, fill=theme.ink),
            svg.text(
                row.value, right, middle + 4.8, TEXT_PX, fill=theme.ink, anchor="end", bold=True
            ),
        ]
        if is_link:
            inside.append(_swatch(row, bar_right - 20, middle, pen))
        made.append(
            svg.group(
                inside,
                data_row=row.key,
                data_known=row.line.value,
                **svg.spoken_link(row.spoken, links.get(row.key, ()), interactive),
            )
        )
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
