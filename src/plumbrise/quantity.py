"""Values with unit and uncertainty, how they are written, and units typed at the edge."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from math import degrees, floor, inf, isfinite, log10, sqrt

from plumbrise.errors import InputError

INCH_MM = 25.4
KGF_N = 9.80665
"""Standard gravity times one kilogram (exact by definition, CGPM 1901)."""
GRAVITY_M_PER_S2 = 9.80665


class Unit(Enum):
    """The units that results are given in."""

    MM = "mm"
    N = "N"
    N_PER_MM = "N/mm"
    MM_PER_N = "mm/N"
    NMM = "N·mm"
    S = "s"
    CELSIUS = "°C"
    KG = "kg"
    DEGREE = "°"
    RATIO = ""
    MM_PER_HOUR = "mm/h"

    def __str__(self) -> str:
        return self.value


@dataclass(frozen=True, slots=True)
class Measured:
    """A value with its standard uncertainty `u` and degrees of freedom `dof` (GUM 2.3.1, G.3).

    Example:
        >>> lost = Measured(0.2141, 0.0061, Unit.MM, dof=9)
        >>> round(lost.expanded, 4)
        0.0138
        >>> str(lost)
        '0.214 ± 0.014 mm'
    """

    value: float
    u: float
    unit: Unit
    dof: float = inf

    @property
    def expanded(self) -> float:
        """Half width of the 95 % interval: Student's factor for `dof` times `u` (GUM 6.2, G.3)."""
        return student_factor(self.dof) * self.u

    def __str__(self) -> str:
        return written(self.value, self.expanded, self.unit)


def student_factor(dof: float, level: float = 0.95) -> float:
    """Two-sided Student factor t for `dof` degrees of freedom.

    Source:
        GUM (JCGM 100:2008) table G.2; dof is not cut to a whole number.

    Example:
        >>> round(student_factor(9), 2), round(student_factor(inf), 2)
        (2.26, 1.96)
    """
    from scipy.special import ndtri, stdtrit

    upper = 0.5 + level / 2
    if not isfinite(dof):
        return float(ndtri(upper))
    return float(stdtrit(max(dof, 1.0), upper))


def combined(
    parts: list[tuple[float, float]],
) -> tuple[float, float]:
    """Standard uncertainty and effective degrees of freedom of a sum of independent parts.

        u² = Σ u_i²        ν_eff = u⁴ / Σ (u_i⁴ / ν_i)

    Args:
        parts: (u_i, ν_i), each u_i already times its sensitivity; ν_i may be infinite.

    Source:
        GUM (JCGM 100:2008) 5.1.2 and G.4.1 (Welch-Satterthwaite).

    Example:
        >>> u, dof = combined([(0.25, 9), (0.57, 4), (0.82, 14)])
        >>> round(u, 2), round(dof)
        (1.03, 19)
    """
    u = sqrt(sum(u_i**2 for u_i, _ in parts))
    spread = sum(u_i**4 / dof for u_i, dof in parts if isfinite(dof) and u_i > 0)
    return u, (u**4 / spread if spread > 0 else inf)


FINEST_PLACES = 4
"""Ratios and compliances need so many; no length is read finer."""


def places_for(expanded: float) -> int:
    """Decimal places that a value with this uncertainty deserves: two digits if it starts with
    1 or 2, else one."""
    if not (isfinite(expanded) and expanded > 0):
        return 3
    exponent = floor(log10(expanded) + 1e-12)
    leading = expanded / 10**exponent
    return min(FINEST_PLACES, max(0, -exponent + (1 if leading < 2.95 else 0)))


def written(value: float, expanded: float, unit: Unit = Unit.RATIO) -> str:
    """A value and its 95 % half width for people, both to the same sensible place.

    Example:
        >>> written(0.2141, 0.0138, Unit.MM), written(12.34, 4.4, Unit.N_PER_MM)
        ('0.214 ± 0.014 mm', '12 ± 4 N/mm')
    """
    places = places_for(expanded)
    tail = f" {unit}" if unit.value else ""
    if not (isfinite(expanded) and expanded > 0):
        return f"{plain(value, places)}{tail}"
    return f"{plain(value, places)} ± {expanded:.{places}f}{tail}"


def plain(value: float, places: int) -> str:
    """A number to so many places, never "-0.00".

    Example:
        >>> plain(-0.0004, 2)
        '0.00'
    """
    text = f"{value:.{places}f}"
    return text.lstrip("-") if float(text) == 0 else text


def rounded(value: float, digits: int) -> str:
    """A number to so many significant digits, powers of ten where it is very large or small.

    Example:
        >>> rounded(44458.7, 3), rounded(0.028919, 3), rounded(3.1121e9, 3), rounded(-0.0, 2)
        ('44500', '0.0289', '3.11·10⁹', '0')
    """
    if value == 0 or not isfinite(value):
        return {inf: "no limit", 0: "0"}.get(value, str(value))
    mantissa, _, power = f"{value:.{digits - 1}e}".partition("e")
    exponent = int(power)
    if not -5 < exponent < 6:
        raised = str(exponent).translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))
        return f"{mantissa}·10{raised}"
    return plain(round(value, digits - 1 - exponent), max(0, digits - 1 - exponent))


