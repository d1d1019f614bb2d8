"""The chain of dimensions beside a screw: what each link loses, from the motor to the gantry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from plumbrise.drawing import svg
from plumbrise.drawing.figures import value_and_doubt
from plumbrise.drawing.geometry import Elevation, ScrewPlace
from plumbrise.drawing.labels import Point
from plumbrise.drawing.ledger import key_of, spoken_row
from plumbrise.drawing.letters import Box, text_width, wrapped
from plumbrise.drawing.marking import Marking, Row
from plumbrise.drawing.parts.nut import BODY_MM, BRACKET_MM, FLANGE_MM
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.tokens import DASHES, DIMENSION_PX, NAME_PX, SMALL_PX, VALUE_PX, Line

ROW_PX = 36.0
LINE_PX = 17.0
COLUMN_PX = 200.0
"""Width of the column in which the rows of a chain are written."""
LEADER_PX = 14.0
"""Between the dimension line and the column, where leaders may kink."""
BAR_PX = 8.0
LONGEST_BAR_PX = 118.0


@dataclass(frozen=True, slots=True)
class Chain:
    """A chain as laid out: its screw, x of the dimension line, which way the rows lie (-1 left,
    +1 right), and each row with the middle of its label."""

    screw: ScrewPlace
    x: float
    outward: int
    rows: tuple[Row, ...]
    middles: tuple[float, ...]
    heights: tuple[float, ...]

    @property
    def near(self) -> float:
        """The edge of the column next to the dimension line."""
        return self.x + self.outward * LEADER_PX

    @property
    def far(self) -> float:
        """The outer edge of the column."""
        return self.near + self.outward * COLUMN_PX


def reach(row: Row, screw: ScrewPlace, plan: Elevation, pen: Pen) -> tuple[float, float]:
    """The two ends of a row on the sheet, px, lower end first: link boundaries on the screw."""
    ends = [link_reach(link, screw, plan, pen) for link in row.links]
    return max(low for low, _ in ends), min(high for _, high in ends)


def link_reach(link: str, screw: ScrewPlace, plan: Elevation, pen: Pen) -> tuple[float, float]:
    """The stretch of the load path that a link takes, px, lower end first."""
    view, drop = pen.view, pen.drop(screw.side)
    nut_low = view.y(screw.nut - FLANGE_MM - BODY_MM) + drop
    plate_low = view.y(screw.nut) + drop
    stretch = {
        "seat": (view.y(screw.foot), view.y(screw.shaft)),
        "coupling": (view.y(screw.shaft), view.y(screw.coupling_high)),
        "screw": (view.y(screw.coupling_high if screw.has_motor else screw.low), nut_low),
        "nut": (nut_low, plate_low),
        "bracket": (plate_low, view.y(screw.nut + BRACKET_MM) + drop - 4),
        "tie": (view.y(screw.high), view.y((plan.tie_y or screw.high) + 8)),
    }
    return stretch[link]


def laid_out(
    marking: Marking,
    screw: ScrewPlace,
    plan: Elevation,
    pen: Pen,
    *,
    x: float,
    outward: int,
    top: float,
    bottom: float,
) -> Chain:
    """Rows at the middle of their dimension, spread where they would crowd, within the figure."""
    rows = marking.rows_at(screw.side)
    heights = tuple(row_height(row) for row in rows)
    wanted = [sum(reach(row, screw, plan, pen)) / 2 for row in rows]
    return Chain(screw, x, outward, rows, _spread(wanted, heights, top, bottom), heights)


def _spread(
    wanted: Sequence[float], heights: Sequence[float], top: float, bottom: float
) -> tuple[float, ...]:
    """Middles as near the wanted ones as rows of these heights allow, order kept (the first is
    lowest). Rows that crowd are gathered and set about the mean of what they want."""
    blocks: list[tuple[list[int], float]] = []
    for i in range(len(wanted)):
        blocks.append(([i], wanted[i]))
        while len(blocks) > 1 and _crowd(blocks[-2], blocks[-1], heights):
            second, first = blocks.pop(), blocks.pop()
            members = first[0] + second[0]
            blocks.append((members, _best_middle(members, wanted, heights)))
    placed: dict[int, float] = {}
    for members, middle in blocks:
        tall = sum(heights[i] for i in members)
        y = min(max(middle, top + tall / 2), bottom - tall / 2) + tall / 2
        for i in members:
            placed[i] = y - heights[i] / 2
            y -= heights[i]
    return _unclashed([placed[i] for i in range(len(wanted))], heights, top, bottom)


def _crowd(
    low: tuple[list[int], float], high: tuple[list[int], float], heights: Sequence[float]
) -> bool:
    tall = [sum(heights[i] for i in members) for members, _ in (low, high)]
    return low[1] - tall[0] / 2 < high[1] + tall[1] / 2


def _best_middle(
    members: Sequence[int], wanted: Sequence[float], heights: Sequence[float]
) -> float:
    tall = sum(heights[i] for i in members)
    down, offsets = tall / 2, []
    for i in members:
        offsets.append(down - heights[i] / 2)
        down -= heights[i]
    return sum(wanted[i] - o for i, o in zip(members, offsets, strict=True)) / len(members)


def _unclashed(
    middles: list[float], heights: Sequence[float], top: float, bottom: float
) -> tuple[float, ...]:
    """After rows were held inside the figure: push once more from the bottom up, then back."""
    floor = bottom
    for i, height in enumerate(heights):
        middles[i] = min(middles[i], floor - height / 2)
        floor = middles[i] - height / 2
    ceiling = top
    for i in reversed(range(len(middles))):
        middles[i] = max(middles[i], ceiling + heights[i] / 2)
        ceiling = middles[i] + heights[i] / 2
    return tuple(middles)


def row_height(row: Row) -> float:
    """How tall a row is with all lines of its name, px."""
    return ROW_PX + LINE_PX * (len(name_lines(row)) - 1)


def name_lines(row: Row) -> tuple[str, ...]:
    """The name of a row in as many lines as it needs beside its value."""
    value, doubt = value_and_doubt(row.loss)
    taken = text_width(value, VALUE_PX, bold=True) + text_width(doubt, SMALL_PX) + 18
    return wrapped(row.name, NAME_PX, COLUMN_PX - taken, bold=True)


def bar_scale(marking: Marking) -> float:
    """Px a mm of every bar of the drawing, so that the longest whisker fits."""
    longest = max((max(abs(r.loss.high), abs(r.loss.value)) for r in marking.all_rows), default=0)
    return LONGEST_BAR_PX / longest if longest > 0 else 0.0


def boxes(chain: Chain) -> list[Box]:
    """The rectangles that the rows' text takes."""
    left, right = sorted((chain.near, chain.far))
    return [
        Box(left, middle - height / 2 + 1, right, middle + height / 2 - 1)
        for middle, height in zip(chain.middles, chain.heights, strict=True)
    ]


