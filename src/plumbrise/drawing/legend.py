"""What explains a drawing: loss ramp, kinds of line, scale bars, the line at the foot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from plumbrise.drawing import svg
from plumbrise.drawing.letters import shortened, text_width
from plumbrise.drawing.marking import Marking
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.tokens import DASHES, OUTLINE_PX, PHANTOM, RAMP_STEPS_MM, SMALL_PX, Line

ROW_PX = 26.0
CELL_PX = 31.0
SIDE_PX = 14.0
FOOT_PX = 24.0


@dataclass(frozen=True, slots=True)
class Item:
    """One thing of the key: how wide its sign is, its words, and what kind of sign."""

    sign: str
    words: str
    sign_px: float = 26.0

    @property
    def width(self) -> float:
        """With its words and the gap to the next."""
        return self.sign_px + 5 + text_width(self.words, SMALL_PX) + 18


NUMBERED = {
    False: "new, numbered as in the list of parts",
    True: "worked at, numbered as the steps",
}
"""What is numbered on a drawing, by whether it is one of work."""


def items(marking: Marking, *, moved: bool) -> tuple[Item, ...]:
    """The lines and signs that this drawing uses."""
    known = {row.known for row in marking.all_rows} | {end.known for end in marking.ends}
    found = [Item("solid", "there, or measured")]
    if Line.COMPUTED in known:
        found.append(Item("dashed", "computed"))
    if marking.new:
        found.append(Item("new", NUMBERED[marking.at_work]))
    if marking.assumed or Line.ASSUMED in known:
        found.append(Item("dotted", "assumed"))
    if Line.SHARED in known:
        found.append(Item("stripes", "striped: shared, cannot tell yet", 13))
    if moved:
        found.append(Item("phantom", "where it was told to be", 32))
    if marking.stations:
        found.append(Item("read", "gauge read", 12))
        found.append(Item("not-read", "not read", 12))
    return tuple(found)


def height_px(marking: Marking, width_px: float, *, moved: bool) -> float:
    """How tall ramp and key are on a sheet of this width."""
    return ROW_PX * len(_rows(marking, width_px, moved=moved)) + 4


RAMP_NAME = "lost, mm"
RAMP_NAME_PX = text_width(RAMP_NAME, SMALL_PX) + 8
RAMP_WIDTH_PX = RAMP_NAME_PX + 6 * CELL_PX + 16


def _rows(marking: Marking, width_px: float, *, moved: bool) -> list[list[Item]]:
    """The key in rows; the first row begins with the ramp."""
    room = width_px - 2 * SIDE_PX
    rows: list[list[Item]] = [[]]
    used = _ramp_px(marking)
    for item in items(marking, moved=moved):
        if used + item.width - 18 > room:
            rows.append([])
            used = 0.0
        rows[-1].append(item)
        used += item.width
    return rows


def _ramp_px(marking: Marking) -> float:
    """What the ramp takes; a drawing of parts to come tells of no loss and has none."""
    return 0.0 if marking.new else RAMP_WIDTH_PX


def drawn(pen: Pen, width_px: float, top: float, *, moved: bool) -> str:
    """Ramp and key from `top` on down."""
    made = [] if pen.marking.new else [_ramp(pen, SIDE_PX, top + 4)]
    for i, row in enumerate(_rows(pen.marking, width_px, moved=moved)):
        x = SIDE_PX + (_ramp_px(pen.marking) if i == 0 else 0.0)
        y = top + i * ROW_PX + 14
        for item in row:
            made.append(_sign(item, x, y - 4, pen))
            made.append(
                svg.text(item.words, x + item.sign_px + 5, y, SMALL_PX, fill=pen.theme.soft)
            )
            x += item.width
    return svg.group(made, data_part="key")


def _ramp(pen: Pen, left: float, top: float) -> str:
    made = [svg.text(RAMP_NAME, left, top + 10, SMALL_PX, fill=pen.theme.soft)]
    x = left + RAMP_NAME_PX
    for i, colour in enumerate(pen.theme.ramp):
        made.append(
            svg.rect(
                x + i * CELL_PX,
                top - 2,
                x + (i + 1) * CELL_PX,
                top + 6,
                fill=colour,
                stroke=pen.theme.ink,
                stroke_width=0.7,
            )
        )
    for i, step in enumerate(RAMP_STEPS_MM):
        made.append(
            svg.text(
                f"{step:g}",
                x + (i + 1) * CELL_PX,
                top + 18,
                12,
                fill=pen.theme.soft,
                anchor="middle",
            )
        )
    return svg.group(made, data_part="ramp")


def _sign(item: Item, x: float, y: float, pen: Pen) -> str:
    ink = pen.theme.ink
    lines: dict[str, dict[str, Any]] = {
        "solid": {},
        "dashed": {"stroke_dasharray": DASHES[Line.COMPUTED]},
        "new": {"stroke_dasharray": DASHES[Line.COMPUTED], "stroke": pen.theme.meas},
        "dotted": {"stroke_dasharray": DASHES[Line.ASSUMED], "stroke_linecap": "round"},
        "phantom": {"stroke_dasharray": PHANTOM, "stroke_width": 0.9, "stroke": pen.theme.soft},
    }
    if item.sign in lines:
        style: dict[str, Any] = {"stroke": ink, "stroke_width": OUTLINE_PX}
        style |= lines[item.sign]
        return svg.line(x, y, x + item.sign_px, y, **style)
    if item.sign == "stripes":
        box = svg.rect(x, y - 6, x + 12, y + 6, fill="none", stroke=ink, stroke_width=0.6)
        hatch = [((x, y + d), (x + d + 6, y - 6)) for d in (-3.0, 0.0, 3.0, 6.0)]
        hatch += [((x + d, y + 6), (x + 12, y - 6 + d)) for d in (3.0, 6.0, 9.0)]
        return box + svg.strokes(hatch, stroke=ink, stroke_width=0.9)
    return station_sign(x + 6, y, pen, read=item.sign == "read", radius=5.5)


def station_sign(x: float, y: float, pen: Pen, *, read: bool, radius: float = 6.0) -> str:
    """A gauge's dial seen small: filled where it was read, hollow where it was not."""
    meas, sheet = pen.theme.meas, pen.theme.sheet
    hand = radius * 0.55
    return svg.circle(
        x, y, radius, fill=meas if read else sheet, stroke=meas, stroke_width=1.6
    ) + svg.line(
        x,
        y,
        x + hand,
        y - hand,
        stroke=sheet if read else meas,
        stroke_width=1.6,
    )


