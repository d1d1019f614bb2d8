"""The motor with a window broken out of its body: rotor, bearings and the washer under them."""

from __future__ import annotations

from typing import Any

from plumbrise.drawing import svg
from plumbrise.drawing.geometry import PLATE_MM, SHAFT_MM, Elevation, ScrewPlace
from plumbrise.drawing.pen import Pen

SEAT_LINE_PX = 3.2


def motor(screw: ScrewPlace, plan: Elevation, pen: Pen) -> str:
    """One motor on its plate. The wave washer is the seat and takes the seat's colour."""
    view, x = pen.view, screw.motor_x
    size = screw.motor_size
    half, top = size / 2, screw.foot + 0.95 * size
    made = []
    if screw.inward:
        guide = plan.guides[0] if screw.inward > 0 else plan.guides[1]
        face = guide - screw.inward * plan.pillar_width / 2
        arm = face - screw.inward * 8
        made += [
            svg.rect(
                view.x(arm),
                view.y(top - 0.75 * size),
                view.x(face),
                view.y(top + PLATE_MM),
                **pen.outline("motor"),
            ),
            svg.rect(
                view.x(x - screw.inward * (half + 3)),
                view.y(top),
                view.x(face),
                view.y(top) - pen.size(PLATE_MM),
                **pen.outline("motor"),
            ),
        ]
    else:
        made.append(
            svg.rect(
                view.x(min(x - half - 2, screw.x - 12)),
                view.y(top),
                view.x(max(x + half + 2, screw.x + 12)),
                view.y(top) - pen.size(PLATE_MM),
                **pen.outline("motor"),
            )
        )
    made.append(
        svg.rect(
            view.x(x - half),
            view.y(screw.foot),
            view.x(x + half),
            view.y(top),
            round_px=2 * view.scale,
            **pen.outline("motor"),
        )
    )
    made.append(_window(screw, pen))
    made.append(
        svg.rect(
            view.x(x) - pen.size(SHAFT_MM) / 2,
            view.y(top - 0.3 * size),
            view.x(x) + pen.size(SHAFT_MM) / 2,
            view.y(screw.coupling_low + (6 if screw.belt_y is None else 0)),
            **pen.outline("motor"),
        )
    )
    if screw.belt_y is not None:
        made.append(_stub(screw, top, pen))
    return "".join(made)


def _stub(screw: ScrewPlace, top: float, pen: Pen) -> str:
    """The shaft under a screw that a belt turns, and the post that holds its bearing."""
    view, half = pen.view, pen.size(SHAFT_MM) / 2
    x = view.x(screw.x)
    post = svg.rect(
        view.x(screw.x - 9),
        view.y(screw.foot),
        view.x(screw.x + 9),
        view.y(top),
        **pen.outline("motor"),
    )
    shaft = svg.rect(
        x - half, view.y(top), x + half, view.y(screw.coupling_low + 6), **pen.outline("motor")
    )
    return post + shaft


def _window(screw: ScrewPlace, pen: Pen) -> str:
    view, x, size = pen.view, screw.motor_x, screw.motor_size
    low, tall = screw.foot + 0.12 * size, 0.71 * size

    def box(dx: float, from_low: float, to_low: float, half: float, style: dict[str, Any]) -> str:
        return svg.rect(
            view.x(x + dx - half),
            view.y(low + from_low),
            view.x(x + dx + half),
            view.y(low + to_low),
            **style,
        )

    made = [box(0, 0, tall, 0.38 * size, pen.thin("motor", pen.theme.sheet))]
    rotor_low, rotor_high = 0.26 * tall, 0.76 * tall
    made.append(box(0, rotor_low, rotor_high, 0.24 * size, pen.outline("motor")))
    laminations = [rotor_low + (i + 1) * (rotor_high - rotor_low) / 6 for i in range(5)]
    made.append(
        svg.strokes(
            [
                (
                    (view.x(x - 0.24 * size), view.y(low + h)),
                    (view.x(x + 0.24 * size), view.y(low + h)),
                )
                for h in laminations
            ],
            **pen.groove("motor"),
        )
    )
    bearing = 0.075 * size
    for bottom in (0.02 * tall, 0.82 * tall):
        for side in (-1, 1):
            dx = side * 0.17 * size
            made.append(
                box(dx, bottom, bottom + 0.15 * tall, bearing, pen.thin("motor", pen.theme.sheet))
            )
            cross = [
                ((dx - bearing, bottom), (dx + bearing, bottom + 0.15 * tall)),
                ((dx - bearing, bottom + 0.15 * tall), (dx + bearing, bottom)),
            ]
            made.append(
                svg.strokes(
                    [
                        ((view.x(x + a), view.y(low + b)), (view.x(x + c), view.y(low + d)))
                        for (a, b), (c, d) in cross
                    ],
                    **pen.groove("motor"),
                )
            )
    made.append(_washer(screw, low + 0.17 * tall, low + 0.26 * tall, pen))
    made.append(box(0, 0.0, rotor_low, 2.5, pen.outline("motor")))
    return "".join(made)


