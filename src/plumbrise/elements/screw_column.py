"""A screw as a slender column: when it buckles, and when it whirls."""

from __future__ import annotations

from math import pi, sqrt

from plumbrise.elements.ranges import above_zero
from plumbrise.elements.screw import (
    STEEL_KG_PER_MM3,
    STEEL_N_PER_MM2,
    Ends,
    bending_stiffness_nmm2,
    core_area_mm2,
)

LENGTH_FACTOR = {
    Ends.HELD_FREE: 2.0,
    Ends.PINNED_PINNED: 1.0,
    Ends.HELD_PINNED: 0.6991556596428,
    Ends.HELD_HELD: 0.5,
}
"""Ends -> K, the length of a pinned column that buckles under the same load, over the length.
Held-pinned: π over the first root of tan x = x (Timoshenko and Gere, Theory of Elastic Stability,
2nd ed., section 2.1)."""

FIRST_ROOT = {
    Ends.HELD_FREE: 1.8751040687,
    Ends.PINNED_PINNED: pi,
    Ends.HELD_PINNED: 3.9266023120,
    Ends.HELD_HELD: 4.7300407449,
}
"""Ends -> β of the lowest bending frequency (Blevins, Formulas for Natural Frequency and Mode
Shape, table 8-1)."""

WHIRL_SHARE = 0.8
"""Share of the speed at which a screw whirls that it may turn at (common practice, no source)."""


def euler_load_n(*, bending_stiffness_nmm2: float, length_mm: float, ends: Ends) -> float:
    """Force at which a slender straight column buckles.

        P = π² E I / (K L)²

    Holds for slender columns only: see `buckling_load_n`. A bow makes it give way sooner.

    Args:
        bending_stiffness_nmm2: E I.
        length_mm: L, of the part under pressure.
        ends: how it is held.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Timoshenko and Gere, Theory of Elastic Stability, 2nd ed., section 2.1.

    Example:
        >>> round(euler_load_n(bending_stiffness_nmm2=9.253e6, length_mm=350,
        ...                    ends=Ends.HELD_FREE))
        186
    """
    above_zero(bending_stiffness_nmm2=bending_stiffness_nmm2, length_mm=length_mm)
    return pi**2 * bending_stiffness_nmm2 / (LENGTH_FACTOR[ends] * length_mm) ** 2


def johnson_load_n(
    *,
    core_diameter_mm: float,
    length_mm: float,
    ends: Ends,
    yield_n_per_mm2: float,
    modulus_n_per_mm2: float = STEEL_N_PER_MM2,
) -> float:
    """Force at which a short round column gives way.

        P / A = S - (S L / (2π k))² / (C E)        k = d3 / 4    C = 1 / K²

    Holds up to the slenderness of `euler_from_slenderness`.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Shigley's Mechanical Engineering Design, eq. 4-43 to 4-46 (J. B. Johnson's parabola).
    """
    above_zero(length_mm=length_mm, yield_n_per_mm2=yield_n_per_mm2)
    slender = 4 * length_mm / core_diameter_mm
    bend = (yield_n_per_mm2 * slender * LENGTH_FACTOR[ends] / (2 * pi)) ** 2 / modulus_n_per_mm2
    return core_area_mm2(core_diameter_mm=core_diameter_mm) * (yield_n_per_mm2 - bend)


def euler_from_slenderness(
    *, ends: Ends, yield_n_per_mm2: float, modulus_n_per_mm2: float = STEEL_N_PER_MM2
) -> float:
    """Slenderness L/k from which the formula for slender columns holds.

        (L/k)₁ = √(2 π² C E / S)

    Raises:
        InputError: a quantity not above zero.

    Source:
        Shigley's Mechanical Engineering Design, eq. 4-45.

    Example:
        >>> round(euler_from_slenderness(ends=Ends.PINNED_PINNED, yield_n_per_mm2=350), 1)
        107.8
    """
    above_zero(yield_n_per_mm2=yield_n_per_mm2, modulus_n_per_mm2=modulus_n_per_mm2)
    return sqrt(2 * pi**2 * modulus_n_per_mm2 / yield_n_per_mm2) / LENGTH_FACTOR[ends]


