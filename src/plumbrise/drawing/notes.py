"""What is written on the moving part: racking, what each end loses, drag, where it was told to be;
and, when rows are numbered, what each number points at."""

from __future__ import annotations

from collections.abc import Sequence

from plumbrise.drawing import svg
from plumbrise.drawing.balloons import RADIUS_PX, Target
from plumbrise.drawing.chain import BAR_PX, arrow, bar, dash, reach
from plumbrise.drawing.figures import in_a_line, value_and_doubt
from plumbrise.drawing.geometry import Elevation
from plumbrise.drawing.labels import Labels, Spot, Words, written
from plumbrise.drawing.ledger import (
    LedgerRow,
    end_name,
    end_said,
    key_of,
    spoken_drag,
    spoken_end,
    spoken_row,
)
from plumbrise.drawing.letters import Box, text_width
from plumbrise.drawing.marking import Drag, End, Marking, Row
from plumbrise.drawing.parts.carriage import HEAD_HEIGHT_MM, head_x
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.tokens import DIMENSION_PX, NAME_PX, SMALL_PX, VALUE_PX, Line

RACKING_ABOVE_PX = 62.0
DRAG_PX = 26.0


def beam_notes(
    marking: Marking, plan: Elevation, pen: Pen, labels: Labels, per_mm: float, interactive: bool
) -> str:
    """All notes beside the chains."""
    made = []
    if marking.racking is not None and plan.body == "gantry":
        made.append(_racking(marking.racking, plan, pen, labels, per_mm, interactive))
    for end in marking.ends:
        made.append(_end(end, plan, pen, labels))
    if plan.body == "gantry":
        for drag in marking.drags:
            made.append(_drag(drag, plan, pen, labels))
    if pen.moved:
        made.append(_told(plan, pen, labels))
    return "".join(made)


def _racking(
    row: Row, plan: Elevation, pen: Pen, labels: Labels, per_mm: float, interactive: bool
) -> str:
    """A dimension above the beam, from pillar centre to pillar centre."""
    theme, view = pen.theme, pen.view
    left, right = view.x(plan.guides[0]), view.x(plan.guides[1])
    carriage_top = view.y(plan.beam_middle + plan.carriage_height / 2 + 4)
    ceiling = view.y(plan.pillar_top) + 52
    y = max(carriage_top - RACKING_ABOVE_PX, ceiling)
    y = min(y, carriage_top - 6)
    pressed = pen.marking.pressed == "racking"
    value, doubt = value_and_doubt(row.loss)
    name_width = max(text_width(row.name, NAME_PX, bold=True) + 16, 76.0)
    value_width = text_width(value, VALUE_PX, bold=True)
    whole = name_width + value_width + text_width(doubt, SMALL_PX) + 6
    start = (left + right) / 2 - whole / 2
    base = y - 21
    labels.reserve(Box(start - 4, base - 16, start + whole + 4, y + 3))
    labels.rule((left, y), (right, y))
    for x in (left, right):
        labels.rule((x, y), (x, carriage_top))
    made = []
    if pressed:
        made.append(svg.rect(start - 6, base - 17, start + whole + 6, y - 2, fill=theme.sel))
    made += [
        svg.line(x, y - 5, x, carriage_top, stroke=theme.rule, stroke_width=0.7)
        for x in (left, right)
    ]
    made.append(
        svg.line(
            left,
            y,
            right,
            y,
            stroke=theme.ink,
            stroke_width=2.0 if pressed else DIMENSION_PX,
            **dash(row.known),
        )
    )
    made += [arrow(left, y, -1, 0, theme.ink), arrow(right, y, 1, 0, theme.ink)]
    made += [
        svg.text(row.name, start, base, NAME_PX, fill=theme.ink, bold=pressed),
        svg.text(value, start + name_width, base, VALUE_PX, fill=theme.ink, bold=True),
    ]
    if doubt:
        made.append(
            svg.text(doubt, start + name_width + value_width + 6, base, SMALL_PX, fill=theme.soft)
        )
    made.append(bar(row, start, y - BAR_PX - 6, 1, per_mm, pen))
    return svg.group(
        made,
        data_row=key_of(row),
        data_known=row.known.value,
        **svg.spoken_link(spoken_row(row), row.links, interactive),
    )


