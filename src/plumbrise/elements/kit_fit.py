"""Does a bought kit fit: its holes as measured against the holes and slots that are there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, pi, radians, sin
from typing import TYPE_CHECKING

from plumbrise.elements.ranges import above_zero, between, not_below_zero
from plumbrise.errors import InputError

if TYPE_CHECKING:
    import numpy as np

_DIRECTIONS = 32
"""Directions in which a hole's edge is looked at: a circle is taken 0.5 % too wide at most."""
_MOST_TURN_RAD = 0.05
"""How far a kit may be turned: beyond it sine and angle part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A hole, or a slot with round ends, by its middle as measured.

    Width and length are those of the opening itself; a hole has no `length_mm`. `angle_deg` is the
    way a slot runs, from x towards y.
    """

    name: str
    x_mm: float
    y_mm: float
    width_mm: float
    length_mm: float | None = None
    angle_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Placed:
    """How a kit lies best.

    `spare_mm` is the room left at the tightest bolt, below zero by how much it is too little; it
    is moved by `shift_mm` and turned by `turn_deg` from where the two drawings agree.
    """

    spare_mm: float
    shift_mm: tuple[float, float]
    turn_deg: float
    tight: tuple[str, ...]

    @property
    def fits(self) -> bool:
        """Whether all bolts go through."""
        return self.spare_mm >= 0


def spacing_room_mm(
    *,
    hole_spacing_mm: float,
    slot_spacing_mm: float,
    hole_width_mm: float,
    slot_length_mm: float,
    bolt_mm: float,
) -> float:
    """Room of two bolts between the holes of one part and the slots of another, along their line.

        room = (D - d) + (L - d) - |S_1 - S_2|

    Halve it for the bolt that stands worst; below zero the kit does not go on.

    Args:
        hole_spacing_mm, slot_spacing_mm: S between the middles, as measured on each part.
        hole_width_mm: D, of the holes.
        slot_length_mm: L of the slots, along the line of the two bolts.
        bolt_mm: d.

    Raises:
        InputError: a length not above zero, or a bolt that does not go through an opening.

    Source:
        Geometry.

    Example:
        Holes of 3.4 at 31.0 on a motor's 30.4, bolts of 3:

        >>> round(spacing_room_mm(hole_spacing_mm=31.0, slot_spacing_mm=30.4, hole_width_mm=3.4,
        ...                       slot_length_mm=3.4, bolt_mm=3.0), 3)
        0.2
    """
    above_zero(
        hole_spacing_mm=hole_spacing_mm,
        slot_spacing_mm=slot_spacing_mm,
        hole_width_mm=hole_width_mm,
        slot_length_mm=slot_length_mm,
        bolt_mm=bolt_mm,
    )
    for place, opening in (("hole_width_mm", hole_width_mm), ("slot_length_mm", slot_length_mm)):
        _refuse_thick_bolt(place, bolt_mm, opening)
    return hole_width_mm + slot_length_mm - 2 * bolt_mm - abs(hole_spacing_mm - slot_spacing_mm)


def placed(kit: Sequence[Opening], there: Sequence[Opening], *, bolt_mm: float) -> Placed:
    """Where a kit lies best on the openings that are there, and the room it has then.

        the greatest m for which, at each bolt and in each direction n,
        n · (k_i + a + φ k_i⊥ - o_i) ≤ h_kit(n) + h_there(n) - m

    h is how far a bolt can go in an opening that way: (w - d)/2 + (l - w)/2 |n · slot|. Shift a
    and turn φ are free, and the turn is small.

    Args:
        kit: its openings, in its own coordinates.
        there: the openings they come to lie on, in the same order and in theirs.
        bolt_mm: d, the thickest thing that goes through.

    Raises:
        InputError: different numbers of openings, fewer than one, sizes not above zero, a bolt
            thicker than an opening.

    Source:
        Linear program over shift, turn and room; support functions of slots.

    Example:
        >>> square = [(0, 0), (31, 0), (31, 31), (0, 31)]
        >>> kit = [Opening(name=str(i), x_mm=x, y_mm=y, width_mm=3.4)
        ...        for i, (x, y) in enumerate(square)]
        >>> found = placed(kit, kit, bolt_mm=3.0)
        >>> found.fits, round(found.spare_mm, 3)
        (True, 0.4)
    """
    import numpy as np
    from scipy.optimize import linprog

    _check(kit, there, bolt_mm)
    centre = (sum(o.x_mm for o in kit) / len(kit), sum(o.y_mm for o in kit) / len(kit))
    angles = [2 * pi * i / _DIRECTIONS for i in range(_DIRECTIONS)]
    rows, rooms, names = [], [], []
    for mine, other in zip(kit, there, strict=True):
        x, y = mine.x_mm - centre[0], mine.y_mm - centre[1]
        for angle in angles:
            n = (cos(angle), sin(angle))
            apart = n[0] * (mine.x_mm - other.x_mm) + n[1] * (mine.y_mm - other.y_mm)
            rows.append((n[0], n[1], n[1] * x - n[0] * y, 1.0))
            rooms.append(_reach_mm(mine, n, bolt_mm) + _reach_mm(other, n, bolt_mm) - apart)
            names.append(mine.name)
    free, turn = (None, None), (-_MOST_TURN_RAD, _MOST_TURN_RAD)
    solved = linprog((0, 0, 0, -1), A_ub=rows, b_ub=rooms, bounds=(free, free, turn, free))
    slack = np.asarray(rooms) - np.asarray(rows) @ solved.x
    tight = dict.fromkeys(name for name, left in zip(names, slack, strict=True) if left < 1e-6)
    shift_x, shift_y, turned, spare = (float(part) for part in solved.x)
    return Placed(spare, (shift_x, shift_y), turned * 180 / pi, tuple(tight))


