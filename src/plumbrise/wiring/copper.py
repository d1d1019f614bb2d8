"""Copper wire: gauge sizes, resistance per length, and what warmth adds."""

from __future__ import annotations

from math import pi

from plumbrise.errors import InputError

RESISTIVITY_OHM_MM2_PER_M = 0.017241
"""Annealed copper at 20 °C (IEC 60028)."""
PER_KELVIN = 0.00393
"""Gain of resistance per kelvin, of that at 20 °C (IEC 60028)."""
WINDING_CONSTANT_C = 235.0
"""What is added to temperatures in the resistance method (IEC 60034-1, copper)."""
STRANDED = 1.2
"""A flexible wire has up to so many times the resistance of solid copper of its nominal size:
IEC 60228, class 5, allows 1.13 at 0.5 mm² and 1.16 at 2.5 mm²; cheap wire runs under size."""
CLASS_5_OHM_PER_KM = {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98}
"""Size, mm² -> largest resistance of plain flexible copper at 20 °C (IEC 60228, class 5)."""


def awg_diameter_mm(*, gauge: int) -> float:
    """Diameter of a solid wire of an American wire gauge.

        d = 0.127 mm · 92^((36 − n) / 39)

    Args:
        gauge: n, 0 to 40; a higher number is a thinner wire.

    Raises:
        InputError: a number outside that.

    Source:
        ASTM B258.

    Example:
        >>> round(awg_diameter_mm(gauge=24), 4)
        0.5106
    """
    if not 0 <= gauge <= 40:
        raise InputError(
            place="gauge",
            value=gauge,
            allowed="0 to 40",
            remedy="Read the number off the wire's jacket, or give its size in mm².",
        )
    return float(0.127 * 92 ** ((36 - gauge) / 39))


def awg_area_mm2(*, gauge: int) -> float:
    """Cross-section of a solid wire of an American wire gauge.

    Example:
        >>> round(awg_area_mm2(gauge=24), 4)
        0.2047
    """
    return pi / 4 * awg_diameter_mm(gauge=gauge) ** 2


def warmth_factor(*, celsius: float) -> float:
    """Resistance at a temperature over that at 20 °C.

    Example:
        >>> round(warmth_factor(celsius=60), 4)
        1.1572
    """
    return 1 + PER_KELVIN * (celsius - 20)


def wire_ohm(*, area_mm2: float, length_m: float, celsius: float = 20.0) -> float:
    """Resistance of one solid copper wire, one way.

        R = ρ L / A · (1 + α (t − 20))

    Raises:
        InputError: a cross-section not above zero, or a negative length.

    Source:
        IEC 60028.

    Example:
        >>> round(1000 * wire_ohm(area_mm2=awg_area_mm2(gauge=24), length_m=1), 1)
        84.2
    """
    for place, value, fits in (
        ("area_mm2", area_mm2, area_mm2 > 0),
        ("length_m", length_m, length_m >= 0),
    ):
        if not fits:
            raise InputError(
                place=place,
                value=value,
                allowed="a size above 0",
                remedy="Measure the wire, or read it off its jacket.",
            )
    return RESISTIVITY_OHM_MM2_PER_M * length_m / area_mm2 * warmth_factor(celsius=celsius)


def flexible_ohm(*, area_mm2: float, length_m: float) -> float:
    """The most that one flexible wire may have at 20 °C: by the table for its sizes, else
    `STRANDED` times solid copper.

    Source:
        IEC 60228, class 5.

    Example:
        >>> flexible_ohm(area_mm2=0.5, length_m=1)
        0.039
    """
    per_km = CLASS_5_OHM_PER_KM.get(area_mm2)
    if per_km is not None:
        return per_km * length_m / 1000
    return STRANDED * wire_ohm(area_mm2=area_mm2, length_m=length_m)


def winding_rise_k(*, cold_ohm: float, warm_ohm: float, cold_c: float, room_c: float) -> float:
    """How much warmer than the room a winding is, from its resistance cold and warm.

        Δθ = R2 / R1 · (235 + t1) − 235 − t_room

    Source:
        IEC 60034-1, resistance method.

    Example:
        >>> round(winding_rise_k(cold_ohm=2.0, warm_ohm=2.4, cold_c=20, room_c=20), 1)
        51.0
    """
    return warm_ohm / cold_ohm * (WINDING_CONSTANT_C + cold_c) - WINDING_CONSTANT_C - room_c