def _below_carriage(end: str, plan: Elevation, pen: Pen) -> float:
    low = plan.beam_middle - plan.carriage_height / 2 - 4
    return pen.view.y(low) + pen.drop(end)


def _end(end: End, plan: Elevation, pen: Pen, labels: Labels) -> str:
    """ "left loses 0.23 ± 0.01" under its end of the beam."""
    theme, view = pen.theme, pen.view
    value = in_a_line(end.loss).removesuffix(" mm")
    words = end_said(end_name(end).lower(), end.known)
    lines = (
        Words(words, SMALL_PX, theme.meas if end.known is Line.MEASURED else theme.soft),
        Words(value, VALUE_PX, theme.ink, bold=True),
    )
    if plan.body == "bed":
        at = plan.screw_at(end.end).x if end.end != "middle" else plan.guides[0] + 60
        x = view.x(at)
        y = view.y(plan.beam_low - 30) + max(
            0.0, pen.drop("left" if end.end == "middle" else end.end)
        )
        spots = [Spot(x + 14, y + dy) for dy in (0, 20, 40, 60, -70, -90)]
        spots += [Spot(x - 14, y + dy, "end") for dy in (0, 20, 40, 60, -70)]
    else:
        y = _below_carriage(end.end, plan, pen) + 20
        half = plan.pillar_width / 2
        outside = plan.carriage_width / 2
        if end.end == "right":
            left, right = view.x(plan.guides[1] - half) - 7, view.x(plan.guides[1] + outside) + 7
            columns = [(left, "end"), (right, "start")]
        elif end.end == "left":
            left, right = view.x(plan.guides[0] - outside) - 7, view.x(plan.guides[0] + half) + 7
            columns = [(right, "start"), (left, "end")]
        else:
            columns = [(view.x(sum(plan.guides) / 2) + 40, "start")]
        spots = [Spot(x, y + dy, anchor) for x, anchor in columns for dy in (0, 14, 28, 42, 56, 70)]
    spot = labels.place(lines, spots, must=True)
    if spot is None:
        return ""
    return svg.group(
        [written(lines, spot, halo=theme.sheet)],
        data_row=f"end-{end.end}",
        data_known=end.known.value,
        role="img",
        aria_label=spoken_end(end),
    )


def _drag(drag: Drag, plan: Elevation, pen: Pen, labels: Labels) -> str:
    """A small double arrow with newtons beside the upper roller: a force, not a loss."""
    theme, view = pen.theme, pen.view
    if drag.end not in ("left", "right"):
        return ""
    lines = (
        Words("drag", SMALL_PX, theme.soft),
        Words(in_a_line(drag.force), 13.5, theme.ink, bold=True),
    )
    guide = plan.guides[0] if drag.end == "left" else plan.guides[1]
    half = plan.pillar_width / 2
    y = view.y(plan.beam_middle + plan.carriage_height / 2 + 4) - 34
    inside, outside = (1, -1) if drag.end == "left" else (-1, 1)
    spots = []
    for way in (inside, outside):
        x = view.x(guide + way * half) + way * 20
        anchor = "start" if way > 0 else "end"
        spots += [Spot(x, y + dy, anchor) for dy in (0, -40, -80, -120, 8)]
    spot = labels.place(lines, spots, must=True)
    if spot is None:
        return ""
    way = 1 if spot.anchor == "start" else -1
    x = spot.x - way * 8
    top = spot.y - 11
    strokes = [
        ((x, top), (x, top + DRAG_PX)),
        ((x - 3, top + 5), (x, top)),
        ((x, top), (x + 3, top + 5)),
        ((x - 3, top + DRAG_PX - 5), (x, top + DRAG_PX)),
        ((x, top + DRAG_PX), (x + 3, top + DRAG_PX - 5)),
    ]
    return svg.group(
        [
            svg.strokes(strokes, stroke=theme.ink, stroke_width=0.9),
            written(lines, spot, halo=theme.sheet),
        ],
        data_row=f"drag-{drag.end}",
        data_known=drag.known.value,
        role="img",
        aria_label=spoken_drag(drag),
    )


