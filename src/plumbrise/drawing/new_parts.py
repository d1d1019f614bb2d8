"""The axis with a set of changes made: new parts dashed, numbered as the list of parts has them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from plumbrise.drawing import svg
from plumbrise.drawing.balloons import NUMBER_PX, RADIUS_PX, Target, placed
from plumbrise.drawing.geometry import Elevation, ScrewPlace
from plumbrise.drawing.letters import Box, text_width
from plumbrise.drawing.marking import Called, Marking, assumed_parts
from plumbrise.drawing.parts.motor import (
    BLOCK_HEIGHT_MM,
    TOP_BLOCK_MM,
    block_low,
    top_block_low,
)
from plumbrise.drawing.pen import Pen
from plumbrise.machine import Machine
from plumbrise.redesign import Choice, PartLine
from plumbrise.redesign.machine_changed import machine_changed

COUPLING, SEAT, SCREW, NUT, BRACKET, BEARING, TOP = (
    "coupling",
    "seat",
    "screw",
    "nut",
    "bracket",
    "bearing",
    "top",
)
OF_A_SCREW = (SEAT, COUPLING, BEARING, SCREW, NUT, BRACKET, TOP)
TIE, CARRIAGES, BRACE, SPRING = "tie", "carriages", "brace", "spring"
END, FRAME = "end", "frame"
"""Places of work that are no part of their own: an end of the moving part, an upright."""
DRAWN_AS: dict[str, str | None] = {
    "Steel ball": COUPLING,
    "Rigid clamp coupling": COUPLING,
    "Coupling": COUPLING,
    "Step motor": SEAT,
    "Motor bracket": SEAT,
    "Motor cable": None,
    "Thrust bearing": BEARING,
    "Clamp collar": BEARING,
    "Radial bearing": TOP,
    "Bearing block": BEARING,
    "Shims": BEARING,
    "Lead screw": SCREW,
    "Nut": NUT,
    "Spring-split nut": NUT,
    "Floating nut mount": NUT,
    "Nut bracket": BRACKET,
    "Timing pulley": TIE,
    "Closed timing belt": TIE,
    "Belt tensioner with idler": TIE,
    "Carriage plates": CARRIAGES,
    "Constant-force spring": SPRING,
    "Gusset plate or brace": BRACE,
    "Switch bracket": None,
}
"""Where each part of the catalogue is seen on the drawing; None where it is not."""
BRACE_MM = 45.0


def changed(machine: Machine, choice: Choice) -> tuple[Machine, Marking]:
    """The machine after these changes, and what to write on its drawing.

    Numbers are those of `choice.parts`, counted from one.
    """
    after = machine_changed(machine, choice.changes)
    added = [side for side in after.screw_sides if side not in machine.screw_sides]
    called: dict[str, list[int]] = {}
    for number, line in enumerate(choice.parts, start=1):
        for part in _parts_of(line, after, added):
            called.setdefault(part, []).append(number)
    new = set(called) | {f"{part}-{side}" for side in added for part in OF_A_SCREW if part != TOP}
    words = {i: line.part.name.lower() for i, line in enumerate(choice.parts, start=1)}
    return after, Marking(
        assumed=assumed_parts(after),
        new=frozenset(new),
        called=tuple(
            Called(part, tuple(numbers), ", ".join(words[i] for i in numbers))
            for part, numbers in called.items()
        ),
    )


def _parts_of(line: PartLine, after: Machine, added: Sequence[str]) -> tuple[str, ...]:
    """The drawn parts that a line of the list belongs to: those of a screw at each screw, or at
    the added ones where there are too few for all."""
    part = DRAWN_AS.get(line.part.name)
    if part is None:
        return ()
    if part not in OF_A_SCREW:
        return (part,)
    sides = after.screw_sides if line.count >= len(after.screw_sides) else tuple(added)
    return tuple(f"{part}-{side}" for side in sides or after.screw_sides)


def margin_px(marking: Marking) -> float:
    """Room that the numbers need beside the axis."""
    return 14.0 + max((_width(numbers_words(c.numbers)) for c in marking.called), default=0.0)


def numbers_words(numbers: Sequence[int]) -> str:
    """Numbers as they stand in a balloon.

    Example:
        >>> numbers_words([3, 4, 5, 8]), numbers_words([2])
        ('3-5, 8', '2')
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        str(run[0]) if len(run) == 1 else f"{run[0]}{'-' if run[2:] else ', '}{run[-1]}"
        for run in runs
    )


def spoken(called: Called, *, at_work: bool) -> str:
    """A numbered part as said aloud.

    Example:
        >>> spoken(Called("nut-left", (2,), "nut"), at_work=False)
        'New, 2: nut'
    """
    return f"{'Step' if at_work else 'New,'} {numbers_words(called.numbers)}: {called.words}"


def drawn(marking: Marking, plan: Elevation, pen: Pen, figure: Box) -> str:
    """What only the changes bring, and a balloon for every part that is numbered."""
    if not marking.new:
        return ""
    made = [_brace(plan, pen.of(BRACE))] if BRACE in marking.new else []
    if SPRING in marking.new:
        made.append(_spring(plan, pen.of(SPRING)))
    at = [(c, _place(c.part, plan, pen)) for c in marking.called]
    left, right = _columns(marking, plan, pen, figure)
    targets = [
        Target(i, x, y, None if on_left is None else left if on_left else right)
        for i, (_, (x, y, on_left)) in enumerate(at)
    ]
    spots = placed(targets, figure)
    made += _balloons([c for c, _ in at], targets, spots, pen)
    return svg.group(made, data_part="new-parts")


