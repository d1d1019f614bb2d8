"""The screw with its thread, and the coupling by kind."""

from __future__ import annotations

from plumbrise.drawing import svg
from plumbrise.drawing.geometry import ScrewPlace
from plumbrise.drawing.pen import Pen

LEAST_THREAD_PX = 5.0


def screw(place: ScrewPlace, pen: Pen) -> str:
    """Outline at outer diameter, thread lines leaning as a right-hand thread leans."""
    view = pen.view
    half = pen.size(place.diameter) / 2
    x, low, high = view.x(place.x), view.y(place.low), view.y(place.high)
    bevel = min(half * 0.6, 2.5)
    outline = svg.path(
        (
            (x - half, low),
            (x - half, high + bevel),
            (x - half + bevel, high),
            (x + half - bevel, high),
            (x + half, high + bevel),
            (x + half, low),
        ),
        closed=True,
        **pen.outline("screw", pen.link_fill("screw", place.side)),
    )
    step = max((place.pitch or 2.0) * view.scale, LEAST_THREAD_PX)
    lean = min(half, step * 0.6)
    threads = []
    y = low - step
    while y - lean > high + bevel:
        threads.append(((x - half, y), (x + half, y - lean)))
        y -= step
    thread_style = pen.groove("screw") | {"stroke_width": 0.9}
    if "screw" not in pen.marking.assumed and not pen.new:
        thread_style["stroke"] = pen.theme.ink
    return (
        outline
        + svg.strokes(threads, **thread_style)
        + svg.line(x, low + 6, x, high - 12, **pen.centre())
    )


def coupling(place: ScrewPlace, pen: Pen) -> str:
    """The coupling, its kind to be seen: slanted cuts, teeth, a loose middle, or plain."""
    if place.coupling_kind == "none" or not place.has_motor:
        return ""
    draw = _KINDS.get(place.coupling_kind, _rigid)
    return draw(place, pen)


def _box(place: ScrewPlace, pen: Pen) -> tuple[float, float, float, float]:
    half = pen.size(place.coupling_width) / 2
    x = pen.view.x(place.x)
    return x - half, pen.view.y(place.coupling_low), x + half, pen.view.y(place.coupling_high)


def _body(place: ScrewPlace, pen: Pen) -> str:
    left, low, right, high = _box(place, pen)
    fill = pen.link_fill("coupling", place.side)
    return svg.rect(left, low, right, high, round_px=1.5, **pen.outline("coupling", fill))


def _screws(place: ScrewPlace, pen: Pen) -> str:
    _, low, _, high = _box(place, pen)
    x, radius = pen.view.x(place.x), max(1.2, 1.8 * pen.view.scale)
    return "".join(
        svg.circle(x, low + share * (high - low), radius, **pen.thin("coupling", pen.theme.sheet))
        for share in (0.15, 0.85)
    )


def _rigid(place: ScrewPlace, pen: Pen) -> str:
    return _body(place, pen) + _screws(place, pen)


def _helical(place: ScrewPlace, pen: Pen) -> str:
    left, low, right, high = _box(place, pen)
    cuts = [
        ((left, low + share * (high - low)), (right, low + (share + 0.1) * (high - low)))
        for share in (0.32, 0.47, 0.62)
    ]
    lines = svg.strokes(cuts, **(pen.thin("coupling") | {"stroke_width": 1.4}))
    return _body(place, pen) + lines + _screws(place, pen)


def _jaw(place: ScrewPlace, pen: Pen) -> str:
    left, low, right, high = _box(place, pen)
    a, b = low + 0.42 * (high - low), low + 0.58 * (high - low)
    steps = 6
    teeth = []
    for i in range(steps):
        x = left + (right - left) * i / steps
        next_x = left + (right - left) * (i + 1) / steps
        y = a if i % 2 else b
        teeth += [(x, y), (next_x, y)]
    return _body(place, pen) + svg.path(teeth, **pen.thin("coupling")) + _screws(place, pen)


def _disc(place: ScrewPlace, pen: Pen) -> str:
    left, low, right, high = _box(place, pen)
    a, b = low + 0.4 * (high - low), low + 0.6 * (high - low)
    inset = 0.16 * (right - left)
    fill = pen.link_fill("coupling", place.side)
    hubs = svg.rect(left, low, right, a, round_px=1.5, **pen.outline("coupling", fill)) + svg.rect(
        left, b, right, high, round_px=1.5, **pen.outline("coupling", fill)
    )
    middle = svg.rect(left + inset, a - 1, right - inset, b + 1, **pen.outline("coupling", fill))
    return middle + hubs + _screws(place, pen)


_KINDS = {"rigid": _rigid, "helical": _helical, "jaw": _jaw, "slotted-disc": _disc}
