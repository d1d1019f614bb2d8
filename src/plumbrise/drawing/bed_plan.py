"""A small plan of a bed on three screws: what each place loses, and which way it tilts."""

from __future__ import annotations

from math import hypot

from plumbrise.drawing import svg
from plumbrise.drawing.figures import value_and_doubt
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.tokens import SMALL_PX, ramp_step
from plumbrise.quantity import plain

SIDE_PX = 120.0
WIDTH_PX, HEIGHT_PX = 210.0, 214.0
LEVEL_MM = 0.01
"""A tilt smaller than this is not pointed at."""


def drawn(pen: Pen, left: float, top: float, *, span_mm: float, depth_mm: float) -> str:
    """The plan seen from above, front below; a disc for each screw in the colour of its loss."""
    theme = pen.theme
    lost = {end.end: end.loss for end in pen.marking.ends}
    x0, y0 = left + (WIDTH_PX - SIDE_PX) / 2, top + 34
    made = [
        svg.text(
            "seen from above",
            left + WIDTH_PX / 2,
            top + 12,
            SMALL_PX,
            fill=theme.soft,
            anchor="middle",
        ),
        svg.rect(
            x0, y0, x0 + SIDE_PX, y0 + SIDE_PX, fill=theme.sheet, stroke=theme.ink, stroke_width=1.5
        ),
    ]
    places = {
        "left": (x0, y0 + SIDE_PX),
        "right": (x0 + SIDE_PX, y0 + SIDE_PX),
        "back": (x0 + SIDE_PX / 2, y0),
    }
    for end, (x, y) in places.items():
        loss = lost.get(end)
        fill = theme.sheet if loss is None else theme.ramp[ramp_step(loss.value)]
        made += [
            svg.circle(x, y, 9, fill=fill, stroke=theme.ink, stroke_width=1.5),
            svg.circle(x, y, 3, fill="none", stroke=theme.ink, stroke_width=0.8),
        ]
        words = end if loss is None else f"{end} {value_and_doubt(loss)[0]}"
        at = (x, y + 26) if end != "back" else (x + 16, y - 6)
        anchor = "middle" if end != "back" else "start"
        made.append(svg.text(words, *at, SMALL_PX, fill=theme.ink, anchor=anchor))
    if len(lost) == len(places):
        made.append(
            _tilt({end: span.value for end, span in lost.items()}, x0, y0, pen, span_mm, depth_mm)
        )
    return svg.group(made, data_part="plan")


def _tilt(
    lost: dict[str, float], x0: float, y0: float, pen: Pen, span_mm: float, depth_mm: float
) -> str:
    """An arrow down the slope, and how much over the bed."""
    across = lost["right"] - lost["left"]
    back = lost["back"] - (lost["left"] + lost["right"]) / 2
    middle = x0 + SIDE_PX / 2, y0 + SIDE_PX / 2
    words_y = y0 + SIDE_PX + 46
    if max(abs(across), abs(back)) < LEVEL_MM:
        return svg.text(
            "level within 0.01 mm",
            middle[0],
            words_y,
            SMALL_PX,
            fill=pen.theme.soft,
            anchor="middle",
        )
    slope = across / span_mm, -back / depth_mm
    length = hypot(*slope)
    dx, dy = slope[0] / length, slope[1] / length
    tail = middle[0] - 24 * dx, middle[1] - 24 * dy
    head = middle[0] + 24 * dx, middle[1] + 24 * dy
    wing = 8.0
    left_wing = head[0] - wing * dx + 0.4 * wing * dy, head[1] - wing * dy - 0.4 * wing * dx
    right_wing = head[0] - wing * dx - 0.4 * wing * dy, head[1] - wing * dy + 0.4 * wing * dx
    if abs(across) >= abs(back):
        words = f"{'right' if across > 0 else 'left'} low by {plain(abs(across), 2)} mm"
    else:
        words = f"{'back' if back > 0 else 'front'} low by {plain(abs(back), 2)} mm"
    return (
        svg.line(*tail, *head, stroke=pen.theme.ink, stroke_width=1.2)
        + svg.path((head, left_wing, right_wing), closed=True, fill=pen.theme.ink)
        + svg.text(words, middle[0], words_y, SMALL_PX, fill=pen.theme.soft, anchor="middle")
    )