def rules(chain: Chain, plan: Elevation, pen: Pen) -> list[tuple[Point, Point]]:
    """The straight lines that a chain will be drawn with: dimensions, extensions and leaders."""
    found: list[tuple[Point, Point]] = []
    edge = _edge(chain, pen)
    for row, middle in zip(chain.rows, chain.middles, strict=True):
        low, high = reach(row, chain.screw, plan, pen)
        found.append(((chain.x, low), (chain.x, high)))
        found += [((chain.x, y), (edge, y)) for y in (low, high)]
        found.append(((chain.x, (low + high) / 2), (chain.near, middle)))
    return found


def _edge(chain: Chain, pen: Pen) -> float:
    """How far in extension lines run: to the flank of the coupling."""
    half = pen.size(chain.screw.coupling_width) / 2 + 1
    return pen.view.x(chain.screw.x) + chain.outward * half


def drawn(chain: Chain, plan: Elevation, pen: Pen, *, per_mm: float, interactive: bool) -> str:
    """Extension lines, dimension lines with arrows, leaders and rows."""
    several = len({row.side for row in pen.marking.rows}) > 1
    made = []
    for row, middle, height in zip(chain.rows, chain.middles, chain.heights, strict=True):
        low, high = reach(row, chain.screw, plan, pen)
        pressed = pen.marking.pressed in row.links
        side = f", {row.side}" if several else ""
        inside = (
            _dimension(chain, row, low, high, pen, pressed)
            + _leader(chain, (low + high) / 2, middle, pen)
            + _label(chain, row, middle, height, pen, per_mm, pressed)
        )
        made.append(
            svg.group(
                (inside,),
                data_row=key_of(row),
                data_known=row.known.value,
                **svg.spoken_link(spoken_row(row, side), row.links, interactive),
            )
        )
    return "".join(made)


