"""What torque a step motor still has at speed, and how much of it a lift needs."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, inf, log, pi, sqrt

from plumbrise.elements.motor import ROTOR_TEETH
from plumbrise.elements.ranges import above_zero, between, not_below_zero
from plumbrise.errors import InputError

ENOUGH = 2.0
"""Torque at hand over torque needed that lifts are laid out for: resonance, cold grease and a
binding spot take the rest. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Winding:
    """A motor on its driver, each phase: what a data sheet and the driver say.

    `holding_torque_nmm` is that of the data sheet, both phases on at `rated_current_a`.
    `current_a` is the peak of the driver's sine, `supply_v` what one motor sees of the supply.
    """

    resistance_ohm: float
    inductance_mh: float
    rated_current_a: float
    holding_torque_nmm: float
    current_a: float
    supply_v: float
    rotor_teeth: int = ROTOR_TEETH

    @property
    def torque_nmm_per_a(self) -> float:
        """Peak torque of one phase for each ampere in it, N·mm/A; also the voltage it makes,
        mV s/rad."""
        return self.holding_torque_nmm / (sqrt(2) * self.rated_current_a)

    @property
    def torque_at_rest_nmm(self) -> float:
        """Torque at the driver's current, standing."""
        return self.torque_nmm_per_a * self.current_a


def current_rise_s(
    *, resistance_ohm: float, inductance_mh: float, supply_v: float, current_a: float
) -> float:
    """Time until a phase that is switched on carries this current, standing still.

        t = - L / R · ln(1 - I R / V)

    Raises:
        InputError: a quantity not above zero, or a current that the supply cannot drive.

    Source:
        First-order circuit of resistance and inductance.

    Example:
        >>> round(1000 * current_rise_s(resistance_ohm=2, inductance_mh=3, supply_v=24,
        ...                             current_a=1), 4)
        0.1305
    """
    above_zero(resistance_ohm=resistance_ohm, inductance_mh=inductance_mh, supply_v=supply_v)
    above_zero(current_a=current_a)
    _refuse_starved(current_a, resistance_ohm, supply_v)
    return -inductance_mh * 1e-3 / resistance_ohm * log(1 - current_a * resistance_ohm / supply_v)


def knee_turns_per_s(
    *,
    resistance_ohm: float,
    inductance_mh: float,
    supply_v: float,
    current_a: float,
    rotor_teeth: int = ROTOR_TEETH,
    torque_nmm_per_a: float = 0.0,
) -> float:
    """Speed up to which the supply drives the full current, so that torque stays as at rest.

        V² = (R I + K ω)² + (p ω L I)²        ω in rad/s of the shaft

    Args:
        resistance_ohm, inductance_mh: R and L of a phase.
        supply_v: V.
        current_a: I, peak of the sine.
        rotor_teeth: p.
        torque_nmm_per_a: K, see `Winding`; 0 leaves out the voltage that the turning rotor makes,
            which gives too high a speed.

    Raises:
        InputError: a quantity not above zero, or a current that the supply cannot drive.

    Source:
        Circuit of one phase in steady state; P. Acarnley, Stepping Motors, speed range.

    Example:
        >>> round(knee_turns_per_s(resistance_ohm=2, inductance_mh=3, supply_v=24, current_a=1), 1)
        25.4
    """
    above_zero(resistance_ohm=resistance_ohm, inductance_mh=inductance_mh, supply_v=supply_v)
    above_zero(current_a=current_a, rotor_teeth=rotor_teeth)
    not_below_zero(torque_nmm_per_a=torque_nmm_per_a)
    _refuse_starved(current_a, resistance_ohm, supply_v)
    drop, made = current_a * resistance_ohm, torque_nmm_per_a * 1e-3
    # a ω² + 2 b ω - c = 0
    a = made**2 + (rotor_teeth * inductance_mh * 1e-3 * current_a) ** 2
    b, c = made * drop, supply_v**2 - drop**2
    return (sqrt(b**2 + a * c) - b) / a / (2 * pi)