def _told(plan: Elevation, pen: Pen, labels: Labels) -> str:
    lines = (Words("where it was told to be", SMALL_PX, pen.theme.soft),)
    top = pen.view.y(plan.beam_low + plan.beam_height)
    right, left = pen.view.x(plan.guides[1]), pen.view.x(plan.guides[0])
    inner = right - (plan.carriage_width / 2) * pen.view.scale - 4
    spots = [Spot(inner, top - 5, "end"), Spot(left + 60, top - 5), Spot(inner, top - 20, "end")]
    if min(drop for _, drop in pen.moved) < 0:  # drawn above its told place: write below that
        low = pen.view.y(plan.beam_low) + 16
        spots = [Spot(inner, low, "end"), Spot(left + 60, low), *spots]
    spot = labels.place(lines, spots, must=False)
    return written(lines, spot, halo=pen.theme.sheet) if spot is not None else ""


def targets(
    rows: Sequence[LedgerRow], marking: Marking, plan: Elevation, pen: Pen, figure: Box
) -> list[Target]:
    """What each number of the ledger points at."""
    by_key = {key_of(row): row for row in marking.all_rows}
    found = []
    for line in rows:
        row = by_key.get(line.key)
        if row is not None and "racking" not in row.links:
            found.append(_at_screw(line.number, row, plan, pen, figure))
        elif row is not None:
            y = pen.view.y(plan.beam_middle + HEAD_HEIGHT_MM / 2)
            found.append(Target(line.number, pen.view.x(head_x(plan)), y - RADIUS_PX - 4))
        else:
            found.append(_at_end(line, plan, pen))
    return found


def _at_screw(number: int, row: Row, plan: Elevation, pen: Pen, figure: Box) -> Target:
    screw = plan.screw_at(row.side)
    low, high = reach(row, screw, plan, pen)
    x, aside = pen.view.x(screw.x), RADIUS_PX + 3
    if plan.body == "bed":
        column = x + pen.size(screw.motor_size) / 2 + aside + 4
    else:
        left = max(figure.left + aside, pen.view.x(plan.left) - aside - 8)
        right = min(figure.right - aside, pen.view.x(plan.right) + aside + 8)
        column = left if screw.inward > 0 else right
    return Target(number, x, (low + high) / 2, column)


def _at_end(line: LedgerRow, plan: Elevation, pen: Pen) -> Target:
    kind, end = line.key.split("-", 1)
    view = pen.view
    if plan.body == "bed":
        x = view.x(plan.screw_at(end).x) if end != "middle" else view.x(plan.guides[0] + 60)
        y = view.y(plan.beam_low + plan.beam_height)
        return Target(line.number, x - (18 if kind == "end" else 44), y - 20)
    if end == "middle":
        x = view.x(head_x(plan) + 40)
        return Target(line.number, x, view.y(plan.beam_low) + pen.drop("left") + 16)
    left = end != "right"
    guide = plan.guides[0] if left else plan.guides[1]
    inward = 1 if left else -1
    below = _below_carriage("left" if left else "right", plan, pen)
    x = view.x(guide) + inward * (plan.pillar_width / 2 * view.scale + 18)
    above = view.y(plan.beam_middle + plan.carriage_height / 2 + 4)
    return Target(line.number, x, below + 16 if kind == "end" else above - 16)
