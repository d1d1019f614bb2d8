"""Which belt to buy: the stock lengths next to a loop, and how far a pulley must give for each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import atan2, cos, degrees, hypot, isfinite, radians, sin

from plumbrise.elements.belt_loop import Loop, loop
from plumbrise.elements.belt_pulley import BELT_PITCH_MM, Pulley
from plumbrise.elements.ranges import above_zero, not_below_zero
from plumbrise.errors import InputError

STOCK_LENGTHS_MM = (
    *range(100, 300, 20),
    *range(300, 1000, 10),
    *range(1000, 1600, 20),
)  # fmt: skip
"""Lengths of closed 2 mm belts to reckon with where no list is at hand. Common practice, no
source: shops differ, so look at what one has before anything is drilled."""
_NEWTON_STEPS = 12
_SEARCH_STEPS = 20
"""How finely a shift is searched where Newton's steps do not lead to it."""


@dataclass(frozen=True, slots=True)
class Fit:
    """A stock length and what it asks of the pulley that can be moved.

    `shift_mm` is how far it moves out, negative for in, and None where no place within reach
    takes this belt. `loop` is the belt as it then lies.
    """

    length_mm: float
    teeth: int
    shift_mm: float | None
    loop: Loop | None


def outward_deg(found: Loop, name: str) -> float:
    """The direction in which moving a pulley takes up most belt, against the pull on it.

        direction = opposite to the sum of the unit pulls of the two spans

    Raises:
        InputError: no such pulley, or a belt that only touches it and pulls it nowhere.

    Example:
        >>> found = loop([Pulley(name="left", x_mm=0, y_mm=0, teeth=20),
        ...               Pulley(name="right", x_mm=350, y_mm=0, teeth=20)])
        >>> round(outward_deg(found, "right"))
        0
    """
    x, y = pull_per_newton(found, name)
    if hypot(x, y) < 1e-6:
        raise InputError(
            place=name,
            value="a belt that runs straight past",
            allowed="a pulley that the belt bends round",
            remedy="Say in which direction it moves, or move another one.",
        )
    return degrees(atan2(-y, -x))


def pull_per_newton(found: Loop, name: str) -> tuple[float, float]:
    """Force on a pulley for each newton of tension in the belt, in x and y.

    Raises:
        InputError: no such pulley.
    """
    index = found.at(name)
    leaving, arriving = found.spans[index].direction_rad, found.spans[index - 1].direction_rad
    return cos(leaving) - cos(arriving), sin(leaving) - sin(arriving)


def shift_mm(
    pulleys: Sequence[Pulley],
    *,
    length_mm: float,
    moved: str,
    direction_deg: float | None = None,
    reach_mm: float = 40.0,
    belt_pitch_mm: float = BELT_PITCH_MM,
) -> float | None:
    """How far one pulley must move for the belt to have this length.

        L(s) = length, solved for s

    Args:
        pulleys: as for `loop`.
        length_mm: of the belt that is to be used.
        moved: the pulley that can be moved: motor, idler or screw.
        direction_deg: where it moves, from x towards y; left out, where it takes up most belt.
        reach_mm: how far it can go either way.
        belt_pitch_mm: distance of the belt's teeth.

    Returns:
        The shift, positive along the direction; None where none within reach does it.

    Raises:
        InputError: a layout that is none, a length or a reach not above zero.

    Source:
        Numerical inverse of the loop's length, to 1e-9 mm.

    Example:
        >>> two = [Pulley(name="left", x_mm=0, y_mm=0, teeth=20),
        ...        Pulley(name="right", x_mm=342, y_mm=0, teeth=20)]
        >>> round(shift_mm(two, length_mm=740, moved="right"), 6)
        8.0
    """
    above_zero(length_mm=length_mm, reach_mm=reach_mm)
    found = loop(pulleys, belt_pitch_mm=belt_pitch_mm)
    angle = outward_deg(found, moved) if direction_deg is None else direction_deg
    if not isfinite(angle):
        raise InputError(
            place="direction_deg", value=angle, allowed="an angle", remedy="Leave it out."
        )
    found.at(moved)

    def excess(shift: float) -> tuple[float, float]:
        """How much longer than wanted the loop is, and how fast that grows with the shift."""
        there = loop(_moved(pulleys, moved, angle, shift), belt_pitch_mm=belt_pitch_mm)
        x, y = pull_per_newton(there, moved)
        grows = -(x * cos(radians(angle)) + y * sin(radians(angle)))
        return there.length_mm - length_mm, grows

    quick = _by_slope(excess, reach_mm)
    if quick is not None:
        return quick
    ways = (_by_search(excess, way * reach_mm) for way in (1, -1))
    return min((shift for shift in ways if shift is not None), key=abs, default=None)


def _by_slope(excess: Callable[[float], tuple[float, float]], reach_mm: float) -> float | None:
    """The shift by Newton's steps from zero; None where they leave the layout or the reach."""
    shift = 0.0
    for _ in range(_NEWTON_STEPS):
        try:
            too_long, grows = excess(shift)
        except InputError:
            return None
        if abs(too_long) < 1e-10:
            return shift
        if abs(grows) < 0.05:
            return None
        shift -= too_long / grows
        if abs(shift) > reach_mm:
            return None
    return None