def percent(probability: float) -> str:
    """A probability in words of whole per cent; the ends are never claimed.

    Example:
        >>> percent(0.9312), percent(0.9999), percent(0.001)
        ('93 %', 'over 98 %', 'under 2 %')
    """
    if probability < 0.02:
        return "under 2 %"
    if probability > 0.98:
        return "over 98 %"
    return f"{100 * probability:.0f} %"


_UNITS: dict[str, tuple[str, float]] = {
    "mm": ("length", 1.0),
    "cm": ("length", 10.0),
    "m": ("length", 1000.0),
    "um": ("length", 1e-3),
    "µm": ("length", 1e-3),
    "μm": ("length", 1e-3),
    "in": ("length", INCH_MM),
    "inch": ("length", INCH_MM),
    '"': ("length", INCH_MM),
    "thou": ("length", INCH_MM / 1000),
    "n": ("force", 1.0),
    "kgf": ("force", KGF_N),
    "lbf": ("force", 4.4482216152605),
    "kg": ("mass", 1.0),
    "g": ("mass", 1e-3),
    "lb": ("mass", 0.45359237),
    "n/mm": ("stiffness", 1.0),
    "n/m": ("stiffness", 1e-3),
    "n/um": ("stiffness", 1e3),
    "n/µm": ("stiffness", 1e3),
    "nmm": ("torque", 1.0),
    "n·mm": ("torque", 1.0),
    "nm": ("torque", 1e3),
    "n·m": ("torque", 1e3),
    "ncm": ("torque", 10.0),
    "s": ("time", 1.0),
    "min": ("time", 60.0),
    "h": ("time", 3600.0),
    "a": ("current", 1.0),
    "ma": ("current", 1e-3),
    "deg": ("angle", 1.0),
    "°": ("angle", 1.0),
    "rad": ("angle", degrees(1)),
    "mrad": ("angle", degrees(1) / 1000),
    "n/mm²": ("modulus", 1.0),
    "n/mm2": ("modulus", 1.0),
    "mpa": ("modulus", 1.0),
    "gpa": ("modulus", 1000.0),
    "psi": ("modulus", 4.4482216152605 / INCH_MM**2),
    "v": ("voltage", 1.0),
    "ohm": ("resistance", 1.0),
    "ω": ("resistance", 1.0),
    "mh": ("inductance", 1.0),
    "uh": ("inductance", 1e-3),
    "µh": ("inductance", 1e-3),
    "hz": ("frequency", 1.0),
    "mm/s": ("speed", 1.0),
    "mm/min": ("speed", 1 / 60),
    "in/s": ("speed", INCH_MM),
    "k": ("temperature difference", 1.0),
    "nmm/rad": ("torsional stiffness", 1.0),
    "n·mm/rad": ("torsional stiffness", 1.0),
    "nm/rad": ("torsional stiffness", 1e3),
    "n·m/rad": ("torsional stiffness", 1e3),
    "lbf·in": ("torque", 4.4482216152605 * INCH_MM),
    "g/m": ("mass per length", 1.0),
}
"""Unit as typed (lower case) -> what it measures, and the factor to the unit used inside.
Factors are exact by definition (International System of Units; inch and pound of 1959)."""


def kind_of(unit: str) -> str | None:
    """What a unit measures, None where no other unit of it can be typed.

    Example:
        >>> kind_of("N·mm"), kind_of("mm⁴")
        ('torque', None)
    """
    return _UNITS[unit.lower()][0] if unit.lower() in _UNITS else None


_NUMBER = re.compile(r"[+-]?[\d_]*[.,]?[\d_]*(?:e[+-]?\d+)?", re.IGNORECASE)


def typed(text: str, wanted: str, place: str) -> float:
    """A number with or without a unit, as a person types it, in the unit used inside.

    Args:
        text: "8", "8 mm", "0,315 in"; a decimal comma is taken as a point.
        wanted: length, force, mass, stiffness, torque, time, current, angle, or what else
            `kind_of` says.
        place: the name of the field, for the error.

    Raises:
        InputError: no number, an unknown unit, or a unit of something else.

    Example:
        >>> typed("0,5 in", "length", "lead")
        12.7
    """
    cleaned = text.strip().replace("\N{MINUS SIGN}", "-")
    found = _NUMBER.match(cleaned)
    cut = found.end() if found else 0
    number, unit = cleaned[:cut].replace(",", "."), cleaned[cut:].strip().lower()
    try:
        value = float(number)
    except ValueError:
        raise InputError(
            place=place,
            value=text,
            allowed=f"a number, if need be with a unit of {wanted},",
            remedy="Type a number such as 8 or 8.5.",
        ) from None
    if not isfinite(value) or "_" in number:
        raise InputError(
            place=place,
            value=text,
            allowed=f"a number, if need be with a unit of {wanted},",
            remedy="Type a number such as 8 or 8.5.",
        )
    if not unit:
        return value
    if unit not in _UNITS:
        names = ", ".join(name for name, (kind, _) in _UNITS.items() if kind == wanted)
        if not names:
            raise InputError(
                place=place, value=text, allowed="a number alone", remedy=f"Leave {unit} out."
            )
        raise InputError(
            place=place, value=text, allowed=names, remedy="Use one of these units, or none."
        )
    kind, factor = _UNITS[unit]
    if kind != wanted:
        raise InputError(
            place=place,
            value=text,
            allowed=_with_article(wanted),
            remedy=f"{unit} is {_with_article(kind)}.",
        )
    return value * factor


def _with_article(noun: str) -> str:
    return f"{'an' if noun[0] in 'aei' else 'a'} {noun}"