def _columns(marking: Marking, plan: Elevation, pen: Pen, figure: Box) -> tuple[float, float]:
    """Where the numbers stand left and right of the axis."""
    room = margin_px(marking) / 2
    return (
        max(figure.left + room, pen.view.x(plan.left) - room),
        min(figure.right - room, pen.view.x(plan.right) + room),
    )


def _width(words: str) -> float:
    return max(2 * RADIUS_PX, text_width(words, NUMBER_PX, bold=True) + 12)


def _place(part: str, plan: Elevation, pen: Pen) -> tuple[float, float, bool | None]:
    """Where a part is on the sheet, and whether its number stands on the left; None puts it on
    the part."""
    view = pen.view
    kind, _, side = part.rpartition("-")
    if kind in OF_A_SCREW:
        screw = plan.screw_at(side)
        x = screw.motor_x if kind == SEAT else screw.x
        on_left: bool | None = screw.inward > 0 or screw.x < (plan.left + plan.right) / 2 - 1
        return view.x(x), view.y(_height(kind, screw, plan)), on_left
    if kind == END:
        return _end(side, plan, pen)
    if part == FRAME:
        return view.x(plan.pillars[0]), view.y((plan.base_top + plan.pillar_top) / 2), True
    if part == TIE:
        y = plan.tie_y if plan.tie_y is not None else plan.top
        return view.x((plan.left + plan.right) / 2), view.y(y), None
    if part == BRACE:
        return view.x(plan.pillars[0] + BRACE_MM / 3), view.y(plan.base_top + BRACE_MM / 3), True
    if part == SPRING:
        return view.x(plan.guides[-1]), view.y(_spring_mm(plan)), False
    return view.x(plan.guides[0]), view.y(plan.beam_middle), True


def _end(end: str, plan: Elevation, pen: Pen) -> tuple[float, float, bool | None]:
    """Where an end of the moving part is; "middle" for the whole of it."""
    left, right = plan.guides[0], plan.guides[-1]
    x = {"left": left, "right": right}.get(end, (left + right) / 2)
    on_left = None if end not in ("left", "right") else end == "left"
    return pen.view.x(x), pen.view.y(plan.beam_middle), on_left


def _height(kind: str, screw: ScrewPlace, plan: Elevation) -> float:
    return {
        SEAT: screw.foot + 0.5 * screw.motor_size,
        COUPLING: (screw.coupling_low + screw.coupling_high) / 2,
        BEARING: block_low(screw) + BLOCK_HEIGHT_MM / 2,
        SCREW: (screw.nut + screw.high) / 2,
        NUT: screw.nut - 9.0,
        BRACKET: screw.nut + 4.0,
        TOP: top_block_low(screw, plan) + TOP_BLOCK_MM / 2,
    }[kind]


def _balloons(
    called: Sequence[Called],
    targets: Sequence[Target],
    spots: dict[int, tuple[float, float]],
    pen: Pen,
) -> Iterable[str]:
    """Leaders first, then the numbers over them."""
    theme = pen.theme
    leaders, rings = [], []
    for one, target in zip(called, targets, strict=True):
        x, y = spots[target.number]
        if abs(x - target.x) + abs(y - target.y) > RADIUS_PX:
            leaders.append(
                svg.line(x, y, target.x, target.y, stroke=theme.meas, stroke_width=0.8)
                + svg.circle(target.x, target.y, 1.8, fill=theme.meas)
            )
        words = numbers_words(one.numbers)
        half = _width(words) / 2
        rings.append(
            svg.group(
                [
                    svg.rect(
                        x - half,
                        y - RADIUS_PX,
                        x + half,
                        y + RADIUS_PX,
                        round_px=RADIUS_PX,
                        fill=theme.sheet,
                        stroke=theme.meas,
                        stroke_width=1.5,
                    ),
                    svg.text(
                        words, x, y + 4.6, NUMBER_PX, fill=theme.ink, anchor="middle", bold=True
                    ),
                ],
                data_called=one.part,
                role="img",
                aria_label=spoken(one, at_work=pen.marking.at_work),
            )
        )
    return [*leaders, *rings]


def _brace(plan: Elevation, pen: Pen) -> str:
    """Gussets between base and pillars."""
    made = []
    for pillar, inward in zip(plan.pillars, (1, -1), strict=True):
        face = pillar + inward * plan.pillar_width / 2
        corners = ((0.0, 0.0), (BRACE_MM, 0.0), (0.0, BRACE_MM))
        at = [(pen.view.x(face + inward * x), pen.view.y(plan.base_top + y)) for x, y in corners]
        made.append(svg.path(at, closed=True, **pen.outline(BRACE)))
    return "".join(made)


def _spring_mm(plan: Elevation) -> float:
    """Height of the spring's drum, under the top beam."""
    return plan.pillar_top - 16.0


def _spring(plan: Elevation, pen: Pen) -> str:
    """A drum under the top beam at the far end, with the band that pulls the carriage up."""
    x, y = pen.view.x(plan.guides[-1]), pen.view.y(_spring_mm(plan))
    low = pen.view.y(plan.beam_middle + plan.carriage_height / 2)
    radius = max(4.0, 11.0 * pen.view.scale)
    return svg.line(x + radius, y, x + radius, low, **pen.thin(SPRING)) + svg.circle(
        x, y, radius, **pen.outline(SPRING)
    )
