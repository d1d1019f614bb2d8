"""What a cross section sets against bending, shear and twist."""

from __future__ import annotations

from dataclasses import dataclass
from math import cosh, pi, tanh

from plumbrise.elements.ranges import above_zero, between
from plumbrise.errors import InputError


@dataclass(frozen=True, slots=True)
class Section:
    """A cross section: area, second moments for a load along its height and along its width, the
    torsion constant (None where it is not known), and the shear coefficients either way."""

    area_mm2: float
    tall_mm4: float
    flat_mm4: float
    torsion_mm4: float | None
    tall_shear: float
    flat_shear: float


def bar(*, width_mm: float, height_mm: float, poisson: float = 0.3) -> Section:
    """A solid rectangle.

        I = b h³ / 12        J = c2 a b³ (a the longer side)

    Raises:
        InputError: a side not above zero, or ν outside 0 to 0.5.

    Source:
        Timoshenko and Goodier, Theory of Elasticity, section 109 (c2).
    """
    above_zero(width_mm=width_mm, height_mm=height_mm)
    long, short = max(width_mm, height_mm), min(width_mm, height_mm)
    return Section(
        area_mm2=width_mm * height_mm,
        tall_mm4=width_mm * height_mm**3 / 12,
        flat_mm4=height_mm * width_mm**3 / 12,
        torsion_mm4=rectangle_torsion(ratio=long / short)[1] * long * short**3,
        tall_shear=rectangle_shear(poisson=poisson),
        flat_shear=rectangle_shear(poisson=poisson),
    )


def tube(*, width_mm: float, height_mm: float, wall_mm: float) -> Section:
    """A closed rectangular tube, corners sharp.

        I = (b h³ - b_i h_i³) / 12        J = 2 t b_m² h_m² / (b_m + h_m)

    J takes the wall as thin: within a few per cent up to a wall of a tenth of the short side.
    Shear is carried by the two walls along the load.

    Raises:
        InputError: a side not above zero, or a wall that leaves no hollow.

    Source:
        Bredt's formula for closed thin walls, as in Roark's Formulas for Stress and Strain,
        table 10.1.

    Example:
        >>> made = tube(width_mm=20, height_mm=40, wall_mm=2)
        >>> round(made.tall_mm4, 1), round(made.flat_mm4, 1)
        (44458.7, 14378.7)
    """
    above_zero(width_mm=width_mm, height_mm=height_mm, wall_mm=wall_mm)
    inside_b, inside_h = width_mm - 2 * wall_mm, height_mm - 2 * wall_mm
    _hollow(inside=min(inside_b, inside_h), wall_mm=wall_mm)
    middle_b, middle_h = width_mm - wall_mm, height_mm - wall_mm
    area = width_mm * height_mm - inside_b * inside_h
    return Section(
        area_mm2=area,
        tall_mm4=(width_mm * height_mm**3 - inside_b * inside_h**3) / 12,
        flat_mm4=(height_mm * width_mm**3 - inside_h * inside_b**3) / 12,
        torsion_mm4=2 * wall_mm * (middle_b * middle_h) ** 2 / (middle_b + middle_h),
        tall_shear=2 * wall_mm * height_mm / area,
        flat_shear=2 * wall_mm * width_mm / area,
    )


def rod(*, diameter_mm: float, poisson: float = 0.3) -> Section:
    """A solid round.

        I = π d⁴ / 64        J = π d⁴ / 32

    Raises:
        InputError: diameter not above zero.

    Source:
        Roark's Formulas for Stress and Strain, tables A.1 and 10.1.
    """
    above_zero(diameter_mm=diameter_mm)
    second = pi * diameter_mm**4 / 64
    shear = round_shear(poisson=poisson)
    return Section(pi * diameter_mm**2 / 4, second, second, 2 * second, shear, shear)


def pipe(*, diameter_mm: float, wall_mm: float, poisson: float = 0.3) -> Section:
    """A round tube.

        I = π (d⁴ - d_i⁴) / 64        J = 2 I

    Raises:
        InputError: diameter or wall not above zero, or a wall that leaves no hollow.

    Source:
        Roark's Formulas for Stress and Strain, tables A.1 and 10.1.
    """
    above_zero(diameter_mm=diameter_mm, wall_mm=wall_mm)
    inside = diameter_mm - 2 * wall_mm
    _hollow(inside=inside, wall_mm=wall_mm)
    second = pi * (diameter_mm**4 - inside**4) / 64
    area = pi * (diameter_mm**2 - inside**2) / 4
    shear = thin_pipe_shear(poisson=poisson)
    return Section(area, second, second, 2 * second, shear, shear)


