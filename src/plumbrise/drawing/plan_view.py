"""The small plan of a bed on three screws: what each place loses, and which way the bed tilts."""

from __future__ import annotations

from math import hypot

from plumbrise.drawing import svg
from plumbrise.drawing.figures import value_and_doubt
from plumbrise.drawing.letters import Box
from plumbrise.drawing.marking import Marking
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.tokens import SMALL_PX, ramp_step
from plumbrise.machine import Machine, known

LEAST_TILT_MM = 0.005


def plan_view(machine: Machine, marking: Marking, pen: Pen, room: Box) -> str:
    """Bed from above, front edge below, with its three places in the colour of their loss."""
    theme = pen.theme
    span, depth = known(machine, "guide.span_mm").value, known(machine, "guide.depth_mm").value
    inner = Box(room.left + 46, room.top + 34, room.right - 46, room.bottom - 42)
    scale = min((inner.right - inner.left) / span, (inner.bottom - inner.top) / depth)
    x, y = (inner.left + inner.right) / 2, (inner.top + inner.bottom) / 2
    half_w, half_d = span * scale / 2, depth * scale / 2
    places = {
        "left": (x - half_w, y + half_d),
        "right": (x + half_w, y + half_d),
        "back": (x, y - half_d),
    }
    made = [svg.rect(x - half_w, y - half_d, x + half_w, y + half_d, **pen.outline("bed"))]
    for name, at in places.items():
        end = marking.end(name)
        fill = theme.sheet if end is None else theme.ramp[ramp_step(end.loss.value)]
        made += [
            svg.circle(*at, 9, **pen.outline("screw", fill)),
            svg.circle(*at, 2.6, **pen.thin("screw")),
        ]
        words = name if end is None else f"{name} {value_and_doubt(end.loss)[0]}"
        below = name != "back"
        made.append(
            svg.text(
                words,
                at[0],
                at[1] + (24 if below else -15),
                SMALL_PX,
                fill=theme.ink,
                anchor="middle",
            )
        )
    made.append(_tilt(marking, span, depth, x, y, half_d, pen))
    made.append(svg.text("from above", x, room.bottom - 2, 12, fill=theme.soft, anchor="middle"))
    return svg.group(made, data_part="plan")


def slope(marking: Marking) -> tuple[float, float] | None:
    """How much lower the right than the left and the back than the front stands, mm."""
    ends = [marking.end(name) for name in ("left", "right", "back")]
    if any(end is None for end in ends):
        return None
    left, right, back = (end.loss.value for end in ends if end is not None)
    return right - left, back - (left + right) / 2


def _tilt(
    marking: Marking, span: float, depth: float, x: float, y: float, half_d: float, pen: Pen
) -> str:
    found = slope(marking)
    if found is None:
        return ""
    soft, ink = pen.theme.soft, pen.theme.ink
    across, back = found
    if max(abs(across), abs(back)) < LEAST_TILT_MM:
        return svg.text("level", x, y + 4, SMALL_PX, fill=soft, anchor="middle")
    gx, gy = across / span, back / depth
    size = hypot(gx, gy)
    length = min(0.9 * half_d, 40.0)
    dx, dy = gx / size, -gy / size
    tail = x - dx * length / 2, y - dy * length / 2 - 8
    tip = x + dx * length / 2, y + dy * length / 2 - 8
    if abs(back) >= abs(across):
        words = f"tilts {'back' if back > 0 else 'forward'} {abs(back):.2f} mm"
    else:
        words = f"tilts {'right' if across > 0 else 'left'} {abs(across):.2f} mm"
    shaft = svg.line(*tail, *tip, stroke=ink, stroke_width=1)
    wings = _wings(tip, dx, dy)
    return (
        shaft
        + svg.path(wings, closed=True, fill=ink)
        + svg.text(words, x, y + half_d - 8, 12, fill=soft, anchor="middle")
    )


def _wings(tip: tuple[float, float], dx: float, dy: float) -> tuple[tuple[float, float], ...]:
    back = tip[0] - 7 * dx, tip[1] - 7 * dy
    return (
        tip,
        (back[0] - 2.8 * dy, back[1] + 2.8 * dx),
        (back[0] + 2.8 * dy, back[1] - 2.8 * dx),
    )
