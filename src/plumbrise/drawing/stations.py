"""Gauge stations on the drawing: read, not read, and the one to read next."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, hypot, pi, sin

from plumbrise.drawing import svg
from plumbrise.drawing.geometry import Elevation
from plumbrise.drawing.labels import Labels, Point, Spot, Words, box_of, crossed, written
from plumbrise.drawing.legend import station_sign
from plumbrise.drawing.letters import Box
from plumbrise.drawing.marking import Marking, StationMark
from plumbrise.drawing.parts.nut import FLANGE_MM
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.tokens import SMALL_PX
from plumbrise.machine import Station

CUTS = {
    "motor-shaft": ("seat", "coupling"),
    "screw": ("coupling", "screw"),
    "nut": ("nut", "bracket"),
}
"""The two links between which a link station would cut a shared dimension."""
NAMES = {"motor-shaft": "motor shaft", "screw": "screw", "nut": "nut"}
DIAL_PX, SMALL_DIAL_PX = 20.0, 12.0


def place_of(station: Station, plan: Elevation, pen: Pen) -> tuple[float, float] | None:
    """Where on the sheet the gauge's tip rests, None for a block on the bench."""
    view = pen.view
    if station.link_station in CUTS:
        side = station.side or plan.screws[0].side
        screw = next((s for s in plan.screws if s.side == side), None)
        if screw is None:
            return None
        x = view.x(screw.x)
        return {
            "motor-shaft": (view.x(screw.motor_x), view.y(screw.shaft)),
            "screw": (x, view.y(screw.high) - 9),
            "nut": (
                x - screw.inward * 11 * view.scale,
                view.y(screw.nut - FLANGE_MM / 2) + pen.drop(screw.side),
            ),
        }[station.link_station]
    return _on_the_machine(station.id, plan, pen)


def _on_the_machine(station: str, plan: Elevation, pen: Pen) -> tuple[float, float] | None:
    view = pen.view
    left, right = plan.guides
    if plan.body == "bed":
        level = view.y(plan.beam_middle)
        for screw in plan.screws:
            if station == f"bed-{screw.side}":
                return view.x(screw.x) + 11, level + pen.drop(screw.side)
        if station == "bed":
            return view.x((left + plan.screws[1].x) / 2), level + (
                pen.drop("left") + pen.drop("back")
            ) / 2
    level = view.y(plan.beam_middle)
    share = {"gantry-left": 0.14, "gantry-middle": 0.64, "gantry-right": 0.86}.get(station)
    if share is not None and plan.body == "gantry":
        drop = (1 - share) * pen.drop("left") + share * pen.drop("right")
        return view.x(left + share * (right - left)), level + drop
    high = view.y(plan.pillar_top - 40)
    return {
        "frame-left": (view.x(plan.pillars[0]), high),
        "frame-right": (view.x(plan.pillars[1]), high),
        "frame-base": (view.x(plan.base[1] - 16), view.y(plan.base_top / 2)),
    }.get(station)


def shown(marking: Marking, plan: Elevation) -> tuple[StationMark, ...]:
    """The stations worth a sign: those read, the one to read next, those that would cut a shared
    dimension, and on a drawing with no figures every place along the load path."""
    ends = {f"{plan.body}-{screw.side}" for screw in plan.screws} | {"gantry-left", "gantry-right"}
    found = []
    for mark in marking.stations:
        open_end = mark.station.id in ends
        cuts = mark.station.link_station in CUTS and _would_cut(mark.station, marking, plan)
        if mark.readings or mark.next or open_end or cuts:
            found.append(mark)
    return tuple(found)


def _would_cut(station: Station, marking: Marking, plan: Elevation) -> bool:
    if not marking.rows:
        return True
    side = station.side or plan.screws[0].side
    before, after = CUTS[station.link_station]
    return any(
        before in row.links and after in row.links for row in marking.rows if row.side == side
    )


def signs(marking: Marking, plan: Elevation, pen: Pen) -> str:
    """All signs of stations, each with its words for those who listen."""
    made = []
    radius = _radius(pen)
    for mark in shown(marking, plan):
        at = place_of(mark.station, plan, pen)
        if at is None:
            continue
        words = spoken(mark)
        made.append(
            svg.group(
                [
                    svg.element("title", svg.escaped(words)),
                    station_sign(*at, pen, read=mark.readings > 0, radius=radius),
                ],
                data_station=mark.station.id,
                data_read="yes" if mark.readings else "no",
                role="img",
                aria_label=words,
            )
        )
    return svg.group(made, data_part="stations")


def _radius(pen: Pen) -> float:
    return min(6.0, max(4.0, 9 * pen.view.scale))


def reserved(marking: Marking, plan: Elevation, pen: Pen, labels: Labels) -> None:
    """Keep labels off the signs."""
    for mark in shown(marking, plan):
        at = place_of(mark.station, plan, pen)
        if at is not None:
            labels.sign(at, _radius(pen))


def spoken(mark: StationMark) -> str:
    """A station said aloud."""
    name = mark.station.id.replace("-", " ")
    if not mark.readings:
        return f"Gauge station {name}, not read" + (", read this next" if mark.next else "")
    return f"Gauge station {name}, {mark.readings} reading{'s' if mark.readings > 1 else ''}"


