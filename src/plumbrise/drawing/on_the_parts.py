"""What is written on and beside the moving part: racking, drag, what each end loses, stations."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from plumbrise.drawing import chain, svg
from plumbrise.drawing.figures import value_and_doubt
from plumbrise.drawing.geometry import Elevation
from plumbrise.drawing.labels import Labels, Spot, Words, box_of, written
from plumbrise.drawing.ledger import (
    drag_name,
    end_name,
    key_of,
    spoken_drag,
    spoken_end,
    spoken_row,
)
from plumbrise.drawing.legend import station_sign
from plumbrise.drawing.letters import Box, text_width
from plumbrise.drawing.marking import Drag, End, Marking, Row, StationMark
from plumbrise.drawing.parts.carriage import beam_corners, head_x
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.tokens import (
    DASHES,
    DIMENSION_PX,
    NAME_PX,
    SMALL_PX,
    VALUE_PX,
)

RACKING_ABOVE_PX = 66.0
"""How far above the carriages the racking dimension runs."""


def end_point(end: str, plan: Elevation, pen: Pen) -> tuple[float, float]:
    """Where an end of the moving part is, on its under side, px."""
    if plan.body == "bed":
        place = plan.screw_at(end)
        return pen.view.x(place.x), pen.view.y(plan.beam_low) + pen.drop(end)
    corners = beam_corners(plan, pen)
    return corners[0] if end == "left" else corners[1]


# --- racking --------------------------------------------------------------------------------------


def racking_y(plan: Elevation, pen: Pen, top: float) -> float:
    """Where the racking dimension runs, px: above the carriages, within the figure."""
    high = pen.view.y(plan.beam_middle + plan.carriage_height / 2 + 4)
    return max(high - RACKING_ABOVE_PX, top + 40)


def racking(row: Row, plan: Elevation, pen: Pen, *, y: float, per_mm: float, live: bool) -> str:
    """The horizontal dimension from pillar to pillar, with its figure and bar above it."""
    ink, soft = pen.theme.ink, pen.theme.soft
    left, right = (pen.view.x(x) for x in plan.guides)
    value, doubt = value_and_doubt(row.loss)
    name_width = text_width(row.name, NAME_PX)
    value_width = text_width(value, VALUE_PX, bold=True)
    doubt_width = text_width(doubt, SMALL_PX)
    start = (left + right - name_width - value_width - doubt_width - 22) / 2
    base = y - 22
    dash: dict[str, Any] = {"stroke_dasharray": DASHES[row.known]}
    halo = pen.theme.sheet
    at_value = start + name_width + 14
    inside = [
        svg.line(left, y, right, y, stroke=ink, stroke_width=DIMENSION_PX, **dash),
        chain.arrow(left, y, -1, 0, ink),
        chain.arrow(right, y, 1, 0, ink),
        *(
            svg.line(x, y - 6, x, y + 6, stroke=pen.theme.rule, stroke_width=0.7)
            for x in (left, right)
        ),
        svg.text(row.name, start, base, NAME_PX, fill=ink, halo=halo),
        svg.text(value, at_value, base, VALUE_PX, fill=ink, bold=True, halo=halo),
        svg.text(doubt, at_value + value_width + 6, base, SMALL_PX, fill=soft, halo=halo)
        if doubt
        else "",
        chain.bar(row, start, y - 15, 1, per_mm, pen),
    ]
    return svg.group(
        inside,
        data_row=key_of(row),
        data_known=row.known.value,
        **svg.spoken_link(spoken_row(row), row.links, live),
    )


def racking_box(row: Row, plan: Elevation, pen: Pen, y: float) -> Box:
    """The rectangle that the racking dimension's words take."""
    left, right = (pen.view.x(x) for x in plan.guides)
    value, doubt = value_and_doubt(row.loss)
    wide = (
        text_width(row.name, NAME_PX)
        + text_width(value, VALUE_PX, bold=True)
        + text_width(doubt, SMALL_PX)
        + 22
    )
    middle = (left + right) / 2
    return Box(middle - wide / 2 - 4, y - 40, middle + max(wide / 2, 70), y + 6)


# --- drag -----------------------------------------------------------------------------------------