def round_length(mm: float) -> float:
    """The largest 1, 2 or 5 times a power of ten that is not above this length.

    Example:
        >>> round_length(137), round_length(0.31)
        (100.0, 0.2)
    """
    power = 1e-3
    while power * 10 <= mm:
        power *= 10
    return round(next(f * power for f in (5, 2, 1) if f * power <= mm * (1 + 1e-9)), 6)


@dataclass(frozen=True, slots=True)
class ScaleBars:
    """The bar of true lengths and that of movement, as long as the room allows, px and mm."""

    left: float
    length_mm: float
    movement_mm: float
    words: str
    second: float
    """Where the bar of movement stands, from the first one's left."""


def _bars(scale: float, left: float, right: float, exaggeration: int | None) -> ScaleBars:
    """The longest bars whose words end before `right`; they begin further left if they must."""
    moved = 0.0 if exaggeration is None else round_length(26 / (scale * exaggeration))
    short = f"{moved:g} mm of movement"
    choices = [(share, f"{short}, drawn ×{exaggeration}") for share in (0.3, 0.2)]
    choices += [(share, short) for share in (0.3, 0.2, 0.1)]
    for share, words in choices:
        length = round_length(min(125, share * (right - left)) / scale)
        second = length * scale + 34 + text_width(f"{length:g} mm", SMALL_PX)
        needed = second + 10 + text_width(words, SMALL_PX) if exaggeration is not None else second
        if 2 * SIDE_PX + needed <= right:
            break
    return ScaleBars(max(min(left, right - SIDE_PX - needed), 6.0), length, moved, words, second)


def scale_bars(pen: Pen, left: float, y: float, *, exaggeration: int | None, right: float) -> str:
    """The bar of true lengths, and beside it one of movement, enlarged."""
    theme, scale = pen.theme, pen.view.scale
    bars = _bars(scale, left, right, exaggeration)
    left, end = bars.left, bars.left + bars.length_mm * scale
    stroke: dict[str, Any] = {"stroke": theme.ink, "stroke_width": 0.9}
    made = [
        svg.strokes(
            [((left, y), (end, y)), ((left, y - 5), (left, y + 5)), ((end, y - 5), (end, y + 5))],
            **stroke,
        ),
        svg.text(f"{bars.length_mm:g} mm", end + 8, y + 4, SMALL_PX, fill=theme.soft),
    ]
    if exaggeration is not None:
        half, x = bars.movement_mm * scale * exaggeration / 2, left + bars.second
        made += [
            svg.strokes(
                [
                    ((x, y - half), (x, y + half)),
                    ((x - 5, y - half), (x + 5, y - half)),
                    ((x - 5, y + half), (x + 5, y + half)),
                ],
                **stroke,
            ),
            svg.text(bars.words, x + 10, y + 4, SMALL_PX, fill=theme.soft),
        ]
    return svg.group(made, data_part="scale-bars")


def foot(pen: Pen, name: str, notes: Sequence[str], width_px: float, y: float) -> str:
    """Machine name, date and who drew it, small."""
    by = "drawn by Plumbrise"
    soft = pen.theme.soft
    room = width_px - 2 * SIDE_PX - text_width(by, 12) - 16
    words = shortened(", ".join(part for part in (name, *notes) if part), 12, room)
    made = [svg.text(by, width_px - SIDE_PX, y, 12, fill=soft, anchor="end")]
    if words:
        made.append(svg.text(words, SIDE_PX, y, 12, fill=soft))
    return svg.group(made, data_part="foot")
