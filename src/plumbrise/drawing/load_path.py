"""The load path drawing: a person's own axis in elevation, to scale, with what it loses."""

from __future__ import annotations

from dataclasses import dataclass, replace

from plumbrise.drawing import balloons, chain, legend, new_parts, stations, svg
from plumbrise.drawing.axis_drawn import axis, part_boxes
from plumbrise.drawing.figures import in_a_line
from plumbrise.drawing.geometry import Elevation, View, elevation, thicknesses
from plumbrise.drawing.labels import Labels
from plumbrise.drawing.ledger import KNOWN_WORDS, key_of, ledger
from plumbrise.drawing.letters import Box, wrapped
from plumbrise.drawing.marking import Marking
from plumbrise.drawing.notes import beam_notes, targets
from plumbrise.drawing.pen import Pen
from plumbrise.drawing.plan_view import plan_view
from plumbrise.drawing.tokens import OUTLINE_PX, SMALL_PX, THINNEST_PART_PX, Theme, theme_named
from plumbrise.machine import Machine

EXAGGERATIONS = (1, 2, 5, 10, 20, 50, 100, 200, 500)
LARGEST_MOVEMENT = 0.08
"""Share of the figure's height that the largest movement may take."""
FURTHEST_MOVEMENT = 0.25
"""Share of the axis's height beyond which nothing is moved, whatever is written beside it."""
NARROW_PX = 660.0
NARROW_WITH_TWO_CHAINS_PX = 980.0
BESIDE_PX, BED_BESIDE_PX = 680.0, 760.0
"""From these widths on the ledger stands beside the axis, below it on narrower sheets."""
MOST_ROWS = 7
SCALE_BARS_PX = 46.0
THICKER_LINE_PX = 18.0
LEDGER_COLUMN_PX = 300.0
PLAN_PX = 190.0
NOTES_PX = 130.0
"""Room beside the axis in which the dial and what an end loses can stand."""
TOP_PX = 14.0


@dataclass(frozen=True, slots=True)
class Layout:
    """How one sheet is divided: where the axis, the ledger and the plan go, px."""

    numbered: bool
    figure: Box
    ledger: Box | None
    plan: Box | None
    thicker: tuple[str, ...]
    key_top: float
    width: float
    height: float


def load_path(
    machine: Machine,
    marking: Marking,
    *,
    theme: str = "light",
    width_px: int = 860,
    height_px: int = 700,
    interactive: bool = False,
    prefix: str = "load-path-",
) -> str:
    """The drawing as a stand-alone SVG document.

    Args:
        machine: what is drawn, to scale; what was not given has a usual size and is dotted.
        marking: what is written on it, from `mark`.
        theme: light, dark or print.
        width_px: of the sheet. Where rows would crowd they become numbered balloons and a ledger.
        height_px: of the sheet at most; grows if the ledger needs more, shrinks where the width
            leaves the axis no use for it.
        interactive: links can be pressed and walked with the Tab key.
        prefix: begins every id, so that several drawings can stand in one page.

    Returns:
        SVG text. The same input always gives the same text.
    """
    plan = elevation(machine)
    colours = theme_named(theme)
    layout, view = _laid_out(plan, marking, float(width_px), float(height_px))
    factor = exaggeration(marking, view, layout)
    pen = Pen(colours, prefix, marking, view, _moved(plan, marking, view, factor))
    children = [
        svg.element("defs", pen.stripes()) if pen.stripes() else "",
        _style(prefix, colours) if interactive else "",
        axis(plan, pen, interactive=interactive),
        stations.signs(marking, plan, pen),
        _written(machine, marking, plan, pen, layout, interactive=interactive),
        _explained(machine, plan, pen, layout, factor),
    ]
    return svg.sheet(
        children,
        width_px=layout.width,
        height_px=layout.height,
        prefix=prefix,
        title=_title(machine),
        description=_description(marking, factor),
        background=colours.sheet,
        role="group" if interactive else "img",
    )