def drag_arrow(drag: Drag, plan: Elevation, pen: Pen, labels: Labels, *, live: bool) -> str:
    """A double arrow beside the pillar above the carriage, with the newtons: a force, no loss."""
    x, y = drag_point(drag.end, plan, pen)
    ink = pen.theme.ink
    arrow = (
        svg.line(x, y - 13, x, y + 13, stroke=ink, stroke_width=0.9)
        + chain.arrow(x, y - 13, 0, -1, ink)
        + chain.arrow(x, y + 13, 0, 1, ink)
    )
    value, doubt = value_and_doubt(drag.force)
    lines = (
        Words("drag", SMALL_PX, pen.theme.soft),
        Words(f"{value}{' ' + doubt if doubt else ''} {drag.force.unit}", NAME_PX, ink, bold=True),
    )
    wide = max(text_width(w.text, w.size_px, bold=w.bold) for w in lines)
    spots = [Spot(x + 8, y - 2), Spot(x - 8 - wide, y - 2), Spot(x + 8, y - 40)]
    spot = labels.place(lines, spots, must=True)
    words = written(lines, spot, halo=pen.theme.sheet) if spot else ""
    return svg.group(
        (arrow, words),
        data_force=drag_name(drag),
        data_known=drag.known.value,
        **svg.spoken_link(spoken_drag(drag), ("guides",), live),
    )


def drag_point(end: str, plan: Elevation, pen: Pen) -> tuple[float, float]:
    """Middle of the arrow of a guide's drag, px."""
    if plan.body == "bed":
        place = plan.screw_at(end)
        return pen.view.x(place.x) + 18, pen.view.y(plan.beam_low + plan.beam_height) - 28
    guide = plan.guides[0] if end == "left" else plan.guides[1]
    x = pen.view.x(guide) + pen.size(plan.pillar_width) / 2 + 9
    return x, pen.view.y(plan.beam_middle + plan.carriage_height / 2 + 4) - 24


# --- what each end loses --------------------------------------------------------------------------


def end_label(end: End, plan: Elevation, pen: Pen, labels: Labels, *, live: bool) -> str:
    """What one end loses, under it: the end of the chain."""
    value, doubt = value_and_doubt(end.loss)
    full = f"{value} ± {doubt[1:]}" if doubt else value
    lines = (
        Words(end_name(end).lower(), SMALL_PX, pen.theme.meas),
        Words(full, VALUE_PX, pen.theme.ink, bold=True),
    )
    spot = labels.place(lines, _spots_under(end.end, plan, pen), must=True)
    words = written(lines, spot, halo=pen.theme.sheet) if spot else ""
    return svg.group(
        (words,),
        data_end=end.end,
        data_known=end.known.value,
        **svg.spoken_link(spoken_end(end), (end.station,), live),
    )


def _spots_under(end: str, plan: Elevation, pen: Pen) -> Iterator[Spot]:
    x, y = end_point(end, plan, pen)
    if plan.body == "bed":
        for below in range(26, 140, 12):
            yield Spot(x + 14, y + below)
        return
    low = pen.view.y(plan.beam_middle - plan.carriage_height / 2 - 4) + pen.drop(end)
    guide = plan.guides[0] if end == "left" else plan.guides[1]
    half = pen.size(plan.pillar_width) / 2 + 6
    inner = pen.view.x(guide) + (half if end == "left" else -half)
    anchor = "start" if end == "left" else "end"
    for below in range(22, 120, 12):
        yield Spot(inner, low + below, anchor)


# --- stations -------------------------------------------------------------------------------------