def _by_search(excess: Callable[[float], tuple[float, float]], reach_mm: float) -> float | None:
    """The nearest shift from zero to `reach_mm` where a loop has its length, if there is one."""
    near, too_long = 0.0, excess(0.0)[0]
    for step in range(1, _SEARCH_STEPS + 1):
        far = reach_mm * step / _SEARCH_STEPS
        try:
            too_long_there = excess(far)[0]
        except InputError:  # the belt would miss a pulley or two would meet: no further this way
            return None
        if too_long * too_long_there <= 0:
            from scipy.optimize import brentq

            return float(brentq(lambda shift: excess(shift)[0], near, far, xtol=1e-10))
        near, too_long = far, too_long_there
    return None


def tightening_mm(found: Loop, name: str, *, tension_n: float, axial_stiffness_n: float) -> float:
    """How much further out a pulley has to go than where the belt lies straight, to tighten it.

        s = T L / (E A) / (2 sin(θ / 2))

    It is what the belt stretches, taken up along the bisector of its two spans. A slot needs this
    much more, and as much again the other way to get the belt on.

    Raises:
        InputError: no such pulley, one that the belt runs straight past, or a quantity out of
            range.

    Source:
        Hooke's law and geometry of the belt.

    Example:
        >>> two = loop([Pulley(name="left", x_mm=0, y_mm=0, teeth=20),
        ...             Pulley(name="right", x_mm=350, y_mm=0, teeth=20)])
        >>> round(tightening_mm(two, "right", tension_n=25, axial_stiffness_n=10_000), 3)
        0.925
    """
    not_below_zero(tension_n=tension_n)
    above_zero(axial_stiffness_n=axial_stiffness_n)
    outward_deg(found, name)
    return tension_n * found.length_mm / axial_stiffness_n / hypot(*pull_per_newton(found, name))


def nearest_stock(
    pulleys: Sequence[Pulley],
    *,
    moved: str,
    stock_mm: Sequence[float] = STOCK_LENGTHS_MM,
    direction_deg: float | None = None,
    reach_mm: float = 40.0,
    belt_pitch_mm: float = BELT_PITCH_MM,
    each_way: int = 2,
) -> tuple[Fit, ...]:
    """The stock lengths next below and above a loop, with the shift that each needs.

    Args:
        pulleys, moved, direction_deg, reach_mm, belt_pitch_mm: as for `shift_mm`.
        stock_mm: the lengths that can be bought, each a whole number of teeth.
        each_way: how many shorter and how many longer ones; one that fits exactly counts as
            longer.

    Raises:
        InputError: a layout that is none, an empty stock, or a length that is no whole number of
            teeth.

    Source:
        Geometry, see `shift_mm`.

    Example:
        >>> two = [Pulley(name="left", x_mm=0, y_mm=0, teeth=20),
        ...        Pulley(name="right", x_mm=342, y_mm=0, teeth=20)]
        >>> [(fit.length_mm, round(fit.shift_mm, 3))
        ...  for fit in nearest_stock(two, moved="right", each_way=1)]
        [(720, -2.0), (730, 3.0)]
    """
    found = loop(pulleys, belt_pitch_mm=belt_pitch_mm)
    stock = sorted(set(stock_mm))
    for length in stock:
        if not (length > 0 and abs(length / belt_pitch_mm - round(length / belt_pitch_mm)) < 1e-6):
            raise InputError(
                place="stock_mm",
                value=length,
                allowed=f"whole multiples of {belt_pitch_mm:g} mm",
                remedy="A closed belt has whole teeth: correct the length.",
            )
    shorter = [length for length in stock if length < found.length_mm - 1e-9][-each_way:]
    longer = [length for length in stock if length >= found.length_mm - 1e-9][:each_way]
    if not stock:
        raise InputError(
            place="stock_mm", value="none", allowed="one or more", remedy="List the lengths."
        )
    angle = outward_deg(found, moved) if direction_deg is None else direction_deg

    def fit(length: float) -> Fit:
        shift = shift_mm(
            pulleys,
            length_mm=length,
            moved=moved,
            direction_deg=angle,
            reach_mm=reach_mm,
            belt_pitch_mm=belt_pitch_mm,
        )
        lies = (
            None
            if shift is None
            else loop(_moved(pulleys, moved, angle, shift), belt_pitch_mm=belt_pitch_mm)
        )
        return Fit(length, round(length / belt_pitch_mm), shift, lies)

    return tuple(fit(length) for length in (*shorter, *longer))


def _moved(
    pulleys: Sequence[Pulley], moved: str, direction_deg: float, shift: float
) -> list[Pulley]:
    """The layout with one pulley elsewhere."""
    dx, dy = shift * cos(radians(direction_deg)), shift * sin(radians(direction_deg))
    return [
        replace(p, x_mm=p.x_mm + dx, y_mm=p.y_mm + dy) if p.name == moved else p for p in pulleys
    ]
