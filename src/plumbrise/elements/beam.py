"""How a beam sags, bends under its own weight and twists, and what it sets against racking."""

from __future__ import annotations

from typing import Literal

from plumbrise.elements.beam_cases import CASES
from plumbrise.elements.ranges import above_zero, between, not_below_zero, one_of
from plumbrise.elements.springs import series_n_per_mm
from plumbrise.errors import InputError


def sag_mm(
    case: str,
    *,
    force_n: float,
    length_mm: float,
    bending_stiffness_nmm2: float,
    at_mm: float | None = None,
) -> float:
    """How far a slim straight beam sags, bending alone.

        x = f(a) F L³ / (E I)        f from `CASES`, a = at / L

    Args:
        case: a key of `CASES`.
        force_n: F; the whole load where it is spread.
        length_mm: L, from the hold to the end, or between the supports.
        bending_stiffness_nmm2: E I.
        at_mm: where the force stands, for the cases that ask.

    Raises:
        InputError: an unknown case, a quantity not above zero, or a place off the beam.

    Source:
        Roark's Formulas for Stress and Strain, table 8.1.

    Example:
        >>> round(sag_mm("cantilever", force_n=10, length_mm=300,
        ...              bending_stiffness_nmm2=70e3 * 44458.7), 4)
        0.0289
    """
    above_zero(bending_stiffness_nmm2=bending_stiffness_nmm2)
    share_n = _share_n(case, "sag", force_n, length_mm, at_mm)
    return share_n * length_mm**3 / bending_stiffness_nmm2


def end_slope_rad(
    case: str,
    *,
    force_n: float,
    length_mm: float,
    bending_stiffness_nmm2: float,
    at_mm: float | None = None,
) -> float:
    """How far a beam's end turns: the free or the resting end; with a place, the end from which
    it is measured; on an overhang, the end under the force.

        θ = g(a) F L² / (E I)        g from `CASES`, a = at / L

    Zero where the ends are held against turning.

    Raises:
        InputError: as `sag_mm`.

    Source:
        Roark's Formulas for Stress and Strain, table 8.1.
    """
    above_zero(bending_stiffness_nmm2=bending_stiffness_nmm2)
    share_n = _share_n(case, "slope", force_n, length_mm, at_mm)
    return share_n * length_mm**2 / bending_stiffness_nmm2


def moment_sag_mm(
    *, moment_nmm: float, length_mm: float, bending_stiffness_nmm2: float
) -> tuple[float, float]:
    """Sag and slope of a beam's free end, held at the other, by a moment there.

        x = M L² / (2 E I)        θ = M L / (E I)

    Raises:
        InputError: length or stiffness not above zero.

    Source:
        Roark's Formulas for Stress and Strain, table 8.1.
    """
    above_zero(length_mm=length_mm, bending_stiffness_nmm2=bending_stiffness_nmm2)
    slope = moment_nmm * length_mm / bending_stiffness_nmm2
    return slope * length_mm / 2, slope


def shear_sag_mm(
    case: str,
    *,
    force_n: float,
    length_mm: float,
    shear_stiffness_n: float,
    at_mm: float | None = None,
) -> float:
    """What shear adds to the sag: little, unless the beam is short for its height.

        x = s(a) F L / (κ G A)        s from `CASES`

    Exact but for a propped beam, where the prop takes a little more than bending alone says.

    Args:
        case: a key of `CASES`.
        force_n: F.
        length_mm: L.
        shear_stiffness_n: κ G A.
        at_mm: where the force stands.

    Raises:
        InputError: as `sag_mm`.

    Source:
        Timoshenko's beam; Roark's Formulas for Stress and Strain, section 8.10.
    """
    above_zero(shear_stiffness_n=shear_stiffness_n)
    share_n = _share_n(case, "shear", force_n, length_mm, at_mm)
    return share_n * length_mm / shear_stiffness_n