def _washer(screw: ScrewPlace, low: float, high: float, pen: Pen) -> str:
    """A wave washer between the lower bearing and the rotor; shared stripes need an area, so
    the seat is a band with the wave drawn over it."""
    view, half = pen.view, 0.29 * screw.motor_size
    fill = pen.link_fill("seat", screw.side)
    band = svg.rect(
        view.x(screw.motor_x - half),
        view.y(low - 1),
        view.x(screw.motor_x + half),
        min(view.y(high), view.y(low - 1) - 3),
        fill=fill,
        stroke=pen.theme.ink,
        stroke_width=0.8,
    )
    waves = [
        (
            view.x(screw.motor_x - half + 2 * half * i / 8),
            view.y(high - 0.4 if i % 2 else low - 0.6),
        )
        for i in range(9)
    ]
    return band + svg.path(
        waves, fill="none", stroke=pen.theme.ink, stroke_width=0.9, stroke_linejoin="round"
    )


TOP_BLOCK_MM = 9.0
BLOCK_HEIGHT_MM = 26.0
"""From under the block to the top of the collar."""


def block_low(screw: ScrewPlace) -> float:
    """Where a bearing block begins, mm: above the coupling, or at the foot of a screw that no
    motor stands under."""
    return screw.coupling_high + 5 if screw.has_motor else screw.foot + 4


def block_reach(screw: ScrewPlace, plan: Elevation) -> tuple[float, float]:
    """From where to where a block on the frame goes across: its free edge, and where it is held."""
    if not screw.inward:
        return screw.x - 16, screw.x + 16
    guide = plan.guides[0] if screw.inward > 0 else plan.guides[1]
    return screw.x - screw.inward * 14, guide - screw.inward * plan.pillar_width / 2


def top_block_low(screw: ScrewPlace, plan: Elevation) -> float:
    """Height of the underside of the block that holds the top of a screw."""
    return min(screw.high - 3, plan.pillar_top) - TOP_BLOCK_MM


def top_block(screw: ScrewPlace, plan: Elevation, pen: Pen) -> str:
    """A block on the frame that holds the top of a screw sideways."""
    view, low = pen.view, top_block_low(screw, plan)
    edge, face = block_reach(screw, plan)
    ball = max(1.2, 1.6 * view.scale)
    made = [
        svg.rect(
            view.x(edge),
            view.y(low),
            view.x(face),
            view.y(low + TOP_BLOCK_MM),
            **pen.outline("top"),
        )
    ]
    for dx in (-7, 7):
        made.append(
            svg.circle(
                view.x(screw.x + dx),
                view.y(low + TOP_BLOCK_MM / 2),
                ball,
                **pen.thin("top", pen.theme.sheet),
            )
        )
    return svg.group(made, data_part=f"top-{screw.side}")


def bearing_block(screw: ScrewPlace, plan: Elevation, pen: Pen) -> str:
    """A block on the frame with two washers, balls and a collar: the weight goes to the pillar.

    It stands just above the coupling, or holds the foot of a screw without a motor.
    """
    view, x = pen.view, screw.x
    low = block_low(screw)
    edge, face = block_reach(screw, plan)
    part = "bearing"
    made = [
        svg.rect(view.x(edge), view.y(low), view.x(face), view.y(low + 9), **pen.outline(part)),
        svg.rect(
            view.x(x - 10),
            view.y(low + 9),
            view.x(x + 10),
            view.y(low + 11.5),
            **pen.thin(part, pen.theme.sheet),
        ),
    ]
    for dx in (-7, 0, 7):
        made.append(
            svg.circle(
                view.x(x + dx),
                view.y(low + 13.2),
                max(1.2, 1.7 * view.scale),
                **pen.thin(part, pen.theme.sheet),
            )
        )
    made += [
        svg.rect(
            view.x(x - 10),
            view.y(low + 15),
            view.x(x + 10),
            view.y(low + 17.5),
            **pen.thin(part, pen.theme.sheet),
        ),
        svg.rect(
            view.x(x - 8), view.y(low + 17.5), view.x(x + 8), view.y(low + 26), **pen.outline(part)
        ),
        svg.circle(view.x(x), view.y(low + 21.7), max(1.0, 1.4 * view.scale), **pen.thin(part)),
    ]
    return svg.group(made, data_part=f"bearing-{screw.side}")
