"""The axis itself, part by part from back to front, and the rectangles its parts take."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from plumbrise.drawing import svg
from plumbrise.drawing.chain import link_reach
from plumbrise.drawing.geometry import Elevation, ScrewPlace
from plumbrise.drawing.ledger import spoken_row
from plumbrise.drawing.letters import Box
from plumbrise.drawing.parts import bed, belt, carriage, frame, motor, nut, screw
from plumbrise.drawing.parts.carriage import HEAD_HEIGHT_MM, HEAD_WIDTH_MM
from plumbrise.drawing.pen import Pen
from plumbrise.explain.causes import LINKS

LEAST_TARGET_PX = 24.0
RING_PX = 2.2


def axis(plan: Elevation, pen: Pen, *, interactive: bool) -> str:
    """All parts of the machine."""
    made = [frame.ground(plan, pen), frame.frame(plan, pen)]
    if plan.body == "bed":
        made += _with_carried_bed(plan, pen, interactive)
    else:
        made += _with_gantry(plan, pen, interactive)
    return svg.group(made, data_part="axis")


def _with_gantry(plan: Elevation, pen: Pen, interactive: bool) -> list[str]:
    made = [bed.standing_bed(plan, pen)]
    if pen.moved:
        made.append(carriage.told_place(plan, pen))
    plates = pen.of("carriages")
    gantry = "".join(carriage.carriage(end, plan, plates.at_end(end)) for end in ("left", "right"))
    made.append(_part("racking", "", gantry + carriage.beam(plan, pen), pen, interactive))
    made.append(svg.group([carriage.head(plan, pen)], data_part="head"))
    for place in plan.screws:
        made += _screw_column(place, plan, pen, interactive)
    if plan.tie_y is not None:
        tie = belt.tie(plan, pen.of("tie"))
        made.append(_part("tie", plan.screws[-1].side, tie, pen, interactive))
    return made


def _with_carried_bed(plan: Elevation, pen: Pen, interactive: bool) -> list[str]:
    made = []
    for place in plan.screws:
        made += _screw_column(place, plan, pen, interactive)
    if pen.moved:
        made.append(bed.told_bed(plan, pen))
    made.append(svg.group([bed.carried_bed(plan, pen)], data_part="bed"))
    return made


def _screw_column(place: ScrewPlace, plan: Elevation, pen: Pen, interactive: bool) -> list[str]:
    side = place.side
    made = []

    def own(part: str) -> Pen:
        return pen.of(f"{part}-{side}")

    def part(link: str, drawn: str) -> str:
        return _part(link, side, drawn + _target(link, place, plan, pen), pen, interactive)

    if place.has_motor:
        made.append(part("seat", motor.motor(place, plan, own("seat"))))
    made.append(belt.reduction(place, pen))
    made.append(part("screw", screw.screw(place, own("screw"))))
    coupling = screw.coupling(place, own("coupling"))
    if coupling:
        made.append(part("coupling", coupling))
    if place.thrust_bearing:
        made.append(motor.bearing_block(place, plan, own("bearing")))
    if place.top_held or f"top-{side}" in pen.marking.new:
        made.append(motor.top_block(place, plan, own("top")))
    made.append(part("nut", nut.nut(place, own("nut"))))
    made.append(part("bracket", nut.bracket(place, plan, own("bracket"))))
    return made


def _target(link: str, place: ScrewPlace, plan: Elevation, pen: Pen) -> str:
    """A stretch of the screw's axis wide enough to be pressed, with a ring where it was."""
    low, high = link_reach(link, place, plan, pen)
    x = pen.view.x(place.motor_x if link == "seat" else place.x)
    half = max(LEAST_TARGET_PX, pen.size(place.motor_size if link == "seat" else 0.0)) / 2
    area = svg.rect(x - half, high, x + half, low, fill="none", pointer_events="all")
    if pen.marking.pressed != link:
        return area
    return area + svg.rect(
        x - half - 4,
        high - 4,
        x + half + 4,
        low + 4,
        round_px=5,
        fill="none",
        stroke=pen.theme.meas,
        stroke_width=RING_PX,
    )


def _part(link: str, side: str, drawn: str, pen: Pen, interactive: bool) -> str:
    """A part of the load path with what it loses for those who listen, and to be pressed."""
    row = pen.marking.row_of(link, side)
    words = spoken_row(row) if row is not None else f"{LINKS[link]}, nothing read yet"
    name = f"{link}-{side}" if side else link
    return svg.group((drawn,), data_part=name, **svg.spoken_link(words, (link,), interactive))


def part_boxes(plan: Elevation, pen: Pen) -> list[Box]:
    """What labels keep off where they can, px."""
    view = pen.view

    def box(left: float, low: float, right: float, high: float, drop: float = 0.0) -> Box:
        return Box(view.x(left), view.y(high) + drop, view.x(right), view.y(low) + drop)

    half = plan.pillar_width / 2
    found = [box(x - half, plan.base_top, x + half, plan.pillar_top + 20) for x in plan.pillars]
    found.append(box(plan.base[0], -12, plan.base[1], plan.base_top))
    found.append(
        box(plan.pillars[0] - 20, plan.pillar_top, plan.pillars[1] + 20, plan.pillar_top + 20)
    )
    for place in plan.screws:
        wide = place.motor_size / 2 + 3
        found.append(box(place.x - 6, place.low, place.x + 6, place.high + 6))
        ends = sorted((place.x, place.motor_x))
        found.append(box(ends[0] - wide, place.foot, ends[1] + wide, place.coupling_high))
        found.append(
            box(place.x - 17, place.nut - 18, place.x + 17, place.nut + 12, pen.drop(place.side))
        )
    if plan.body == "bed":
        plate = box(plan.guides[0] - 24, plan.beam_low, plan.guides[1] + 24, plan.beam_low + 14)
        return [*found, _swept(plate, [drop for _, drop in pen.moved])]
    found += _gantry_boxes(plan, pen, box)
    span, x = plan.guides[1] - plan.guides[0], carriage.head_x(plan)
    found.append(box(x - 0.36 * span, plan.base_top, x + 0.36 * span, plan.base_top + 60))
    if plan.tie_y is not None:
        wide = belt.PULLEY_HALF_MM + 3
        low, high = plan.tie_y - wide, plan.tie_y + wide
        found.append(box(plan.screws[0].x - wide, low, plan.screws[-1].x + wide, high))
    return found


def _swept(still: Box, drops: Sequence[float]) -> Box:
    """What a part takes between where it was told to be and where it is drawn."""
    least, most = min([0.0, *drops]), max([0.0, *drops])
    return Box(still.left, still.top + least, still.right, still.bottom + most)


def _gantry_boxes(plan: Elevation, pen: Pen, box: Callable[..., Box]) -> list[Box]:
    """Beam, carriages and head, from where they were told to be to where they are drawn."""
    drops = [drop for _, drop in pen.moved]
    low, high = plan.beam_low, plan.beam_low + plan.beam_height
    found = [_swept(box(plan.guides[0], low, plan.guides[1], high), drops)]
    for end, x in zip(("left", "right"), plan.guides, strict=True):
        tall = plan.carriage_height / 2 + 6
        wide = plan.carriage_width / 2 + 2
        still = box(x - wide, plan.beam_middle - tall, x + wide, plan.beam_middle + tall)
        found.append(_swept(still, [pen.drop(end)]))
    x, half = carriage.head_x(plan), HEAD_WIDTH_MM / 2
    head = box(x - half, low - HEAD_HEIGHT_MM / 2 - 18, x + half, high + 20)
    found.append(_swept(head, drops))
    return found
