"""Currents of step motors: windings, heat, the driver's limit, and two motors on one or two."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from plumbrise.elements.motor import ROTOR_TEETH, STEPS_PER_CYCLE, largest_error_mm
from plumbrise.elements.ranges import above_zero, between, not_below_zero, one_of

RUN_SHARE = 0.7
"""Part of the rated current usual for lifts, 0.6 to 0.8. Common practice, no source."""
_DATA_SHEET = "Read it off the motor's data sheet."


@dataclass(frozen=True, slots=True)
class Connection:
    """How the half windings of a phase are joined, as factors on those of one half winding, at
    the same heat in the copper."""

    resistance: float
    inductance: float
    current: float
    torque: float
    words: str


CONNECTIONS = {
    "half": Connection(1.0, 1.0, 1.0, 1.0, "one half winding of each phase, as with six leads"),
    "series": Connection(2.0, 4.0, 1 / sqrt(2), sqrt(2), "both halves one after the other"),
    "parallel": Connection(0.5, 1.0, sqrt(2), sqrt(2), "both halves side by side"),
}
"""Word -> factors. Identities: the halves share one core, so turns add before they are squared."""


@dataclass(frozen=True, slots=True)
class Sharing:
    """How two motors share a driver's current and supply, and how they can fall out of step."""

    current: float
    supply: float
    driver_resistance: float
    driver_inductance: float
    in_whole_cycles: bool
    words: str


SHARINGS = {
    "series": Sharing(
        1.0, 0.5, 2.0, 2.0, True,
        "Both motors on one driver, one after the other: each gets the whole current and half of "
        "the voltage, so torque falls off at half the speed.",
    ),
    "parallel": Sharing(
        0.5, 1.0, 0.5, 0.5, True,
        "Both motors on one driver, side by side: each gets half of the current and so half of "
        "the torque, unless the driver is set to twice the current.",
    ),
    "separate": Sharing(
        1.0, 1.0, 1.0, 1.0, False,
        "A driver each: full current and full voltage. After power off the two can stand at any "
        "angle to one another, so level them before use.",
    ),
}  # fmt: skip
"""Word -> what each of two like motors gets; resistance and inductance as the driver sees them."""


@dataclass(frozen=True, slots=True)
class Setting:
    """A driver's limit in the words that drivers use, and the heat it makes in both phases."""

    peak_a: float
    rms_a: float
    loss_w: float


@dataclass(frozen=True, slots=True)
class Joined:
    """A phase after its halves were joined."""

    resistance_ohm: float
    inductance_mh: float
    current_a: float


def joined(
    connection: str, *, half_resistance_ohm: float, half_inductance_mh: float, half_current_a: float
) -> Joined:
    """Resistance, inductance and current of an eight-lead motor's phase.

        series: 2 R, 4 L, I / √2        parallel: R / 2, L, √2 I        at equal copper loss

    Torque at rest is alike in series and parallel; parallel keeps it to twice the speed and wants
    a driver of twice the current.

    Raises:
        InputError: an unknown connection, or a quantity not above zero.

    Source:
        Winding identities.

    Example:
        >>> made = joined("series", half_resistance_ohm=2, half_inductance_mh=3, half_current_a=1)
        >>> made.resistance_ohm, made.inductance_mh, round(made.current_a, 4)
        (4.0, 12.0, 0.7071)
    """
    one_of(CONNECTIONS, connection=connection)
    above_zero(
        _DATA_SHEET,
        half_resistance_ohm=half_resistance_ohm,
        half_inductance_mh=half_inductance_mh,
        half_current_a=half_current_a,
    )
    factors = CONNECTIONS[connection]
    return Joined(
        factors.resistance * half_resistance_ohm,
        factors.inductance * half_inductance_mh,
        factors.current * half_current_a,
    )


