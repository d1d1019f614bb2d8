"""What money buys: every set of changes on the front, its cost against the probability that all
targets are met."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from plumbrise.drawing import svg
from plumbrise.drawing.chart import ticks
from plumbrise.drawing.costs import hours_words
from plumbrise.drawing.labels import CLEAR_PX, Labels, Point, Spot, Words, box_of, written
from plumbrise.drawing.letters import Box, text_width
from plumbrise.drawing.sets_shown import Place, Standing, label_words, places, steps
from plumbrise.drawing.tokens import DASHES, PHANTOM, SMALL_PX, THIN_PX, Line, Theme, theme_named
from plumbrise.quantity import percent
from plumbrise.redesign import Proposal

__all__ = ["Place", "Standing", "places", "steps", "trade_off"]

LEFT_PX, RIGHT_PX, TOP_PX, BOTTOM_PX = 56.0, 20.0, 46.0, 46.0
RADIUS_PX, CHOSEN_PX = 4.0, 6.5
LEADER_FROM_PX = 12.0
ROOM = 1.06
"""Share of the dearest set that the axis of money reaches."""


def trade_off(
    proposal: Proposal, *, theme: str = "light", width_px: int = 700, prefix: str = "trade-off-"
) -> str:
    """The picture as a stand-alone SVG document, drawn anew for its width.

    Args:
        proposal: what `redesign` found.
        theme: light, dark or print.
        width_px: of the sheet; the height follows.
        prefix: begins every id.
    """
    colours = theme_named(theme)
    shown = places(proposal)
    height = round(min(400.0, 0.42 * width_px + 150))
    frame = Box(LEFT_PX, TOP_PX, width_px - RIGHT_PX, height - BOTTOM_PX)
    scales = _Scales(frame, _dearest(proposal, shown))
    if proposal.chosen is None:
        words = proposal.limited_by or "Cannot tell yet what a change would do."
        made = [svg.text("Cannot tell yet", LEFT_PX, height / 2, 14, fill=colours.soft)]
    else:
        words = _description(proposal, shown)
        made = _drawn(proposal, shown, scales, colours)
    return svg.sheet(
        made,
        width_px=width_px,
        height_px=height,
        prefix=prefix,
        title="What money buys: cost of each set of changes, and how likely it meets all targets",
        description=words,
        background=colours.sheet,
    )


def _dearest(proposal: Proposal, shown: Sequence[Place]) -> float:
    """How far the axis of money goes."""
    high = max((place.money for place in shown), default=0.0)
    if proposal.chosen is not None:
        high = max(high, proposal.chosen.line.cost.high)
    if proposal.budget is not None:
        high = max(high, min(proposal.budget, 3 * high) if high else proposal.budget)
    return ROOM * high if high > 0 else 10.0


@dataclass(frozen=True, slots=True)
class _Scales:
    """Money across, probability upward."""

    frame: Box
    dearest: float

    def at(self, money: float, probability: float) -> Point:
        f = self.frame
        return (
            f.left + 8 + money / self.dearest * (f.right - f.left - 8),
            f.bottom - 8 - probability * (f.bottom - f.top - 8),
        )


def _drawn(proposal: Proposal, shown: Sequence[Place], scales: _Scales, theme: Theme) -> list[str]:
    frame = scales.frame
    labels = Labels(
        Box(frame.left + 2, frame.top - 24, frame.right + RIGHT_PX - 2, frame.bottom - 2)
    )
    made = [_axes(proposal, scales, theme)]
    stairs = _stairs(shown, scales)
    for start, end in pairwise(stairs):
        labels.rule(start, end)
    made.append(
        svg.path(
            stairs,
            fill="none",
            stroke=theme.soft,
            stroke_width=1.2,
            stroke_dasharray=DASHES[Line.COMPUTED],
        )
    )
    for place in shown:
        labels.sign(scales.at(place.money, place.line.probability), CHOSEN_PX + 2)
        if place.main:
            labels.rule(*_whisker(place, scales))
    made.append(_bounds(proposal, scales, theme, labels))
    order = sorted(shown, key=lambda place: list(Standing).index(place.standing))
    order.sort(key=lambda place: not place.main)
    made += [_label(proposal, p, scales, theme, labels) for p in order if p.named]
    made += [_mark(place, scales, theme) for place in reversed(order)]
    return made


def _stairs(shown: Sequence[Place], scales: _Scales) -> list[Point]:
    """The front as steps: the best that so much money gives."""
    best = 0.0
    points = [scales.at(0.0, 0.0)]
    for place in shown:
        if place.line.probability >= best:
            x, before = scales.at(place.money, best)
            points += [(x, before), scales.at(place.money, place.line.probability)]
            best = place.line.probability
    return [*points, scales.at(scales.dearest, best)]


def _axes(proposal: Proposal, scales: _Scales, theme: Theme) -> str:
    frame, made = scales.frame, []
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        y = scales.at(0.0, share)[1]
        made += [
            svg.line(frame.left, y, frame.right, y, stroke=theme.hair, stroke_width=THIN_PX),
            svg.text(
                f"{100 * share:.0f} %",
                frame.left - 7,
                y + 4,
                SMALL_PX,
                fill=theme.soft,
                anchor="end",
            ),
        ]
    for money in ticks(0.0, scales.dearest):
        if money <= scales.dearest:
            x = scales.at(money, 0.0)[0]
            made += [
                svg.line(
                    x, frame.bottom, x, frame.bottom + 4, stroke=theme.rule, stroke_width=THIN_PX
                ),
                svg.text(
                    f"{money:g}", x, frame.bottom + 17, SMALL_PX, fill=theme.soft, anchor="middle"
                ),
            ]
    made += [
        svg.line(frame.left, frame.bottom, frame.right, frame.bottom, stroke=theme.rule),
        svg.line(frame.left, frame.top, frame.left, frame.bottom, stroke=theme.rule),
        svg.text(
            f"money for parts, {proposal.currency}",
            frame.right,
            frame.bottom + 37,
            SMALL_PX,
            fill=theme.soft,
            anchor="end",
        ),
        svg.text(
            "probability that all targets are met", 8, frame.top - 28, SMALL_PX, fill=theme.soft
        ),
    ]
    return "".join(made)


def _bounds(proposal: Proposal, scales: _Scales, theme: Theme, labels: Labels) -> str:
    """The probability that is asked for, and the budget where there is one."""
    frame = scales.frame
    y = scales.at(0.0, proposal.probability)[1]
    made = [svg.line(frame.left, y, frame.right, y, stroke=theme.lost, stroke_width=1)]
    labels.rule((frame.left, y), (frame.right, y))
    words = Words(f"asked {percent(proposal.probability)}", SMALL_PX, theme.lost)
    spots = [Spot(frame.left + 8, y - 6), Spot(frame.right - 2, y - 6, "end")]
    spots += [Spot(frame.right - 2, y + 16, "end"), Spot(frame.left + 8, y + 16)]
    spot = labels.place([words], spots, must=True)
    if spot is not None:
        made.append(written([words], spot, halo=theme.sheet))
    if proposal.budget is not None and proposal.budget <= scales.dearest:
        x = scales.at(proposal.budget, 0.0)[0]
        made.append(
            svg.line(
                x,
                frame.top - 8,
                x,
                frame.bottom,
                stroke=theme.soft,
                stroke_width=0.9,
                stroke_dasharray=PHANTOM,
            )
        )
        said = f"budget {proposal.budget:.0f} {proposal.currency}"
        half = text_width(said, SMALL_PX) / 2
        middle = min(max(x, frame.left + half), frame.right - half)
        made.append(
            svg.text(said, middle, frame.top - 12, SMALL_PX, fill=theme.soft, anchor="middle")
        )
        labels.reserve(Box(middle - half, frame.top - 24, middle + half, frame.top - 8))
    return "".join(made)


def _mark(place: Place, scales: _Scales, theme: Theme) -> str:
    x, y = scales.at(place.money, place.line.probability)
    ink: dict[str, Any] = {"stroke": theme.ink, "stroke_width": 1.3}
    if place.main:
        (low, _), (high, _) = _whisker(place, scales)
        ends = [((end, y - 4), (end, y + 4)) for end in (low, high)]
        whisker = svg.strokes([((low, y), (high, y)), *ends], **ink) if high - low > 4 else ""
        filled = theme.ink if place.standing in (Standing.CHOSEN, Standing.TAKEN) else theme.sheet
        made = whisker + svg.circle(x, y, CHOSEN_PX, fill=filled, **ink)
    elif place.standing is Standing.FREE:
        d = RADIUS_PX + 1.5
        corners = ((x - d, y), (x, y - d), (x + d, y), (x, y + d))
        made = svg.path(corners, closed=True, fill=theme.sheet, **ink)
    elif place.standing is Standing.AS_IT_IS:
        made = svg.circle(x, y, RADIUS_PX, fill=theme.sheet, stroke=theme.meas, stroke_width=1.8)
    else:
        made = svg.circle(x, y, RADIUS_PX - 1, fill=theme.sheet, stroke=theme.soft)
    return svg.group([made], data_mark=place.standing.value)


def _whisker(place: Place, scales: _Scales) -> tuple[Point, Point]:
    """From the least to the most that a set may cost."""
    cost, p = place.line.cost, place.line.probability
    return scales.at(cost.low, p), scales.at(cost.high, p)


def _label(proposal: Proposal, place: Place, scales: _Scales, theme: Theme, labels: Labels) -> str:
    """Money and probability, hours under them, near the mark or at the end of a leader."""
    at = scales.at(place.money, place.line.probability)
    said = label_words(place, proposal.currency)
    lines = [
        Words(
            words,
            SMALL_PX,
            theme.soft if 0 < i == len(said) - 1 else theme.ink,
            place.main and not i,
        )
        for i, words in enumerate(said)
    ]

    def open_to(spot: Spot) -> bool:
        return labels.open_to(at, _nearest(box_of(lines, spot), at))

    steps = (-22.0, 4.0, 20.0, -40.0, 38.0, -60.0, 58.0, -80.0, 78.0, -100.0, 98.0)
    spots = [
        Spot(at[0] + way * far, at[1] + dy, "start" if way > 0 else "end")
        for far in (12.0, 30.0, 60.0, 100.0)
        for dy in steps
        for way in (1, -1)
    ]
    must = place.standing is not Standing.FRONT
    spot = labels.place(lines, spots, must=must, suits=open_to)
    if spot is None:
        return ""
    box = box_of(lines, spot)
    end = _nearest(box.grown(CLEAR_PX), at)
    leader = ""
    if abs(end[0] - at[0]) + abs(end[1] - at[1]) > LEADER_FROM_PX:
        leader = svg.line(*at, *end, stroke=theme.soft, stroke_width=THIN_PX)
        labels.rule(at, end)
    return leader + written(lines, spot, halo=theme.sheet)


def _nearest(box: Box, at: Point) -> Point:
    return min(max(at[0], box.left), box.right), min(max(at[1], box.top), box.bottom)


def _description(proposal: Proposal, shown: Sequence[Place]) -> str:
    said = [f"Asked: all targets with {percent(proposal.probability)}."]
    if proposal.budget is not None:
        said.append(f"Budget: {proposal.budget:.0f} {proposal.currency}.")
    for place in shown:
        if place.named:
            money = f"{place.money:.0f} {proposal.currency}"
            said.append(
                f"{place.standing.value.capitalize()}: {money}, {hours_words(place.line.hours)}, "
                f"{percent(place.line.probability)}."
            )
    return " ".join(said)
