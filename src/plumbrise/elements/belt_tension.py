"""How tight a toothed belt may and must be, how it sounds then, and what it does to the shafts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, pi, sin, sqrt

from plumbrise.elements import beam
from plumbrise.elements.ranges import above_zero, between, not_below_zero
from plumbrise.errors import InputError

WORKING_N_PER_MM_WIDTH = 40.0 / 6.0
"""Installed tension a strand that glass-cord belts of 2 mm pitch are kept under, for each
millimetre of width. Common practice, no source."""
LEAST_N_PER_MM_WIDTH = 15.0 / 6.0
"""Below this such a belt sags and its teeth ride up. Common practice, no source."""
MASS_G_PER_M_WIDTH = 8.5 / 6.0
"""Mass of a metre of such a belt for each millimetre of width: 8 to 9 g/m at 6 mm. Common
practice, no source: weigh a piece."""
MOTOR_RADIAL_N = 28.0
"""Side load that the shaft of a 42 mm motor takes 20 mm from its flange. A usual data-sheet line,
from memory: read that of the motor at hand."""


@dataclass(frozen=True, slots=True)
class Limit:
    """One bound of the tension, and what sets it."""

    tension_n: float
    because: str


@dataclass(frozen=True, slots=True)
class Window:
    """Installed tension of a strand, from what needs it to what bears it; each side sorted with
    the one that rules first. It is empty where `lowest_n` lies above `highest_n`."""

    needs: tuple[Limit, ...]
    bears: tuple[Limit, ...]

    @property
    def lowest_n(self) -> float:
        """The tension that every need is met with."""
        return self.needs[0].tension_n

    @property
    def highest_n(self) -> float:
        """The tension that everything bears."""
        return self.bears[0].tension_n if self.bears else inf

    @property
    def open(self) -> bool:
        """Whether there is a tension that does."""
        return self.lowest_n <= self.highest_n


def span_frequency_hz(*, tension_n: float, mass_g_per_m: float, length_mm: float) -> float:
    """Tone of a plucked free span.

        f = sqrt(T / μ) / (2 l)

    Args:
        tension_n: T of the strand.
        mass_g_per_m: μ.
        length_mm: l, between the two points of contact.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Vibrating string. The belt's bending stiffness raises the tone of a short span (under
        about 20 belt thicknesses): choose the longest.

    Example:
        >>> round(span_frequency_hz(tension_n=25, mass_g_per_m=8.5, length_mm=350), 2)
        77.48
    """
    above_zero(tension_n=tension_n, mass_g_per_m=mass_g_per_m, length_mm=length_mm)
    return sqrt(tension_n / (mass_g_per_m * 1e-3)) / (2 * length_mm * 1e-3)


def span_tension_n(*, frequency_hz: float, mass_g_per_m: float, length_mm: float) -> float:
    """Tension of a strand from the tone of its free span.

        T = 4 μ l² f²

    The tone goes with the square root: 5 % off in the tone is 10 % in the tension.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Vibrating string.

    Example:
        >>> round(span_tension_n(frequency_hz=77.48, mass_g_per_m=8.5, length_mm=350), 2)
        25.0
    """
    above_zero(frequency_hz=frequency_hz, mass_g_per_m=mass_g_per_m, length_mm=length_mm)
    return 4 * mass_g_per_m * 1e-3 * (length_mm * 1e-3) ** 2 * frequency_hz**2


def shaft_load_n(*, tension_n: float, wrap_deg: float) -> float:
    """Side load on a shaft from the two strands of a belt at rest.

        F = 2 T sin(θ / 2)

    Args:
        tension_n: T of each strand.
        wrap_deg: θ, 180 for equal pulleys.

    Raises:
        InputError: tension negative, wrap outside a turn.

    Source:
        Statics.

    Example:
        >>> shaft_load_n(tension_n=25, wrap_deg=180)
        50.0
    """
    not_below_zero(tension_n=tension_n)
    between(0, 360, "Give the angle that the belt touches.", wrap_deg=wrap_deg)
    return 2 * tension_n * sin(wrap_deg / 2 * pi / 180)


def end_deflection_mm(
    *, load_n: float, overhang_mm: float, core_diameter_mm: float, modulus_n_per_mm2: float
) -> float:
    """How far a belt bends the end of a screw that stands out of its bearing.

        δ = F L³ / (3 E I)        I = π d⁴ / 64

    Args:
        load_n: F, from `shaft_load_n`.
        overhang_mm: L, from the bearing to the middle of the pulley.
        core_diameter_mm: d, root of the thread, or the turned end if that is thinner.
        modulus_n_per_mm2: E.

    Raises:
        InputError: load negative, another quantity not above zero.

    Source:
        Roark's Formulas for Stress and Strain, table 8.1, cantilever with end load.

    Example:
        >>> round(end_deflection_mm(load_n=50, overhang_mm=20, core_diameter_mm=5.5,
        ...                         modulus_n_per_mm2=206_000), 4)
        0.0144
    """
    not_below_zero(load_n=load_n)
    above_zero(core_diameter_mm=core_diameter_mm, modulus_n_per_mm2=modulus_n_per_mm2)
    inertia = pi * core_diameter_mm**4 / 64
    return load_n / beam.cantilever_n_per_mm(
        bending_stiffness_nmm2=modulus_n_per_mm2 * inertia, length_mm=overhang_mm
    )


def most_overhang_mm(
    *, load_n: float, deflection_mm: float, core_diameter_mm: float, modulus_n_per_mm2: float
) -> float:
    """How far a pulley may stand out of the bearing that holds its screw; endless without a load.

        L = (3 E I δ / F)^(1/3)        I = π d⁴ / 64

    Args:
        load_n: F, from `shaft_load_n`.
        deflection_mm: δ that the end may bend.
        core_diameter_mm: d, root of the thread, or the turned end if that is thinner.
        modulus_n_per_mm2: E.

    Raises:
        InputError: load negative, another quantity not above zero.

    Source:
        `end_deflection_mm`, solved for the length.

    Example:
        >>> round(most_overhang_mm(load_n=50, deflection_mm=0.0144, core_diameter_mm=5.5,
        ...                        modulus_n_per_mm2=206_000), 1)
        20.0
    """
    not_below_zero(load_n=load_n)
    above_zero(
        deflection_mm=deflection_mm,
        core_diameter_mm=core_diameter_mm,
        modulus_n_per_mm2=modulus_n_per_mm2,
    )
    if load_n == 0:
        return inf
    inertia = pi * core_diameter_mm**4 / 64
    return float((3 * modulus_n_per_mm2 * inertia * deflection_mm / load_n) ** (1 / 3))


def tension_for_load_n(*, load_n: float, wrap_deg: float) -> float:
    """Tension at which a belt loads a shaft by so much; endless where it does not bend round it.

        T = F / (2 sin(θ / 2))

    Raises:
        InputError: load not above zero, wrap outside a turn.

    Source:
        Statics.
    """
    above_zero("Read the permitted side load off a data sheet.", load_n=load_n)
    for_one_newton = shaft_load_n(tension_n=1.0, wrap_deg=wrap_deg)
    return load_n / for_one_newton if for_one_newton > 1e-9 else inf


def window(
    *,
    torque_nmm: float,
    pitch_diameter_mm: float,
    width_mm: float = 6.0,
    margin: float = 2.0,
    bears: Sequence[Limit] = (),
) -> Window:
    """The tensions between which a belt works.

        it must stay above   margin · F_t / 2    F_t = 2 M / d
        and within           the usual range of its width, and what bearings and shafts bear

    A torque M tightens one strand and slackens the other by half the force at the rim each; a
    strand that goes slack winds up twice as far and lets teeth climb.

    Args:
        torque_nmm: M, the largest that the pulley passes on, starting included.
        pitch_diameter_mm: d, of the smaller pulley.
        width_mm: of the belt.
        margin: by how much the slack strand is kept from going slack.
        bears: further upper limits, such as from `tension_for_load_n`.

    Raises:
        InputError: torque negative, another quantity not above zero, margin below 1.

    Source:
        Balance of the strands; the usual range is common practice, no source.

    Example:
        >>> found = window(torque_nmm=60, pitch_diameter_mm=12.732)
        >>> round(found.lowest_n), round(found.highest_n), found.open
        (15, 40, True)
    """
    not_below_zero(torque_nmm=torque_nmm)
    above_zero(pitch_diameter_mm=pitch_diameter_mm, width_mm=width_mm)
    if not 1 <= margin < inf:
        raise InputError(
            place="margin", value=margin, allowed="1 or more", remedy="Take 2 if in doubt."
        )
    needs = (
        Limit(margin * torque_nmm / pitch_diameter_mm, "the slack strand stays tight"),
        Limit(LEAST_N_PER_MM_WIDTH * width_mm, "the belt does not sag"),
    )
    limits = (Limit(WORKING_N_PER_MM_WIDTH * width_mm, "the belt itself"), *bears)
    return Window(
        tuple(sorted(needs, key=lambda limit: -limit.tension_n)),
        tuple(sorted(limits, key=lambda limit: limit.tension_n)),
    )