def exaggeration(marking: Marking, view: View, layout: Layout) -> int | None:
    """How many times movement is enlarged; None where nothing moves."""
    largest = max((abs(end.loss.value) for end in marking.ends), default=0.0)
    if largest <= 0:
        return None
    if marking.exaggeration is not None:
        return marking.exaggeration
    room = LARGEST_MOVEMENT * (layout.figure.bottom - layout.figure.top)
    fitting = [f for f in EXAGGERATIONS if f * largest * view.scale <= room]
    return fitting[-1] if fitting else EXAGGERATIONS[0]


def _moved(
    plan: Elevation, marking: Marking, view: View, factor: int | None
) -> tuple[tuple[str, float], ...]:
    """Px that each end is drawn low. An end that nobody knows moves with the one that is."""
    if factor is None:
        return ()
    most = FURTHEST_MOVEMENT * (plan.top - plan.bottom) * view.scale
    known = {
        end.end: min(max(end.loss.value * factor * view.scale, -most), most) for end in marking.ends
    }
    usual = next(iter(known.values()))
    ends = ("left", "right", "back") if plan.body == "bed" else ("left", "right")
    return tuple((end, known.get(end, usual)) for end in ends)


def is_numbered(plan: Elevation, marking: Marking, width_px: float) -> bool:
    """True where balloons and a ledger stand in for the chain."""
    rows = [marking.rows_at(screw.side) for screw in plan.screws]
    sides = sum(1 for of_side in rows if of_side)
    return (
        width_px < NARROW_PX
        or max(map(len, rows)) > MOST_ROWS
        or (sides > 1 and width_px < NARROW_WITH_TWO_CHAINS_PX)
        or (plan.body == "bed" and sides > 0)
    )


def _laid_out(
    plan: Elevation, marking: Marking, width: float, height: float
) -> tuple[Layout, View]:
    """The sheet with room for the list of parts drawn thicker, which its own scale decides."""
    thicker: tuple[str, ...] = ()
    while True:
        layout = _layout(plan, marking, width, height, thicker)
        view = _view(plan, marking, layout)
        found = _thicker(plan, view, layout.figure.right - 2 * legend.SIDE_PX)
        if len(found) <= len(thicker):
            return replace(layout, thicker=found), view
        thicker = found


def _thicker(plan: Elevation, view: View, width: float) -> tuple[str, ...]:
    """The line, or lines, that name parts drawn thicker than to scale so that they can be seen."""
    thin = [name for name, mm in thicknesses(plan) if mm * view.scale < THINNEST_PART_PX]
    return wrapped(f"drawn thicker: {', '.join(thin)}", SMALL_PX, width) if thin else ()


def _layout(
    plan: Elevation, marking: Marking, width: float, height: float, thicker: tuple[str, ...]
) -> Layout:
    numbered = is_numbered(plan, marking, width)
    key = legend.height_px(marking, width, moved=bool(marking.ends))
    bed = plan.body == "bed"
    least_beside = BED_BESIDE_PX if bed else BESIDE_PX
    beside = width >= least_beside and ((numbered and bool(ledger(marking))) or bed)
    ledger_width = LEDGER_COLUMN_PX - 8 if beside else width - legend.SIDE_PX
    facts = 0.0
    if numbered:
        facts = balloons.ledger_height(ledger(marking), ledger_width - legend.SIDE_PX)
    scale_bars = SCALE_BARS_PX + THICKER_LINE_PX * len(thicker)
    below = key + legend.FOOT_PX + scale_bars
    stacked = 0.0 if beside else facts + (PLAN_PX if bed else 0.0)
    least = min(0.9 * width, 420.0 if stacked else 300.0)
    right = width - LEDGER_COLUMN_PX if beside else width
    figure_height = max(height - TOP_PX - below - stacked, least)
    used = _used_height(plan, marking, right, numbered=numbered)
    figure_height = min(figure_height, used)
    figure = Box(0.0, TOP_PX, right, TOP_PX + figure_height)
    total = TOP_PX + figure_height + below + stacked
    if beside and facts + (PLAN_PX if bed else 0) + TOP_PX + below > total:
        total = facts + (PLAN_PX if bed else 0) + TOP_PX + below
    under = figure.bottom + scale_bars
    plan_box = ledger_box = None
    if beside:
        left, end = right + 8, width - legend.SIDE_PX
        split = TOP_PX + (PLAN_PX if bed else 0.0)
        plan_box = Box(left, TOP_PX, end, split) if bed else None
        ledger_box = Box(left, split + (8 if bed else 0), end, split + facts) if facts else None
    else:
        left, end = legend.SIDE_PX, width - legend.SIDE_PX
        plan_box = Box(left, under, end, under + PLAN_PX) if bed else None
        start = under + (PLAN_PX if bed else 0.0)
        ledger_box = Box(left, start, end, start + facts) if facts else None
    return Layout(
        numbered=numbered,
        figure=figure,
        ledger=ledger_box,
        plan=plan_box,
        thicker=thicker,
        key_top=total - key - legend.FOOT_PX,
        width=width,
        height=total,
    )


