"""The bed: standing on springs under a gantry, or carried by three screws."""

from __future__ import annotations

from plumbrise.drawing import svg
from plumbrise.drawing.geometry import Elevation
from plumbrise.drawing.pen import Pen


def standing_bed(plan: Elevation, pen: Pen) -> str:
    """Bed plate, springs, carrier and wheels on the base."""
    view = pen.view
    span = plan.guides[1] - plan.guides[0]
    x, floor = sum(plan.guides) / 2, plan.base_top
    wide, narrow = 0.36 * span, 0.29 * span
    made = []
    for side in (-1, 1):
        wheel = view.x(x + side * 0.22 * span), view.y(floor + 9)
        made += [
            svg.circle(*wheel, 9 * view.scale, **pen.outline("bed")),
            svg.circle(*wheel, 2.4 * view.scale, **pen.thin("bed")),
        ]
    low = view.y(floor + 19)
    made.append(
        svg.rect(
            view.x(x - narrow), low, view.x(x + narrow), low - pen.size(6), **pen.outline("bed")
        )
    )
    for side in (-1, 1):
        at = x + side * 0.27 * span
        coil = [
            (view.x(at + (5 if i % 2 else -5)), view.y(floor + 25 + i * 28 / 7)) for i in range(8)
        ]
        made.append(svg.path(coil, **pen.thin("bed")))
    plate = view.y(floor + 53)
    made.append(
        svg.rect(
            view.x(x - wide), plate, view.x(x + wide), plate - pen.size(5), **pen.outline("bed")
        )
    )
    return svg.group(made, data_part="bed")


def _top_edge(plan: Elevation, pen: Pen, *, moved: bool) -> list[tuple[float, float]]:
    left, back, right = plan.screws
    drops = [pen.drop(s.side) if moved else 0.0 for s in plan.screws]
    over = 22.0
    y = pen.view.y(plan.beam_low + plan.beam_height)
    return [
        (pen.view.x(left.x - over), y + drops[0]),
        (pen.view.x(left.x), y + drops[0]),
        (pen.view.x(back.x), y + drops[1]),
        (pen.view.x(right.x), y + drops[2]),
        (pen.view.x(right.x + over), y + drops[2]),
    ]


def carried_bed(plan: Elevation, pen: Pen) -> str:
    """The bed plate on three screws, each over its own: left, back and right side by side."""
    top = _top_edge(plan, pen, moved=True)
    thick = pen.size(plan.beam_height)
    outline = [*top, *((x, y + thick) for x, y in reversed(top))]
    return svg.path(outline, closed=True, **pen.outline("bed"))


def told_bed(plan: Elevation, pen: Pen) -> str:
    """Phantom outline where the bed was told to be."""
    top = _top_edge(plan, pen, moved=False)
    thick = pen.size(plan.beam_height)
    outline = [*top, *((x, y + thick) for x, y in reversed(top))]
    return svg.group([svg.path(outline, closed=True, **pen.phantom())], data_part="told-place")
