"""The nut and the bracket that carries the moving part on it."""

from __future__ import annotations

from plumbrise.drawing import svg
from plumbrise.drawing.geometry import Elevation, ScrewPlace
from plumbrise.drawing.pen import Pen

BRACKET_MM = 6.0
FLANGE_MM = 4.0
BODY_MM = 11.0
GAP_MM = 3.0


def bracket(place: ScrewPlace, plan: Elevation, pen: Pen) -> str:
    """The plate between nut and carriage, with its gusset."""
    view, drop = pen.view, pen.drop(place.side)
    y = place.nut
    fill = pen.link_fill("bracket", place.side)
    if not place.inward:
        points = [(-15.0, 0.0), (-15.0, BRACKET_MM - 2), (15.0, BRACKET_MM - 2), (15.0, 0.0)]
        corners = [(place.x + dx, y + dy) for dx, dy in points]
    else:
        reach = _reach(place, plan)
        corners = [
            (place.x - place.inward * 15 if i == 0 else place.x + place.inward * dx, y + dy)
            for i, (dx, dy) in enumerate(
                (
                    (0.0, 0.0),
                    (-15.0, BRACKET_MM),
                    (reach, BRACKET_MM),
                    (reach, -16.0),
                    (reach - 6, -16.0),
                    (reach - 14, 0.0),
                )
            )
        ]
    at = [(view.x(x), view.y(h) + drop) for x, h in corners]
    made = [svg.path(at, closed=True, **pen.outline("bracket", fill))]
    if place.inward:
        for dx in (-10.0, 10.0):
            made.append(
                svg.circle(
                    view.x(place.x + dx),
                    view.y(y + BRACKET_MM / 2) + drop,
                    max(1.0, 1.4 * view.scale),
                    **pen.thin("bracket", pen.theme.sheet),
                )
            )
    return "".join(made)


def _reach(place: ScrewPlace, plan: Elevation) -> float:
    guide = plan.guides[0] if place.inward > 0 else plan.guides[1]
    return abs(guide - place.x) - plan.carriage_width / 2 + 14


def nut(place: ScrewPlace, pen: Pen) -> str:
    """Body and flange; hanging from the bracket or standing under it with the body upward. A
    floating nut shows a gap with balls between flange and bracket."""
    view, drop, x = pen.view, pen.drop(place.side), place.x
    fill = pen.link_fill("nut", place.side)
    gap = GAP_MM if place.nut_kind == "floating" else 0.0
    flange_high = place.nut - gap
    flange_low = flange_high - FLANGE_MM

    def box(half: float, low: float, high: float) -> str:
        return svg.rect(
            view.x(x - half),
            view.y(low) + drop,
            view.x(x + half),
            view.y(high) + drop,
            **pen.outline("nut", fill),
        )

    made = []
    if place.nut_mount == "hanging" or not place.inward:
        made.append(box(5.5, flange_low - BODY_MM, flange_low))
    else:
        made.append(box(5.5, flange_low - BODY_MM * 0.45, flange_low))
        made.append(box(5.5, place.nut + BRACKET_MM, place.nut + BRACKET_MM + BODY_MM * 0.55))
    made.append(box(11.0, flange_low, flange_high))
    if place.nut_kind == "split":
        made.append(
            svg.strokes(
                [
                    (
                        (view.x(x - 5.5), view.y(flange_low - 5) + drop),
                        (view.x(x + 5.5), view.y(flange_low - 5) + drop),
                    )
                ],
                **pen.thin("nut"),
            )
        )
    if gap:
        for dx in (-8.0, 8.0):
            made.append(
                svg.circle(
                    view.x(x + dx),
                    view.y(place.nut - gap / 2) + drop,
                    max(1.2, gap / 2 * view.scale),
                    **pen.thin("nut", pen.theme.sheet),
                )
            )
    return "".join(made)