def _hollow(*, inside: float, wall_mm: float) -> None:
    if not inside > 0:
        raise InputError(
            place="wall_mm",
            value=wall_mm,
            allowed="less than half of the short side",
            remedy="Measure the wall, or choose a solid section.",
        )


EXTRUSIONS = {
    "extrusion-20x20": Section(160.0, 0.7e4, 0.7e4, None, 0.4, 0.4),
    "extrusion-20x40": Section(290.0, 4.5e4, 1.3e4, None, 0.4, 0.4),
    "extrusion-40x40": Section(500.0, 11e4, 11e4, None, 0.4, 0.4),
}
"""Slotted aluminium profiles, width by height. Common practice, no source: makers differ by up
to a quarter either way, and the open slots twist far more easily than a tube, by how much the
maker's sheet has to say."""


def rectangle_torsion(*, ratio: float) -> tuple[float, float]:
    """c1 and c2 of a twisted solid rectangle, a by b with a the longer side.

        τ = T / (c1 a b²)        J = c2 a b³

        c2 = (1/3) (1 - (192/π⁵)(b/a) Σ tanh(nπa/2b) / n⁵)
        c2 / c1 = 1 - (8/π²) Σ 1 / (n² cosh(nπa/2b))        n = 1, 3, 5, ...

    Args:
        ratio: a / b, 1 or more.

    Raises:
        InputError: a ratio below 1.

    Source:
        Timoshenko and Goodier, Theory of Elasticity, section 109.

    Example:
        >>> c1, c2 = rectangle_torsion(ratio=2)
        >>> round(c1, 4), round(c2, 4)
        (0.2459, 0.2287)
    """
    between(1, 1e6, "The ratio is that of the longer side to the shorter.", ratio=ratio)
    odd = range(1, 40, 2)
    c2 = (1 - 192 / pi**5 / ratio * sum(tanh(n * pi * ratio / 2) / n**5 for n in odd)) / 3
    peak = 1 - 8 / pi**2 * sum(
        1 / (n**2 * cosh(n * pi * ratio / 2)) for n in odd if n * ratio < 400
    )
    return c2 / peak, c2


def rectangle_torsion_short(*, ratio: float) -> float:
    """c2 by a short formula, within 0.5 % of the series.

        c2 = (1/16) (16/3 - 3.36 (b/a) (1 - (b/a)⁴ / 12))

    Raises:
        InputError: a ratio below 1.

    Source:
        Roark's Formulas for Stress and Strain, table 10.1 (sides 2a by 2b).
    """
    between(1, 1e6, "The ratio is that of the longer side to the shorter.", ratio=ratio)
    slim = 1 / ratio
    return (16 / 3 - 3.36 * slim * (1 - slim**4 / 12)) / 16


def rectangle_shear(*, poisson: float) -> float:
    """Shear coefficient of a rectangle, κ = 10 (1 + ν) / (12 + 11 ν).

    Raises:
        InputError: ν outside 0 to 0.5.

    Source:
        G. R. Cowper, Journal of Applied Mechanics 33 (1966) 335.
    """
    between(0, 0.5, poisson=poisson)
    return 10 * (1 + poisson) / (12 + 11 * poisson)


def round_shear(*, poisson: float) -> float:
    """Shear coefficient of a solid round, κ = 6 (1 + ν) / (7 + 6 ν).

    Raises:
        InputError: ν outside 0 to 0.5.

    Source:
        G. R. Cowper, Journal of Applied Mechanics 33 (1966) 335.
    """
    between(0, 0.5, poisson=poisson)
    return 6 * (1 + poisson) / (7 + 6 * poisson)


def thin_pipe_shear(*, poisson: float) -> float:
    """Shear coefficient of a thin round tube, κ = 2 (1 + ν) / (4 + 3 ν).

    Raises:
        InputError: ν outside 0 to 0.5.

    Source:
        G. R. Cowper, Journal of Applied Mechanics 33 (1966) 335.
    """
    between(0, 0.5, poisson=poisson)
    return 2 * (1 + poisson) / (4 + 3 * poisson)