def _used_height(plan: Elevation, marking: Marking, width: float, *, numbered: bool) -> float:
    """The height that an axis as wide as the figure takes, or its chains if they are taller."""
    left, right = _margins(plan, marking, numbered=numbered)
    scale = (width - left - right) / (plan.right - plan.left)
    rows = [] if numbered else [marking.rows_at(screw.side) for screw in plan.screws]
    chains = [sum(map(chain.row_height, of_side)) for of_side in rows]
    return max(scale * (plan.top - plan.bottom), *chains, 0.0)


def _margins(plan: Elevation, marking: Marking, *, numbered: bool) -> tuple[float, float]:
    """Room kept left and right of the axis for its chains or balloons."""
    if numbered:
        side = 2 * balloons.RADIUS_PX + 14
        return side, side
    if marking.called:
        return new_parts.margin_px(marking), new_parts.margin_px(marking)
    column = chain.COLUMN_PX + chain.LEADER_PX + 34
    sides = {screw.side for screw in plan.screws if marking.rows_at(screw.side)}
    narrow = 24.0 if plan.body == "bed" or not marking.drags else 64.0
    blank = 60.0 if not marking.rows else narrow
    return (
        column if "left" in sides else blank,
        column if "right" in sides else blank,
    )


def _view(plan: Elevation, marking: Marking, layout: Layout) -> View:
    left, right = _margins(plan, marking, numbered=layout.numbered)
    figure = layout.figure
    room_x = figure.right - figure.left - left - right
    room_y = figure.bottom - figure.top
    wide, tall = plan.right - plan.left, plan.top - plan.bottom
    scale = min(room_x / wide, room_y / tall)
    spare = room_x - wide * scale
    x0 = figure.left + left + _before(spare, left, right) - plan.left * scale
    return View(scale, x0, figure.bottom + plan.bottom * scale)


def _before(spare: float, left: float, right: float) -> float:
    """How much of the width that the axis leaves over goes to its left: what is left and right of
    it is made wide enough for notes first, then both get the same."""
    lacking = [max(NOTES_PX - margin, 0.0) for margin in (left, right)]
    share = min(spare / sum(lacking), 1.0) if any(lacking) else 0.0
    return share * lacking[0] + (spare - share * sum(lacking)) / 2


def _written(
    machine: Machine,
    marking: Marking,
    plan: Elevation,
    pen: Pen,
    layout: Layout,
    *,
    interactive: bool,
) -> str:
    bounds = Box(2, 2, layout.figure.right - 2, layout.figure.bottom + 6)
    labels = Labels(bounds, part_boxes(plan, pen))
    stations.reserved(marking, plan, pen, labels)
    made = []
    if layout.numbered:
        rows = ledger(marking)
        if rows and layout.ledger is not None:
            pointed = targets(rows, marking, plan, pen, layout.figure)
            spots = balloons.placed(pointed, layout.figure)
            balloons.reserved(pointed, spots, labels)
            made.append(balloons.drawn(pointed, spots, pen))
            made.append(
                balloons.ledger_drawn(
                    rows,
                    pen,
                    left=layout.ledger.left,
                    right=layout.ledger.right,
                    top=layout.ledger.top,
                    links={key_of(row): row.links for row in marking.all_rows},
                    interactive=interactive,
                )
            )
    else:
        made.append(_chains(marking, plan, pen, layout, labels, interactive=interactive))
        made.append(beam_notes(marking, plan, pen, labels, chain.bar_scale(marking), interactive))
    made.append(new_parts.drawn(marking, plan, pen, layout.figure))
    made.append(stations.next_gauge(marking, plan, pen, labels))
    if not layout.numbered:
        made.append(stations.names(marking, plan, pen, labels))
    if layout.plan is not None:
        made.append(plan_view(machine, marking, pen, layout.plan))
    return "".join(made)


