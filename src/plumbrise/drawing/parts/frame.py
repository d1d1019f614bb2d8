"""Base, feet, ground, pillars and top beam."""

from __future__ import annotations

from plumbrise.drawing import svg
from plumbrise.drawing.geometry import FOOT_MM, TOP_BEAM_MM, Elevation
from plumbrise.drawing.pen import Pen


def ground(plan: Elevation, pen: Pen) -> str:
    """The surface that the machine stands on."""
    y = pen.view.y(plan.bottom)
    left, right = pen.view.x(plan.left) - 4, pen.view.x(plan.right) + 4
    strokes = []
    x = left + 6
    while x < right:
        strokes.append(((x, y), (x - 6, y + 6)))
        x += 9
    return svg.group(
        (
            svg.line(left, y, right, y, stroke=pen.theme.ink, stroke_width=0.8),
            svg.strokes(strokes, stroke=pen.theme.rule, stroke_width=0.7),
        )
    )


def frame(plan: Elevation, pen: Pen) -> str:
    """Feet, base, pillars, top beam, each outline with two groove lines."""
    view = pen.view
    made = []
    for foot in (plan.base[0] + 20, plan.base[1] - 40):
        made.append(
            svg.rect(
                view.x(foot), view.y(0), view.x(foot + 20), view.y(-FOOT_MM), **pen.outline("base")
            )
        )
    base_left, base_right = view.x(plan.base[0]), view.x(plan.base[1])
    top_left = view.x(plan.pillars[0] - plan.pillar_width / 2 - 10)
    top_right = view.x(plan.pillars[1] + plan.pillar_width / 2 + 10)
    base = svg.rect(base_left, view.y(0), base_right, view.y(plan.base_top), **pen.outline("base"))
    made.append(base)
    middle = plan.base_top / 2
    made.append(_grooves_across(base_left, base_right, middle, "base", pen))
    for x in plan.pillars:
        made.append(_pillar(x, plan, pen))
    high = plan.pillar_top + TOP_BEAM_MM
    made.append(
        svg.rect(
            top_left, view.y(plan.pillar_top), top_right, view.y(high), **pen.outline("pillars")
        )
    )
    made.append(
        _grooves_across(top_left, top_right, plan.pillar_top + TOP_BEAM_MM / 2, "pillars", pen)
    )
    for x in plan.pillars:
        for y in (plan.pillar_top + TOP_BEAM_MM / 2, plan.base_top - 8):
            made.append(svg.circle(view.x(x), view.y(y), 3.2 * view.scale, **pen.thin("pillars")))
    return svg.group(made, data_part="frame")


def _pillar(x: float, plan: Elevation, pen: Pen) -> str:
    half = plan.pillar_width / 2
    view = pen.view
    top, bottom = view.y(plan.pillar_top), view.y(plan.base_top)
    outline = svg.rect(view.x(x - half), bottom, view.x(x + half), top, **pen.outline("pillars"))
    lines = [((view.x(x + d), bottom), (view.x(x + d), top)) for d in (-half / 5, half / 5)]
    return outline + svg.strokes(lines, **pen.groove("pillars"))


def _grooves_across(left: float, right: float, y_mm: float, part: str, pen: Pen) -> str:
    ys = (pen.view.y(y_mm - 2), pen.view.y(y_mm + 2))
    return svg.strokes([((left, y), (right, y)) for y in ys], **pen.groove(part))
