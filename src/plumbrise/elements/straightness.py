"""Lines, planes and corners from a few readings: how straight, how flat, how square."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import asin, hypot

from plumbrise.elements.ranges import above_zero
from plumbrise.errors import InputError


@dataclass(frozen=True, slots=True)
class Line:
    """A line h = start + slope · x among heights, and how far apart the outermost lie from it."""

    start_mm: float
    slope: float
    spread_mm: float


def least_squares_line(places_mm: Sequence[float], heights_mm: Sequence[float]) -> Line:
    """The line with the least sum of squares.

    Raises:
        InputError: fewer than two places that differ, or lists of different length.

    Source:
        Straightness by least squares, as ISO 12780-1 allows it.

    Example:
        >>> line = least_squares_line([0, 1, 2, 3, 4], [0, 5, 1, 4, 2])
        >>> round(line.start_mm, 6), round(line.slope, 6), round(line.spread_mm, 6)
        (1.8, 0.3, 4.7)
    """
    _pairs(places_mm, heights_mm)
    count = len(places_mm)
    middle, mean = sum(places_mm) / count, sum(heights_mm) / count
    across = sum((x - middle) ** 2 for x in places_mm)
    together = zip(places_mm, heights_mm, strict=True)
    slope = sum((x - middle) * (h - mean) for x, h in together) / across
    return _line(mean - slope * middle, slope, places_mm, heights_mm)


def minimum_zone_line(places_mm: Sequence[float], heights_mm: Sequence[float]) -> Line:
    """The line in the middle of the narrowest strip that holds all heights.

    Its spread is never more than that about any other line. An edge of the narrowest strip goes
    through two of the points, so all pairs are tried: fit for some hundred readings.

    Raises:
        InputError: as `least_squares_line`.

    Source:
        ISO 1101, minimum zone.
    """
    _pairs(places_mm, heights_mm)
    points = list(zip(places_mm, heights_mm, strict=True))
    slopes = {
        (other[1] - one[1]) / (other[0] - one[0])
        for one, other in combinations(points, 2)
        if one[0] != other[0]
    }
    lines = [_line(0.0, slope, places_mm, heights_mm) for slope in sorted(slopes)]
    best = min(lines, key=lambda line: line.spread_mm)
    over = [h - best.slope * x for x, h in points]
    return Line((max(over) + min(over)) / 2, best.slope, best.spread_mm)


def _line(start: float, slope: float, places: Sequence[float], heights: Sequence[float]) -> Line:
    left = [h - start - slope * x for x, h in zip(places, heights, strict=True)]
    return Line(start, slope, max(left) - min(left))


def _pairs(places_mm: Sequence[float], heights_mm: Sequence[float]) -> None:
    if len(places_mm) != len(heights_mm) or len(set(places_mm)) < 2:
        raise InputError(
            place="places_mm",
            value=len(places_mm),
            allowed="two places or more, a height at each",
            remedy="Read along the line at equal steps.",
        )


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane z = height + a x + b y."""

    height_mm: float
    along_x: float
    along_y: float

    @property
    def tilt_rad(self) -> float:
        """Angle to the level, small angles."""
        return hypot(self.along_x, self.along_y)

    def at_mm(self, x_mm: float, y_mm: float) -> float:
        """Height at a place."""
        return self.height_mm + self.along_x * x_mm + self.along_y * y_mm


def plane_through(
    one: tuple[float, float, float],
    two: tuple[float, float, float],
    three: tuple[float, float, float],
) -> Plane:
    """The plane through three points (x, y, height), such as the corners of a bed.

    Raises:
        InputError: points in one line.

    Source:
        Geometry.

    Example:
        >>> plane = plane_through((0, 0, 0.10), (300, 0, 0.25), (150, 260, -0.05))
        >>> round(1000 * plane.tilt_rad, 3)
        0.999
    """
    (x1, y1, z1), (x2, y2, z2), (x3, y3, z3) = one, two, three
    area = (x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1)
    if area == 0:
        raise InputError(
            place="points",
            value=(one, two, three),
            allowed="three that are not in one line",
            remedy="Read at three corners.",
        )
    a = ((z2 - z1) * (y3 - y1) - (z3 - z1) * (y2 - y1)) / area
    b = ((x2 - x1) * (z3 - z1) - (x3 - x1) * (z2 - z1)) / area
    return Plane(z1 - a * x1 - b * y1, a, b)


def corner_warp_mm(a: float, b: float, c: float, d: float) -> tuple[float, float]:
    """How far four corners, read in turn round a rectangle, are from one plane.

        r = (a - b + c - d) / 4        zone = |a - b + c - d| / 2

    Returns:
        What the least-squares plane leaves at each corner, its sign turning from corner to
        corner, and the height of the flattest zone that holds all four.

    Source:
        Least squares, and ISO 1101 minimum zone, both in closed form for a rectangle.

    Example:
        >>> corner_warp_mm(0.0, 0.1, 0.0, 0.1)
        (-0.05, 0.1)
    """
    warp = a - b + c - d
    return warp / 4, abs(warp) / 2


def skew_rad(
    *, width_mm: float, height_mm: float, diagonal_mm: float, other_diagonal_mm: float
) -> float:
    """How far a frame is out of square, from its two diagonals.

        sin γ = (d1² - d2²) / (4 a b)

    Exact for a parallelogram; positive where the first diagonal is the longer.

    Raises:
        InputError: a length not above zero, or diagonals that no such frame has.

    Source:
        Law of cosines at both corners.

    Example:
        >>> skew = skew_rad(width_mm=400, height_mm=400, diagonal_mm=566, other_diagonal_mm=565)
        >>> round(1000 * skew, 3)
        1.767
    """
    above_zero(
        width_mm=width_mm,
        height_mm=height_mm,
        diagonal_mm=diagonal_mm,
        other_diagonal_mm=other_diagonal_mm,
    )
    sine = (diagonal_mm**2 - other_diagonal_mm**2) / (4 * width_mm * height_mm)
    if not abs(sine) < 1:
        raise InputError(
            place="diagonal_mm",
            value=diagonal_mm,
            allowed="a diagonal of a frame of these sides",
            remedy="Measure from the same corner points.",
        )
    return asin(sine)


def reversed_straightedge_mm(first_mm: float, turned_mm: float) -> tuple[float, float]:
    """What is the machine's and what the straightedge's, from readings with it both ways up.

        machine = (I1 - I2) / 2        edge = (I1 + I2) / 2

    Args:
        first_mm: reading at a place.
        turned_mm: reading at the same place, edge turned over and gauge on its other side.

    Source:
        C. J. Evans, R. J. Hocken, W. T. Estler, Self-calibration: reversal, redundancy, error
        separation, CIRP Annals 45 (1996) 617.

    Example:
        >>> reversed_straightedge_mm(0.5, -0.25)
        (0.375, 0.125)
    """
    return (first_mm - turned_mm) / 2, (first_mm + turned_mm) / 2
