"""How much the same place differs when it is told again: homings, and heights of a full travel."""

from __future__ import annotations

from math import sqrt
from statistics import mean, stdev

from plumbrise.analyse import RunAnalysis
from plumbrise.prove.things import WITHOUT_FIRST
from plumbrise.quantity import Measured, Unit

STEP_SHARE = 1 / sqrt(12)
"""Standard uncertainty of a reading in steps, in steps (GUM F.2.2.1): no less can be seen."""
FEWEST = 3


def homings_mm(one: RunAnalysis) -> tuple[float, ...]:
    """The places of a repeat-home test, from their mean."""
    found = [mm for mm in one.mended_mm if mm is not None]
    return tuple(mm - mean(found) for mm in found) if found else ()


def home_sd(places: tuple[float, ...], resolution_mm: float) -> Measured | None:
    """Standard deviation of homings, never less than the gauge can see; None below three."""
    if len(places) < FEWEST:
        return None
    sd = max(stdev(places), STEP_SHARE * resolution_mm)
    return _scatter(sd, float(len(places) - 1))


def repeats_sd(
    one: RunAnalysis, *, skip_first: bool, resolution_mm: float = 0.0
) -> Measured | None:
    """Standard deviation of repeats, pooled over heights and directions; None with fewer than
    three cycles.

    What differs from cycle to cycle often does so at all heights alike. So the degrees of freedom
    are those of the cycles alone, which keeps a comparison on the safe side.

    Args:
        one: a full-travel run.
        skip_first: leave out the first cycle.
        resolution_mm: of the gauge: no less scatter than it gives can be seen.
    """
    seen: dict[tuple[float, str], list[float]] = {}
    for reading, mm in zip(one.run.readings, one.mended_mm, strict=True):
        place = (round(reading.target_mm, 3), reading.approach)
        if mm is not None:
            seen.setdefault(place, []).append(mm - reading.target_mm)
    if skip_first:
        seen = {place: values[1:] for place, values in seen.items()}
    repeated = [values for values in seen.values() if len(values) >= FEWEST]
    if not repeated:
        return None
    squares = sum(sum((v - mean(values)) ** 2 for v in values) for values in repeated)
    sd = sqrt(squares / sum(len(values) - 1 for values in repeated))
    dof = float(min(len(values) for values in repeated) - 1)
    return _scatter(max(sd, STEP_SHARE * resolution_mm), dof)


def _scatter(sd: float, dof: float) -> Measured:
    return Measured(sd, sd / sqrt(2 * dof), Unit.MM, dof)


def starts_badly(one: RunAnalysis) -> bool:
    """Whether the first cycle is one of its own."""
    return any(figure.detail.endswith(WITHOUT_FIRST) for figure in one.figures)
