"""Does a bought kit fit: its holes as measured against the holes and slots that are there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, radians, sin, sqrt
from typing import TYPE_CHECKING, NamedTuple

from plumbrise.elements.ranges import above_zero, between, not_below_zero
from plumbrise.errors import InputError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_DIRECTIONS = 32
"""Directions in which a hole's edge is looked at: a circle is taken 0.5 % too wide at most."""
_TURN_ROWS = 2
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
    _check(kit, there, bolt_mm)
    program = _program(kit, there, bolt_mm)
    best, weights = _solved(program, program.rooms_mm)
    held = weights[:-_TURN_ROWS].reshape(len(kit), _DIRECTIONS).sum(axis=1)
    tight = tuple(o.name for o, weight in zip(kit, held, strict=True) if weight > 1e-9)
    shift_x, shift_y, turned, spare = (float(part) for part in best)
    return Placed(spare, (shift_x, shift_y), turned * 180 / pi, tight)


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
            Sizes of openings are taken as exact.
        rng: where chance comes from.
        draws: how many times all places are drawn anew.

    Returns:
        (fits + 1) / (draws + 2): never quite 0 or 1 after finitely many draws.

    Raises:
        InputError: as `placed`; uncertainty negative, draws outside 20 to 10000.

    Source:
        JCGM 101:2008, clause 7; rule of succession.
    """
    import numpy as np

    not_below_zero(position_u_mm=position_u_mm)
    between(20, 10_000, "Take 200.", draws=draws)
    _check(kit, there, bolt_mm)
    program = _program(kit, there, bolt_mm)
    apart_mm = rng.normal(0.0, sqrt(2) * position_u_mm, (draws, len(kit), 2))
    rooms_mm = np.tile(program.rooms_mm, (draws, 1))
    rooms_mm[:, :-_TURN_ROWS] -= (apart_mm @ program.normals.T).reshape(draws, -1)
    fits = np.zeros(draws, dtype=bool)
    open_ones = np.ones(draws, dtype=bool)
    while open_ones.any():
        # one place found lets many draws through, and one set of weights rules many out
        place, weights = _solved(program, rooms_mm[open_ones.argmax()])
        through = (program.rows[:, :3] @ place[:3] <= rooms_mm + 1e-9).all(axis=1)
        open_ones[open_ones.argmax()] = False
        fits |= through
        open_ones &= ~through & ~(rooms_mm @ weights < 0)
    return float((fits.sum() + 1) / (draws + 2))


class _Program(NamedTuple):
    """Rows over (shift x, shift y, turn, room) and what each leaves, openings one after the other,
    the bounds of the turn last."""

    rows: NDArray[np.float64]
    rooms_mm: NDArray[np.float64]
    normals: NDArray[np.float64]


def _program(kit: Sequence[Opening], there: Sequence[Opening], bolt_mm: float) -> _Program:
    import numpy as np

    angles = np.arange(_DIRECTIONS) * 2 * pi / _DIRECTIONS
    normals = np.column_stack((np.cos(angles), np.sin(angles)))
    mine, others = (np.array([(o.x_mm, o.y_mm) for o in part]) for part in (kit, there))
    x, y = (mine - mine.mean(axis=0)).T
    turns = np.outer(x, normals[:, 1]) - np.outer(y, normals[:, 0])
    rows = np.column_stack((np.tile(normals, (len(kit), 1)), turns.ravel(), np.ones(turns.size)))
    reach = np.array(
        [
            [_reach_mm(one, n, bolt_mm) + _reach_mm(other, n, bolt_mm) for n in normals]
            for one, other in zip(kit, there, strict=True)
        ]
    )
    rooms = reach - (mine - others) @ normals.T
    return _Program(
        np.vstack((rows, ((0, 0, 1, 0), (0, 0, -1, 0)))),
        np.append(rooms.ravel(), (_MOST_TURN_RAD, _MOST_TURN_RAD)),
        normals,
    )


def _solved(
    program: _Program, rooms_mm: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The best place with its room, and the weights of the rows that hold it: for any rooms the
    room left is at most their weighted sum (duality of linear programs)."""
    from scipy.optimize import linprog

    solved = linprog((0, 0, 0, -1), A_ub=program.rows, b_ub=rooms_mm, bounds=(None, None))
    # some place always meets the rows, since the room left may be below nothing
    assert solved.x is not None, solved.message
    return solved.x, -solved.ineqlin.marginals


def _reach_mm(opening: Opening, n: Sequence[float], bolt_mm: float) -> float:
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