def twist_rad(*, torque_nmm: float, length_mm: float, torsion_stiffness_nmm2: float) -> float:
    """How far a beam twists over a length, its ends free to warp.

        θ = T L / (G J)

    Raises:
        InputError: length or stiffness not above zero.

    Source:
        Saint-Venant; Roark's Formulas for Stress and Strain, table 10.1.
    """
    above_zero(length_mm=length_mm, torsion_stiffness_nmm2=torsion_stiffness_nmm2)
    return torque_nmm * length_mm / torsion_stiffness_nmm2


def _share_n(
    case: str,
    of: Literal["sag", "slope", "shear"],
    force_n: float,
    length_mm: float,
    at_mm: float | None,
) -> float:
    """The force times the case's polynomial at its place, all checked."""
    one_of(CASES, case=case)
    above_zero(length_mm=length_mm)
    not_below_zero(force_n=force_n)
    far = CASES[case].far
    if far is not None and at_mm is None:
        raise InputError(
            place="at_mm",
            value="nothing",
            allowed=f"0 to {far * length_mm:g} mm",
            remedy="Give where the force stands: this case asks.",
        )
    if far is None or at_mm is None:
        a = 0.0
    else:
        between(0, far * length_mm, "Give where the force stands.", at_mm=at_mm)
        a = at_mm / length_mm
    coefficients = getattr(CASES[case], of)
    return force_n * float(sum(c * a**power for power, c in enumerate(coefficients)))


def racking_n_per_mm(*, tilting_nmm_per_rad: float, span_mm: float) -> float:
    """Force at one end of a beam for each millimetre that it is behind the other end.

        k = K / S²

    A force F at distance S turns the beam with the moment F S by the angle x / S. Carriages that
    tilt side by side on the same beam add up in K.

    Args:
        tilting_nmm_per_rad: K, moment per angle that the carriages set against tilting.
        span_mm: S, between the guides.

    Raises:
        InputError: span or stiffness not above zero.

    Source:
        Statics of a rigid beam on a rotary spring, small angles.

    Example:
        >>> racking_n_per_mm(tilting_nmm_per_rad=4e6, span_mm=200)
        100.0
    """
    above_zero(tilting_nmm_per_rad=tilting_nmm_per_rad, span_mm=span_mm)
    return tilting_nmm_per_rad / span_mm**2


def cantilever_n_per_mm(*, bending_stiffness_nmm2: float, length_mm: float) -> float:
    """Force at the free end of a clamped beam for each millimetre it gives way.

        k = 3 E I / L³

    Shear is left out: under 3 % for a beam five times as long as high.

    Args:
        bending_stiffness_nmm2: E I.
        length_mm: L, from the clamp to the force.

    Raises:
        InputError: length or stiffness not above zero.

    Source:
        Roark's Formulas for Stress and Strain, table 8.1, cantilever with end load.

    Example:
        A tube 40 x 20 x 2 of aluminium on edge, 300 mm out:

        >>> round(cantilever_n_per_mm(bending_stiffness_nmm2=70e3 * 44458.7, length_mm=300), 1)
        345.8
    """
    above_zero(bending_stiffness_nmm2=bending_stiffness_nmm2, length_mm=length_mm)
    return 3 * bending_stiffness_nmm2 / length_mm**3


def beam_racking_n_per_mm(
    *, tilting_nmm_per_rad: float, bending_stiffness_nmm2: float, span_mm: float
) -> float:
    """Racking stiffness of a beam that bends itself, held by carriages at the driven end.

    Carriage and beam give way one after the other.

    Raises:
        InputError: a quantity not above zero.

    Example:
        >>> round(beam_racking_n_per_mm(tilting_nmm_per_rad=1e7, bending_stiffness_nmm2=3.1e9,
        ...                             span_mm=340), 1)
        63.3
    """
    return series_n_per_mm(
        (
            racking_n_per_mm(tilting_nmm_per_rad=tilting_nmm_per_rad, span_mm=span_mm),
            cantilever_n_per_mm(bending_stiffness_nmm2=bending_stiffness_nmm2, length_mm=span_mm),
        )
    )
