"""What moves: carriages on their guides, the beam and the head."""

from __future__ import annotations

from plumbrise.drawing import svg
from plumbrise.drawing.geometry import ROLLER_MM, Elevation
from plumbrise.drawing.pen import Pen

HEAD_WIDTH_MM, HEAD_HEIGHT_MM = 44.0, 56.0


def carriage(end: str, plan: Elevation, pen: Pen) -> str:
    """One carriage: its plate with rollers, bushings or blocks, both sides of the pillar."""
    view, drop = pen.view, pen.drop(end)
    x = plan.guides[0] if end == "left" else plan.guides[1]
    y = plan.beam_middle
    half_w, half_h = plan.carriage_width / 2, plan.carriage_height / 2 + 4
    plate = svg.rect(
        view.x(x - half_w),
        view.y(y - half_h) + drop,
        view.x(x + half_w),
        view.y(y + half_h) + drop,
        round_px=5 * view.scale,
        fill_opacity=None,
        **pen.outline("carriages"),
    )
    inner = _GUIDES.get(plan.guide_kind, _rollers)(x, y, drop, plan, pen)
    return plate + inner


def _rollers(x: float, y: float, drop: float, plan: Elevation, pen: Pen) -> str:
    view, made = pen.view, []
    dx = plan.pillar_width / 2 + ROLLER_MM / 2
    dy = plan.carriage_height / 2 - ROLLER_MM / 3
    for sx in (-1, 1):
        for sy in (-1, 1):
            at = view.x(x + sx * dx), view.y(y + sy * dy) + drop
            made += [
                svg.circle(*at, ROLLER_MM / 2 * view.scale, **pen.outline("carriages")),
                svg.circle(*at, 0.66 * ROLLER_MM / 2 * view.scale, **pen.thin("carriages")),
                svg.circle(*at, max(1.2, 2.6 * view.scale), **pen.outline("carriages")),
            ]
    return "".join(made)


def _bushings(x: float, y: float, drop: float, plan: Elevation, pen: Pen) -> str:
    view, made = pen.view, []
    for sy in (-1, 1):
        low = y + sy * plan.carriage_height * 0.25
        left, right = view.x(x - 8), view.x(x + 8)
        top, bottom = view.y(low + 9) + drop, view.y(low - 9) + drop
        made.append(svg.rect(left, top, right, bottom, **pen.outline("carriages")))
        made.append(
            svg.strokes(
                [((view.x(x + d), top), (view.x(x + d), bottom)) for d in (-5, 5)],
                **pen.thin("carriages"),
            )
        )
    return "".join(made)


def _blocks(x: float, y: float, drop: float, plan: Elevation, pen: Pen) -> str:
    view, made = pen.view, []
    for sy in (-1, 1):
        low = y + sy * plan.carriage_height * 0.25
        made.append(
            svg.rect(
                view.x(x - 11),
                view.y(low - 10) + drop,
                view.x(x + 11),
                view.y(low + 10) + drop,
                **pen.outline("carriages"),
            )
        )
        for dx in (-6, 6):
            for dy in (-5, 5):
                made.append(
                    svg.circle(
                        view.x(x + dx),
                        view.y(low + dy) + drop,
                        max(1.0, 1.5 * view.scale),
                        **pen.thin("carriages"),
                    )
                )
    return "".join(made)


_GUIDES = {"rollers": _rollers, "rods": _bushings, "rails": _blocks}


def beam_corners(plan: Elevation, pen: Pen, *, moved: bool = True) -> list[tuple[float, float]]:
    """The four corners of the beam on the sheet, from the lower left on."""
    view = pen.view
    left, right = view.x(plan.guides[0] + 20), view.x(plan.guides[1] - 20)
    low, high = view.y(plan.beam_low), view.y(plan.beam_low + plan.beam_height)
    at_left = pen.drop("left") if moved else 0.0
    at_right = pen.drop("right") if moved else 0.0
    return [
        (left, low + at_left),
        (right, low + at_right),
        (right, high + at_right),
        (left, high + at_left),
    ]


def beam(plan: Elevation, pen: Pen) -> str:
    """The beam between the carriages; it takes the colour of racking."""
    corners = beam_corners(plan, pen)
    fill = pen.link_fill("racking", "")
    (x1, y1), (x2, y2), (_, y3), (_, y4) = corners
    grooves = [((x1, y1 + share * (y4 - y1)), (x2, y2 + share * (y3 - y2))) for share in (0.4, 0.6)]
    return svg.path(corners, closed=True, **pen.outline("beam", fill)) + svg.strokes(
        grooves, **pen.groove("beam")
    )


def head_x(plan: Elevation) -> float:
    """Where the head stands on the beam, mm: the middle."""
    return sum(plan.guides) / 2


def head(plan: Elevation, pen: Pen) -> str:
    """The head with its fan and nozzle."""
    view = pen.view
    x, y = head_x(plan), plan.beam_middle - 8
    drop = (pen.drop("left") + pen.drop("right")) / 2
    half = HEAD_WIDTH_MM / 2

    def at(dx: float, dy: float) -> tuple[float, float]:
        return view.x(x + dx), view.y(y + dy) + drop

    low = -HEAD_HEIGHT_MM / 2
    nozzle = [at(-5, low - 12), at(5, low - 12), at(1.2, low - 18), at(-1.2, low - 18)]
    return "".join(
        (
            svg.rect(*at(-3, low), *at(3, low - 5), **pen.outline("head")),
            svg.rect(*at(-9, low - 4), *at(9, low - 12), **pen.outline("head")),
            svg.path(nozzle, closed=True, **pen.outline("head")),
            svg.rect(
                *at(-half, low), *at(half, -low), round_px=3 * view.scale, **pen.outline("head")
            ),
            svg.circle(*at(0, 2), 15 * view.scale, **pen.thin("head")),
            svg.circle(*at(0, 2), 4 * view.scale, **pen.thin("head")),
        )
    )


def told_place(plan: Elevation, pen: Pen) -> str:
    """Phantom outlines where the moving part was told to be."""
    view, made = pen.view, []
    made.append(svg.path(beam_corners(plan, pen, moved=False), closed=True, **pen.phantom()))
    half_w, half_h = plan.carriage_width / 2, plan.carriage_height / 2 + 4
    for x in plan.guides:
        made.append(
            svg.rect(
                view.x(x - half_w),
                view.y(plan.beam_middle - half_h),
                view.x(x + half_w),
                view.y(plan.beam_middle + half_h),
                round_px=5 * view.scale,
                **pen.phantom(),
            )
        )
    return svg.group(made, data_part="told-place")
