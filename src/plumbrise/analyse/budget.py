"""How sure a figure is: its budget of parts, from scatter and from what is known of the gauge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, inf, isfinite, sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.results import CannotTell, Figure, Part
from plumbrise.quantity import Measured, Unit, combined
from plumbrise.readings import Scale
from plumbrise.readings.gauge import (
    STAND_U_MM,
    Permissible,
    permissible,
    u_of_limits_mm,
    u_of_resolution_mm,
)

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class GaugeDoubt:
    """What the gauge adds to a figure besides scatter."""

    resolution_mm: float
    limits: Permissible

    def resolution(self, times: float = 1.0, words: str = "display step of the gauge") -> Part:
        """A rounding that all readings share, once; `times` √2 for a difference of two."""
        return Part(words, times * u_of_resolution_mm(self.resolution_mm), inf, "B")

    def retrace(self) -> Part:
        """The plunger hangs back where the reading turns."""
        return Part("gauge, retrace", u_of_limits_mm(self.limits.retrace_mm), inf, "B")

    def place(self, apart_mm: float) -> Part:
        """Error of the dial between two places."""
        error = self.limits.between_places_mm(apart_mm)
        return Part("gauge, from one place of the dial to another", u_of_limits_mm(error), inf, "B")

    def stand(self) -> Part:
        """The stand gives and settles."""
        return Part("stand of the gauge", STAND_U_MM, inf, "B")

    def averaged(self, scatter: Part, sd: float) -> tuple[Part, ...]:
        """A mean's scatter, and the display step where it does not average out.

        Where readings scatter by half a step or more their roundings differ by chance and are
        part of that scatter already; else all round alike and the step counts once.
        """
        if isfinite(sd) and sd >= 0.5 * self.resolution_mm:
            return (scatter,)
        return (scatter, self.resolution())

    def one_reading(self, sd: float, dof: float, words: str) -> Part:
        """One reading: its scatter, never less than the display step allows."""
        least = u_of_resolution_mm(self.resolution_mm)
        if not isfinite(sd) or sd < least:
            return Part(words, least, inf, "B")
        return Part(words, sd, dof, "A")


def gauge_doubt(scale: Scale, stroke_mm: float) -> GaugeDoubt:
    """What the gauge adds over so much stroke."""
    return GaugeDoubt(scale.resolution_mm, permissible(scale.resolution_mm, stroke_mm))


def figure(
    name: str,
    value: float,
    parts: Sequence[Part],
    *,
    unit: Unit = Unit.MM,
    detail: str = "",
    at_least: bool = False,
    at_mm: float | None = None,
) -> Figure:
    """A figure with its budget; the parts are independent and already in its unit.

    Source:
        GUM (JCGM 100:2008) 5.1.2, G.4.
    """
    u, dof = combined([(part.u, part.dof) for part in parts])
    return Figure(name, Measured(float(value), u, unit, dof), detail, at_least, at_mm, tuple(parts))


def scatter_part(words: str, u: float, dof: float) -> Part:
    """A part from statistics."""
    return Part(words, float(u), float(dof), "A")


def times(part: Part, factor: float) -> Part:
    """A part through a sensitivity."""
    return Part(part.words, abs(factor) * part.u, part.dof, part.kind)


def wanted(count: int, there: int, what: str, remedy: str) -> tuple[str, str]:
    """Why a figure cannot be told, and what would give it, in one form everywhere."""
    verb = "is" if there == 1 else "are"
    number = str(there) if there else "none"
    return (
        f"Cannot tell yet: {count} {what} are wanted, {number} {verb} there.",
        remedy,
    )


def cannot(name: str, why: str, need: str, detail: str = "") -> CannotTell:
    """A figure that these readings do not give."""
    return CannotTell(
        name, why if why.startswith("Cannot") else f"Cannot tell yet: {why}", need, detail
    )


def noise_sd(values: Array, floor: float) -> float:
    """Scatter of one reading from second differences: blind to slope, hardly to a bend."""
    if len(values) < 4:
        return floor
    seconds = np.abs(values[:-2] - 2 * values[1:-1] + values[2:])
    return max(floor, float(np.median(seconds)) * 1.4826 / sqrt(6))


def difference_parts(a: Part, b: Part) -> Part:
    """Two like parts in one line."""
    dof = min(a.dof, b.dof)
    return Part(a.words, hypot(a.u, b.u), dof, a.kind)