def buckling_load_n(
    *,
    core_diameter_mm: float,
    length_mm: float,
    ends: Ends,
    yield_n_per_mm2: float = 350.0,
    modulus_n_per_mm2: float = STEEL_N_PER_MM2,
) -> float:
    """Force at which a round screw under pressure gives way, by the formula that holds for it.

    A screw that stands on its bearing is under pressure between bearing and nut; one that hangs
    from a bearing at the top is pulled there and cannot buckle. The nut counts as pinned if the
    guides keep the gantry in place, as free if they do not.

    Args:
        core_diameter_mm: d3.
        length_mm: from bearing to nut, at the highest place of the nut.
        ends: how bearing and nut hold it.
        yield_n_per_mm2: S; 350 for plain carbon steel (general handbooks).
        modulus_n_per_mm2: E.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Shigley's Mechanical Engineering Design, sections 4-12 and 4-13.

    Example:
        >>> round(buckling_load_n(core_diameter_mm=5.5, length_mm=100, ends=Ends.PINNED_PINNED))
        6423
    """
    above_zero(core_diameter_mm=core_diameter_mm, length_mm=length_mm)
    limit = euler_from_slenderness(
        ends=ends, yield_n_per_mm2=yield_n_per_mm2, modulus_n_per_mm2=modulus_n_per_mm2
    )
    if 4 * length_mm / core_diameter_mm >= limit:
        stiffness = bending_stiffness_nmm2(
            core_diameter_mm=core_diameter_mm, modulus_n_per_mm2=modulus_n_per_mm2
        )
        return euler_load_n(bending_stiffness_nmm2=stiffness, length_mm=length_mm, ends=ends)
    return johnson_load_n(
        core_diameter_mm=core_diameter_mm,
        length_mm=length_mm,
        ends=ends,
        yield_n_per_mm2=yield_n_per_mm2,
        modulus_n_per_mm2=modulus_n_per_mm2,
    )


def whirl_hz(
    *,
    core_diameter_mm: float,
    length_mm: float,
    ends: Ends,
    modulus_n_per_mm2: float = STEEL_N_PER_MM2,
    density_kg_per_mm3: float = STEEL_KG_PER_MM3,
) -> float:
    """Turns a second at which a screw begins to whirl: its lowest bending frequency.

        f = β² / (2π L²) · √(E I / (ρ A))

    Args:
        core_diameter_mm: d3; the thread's mass is left out, as its stiffness is.
        length_mm: L, the free length: the longest between nut and an end.
        ends: how that length is held.
        modulus_n_per_mm2: E.
        density_kg_per_mm3: ρ.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Blevins, Formulas for Natural Frequency and Mode Shape, table 8-1.

    Example:
        >>> round(whirl_hz(core_diameter_mm=5.5, length_mm=350, ends=Ends.HELD_FREE), 1)
        32.2
    """
    above_zero(length_mm=length_mm, density_kg_per_mm3=density_kg_per_mm3)
    stiffness = bending_stiffness_nmm2(
        core_diameter_mm=core_diameter_mm, modulus_n_per_mm2=modulus_n_per_mm2
    )
    tonne_per_mm = density_kg_per_mm3 / 1000 * core_area_mm2(core_diameter_mm=core_diameter_mm)
    return FIRST_ROOT[ends] ** 2 / (2 * pi * length_mm**2) * sqrt(stiffness / tonne_per_mm)


def fastest_lift_mm_per_s(
    *, whirl_turns_per_s: float, lead_mm: float, share: float = WHIRL_SHARE
) -> float:
    """Speed of the nut up to which a screw keeps clear of whirling.

        v = share · f · lead

    Raises:
        InputError: a quantity not above zero.

    Source:
        Common practice, no source: four fifths of the critical speed.

    Example:
        >>> round(fastest_lift_mm_per_s(whirl_turns_per_s=32.2, lead_mm=8))
        206
    """
    above_zero(whirl_turns_per_s=whirl_turns_per_s, lead_mm=lead_mm, share=share)
    return share * whirl_turns_per_s * lead_mm