def torque_at_speed_nmm(winding: Winding, *, turns_per_s: float) -> float:
    """The most torque a motor gives at a speed.

        T = K i_q, the largest i_q for which
            i_d² + i_q² ≤ I²
            (R i_q + p ω L i_d + K ω)² + (R i_d - p ω L i_q)² ≤ V²

    Below the knee that is K I. Far above it the supply alone rules, and it is
    T = K V / Z - K² ω R / Z² with Z² = R² + (p ω L)². In between both bounds hold. Resonance, iron
    losses, a driver's slow decay and detent are left out: take a margin.

    Args:
        winding: the motor on its driver.
        turns_per_s: of the motor's shaft, either way round.

    Returns:
        Torque at the shaft, N·mm; 0 above the speed where the supply drives none.

    Raises:
        InputError: a quantity of the winding not above zero, or a current that the supply cannot
            drive at rest.

    Source:
        Steady state of a two-phase motor with sine currents; far above the knee the pull-out
        torque of P. Acarnley, Stepping Motors.

    Example:
        >>> lift = Winding(resistance_ohm=2, inductance_mh=3, rated_current_a=1,
        ...                holding_torque_nmm=400, current_a=1, supply_v=24)
        >>> [round(torque_at_speed_nmm(lift, turns_per_s=n)) for n in (0, 5, 20)]
        [283, 283, 154]
    """
    _check(winding)
    between(-1e4, 1e4, "Give the turns of the motor a second.", turns_per_s=turns_per_s)
    omega = 2 * pi * abs(turns_per_s)
    k = winding.torque_nmm_per_a * 1e-3
    r, x = winding.resistance_ohm, winding.rotor_teeth * omega * winding.inductance_mh * 1e-3
    limit, supply, made = winding.current_a, winding.supply_v, k * omega
    if hypot(r * limit + made, x * limit) <= supply:
        return k * limit * 1e3
    z = hypot(r, x)
    # currents that the supply can drive fill a disc: centre and radius in (i_d, i_q)
    centre_d, centre_q, radius = -x * made / z**2, -r * made / z**2, supply / z
    if hypot(centre_d, centre_q + radius) <= limit:
        return max(0.0, k * (centre_q + radius)) * 1e3
    return max(0.0, k * _highest_crossing(centre_d, centre_q, radius, limit)) * 1e3


def _highest_crossing(centre_d: float, centre_q: float, radius: float, limit: float) -> float:
    """Where the discs of current limit and supply cross, the higher i_q."""
    distance = hypot(centre_d, centre_q)
    if distance >= limit + radius:
        return 0.0
    along = (limit**2 - radius**2 + distance**2) / (2 * distance)
    aside = sqrt(max(0.0, limit**2 - along**2))
    return along * centre_q / distance + aside * abs(centre_d) / distance


def acceleration_torque_nmm(
    *,
    inertia_kgmm2: float,
    mass_kg: float,
    lead_mm: float,
    acceleration_mm_per_s2: float,
) -> float:
    """Torque that speeds up rotor, screw and the lifted mass, on top of what lifts it.

        T = (J + m (lead / 2π)²) a 2π / lead

    Args:
        inertia_kgmm2: J of rotor, coupling and screw together. The rotor of a 42 mm motor has 3 to
            8 kg·mm², an 8 mm screw of 350 mm about 1 (common practice, no source).
        mass_kg: m.
        lead_mm: of the screw, motor straight on it.
        acceleration_mm_per_s2: a, upwards.

    Raises:
        InputError: a quantity out of range.

    Source:
        Newton's law for a mass on a thread without friction.

    Example:
        >>> round(acceleration_torque_nmm(inertia_kgmm2=6, mass_kg=1.2, lead_mm=8,
        ...                               acceleration_mm_per_s2=100), 2)
        0.62
    """
    not_below_zero(inertia_kgmm2=inertia_kgmm2, mass_kg=mass_kg)
    not_below_zero(acceleration_mm_per_s2=acceleration_mm_per_s2)
    above_zero(lead_mm=lead_mm)
    per_turn = lead_mm / (2 * pi)
    inertia = inertia_kgmm2 + mass_kg * per_turn**2
    return inertia * acceleration_mm_per_s2 / per_turn * 1e-3


def torque_margin(*, available_nmm: float, needed_nmm: float) -> float:
    """Torque at hand over torque needed; endless where none is needed. See `ENOUGH`.

    Raises:
        InputError: a torque below zero.

    Source:
        Definition.
    """
    not_below_zero(available_nmm=available_nmm, needed_nmm=needed_nmm)
    return available_nmm / needed_nmm if needed_nmm > 0 else inf


def _check(winding: Winding) -> None:
    above_zero(
        "Read it off the motor's data sheet or the driver's setting.",
        resistance_ohm=winding.resistance_ohm,
        inductance_mh=winding.inductance_mh,
        rated_current_a=winding.rated_current_a,
        holding_torque_nmm=winding.holding_torque_nmm,
        current_a=winding.current_a,
        supply_v=winding.supply_v,
        rotor_teeth=winding.rotor_teeth,
    )
    _refuse_starved(winding.current_a, winding.resistance_ohm, winding.supply_v)


def _refuse_starved(current_a: float, resistance_ohm: float, supply_v: float) -> None:
    if current_a * resistance_ohm >= supply_v:
        raise InputError(
            place="current_a",
            value=current_a,
            allowed=f"below {supply_v / resistance_ohm:.3g} A",
            remedy="The supply cannot drive more through this winding: lower the current, or take "
            "a higher supply or another winding.",
        )