def _chains(
    marking: Marking,
    plan: Elevation,
    pen: Pen,
    layout: Layout,
    labels: Labels,
    *,
    interactive: bool,
) -> str:
    made = []
    per_mm = chain.bar_scale(marking)
    for screw in plan.screws:
        if not marking.rows_at(screw.side):
            continue
        outward = -1 if screw.side == "left" else 1
        edge = plan.left if outward < 0 else plan.right
        laid = chain.laid_out(
            marking,
            screw,
            plan,
            pen,
            x=pen.view.x(edge) + outward * 16,
            outward=outward,
            top=layout.figure.top,
            bottom=layout.figure.bottom,
        )
        for box in chain.boxes(laid):
            labels.reserve(box)
        for start, end in chain.rules(laid, plan, pen):
            labels.rule(start, end)
        made.append(chain.drawn(laid, plan, pen, per_mm=per_mm, interactive=interactive))
    return "".join(made)


def _explained(
    machine: Machine, plan: Elevation, pen: Pen, layout: Layout, factor: int | None
) -> str:
    bars_left = max(legend.SIDE_PX + 6, pen.view.x(plan.base[0]) + 6)
    return "".join(
        (
            legend.scale_bars(
                pen,
                bars_left,
                layout.figure.bottom + 26,
                exaggeration=factor,
                right=layout.figure.right - 4,
            ),
            *(
                svg.text(
                    words,
                    legend.SIDE_PX,
                    layout.figure.bottom + SCALE_BARS_PX + 7 + i * THICKER_LINE_PX,
                    SMALL_PX,
                    fill=pen.theme.soft,
                )
                for i, words in enumerate(layout.thicker)
            ),
            legend.drawn(pen, layout.width, layout.key_top, moved=bool(pen.marking.ends)),
            legend.foot(
                pen,
                machine.name or machine.arrangement.title,
                [
                    pen.marking.date,
                    "invented example"
                    if machine.invented and "invented" not in machine.name
                    else "",
                ],
                layout.width,
                layout.height - 8,
            ),
        )
    )


def _title(machine: Machine) -> str:
    return f"Load path of {machine.name or 'an axis'}, {machine.arrangement.title.lower()}"


def _description(marking: Marking, factor: int | None) -> str:
    """All that the drawing says, in sentences."""
    rows = ledger(marking)
    said = [f"{row.name}: {in_a_line(row.span)}, {KNOWN_WORDS[row.line]}." for row in rows]
    for called in marking.called:
        said.append(f"{new_parts.spoken(called, at_work=marking.at_work)}.")
    if not rows and not marking.new:
        said.append("Nothing was read yet.")
    if factor is not None:
        said.append(f"Drawn to scale, movement {factor} times.")
    else:
        said.append("Drawn to scale.")
    if marking.assumed:
        said.append("Dotted parts are assumed.")
    return " ".join(said)


def _style(prefix: str, colours: Theme) -> str:
    scope = f"#{prefix}drawing .pressable"
    return svg.element(
        "style",
        f"{scope}{{cursor:pointer}}"
        f'{scope}:hover [stroke-width="{OUTLINE_PX:g}"]{{stroke-width:2.4}}'
        f"{scope}:hover text:first-of-type{{text-decoration:underline}}"
        f"{scope}:focus-visible{{outline:3px solid {colours.meas};outline-offset:2px}}",
    )
