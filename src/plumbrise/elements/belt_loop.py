"""The way of a toothed belt round its pulleys: length, spans, wraps and teeth in mesh."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import asin, atan2, cos, degrees, floor, hypot, sin, sqrt, tau

from plumbrise.elements.belt_pulley import BELT_PITCH_MM, Pulley, radius_mm
from plumbrise.elements.ranges import above_zero
from plumbrise.errors import InputError

_TOUCHING = 1e-9
"""Angles and lengths below this are rounding, mm or rad."""


@dataclass(frozen=True, slots=True)
class Arc:
    """The belt on one pulley."""

    pulley: Pulley
    radius_mm: float
    wrap_rad: float
    teeth_in_mesh: int | None
    """Whole teeth that are engaged; None where there are none."""

    @property
    def wrap_deg(self) -> float:
        """The wrap in degrees."""
        return degrees(self.wrap_rad)


@dataclass(frozen=True, slots=True)
class Span:
    """The free belt from one pulley to the next, between its two points of contact."""

    start: str
    end: str
    length_mm: float
    start_xy_mm: tuple[float, float]
    end_xy_mm: tuple[float, float]
    direction_rad: float


@dataclass(frozen=True, slots=True)
class Loop:
    """A closed belt: `spans[i]` leaves `arcs[i]`, counter-clockwise round the loop."""

    length_mm: float
    arcs: tuple[Arc, ...]
    spans: tuple[Span, ...]

    def at(self, name: str) -> int:
        """Where along the loop a pulley stands.

        Raises:
            InputError: no such pulley.
        """
        names = [arc.pulley.name for arc in self.arcs]
        if name not in names:
            raise InputError(
                place="pulley", value=name, allowed=", ".join(names), remedy="Name one of these."
            )
        return names.index(name)


def loop(pulleys: Sequence[Pulley], *, belt_pitch_mm: float = BELT_PITCH_MM) -> Loop:
    """The tight belt round pulleys in one plane.

        L = Σ l_i + Σ r_i θ_i        l = sqrt(D² - (s_2 r_2 - s_1 r_1)²)

    s is +1 where the belt runs round the pulley with its teeth and -1 where with its back; D is
    the distance of two centres. θ_i is by how much the belt turns on a pulley, and all turns
    together are one. Cord stretch, sag and the thickness beyond the pitch line are left out.

    Args:
        pulleys: two or more, in the order in which the belt meets them, either way round.
        belt_pitch_mm: distance of the belt's teeth.

    Raises:
        InputError: pulleys that overlap or share a name, a belt that misses a pulley, crosses
            itself or runs through a pulley; teeth on the belt's back.

    Source:
        Tangents of circles; for two pulleys Shigley's Mechanical Engineering Design, eq. 17-1.

    Example:
        >>> found = loop([Pulley(name="left", x_mm=0, y_mm=0, teeth=20),
        ...               Pulley(name="right", x_mm=350, y_mm=0, teeth=20)])
        >>> round(found.length_mm, 6), [arc.teeth_in_mesh for arc in found.arcs]
        (740.0, [10, 10])
    """
    above_zero(belt_pitch_mm=belt_pitch_mm)
    radii = _radii(pulleys, belt_pitch_mm)
    refused: list[InputError] = []
    for order in (tuple(pulleys), tuple(reversed(pulleys))):
        spans = _spans(order, radii)
        try:
            return _closed(order, radii, spans)
        except InputError as problem:
            refused.append(problem)
    raise refused[0 if _enclosed_mm2(pulleys) >= 0 else 1]


def _radii(pulleys: Sequence[Pulley], belt_pitch_mm: float) -> dict[str, float]:
    """Radius of the pitch line on each pulley, by name; refuses what cannot stand together."""
    if len(pulleys) < 2 or len({pulley.name for pulley in pulleys}) < len(pulleys):
        raise InputError(
            place="pulleys",
            value=", ".join(pulley.name for pulley in pulleys),
            allowed="two or more, each with a name of its own,",
            remedy="Name each pulley once.",
        )
    radii = {pulley.name: radius_mm(pulley, belt_pitch_mm=belt_pitch_mm) for pulley in pulleys}
    for one, other in combinations(pulleys, 2):
        distance = hypot(other.x_mm - one.x_mm, other.y_mm - one.y_mm)
        least = radii[one.name] + radii[other.name]
        if not distance >= least - _TOUCHING:  # refuses nan too
            raise InputError(
                place=f"distance of {one.name} and {other.name}",
                value=round(distance, 3),
                allowed=f"{least:.2f} mm or more",
                remedy="Pulleys must not overlap: check the positions and the teeth.",
            )
    return radii


def _spans(order: Sequence[Pulley], radii: dict[str, float]) -> tuple[Span, ...]:
    """The tangents from each pulley to the next, the inner ones turning counter-clockwise."""
    return tuple(
        _tangent(one, radii[one.name], other, radii[other.name])
        for one, other in zip(order, (*order[1:], order[0]), strict=True)
    )


def _tangent(one: Pulley, one_radius_mm: float, other: Pulley, other_radius_mm: float) -> Span:
    across, along = other.y_mm - one.y_mm, other.x_mm - one.x_mm
    distance = hypot(along, across)
    start, end = _side(one) * one_radius_mm, _side(other) * other_radius_mm
    direction = atan2(across, along) - asin(max(-1.0, min(1.0, (end - start) / distance)))
    right = (sin(direction), -cos(direction))
    return Span(
        start=one.name,
        end=other.name,
        length_mm=sqrt(max(0.0, distance**2 - (end - start) ** 2)),
        start_xy_mm=(one.x_mm + start * right[0], one.y_mm + start * right[1]),
        end_xy_mm=(other.x_mm + end * right[0], other.y_mm + end * right[1]),
        direction_rad=direction,
    )


def _side(pulley: Pulley) -> int:
    return -1 if pulley.outside else 1


def _closed(order: Sequence[Pulley], radii: dict[str, float], spans: Sequence[Span]) -> Loop:
    """The loop, if a belt can lie so."""
    arcs = tuple(
        _arc(pulley, radii[pulley.name], arriving.direction_rad, leaving.direction_rad)
        for pulley, arriving, leaving in zip(order, (spans[-1], *spans[:-1]), spans, strict=True)
    )
    turns = sum(_side(arc.pulley) * arc.wrap_rad for arc in arcs) / tau
    if round(turns) != 1:
        missed = max(arcs, key=lambda arc: arc.wrap_rad).pulley.name
        raise InputError(
            place=f"pulley {missed}",
            value="a pulley that the belt does not touch",
            allowed="pulleys that the belt runs round",
            remedy="Check the order of the pulleys, its place, and on which side of the belt it "
            "stands, or leave it out.",
        )
    _refuse_collisions(order, radii, spans)
    length = sum(span.length_mm for span in spans) + sum(a.radius_mm * a.wrap_rad for a in arcs)
    return Loop(length, arcs, tuple(spans))


def _arc(pulley: Pulley, its_radius_mm: float, arriving_rad: float, leaving_rad: float) -> Arc:
    wrap = (_side(pulley) * (leaving_rad - arriving_rad)) % tau
    wrap = 0.0 if tau - wrap < _TOUCHING else wrap
    # a wrap that is a whole number of teeth but for rounding counts them all
    mesh = None if pulley.teeth is None else floor(pulley.teeth * wrap / tau + _TOUCHING)
    return Arc(pulley, its_radius_mm, wrap, mesh)


def _refuse_collisions(
    order: Sequence[Pulley], radii: dict[str, float], spans: Sequence[Span]
) -> None:
    for span in spans:
        for pulley in order:
            if pulley.name in (span.start, span.end):
                continue
            if _distance_mm(span, pulley) < radii[pulley.name] - 1e-6:
                raise InputError(
                    place=f"belt from {span.start} to {span.end}",
                    value=f"runs through {pulley.name}",
                    allowed="a free way",
                    remedy="Check the order of the pulleys and the side of each.",
                )
    for one, other in combinations(spans, 2):
        if _cross(one, other):
            raise InputError(
                place=f"belt from {one.start} to {one.end}",
                value=f"crosses the belt from {other.start} to {other.end}",
                allowed="a belt that lies flat",
                remedy="Check the order of the pulleys and the side of each.",
            )


def _distance_mm(span: Span, pulley: Pulley) -> float:
    """From a pulley's centre to the nearest place of a span."""
    ux, uy = cos(span.direction_rad), sin(span.direction_rad)
    dx, dy = pulley.x_mm - span.start_xy_mm[0], pulley.y_mm - span.start_xy_mm[1]
    along = max(0.0, min(span.length_mm, dx * ux + dy * uy))
    return hypot(dx - along * ux, dy - along * uy)


def _cross(one: Span, other: Span) -> bool:
    """Whether two spans cut through one another, not only meet."""

    def beside(span: Span, at: tuple[float, float]) -> float:
        dx, dy = at[0] - span.start_xy_mm[0], at[1] - span.start_xy_mm[1]
        return cos(span.direction_rad) * dy - sin(span.direction_rad) * dx

    ends = beside(one, other.start_xy_mm) * beside(one, other.end_xy_mm)
    others = beside(other, one.start_xy_mm) * beside(other, one.end_xy_mm)
    return ends < -_TOUCHING and others < -_TOUCHING


def _enclosed_mm2(pulleys: Sequence[Pulley]) -> float:
    """Twice the area inside the centres, negative if they are given clockwise."""
    following = (*pulleys[1:], pulleys[0])
    return sum(
        one.x_mm * other.y_mm - other.x_mm * one.y_mm
        for one, other in zip(pulleys, following, strict=True)
    )