def station_places(plan: Elevation, pen: Pen) -> dict[str, tuple[float, float]]:
    """Where each station's dial stands on the drawing, px."""
    view = pen.view
    several = len(plan.screws) > 1
    places: dict[str, tuple[float, float]] = {}
    for place in plan.screws:
        tail = f"-{place.side}" if several else ""
        x = view.x(place.x)
        if place.has_motor:
            places[f"motor-shaft{tail}"] = (x, view.y(place.shaft))
        places[f"screw{tail}"] = (x, view.y(place.high) - 8)
        places[f"nut{tail}"] = (
            x - (place.inward or 1) * (pen.size(22) / 2 + 5),
            view.y(place.nut - 3) + pen.drop(place.side),
        )
    half = pen.size(plan.beam_height) / 2
    if plan.body == "gantry":
        (lx, ly), (rx, ry), *_ = beam_corners(plan, pen)
        places["gantry-left"] = (lx + 26, ly - half)
        places["gantry-right"] = (rx - 26, ry - half)
        places["gantry-middle"] = (view.x(head_x(plan)) + 34 * view.scale + 8, (ly + ry) / 2 - half)
        for end, guide in zip(("left", "right"), plan.guides, strict=True):
            places[f"frame-{end}"] = (view.x(guide), view.y(plan.pillar_top) + 22)
    else:
        for place in plan.screws:
            places[f"bed-{place.side}"] = (
                view.x(place.x) - 16,
                view.y(plan.beam_middle) + pen.drop(place.side),
            )
        middle = (plan.screws[0].x + plan.screws[1].x) / 2
        drop = (pen.drop("left") + pen.drop("back")) / 2
        places["bed"] = (view.x(middle), view.y(plan.beam_middle) + drop)
        for end, pillar in zip(("left", "right"), plan.pillars, strict=True):
            places[f"frame-{end}"] = (view.x(pillar), view.y(plan.pillar_top) + 22)
    places["frame-base"] = (view.x(plan.base[1] - 14), view.y(plan.base_top / 2))
    return places


def shown_stations(marking: Marking) -> Iterable[StationMark]:
    """Stations worth a sign: read, asked for next, or a boundary of a chain that is drawn."""
    links = ("motor-shaft", "screw", "nut")
    for mark in marking.stations:
        boundary = mark.station.link_station in links and bool(marking.rows)
        body = mark.station.follows_command and mark.station.link_station not in links
        if mark.readings or mark.next or boundary or (body and not marking.rows):
            yield mark


def stations(plan: Elevation, pen: Pen, labels: Labels, *, words: bool, live: bool) -> str:
    """A small dial at every station, filled where it was read, and the name of those on links."""
    places = station_places(plan, pen)
    made = []
    shown = [m for m in shown_stations(pen.marking) if m.station.id in places]
    for mark in shown:
        x, y = places[mark.station.id]
        labels.reserve(Box(x - 8, y - 8, x + 8, y + 8))
    for mark in shown:
        x, y = places[mark.station.id]
        sign = station_sign(x, y, pen, read=mark.readings > 0)
        name = ""
        if words and (mark.next or _needs_name(mark)):
            name = _named(mark, x, y, pen, labels)
        count = f"{mark.readings} readings" if mark.readings else "not read"
        made.append(
            svg.group(
                (sign, name),
                data_station=mark.station.id,
                data_read=str(mark.readings),
                **svg.spoken_link(f"Station {mark.station.id}: {count}", (mark.station.id,), live),
            )
        )
    return "".join(made)


def _needs_name(mark: StationMark) -> bool:
    return mark.station.link_station in ("motor-shaft", "screw", "nut")


def _named(mark: StationMark, x: float, y: float, pen: Pen, labels: Labels) -> str:
    tail = "" if mark.readings else ": not read"
    if mark.next:
        tail = ": read next"
    lines = (Words(mark.station.id + tail, SMALL_PX, pen.theme.meas),)
    spots = [Spot(x - 12, y + 4, "end"), Spot(x + 12, y + 4)]
    for away in (28, 44, 60, 80):
        for up in (-16, 16, -32, 32, -52, 52, -76, 76):
            spots += [Spot(x + away, y + up), Spot(x - away, y + up, "end")]
    spot = labels.place(lines, spots, must=mark.next)
    if spot is None:
        return ""
    leader = ""
    if abs(spot.x - x) > 14:
        box = box_of(lines, spot)
        near = box.left - 3 if box.left > x else box.right + 3
        leader = svg.line(x, y, near, spot.y - 4, stroke=pen.theme.meas, stroke_width=0.8)
    return leader + written(lines, spot, halo=pen.theme.sheet)


def told_words(plan: Elevation, pen: Pen, labels: Labels) -> str:
    """The name of the phantom outline, where there is room for it."""
    lines = (Words("where it was told to be", SMALL_PX, pen.theme.soft),)
    middle = pen.view.x(sum(plan.guides) / 2)
    high = pen.view.y(plan.beam_low + plan.beam_height)
    spots = [Spot(middle + 40, high - 5), Spot(middle - 60, high - 5, "end")]
    spot = labels.place(lines, spots, must=False)
    return written(lines, spot, halo=pen.theme.sheet) if spot else ""