def _dimension(chain: Chain, row: Row, low: float, high: float, pen: Pen, pressed: bool) -> str:
    ink = pen.theme.ink
    edge = _edge(chain, pen)
    made = [
        svg.line(chain.x + chain.outward * 6, y, edge, y, stroke=pen.theme.rule, stroke_width=0.7)
        for y in (low, high)
    ]
    made.append(
        svg.line(
            chain.x,
            low,
            chain.x,
            high,
            stroke=ink,
            stroke_width=2.0 if pressed else DIMENSION_PX,
            **dash(row.known),
        )
    )
    if low - high >= 18:
        made += [arrow(chain.x, low, 0, 1, ink), arrow(chain.x, high, 0, -1, ink)]
    else:  # too short for two heads: oblique strokes, as on any drawing
        made += [
            svg.line(chain.x - 3, y + 3, chain.x + 3, y - 3, stroke=ink, stroke_width=1.2)
            for y in (low, high)
        ]
    return "".join(made)


def dash(known: Line) -> dict[str, Any]:
    """The dashes of a dimension by how it is known."""
    dashes = DASHES[known]
    if dashes is None:
        return {}
    style: dict[str, Any] = {"stroke_dasharray": dashes}
    return style | {"stroke_linecap": "round"} if known is Line.ASSUMED else style


def arrow(x: float, y: float, dx: int, dy: int, fill: str) -> str:
    """An arrow head with its point at (x, y), pointing along (dx, dy)."""
    back, side = 7.0, 2.6
    base = x - dx * back, y - dy * back
    points = (
        (x, y),
        (base[0] - dy * side, base[1] - dx * side),
        (base[0] + dy * side, base[1] + dx * side),
    )
    return svg.path(points, closed=True, fill=fill)


def _leader(chain: Chain, at: float, middle: float, pen: Pen) -> str:
    if abs(at - middle) < 4:
        return ""
    points = ((chain.x, at), (chain.x + chain.outward * 4, at), (chain.near, middle))
    return svg.path(points, fill="none", stroke=pen.theme.ink, stroke_width=0.8)


def _label(
    chain: Chain, row: Row, middle: float, height: float, pen: Pen, per_mm: float, pressed: bool
) -> str:
    left, right = sorted((chain.near, chain.far))
    top = middle - height / 2
    made = []
    if pressed:
        made.append(svg.rect(left, top, right, top + height, fill=pen.theme.sel))
    base = top + 17
    names = name_lines(row)
    value, doubt = value_and_doubt(row.loss)
    ink, soft = pen.theme.ink, pen.theme.soft
    doubt_width = text_width(doubt, SMALL_PX) + 4 if doubt else 0.0
    for i, words in enumerate(names):
        made.append(svg.text(words, left + 4, base + i * LINE_PX, NAME_PX, fill=ink, bold=pressed))
    made.append(
        svg.text(value, right - 4 - doubt_width, base, VALUE_PX, fill=ink, anchor="end", bold=True)
    )
    if doubt:
        made.append(svg.text(doubt, right - 4, base, SMALL_PX, fill=soft, anchor="end"))
    start = right - 4 if chain.outward < 0 else left + 4
    bar_top = top + height - BAR_PX - 4
    made.append(bar(row, start, bar_top, chain.outward, per_mm, pen))
    return "".join(made)


def bar(row: Row, x: float, top: float, outward: int, per_mm: float, pen: Pen) -> str:
    """A bar of the loss from x outward, with its whisker."""
    ink = pen.theme.ink
    length = max(abs(row.loss.value) * per_mm, 1.0)
    whisker = [x + outward * min(max(v * per_mm, -6.0), LONGEST_BAR_PX + 8) for v in _sizes(row)]
    middle = top + BAR_PX / 2
    made = [
        svg.rect(
            x,
            top,
            x + outward * length,
            top + BAR_PX,
            fill=pen.row_fill(row),
            stroke=ink,
            stroke_width=0.8,
            **dash(row.known),
        )
    ]
    if row.loss.half_width * per_mm > 1:
        ends = [((w, middle - 3), (w, middle + 3)) for w in whisker]
        made.append(
            svg.strokes(
                [((whisker[0], middle), (whisker[1], middle)), *ends],
                stroke=ink,
                stroke_width=1.2,
            )
        )
    return svg.group(made, data_bar=key_of(row))


def _sizes(row: Row) -> tuple[float, float]:
    """The interval in the direction of the bar: a gain (negative loss) grows outward too."""
    loss = row.loss
    return (loss.low, loss.high) if loss.value >= 0 else (-loss.high, -loss.low)