def fit_probability(
    kit: Sequence[Opening],
    there: Sequence[Opening],
    *,
    bolt_mm: float,
    position_u_mm: float,
    rng: np.random.Generator,
    draws: int = 200,
) -> float:
    """How likely a kit fits when its openings were measured with this uncertainty.

    Args:
        kit, there, bolt_mm: as for `placed`.
        position_u_mm: standard uncertainty of each measured coordinate, of kit and machine alike.
        rng: where chance comes from.
        draws: how many times all places are drawn anew.

    Returns:
        (fits + 1) / (draws + 2): never quite 0 or 1 after finitely many draws.

    Raises:
        InputError: as `placed`; uncertainty negative, draws outside 20 to 10000.

    Source:
        JCGM 101:2008, clause 7; rule of succession.
    """
    not_below_zero(position_u_mm=position_u_mm)
    between(20, 10_000, "Take 200.", draws=draws)
    _check(kit, there, bolt_mm)
    fitting = 0
    for _ in range(draws):
        off = rng.normal(0.0, position_u_mm, (2, len(kit), 2))
        mine, other = (
            [
                replace(o, x_mm=o.x_mm + dx, y_mm=o.y_mm + dy)
                for o, (dx, dy) in zip(part, by, strict=True)
            ]
            for part, by in zip((kit, there), off, strict=True)
        )
        fitting += placed(mine, other, bolt_mm=bolt_mm).fits
    return (fitting + 1) / (draws + 2)


def _moved(opening: Opening, by_mm: Sequence[float]) -> Opening:
    return replace(opening, x_mm=opening.x_mm + by_mm[0], y_mm=opening.y_mm + by_mm[1])


def _reach_mm(opening: Opening, n: tuple[float, float], bolt_mm: float) -> float:
    """How far from its middle a bolt can stand in an opening, in direction n."""
    length = opening.length_mm if opening.length_mm is not None else opening.width_mm
    angle = radians(opening.angle_deg)
    along = abs(n[0] * cos(angle) + n[1] * sin(angle))
    return (opening.width_mm - bolt_mm) / 2 + (length - opening.width_mm) / 2 * along


def _check(kit: Sequence[Opening], there: Sequence[Opening], bolt_mm: float) -> None:
    above_zero(bolt_mm=bolt_mm)
    if not kit or len(kit) != len(there):
        raise InputError(
            place="kit",
            value=f"{len(kit)} openings on {len(there)}",
            allowed="as many openings in the kit as there, at least one,",
            remedy="List them in pairs, in the same order.",
        )
    for opening in (*kit, *there):
        try:
            between(-1e5, 1e5, x_mm=opening.x_mm, y_mm=opening.y_mm, angle_deg=opening.angle_deg)
            _refuse_thick_bolt("width_mm", bolt_mm, opening.width_mm)
            if opening.length_mm is not None and not opening.length_mm >= opening.width_mm:
                raise InputError(
                    place="length_mm",
                    value=opening.length_mm,
                    allowed=f"the width, {opening.width_mm:g} mm, or more",
                    remedy="Length runs along the slot, ends included.",
                )
        except InputError as problem:
            raise problem.within(opening.name) from None


def _refuse_thick_bolt(place: str, bolt_mm: float, opening_mm: float) -> None:
    if not opening_mm >= bolt_mm:
        raise InputError(
            place=place,
            value=opening_mm,
            allowed=f"the bolt, {bolt_mm:g} mm, or more",
            remedy="The bolt does not go through: measure again, or drill it out.",
        )