def rms_a(*, peak_a: float) -> float:
    """Effective value of a sine current.

        I_rms = I_peak / √2

    Raises:
        InputError: a current below zero.

    Source:
        Mean of the square of a sine.

    Example:
        >>> round(rms_a(peak_a=1), 4)
        0.7071
    """
    not_below_zero(peak_a=peak_a)
    return peak_a / sqrt(2)


def copper_loss_w(*, peak_a: float, resistance_ohm: float) -> float:
    """Heat in both phases of a microstepped motor, the same at every angle and at rest.

        P = R (I sin α)² + R (I cos α)² = R I²

    Raises:
        InputError: current below zero, resistance not above zero.

    Source:
        Identity of sine and cosine. The resistance is that of the warm winding: copper gains
        about 0.4 % for each kelvin.

    Example:
        >>> copper_loss_w(peak_a=1, resistance_ohm=2.0)
        2.0
    """
    not_below_zero(peak_a=peak_a)
    above_zero(_DATA_SHEET, resistance_ohm=resistance_ohm)
    return resistance_ohm * peak_a**2


def current_setting(
    *, rated_current_a: float, resistance_ohm: float, share: float = RUN_SHARE
) -> Setting:
    """What to set a driver to.

        I_rms = share · I_rated        I_peak = √2 I_rms

    A data sheet rates a motor with both phases on at once, and a microstepping driver never has
    both at their peak: at the same heat its peak may be √2 of the rated current. Find out whether
    a driver's setting means peak or effective before it is turned.

    Raises:
        InputError: share outside 0.1 to 1, current or resistance not above zero.

    Source:
        Equal copper loss, see `copper_loss_w`. The usual share is common practice, no source.

    Example:
        >>> found = current_setting(rated_current_a=1.0, resistance_ohm=2, share=1)
        >>> round(found.peak_a, 3), found.rms_a, round(found.loss_w, 6)
        (1.414, 1.0, 4.0)
    """
    above_zero(_DATA_SHEET, rated_current_a=rated_current_a, resistance_ohm=resistance_ohm)
    between(0.1, 1, "Above the rated current the winding cooks.", share=share)
    peak = sqrt(2) * share * rated_current_a
    return Setting(
        peak, share * rated_current_a, copper_loss_w(peak_a=peak, resistance_ohm=resistance_ohm)
    )


def reference_v(*, peak_a: float, sense_ohm: float, gain: float) -> float:
    """Voltage at the trimmer of a driver with sense resistors.

        V = g R_s I_peak

    Args:
        peak_a: I_peak to be limited to.
        sense_ohm: R_s, the resistors beside the driver: 0.05 to 0.11 are usual.
        gain: g of the driver: 5 and 8 are usual. Both are on its data sheet.

    Raises:
        InputError: a quantity not above zero.

    Source:
        Common form of such drivers' data sheets; common practice, so measure the current after.

    Example:
        >>> round(reference_v(peak_a=1, sense_ohm=0.1, gain=8), 3)
        0.8
    """
    above_zero(
        "Read it off the driver's data sheet.", peak_a=peak_a, sense_ohm=sense_ohm, gain=gain
    )
    return gain * sense_ohm * peak_a


def out_of_step_mm(sharing: str, *, lead_mm: float, rotor_teeth: int = ROTOR_TEETH) -> float | None:
    """The quantum by which the screws of two motors can differ after a slip or power off.

        Δz = 4 full steps · lead / (4 p)

    Returns:
        The height of one electrical cycle for motors on one driver; None for separate drivers,
        where any difference can be.

    Raises:
        InputError: an unknown sharing, lead not above zero, no teeth.

    Source:
        Stable places of two-phase motors on the same currents repeat after four full steps.

    Example:
        >>> out_of_step_mm("series", lead_mm=8)
        0.16
    """
    one_of(SHARINGS, sharing=sharing)
    step = largest_error_mm(lead_mm=lead_mm, rotor_teeth=rotor_teeth)
    return STEPS_PER_CYCLE * step if SHARINGS[sharing].in_whole_cycles else None
