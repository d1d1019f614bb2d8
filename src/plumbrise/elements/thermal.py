"""Warmth: what parts grow, what they press when both ends are held, and how a zero drifts."""

from __future__ import annotations

from math import exp, expm1, log

from plumbrise.elements.ranges import above_zero, not_below_zero, one_of

EXPANSION_PER_K = {
    "steel": 11.5e-6,
    "stainless": 17.3e-6,
    "aluminium": 23.1e-6,
    "brass": 19.0e-6,
    "copper": 16.6e-6,
    "nickel-iron": 1.2e-6,
    "acetal": 110e-6,
    "printed plastic": 75e-6,
}
"""Material -> growth per length and kelvin near 20 °C. General handbooks, to 5 %; plastics are
common practice, 60e-6 to 110e-6."""


def growth_mm(*, length_mm: float, warming_k: float, expansion_per_k: float) -> float:
    """How much longer a part gets.

        ΔL = α L ΔT

    Args:
        length_mm: L, from the end that is fixed.
        warming_k: ΔT; below zero for cooling.
        expansion_per_k: α, see `EXPANSION_PER_K`.

    Raises:
        InputError: a length below zero.

    Source:
        Definition of α.

    Example:
        >>> round(growth_mm(length_mm=300, warming_k=10, expansion_per_k=11.5e-6), 4)
        0.0345
    """
    not_below_zero(length_mm=length_mm)
    return expansion_per_k * length_mm * warming_k


def expansion_per_k(material: str) -> float:
    """Growth per length and kelvin of a material by name.

    Raises:
        InputError: an unknown material.
    """
    one_of(EXPANSION_PER_K, material=material)
    return EXPANSION_PER_K[material]


def expansion_from_lengths_per_k(
    *, length_before_mm: float, length_after_mm: float, warming_k: float
) -> float:
    """Coefficient of expansion from two lengths.

        α = (L₁ - L₀) / (L₀ ΔT)

    Raises:
        InputError: a length or the warming not above zero.

    Source:
        NIST Technical Note 1900, example E13.

    Example:
        >>> round(expansion_from_lengths_per_k(length_before_mm=1499.9, length_after_mm=1502.1,
        ...                                    warming_k=84.95) * 1e6, 2)
        17.27
    """
    above_zero(
        length_before_mm=length_before_mm, length_after_mm=length_after_mm, warming_k=warming_k
    )
    return (length_after_mm - length_before_mm) / length_before_mm / warming_k


def apart_mm(
    *,
    first_per_k: float,
    second_per_k: float,
    length_mm: float,
    first_warming_k: float,
    second_warming_k: float,
) -> float:
    """How far two parts of one length that start from the same end run apart, such as upright and
    screw.

        Δ = L (α₁ ΔT₁ - α₂ ΔT₂)

    A floating end must have as much room.

    Raises:
        InputError: a length below zero.

    Source:
        Difference of two growths.

    Example:
        An aluminium upright and a steel screw, both 15 K warmer:

        >>> round(apart_mm(first_per_k=23.1e-6, second_per_k=11.5e-6, length_mm=400,
        ...                first_warming_k=15, second_warming_k=15), 4)
        0.0696
    """
    first, second = (
        growth_mm(length_mm=length_mm, warming_k=warming, expansion_per_k=alpha)
        for alpha, warming in ((first_per_k, first_warming_k), (second_per_k, second_warming_k))
    )
    return first - second


def held_at_both_ends_n(*, apart_mm: float, stiffnesses_n_per_mm: tuple[float, ...]) -> float:
    """Force between two fixed ends when screw and frame grow apart.

        F = Δ / Σ 1/k_i

    With one fixed end it is nothing: hence one end fixed along the axis, and one only.

    Args:
        apart_mm: Δ, see `apart_mm`.
        stiffnesses_n_per_mm: screw, both bearings and frame along the axis, one after the other.

    Raises:
        InputError: no stiffness, or one not above zero.

    Source:
        Springs in series under a forced length.

    Example:
        0.07 mm on a bare Tr8 core, and with a plate that gives way at its end:

        >>> [round(held_at_both_ends_n(apart_mm=0.07, stiffnesses_n_per_mm=links))
        ...  for links in ((12e3,), (12e3, 500))]
        [840, 34]
    """
    from plumbrise.elements.springs import series_n_per_mm

    stiffness = series_n_per_mm(stiffnesses_n_per_mm)
    above_zero("Give a stiffness.", stiffnesses_n_per_mm=stiffness)
    return apart_mm * stiffness


def zero_shift_mm(
    *, fixed_below_the_bed: bool, height_mm: float, screw_growth_per_mm: float
) -> float:
    """How far the nut goes from its told height because the screw between fixed end and nut grows.

        up by growth · z from a fixed end below, down by it from one above (z from that end)

    Args:
        fixed_below_the_bed: the fixed end is the lower one.
        height_mm: z, from the fixed end to the nut.
        screw_growth_per_mm: α ΔT.

    Raises:
        InputError: a height below zero.

    Source:
        Geometry. Homing warm takes it off at the home height, not elsewhere.
    """
    not_below_zero(height_mm=height_mm)
    return (1 if fixed_below_the_bed else -1) * screw_growth_per_mm * height_mm


def warmed_share(*, time_s: float, time_constant_s: float) -> float:
    """Share of the final growth that is there after a time.

        1 - exp(-t/τ)

    Raises:
        InputError: time constant not above zero, a time below zero.

    Source:
        First-order step response.

    Example:
        >>> [round(warmed_share(time_s=t, time_constant_s=20), 3) for t in (20, 60)]
        [0.632, 0.95]
    """
    above_zero(time_constant_s=time_constant_s)
    not_below_zero(time_s=time_s)
    return -expm1(-time_s / time_constant_s)


def halving_time_s(*, time_constant_s: float) -> float:
    """Time in which half of what is left to grow has grown, τ ln 2.

    Raises:
        InputError: time constant not above zero.
    """
    above_zero(time_constant_s=time_constant_s)
    return time_constant_s * log(2)


def soak_time_s(*, final_growth_mm: float, allowed_mm: float, time_constant_s: float) -> float:
    """How long to wait until no more than an allowed drift is still to come.

        t = τ ln(final / allowed)

    Raises:
        InputError: allowed drift or time constant not above zero.

    Source:
        First-order step response solved for the time.

    Example:
        70 µm in all, 5 µm allowed, 25 minutes of time constant: 66 minutes.

        >>> round(soak_time_s(final_growth_mm=0.07, allowed_mm=0.005, time_constant_s=1500) / 60)
        66
    """
    above_zero(allowed_mm=allowed_mm, time_constant_s=time_constant_s)
    ratio = abs(final_growth_mm) / allowed_mm
    return time_constant_s * log(ratio) if ratio > 1 else 0.0


def drift_mm_per_s(*, final_growth_mm: float, time_s: float, time_constant_s: float) -> float:
    """How fast a zero drifts at a time.

        (final / τ) exp(-t/τ)

    Raises:
        InputError: time constant not above zero, a time below zero.

    Source:
        First-order step response.
    """
    above_zero(time_constant_s=time_constant_s)
    not_below_zero(time_s=time_s)
    return final_growth_mm / time_constant_s * exp(-time_s / time_constant_s)