def names(marking: Marking, plan: Elevation, pen: Pen, labels: Labels) -> str:
    """The names of link stations and of ends not read, where there is room."""
    made = []
    for mark in shown(marking, plan):
        at = place_of(mark.station, plan, pen)
        if at is None or mark.next:
            continue
        name = NAMES.get(mark.station.link_station)
        if name is None:
            if mark.readings:
                continue
            name = mark.station.id.replace("gantry-", "").replace("bed-", "")
        if not mark.readings and marking.rows:
            name += ": not read"
        lines = (Words(name, SMALL_PX, pen.theme.meas),)
        spot = labels.place(lines, _spots(*at), must=False, suits=_can_be_led(at, lines, labels))
        if spot is None:
            continue
        made.append(_leader(at, lines, spot, labels, pen))
        made.append(written(lines, spot, halo=pen.theme.sheet))
    return "".join(made)


def _spots(x: float, y: float) -> list[Spot]:
    near = [Spot(x - 12, y + 4, "end"), Spot(x + 12, y + 4), Spot(x, y - 12, "middle")]
    far = [
        Spot(x + dx, y + dy, "start" if dx > 0 else "end")
        for dy in (-26, -40, 26, 40, -60, 60, -80, 80)
        for dx in (24, 44, 64, 90, -24, -44, -64, -90)
    ]
    return near + sorted(far, key=lambda spot: hypot(spot.x - x, spot.y - y))


def _leader_end(at: Point, lines: tuple[Words, ...], spot: Spot) -> Point | None:
    """Where the leader to a label ends; None for one that stands at its place."""
    box = box_of(lines, spot)
    middle = (box.top + box.bottom) / 2
    edge = box.left - 2 if box.left > at[0] else box.right + 2
    if abs(edge - at[0]) < 16 and abs(middle - at[1]) < 14:
        return None
    return None if box.left <= at[0] <= box.right else (edge, middle)


def _can_be_led(at: Point, lines: tuple[Words, ...], labels: Labels) -> Callable[[Spot], bool]:
    def suits(spot: Spot) -> bool:
        end = _leader_end(at, lines, spot)
        return end is None or labels.open_to(at, end)

    return suits


def _leader(at: Point, lines: tuple[Words, ...], spot: Spot, labels: Labels, pen: Pen) -> str:
    end = _leader_end(at, lines, spot)
    if end is None:
        return ""
    labels.rule(at, end)
    return svg.line(*at, *end, stroke=pen.theme.meas, stroke_width=0.9)


def next_gauge(marking: Marking, plan: Elevation, pen: Pen, labels: Labels) -> str:
    """A dial with its words at the station to read next, led to the place: smaller, then with
    fewer words, where there is no other room beside the parts."""
    mark = next((m for m in marking.stations if m.next), None)
    at = place_of(mark.station, plan, pen) if mark is not None else None
    if mark is None or at is None:
        return ""
    theme = pen.theme
    name = NAMES.get(mark.station.link_station, mark.station.id.replace("-", " "))
    lines = (
        Words("read next", 14, theme.meas, bold=True),
        Words(name, SMALL_PX, theme.soft),
    )
    spots = list(labels.everywhere(Spot(at[0] + 60, at[1] - 60)))
    short = (Words("next", 13, theme.meas, bold=True),)
    for said, radius, keep_off in (
        (lines, DIAL_PX, True),
        (lines, SMALL_DIAL_PX, True),
        (short, SMALL_DIAL_PX, True),
        (short, SMALL_DIAL_PX, False),
    ):
        for spot in spots:
            text = box_of(said, spot)
            for dial, whole in (_dial_beside(text, radius), _dial_over(text, radius)):
                if crossed(text, at, dial):
                    continue
                if labels.clear(whole, keep_off_parts=keep_off) and labels.open_to(at, dial):
                    labels.reserve(whole)
                    labels.rule(at, dial)
                    return _dial(at, dial, radius, pen) + written(said, spot, halo=theme.sheet)
    return ""


def _dial_beside(text: Box, radius: float) -> tuple[Point, Box]:
    """The middle of a dial left of its words, and what both take."""
    middle = text.left - radius - 8, (text.top + text.bottom) / 2
    high = max(radius + 2, (text.bottom - text.top) / 2 + 4)
    left, right = text.left - 2 * radius - 12, text.right + 6
    return middle, Box(left, middle[1] - high, right, middle[1] + high)


def _dial_over(text: Box, radius: float) -> tuple[Point, Box]:
    """The same for a dial over its words, where there is little room across."""
    middle = (text.left + text.right) / 2, text.top - radius - 4
    return middle, Box(text.left - 4, text.top - 2 * radius - 7, text.right + 4, text.bottom + 3)


def _dial(at: Point, middle: Point, radius: float, pen: Pen) -> str:
    meas, sheet = pen.theme.meas, pen.theme.sheet
    x, y = middle
    ticks = [
        (
            (x + 0.74 * radius * cos(k * pi / 6), y + 0.74 * radius * sin(k * pi / 6)),
            (x + 0.86 * radius * cos(k * pi / 6), y + 0.86 * radius * sin(k * pi / 6)),
        )
        for k in range(12)
    ]
    return svg.group(
        (
            svg.line(*at, x, y, stroke=meas, stroke_width=0.9),
            svg.circle(x, y, radius, fill=sheet, stroke=meas, stroke_width=1.8),
            svg.strokes(ticks, stroke=meas, stroke_width=0.8),
            svg.line(
                x,
                y,
                x + 0.45 * radius,
                y - radius / 2,
                stroke=meas,
                stroke_width=1.8,
                stroke_linecap="round",
            ),
            svg.circle(x, y, 1.8, fill=meas),
        ),
        data_part="next-gauge",
    )
