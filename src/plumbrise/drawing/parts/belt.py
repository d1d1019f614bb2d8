"""Belts and pulleys: the belt that ties two screws, and a belt between motor and screw."""

from __future__ import annotations

from plumbrise.drawing import svg
from plumbrise.drawing.geometry import BELT_MM, PULLEY_MM, Elevation, ScrewPlace
from plumbrise.drawing.pen import Pen

LEAST_TOOTH_PX = 4.0
TOOTH_MM = 2.0
PULLEY_HALF_MM = 11.0


def tie(plan: Elevation, pen: Pen) -> str:
    """The belt that ties the screws, on top, with a pulley on each."""
    if plan.tie_y is None:
        return ""
    view, y = pen.view, plan.tie_y
    driven = plan.screws[-1].side
    fill = pen.link_fill("tie", driven)
    left, right = view.x(plan.screws[0].x), view.x(plan.screws[-1].x)
    low, high = view.y(y - BELT_MM / 2), view.y(y + BELT_MM / 2)
    made = [svg.rect(left, low, right, high, **pen.outline("belt", fill))]
    made.append(_teeth(left, right, low, pen))
    for screw in plan.screws:
        made.append(pulley(screw.x, y, pen))
    return "".join(made)


def reduction(screw: ScrewPlace, pen: Pen) -> str:
    """The belt between a motor and its screw, with a pulley on each; "" where they are in line."""
    if screw.belt_y is None or not screw.has_motor:
        return ""
    view, y = pen.view, screw.belt_y
    left, right = sorted((view.x(screw.motor_x), view.x(screw.x)))
    low, high = view.y(y - BELT_MM / 2), view.y(y + BELT_MM / 2)
    made = [svg.rect(left, low, right, high, **pen.outline("belt")), _teeth(left, right, low, pen)]
    made += [pulley(x, y, pen) for x in (screw.motor_x, screw.x)]
    return svg.group(made, data_part=f"belt-{screw.side}")


def _teeth(left: float, right: float, low: float, pen: Pen) -> str:
    step = max(TOOTH_MM * pen.view.scale, LEAST_TOOTH_PX)
    teeth, x = [], left + step
    while x < right:
        teeth.append(((x, low), (x, low - 2)))
        x += step
    return svg.strokes(teeth, **pen.groove("belt"))


def pulley(x: float, y: float, pen: Pen) -> str:
    """A toothed pulley seen from the side, with its flanges."""
    view, half = pen.view, PULLEY_MM / 2
    return "".join(
        (
            svg.rect(
                view.x(x - 9),
                view.y(y - half),
                view.x(x + 9),
                view.y(y + half),
                **pen.outline("belt"),
            ),
            svg.rect(
                view.x(x - PULLEY_HALF_MM),
                view.y(y + half),
                view.x(x + PULLEY_HALF_MM),
                view.y(y + half) - 2.5,
                **pen.outline("belt"),
            ),
            svg.rect(
                view.x(x - PULLEY_HALF_MM),
                view.y(y - half),
                view.x(x + PULLEY_HALF_MM),
                view.y(y - half) + 2.5,
                **pen.outline("belt"),
            ),
        )
    )
