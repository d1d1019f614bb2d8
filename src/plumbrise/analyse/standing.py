"""Tests in which the axis comes back or stands still: home again, hold, warm-up, loads, gauge."""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.budget import GaugeDoubt, cannot, figure, scatter_part, times
from plumbrise.analyse.lines import Line, fit_line
from plumbrise.analyse.results import CannotTell, Figure, Part
from plumbrise.analyse.statistics import (
    relative_u_of_range,
    relative_u_of_sd,
    sample,
    widening,
)
from plumbrise.quantity import Unit

Array = NDArray[np.float64]
Found = list[Figure | CannotTell]
HOUR_S = 3600.0
FEWEST = 3


def home(read: Array, gauge: GaugeDoubt, drift_mm: float) -> Found:
    """Range and experimental standard deviation of readings after home.

    Args:
        read: readings in order, as far as they were read at one height.
        gauge: what the gauge adds.
        drift_mm: slope a repeat if the readings drift, else 0; the scatter is then also given
            with it taken out.
    """
    n = len(read)
    if n < FEWEST:
        more = FEWEST - n
        why = f"{FEWEST} homings are wanted, {n} {'is' if n == 1 else 'are'} there."
        need = f"Home {'once' if more == 1 else f'{more} times'} more and read at the same height."
        return [cannot("home_range", why, need), cannot("home_sd", why, need)]
    found = sample(list(read))
    rounding = gauge.resolution(sqrt(2)) if found.sd < 0.5 * gauge.resolution_mm else None
    more_parts = [rounding] if rounding else []
    words = f"{n} readings only: another {n} would scatter otherwise"
    width = float(np.ptp(read))
    made: Found = [
        figure(
            "home_range",
            width,
            [scatter_part(words, width * relative_u_of_range(n), n - 1), *more_parts],
        ),
        figure(
            "home_sd",
            found.sd,
            [scatter_part(words, found.sd * relative_u_of_sd(n), n - 1), *more_parts],
        ),
    ]
    if drift_mm and n > FEWEST:
        line = fit_line(np.arange(n, dtype=float), read)
        u = line.sd * relative_u_of_sd(n - 1)
        parts = [scatter_part(words, u, n - 2), *more_parts]
        made.append(figure("home_sd", line.sd, parts, detail="without the drift"))
    return made


def drift(read: Array, time_s: Array | None, gauge: GaugeDoubt) -> Found:
    """Drift an hour and in all, from a line through the readings over time.

    Args:
        read: readings in order.
        time_s: times, None where they are not known: then in all only, over equal spaces.
        gauge: what the gauge adds.
    """
    n = len(read)
    if n < FEWEST or (time_s is not None and not float(np.ptp(time_s)) > 0):
        why = f"{FEWEST} readings at different times are wanted, {n} are there."
        need = "Leave the machine and read again every few minutes."
        return [cannot("drift", why, need, "an hour"), cannot("drift", why, need, "in all")]
    x = np.arange(n, dtype=float) if time_s is None else time_s
    line = fit_line(x, read)
    span = float(np.ptp(x))
    rest = read - line.intercept - line.slope * x
    wide = widening(sample(list(rest)).lag1, n)
    least = gauge.resolution_mm / sqrt(12) * line.u_slope / line.sd if line.sd > 0 else 0.0
    scatter = scatter_part(
        "scatter about the line", max(line.u_slope * wide, least) * span, max(1.0, line.dof / wide)
    )
    coarse = line.sd < 0.5 * gauge.resolution_mm
    parts = [scatter, *([gauge.resolution(sqrt(2))] if coarse else []), gauge.stand()]
    made: Found = [figure("drift", line.slope * span, parts, detail="in all")]
    if time_s is None:
        why = "the times of the readings are not known."
        made.append(cannot("drift", why, "Note the time of each reading.", "an hour"))
        return made
    hourly = HOUR_S / span
    made.append(
        figure(
            "drift",
            line.slope * HOUR_S,
            [times(part, hourly) for part in parts],
            unit=Unit.MM_PER_HOUR,
            detail="an hour",
        )
    )
    return made


def branches(load: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Which readings load up and which unload, told by the size of the load; the reading at a
    turn belongs to both."""
    size = np.abs(load)
    loading: set[int] = set()
    unloading: set[int] = set()
    for i in range(1, len(size)):
        if size[i] > size[i - 1]:
            loading |= {i - 1, i}
        elif size[i] < size[i - 1]:
            unloading |= {i - 1, i}
        else:
            same = loading if i - 1 in loading else unloading
            same.add(i)
    return np.array(sorted(loading), dtype=int), np.array(sorted(unloading), dtype=int)


def compliance(load: Array, way: Array, gauge: GaugeDoubt) -> Found:
    """Millimetres a newton: mean of the slopes of loading and unloading.

    Args:
        load: force on the part, N.
        way: how far it gave way in the direction of the force, mm, any zero.
        gauge: what the gauge adds.
    """
    made: Found = []
    slopes: list[tuple[float, list[Part]]] = []
    for detail, chosen in zip(("loading", "unloading"), branches(load), strict=True):
        line = _slope(load[chosen], way[chosen])
        if line is None:
            where = "with the load growing" if detail == "loading" else "with the load taken off"
            count = len(chosen)
            verb = "is" if count == 1 else "are"
            why = f"{FEWEST} readings {where} are wanted, {count} {verb} there."
            need = (
                "Hang the masses on one after another and read each time."
                if detail == "loading"
                else "Take the masses off one after another and read each time."
            )
            made.append(cannot("compliance", why, need, detail))
            continue
        parts = _slope_parts(line, load[chosen], gauge)
        slopes.append((line.slope, parts))
        made.append(figure("compliance", line.slope, parts, unit=Unit.MM_PER_N, detail=detail))
    if len(slopes) == 2:
        (a, of_a), (b, of_b) = slopes
        parts = [times(p, 0.5) for p in (of_a[0], of_b[0], *of_a[1:])]
        parts[2:] = [times(p, 2.0) for p in parts[2:]]  # the gauge errs alike on both
        made.insert(0, figure("compliance", (a + b) / 2, parts, unit=Unit.MM_PER_N))
    else:
        why = "the mean wants slopes of loading and of unloading."
        made.insert(0, cannot("compliance", why, "Load in steps and unload in the same steps."))
    return made


def _slope(load: Array, way: Array) -> Line | None:
    if len(load) < FEWEST or len(np.unique(load)) < 2:
        return None
    return fit_line(load, way)


def _slope_parts(line: Line, load: Array, gauge: GaugeDoubt) -> list[Part]:
    span = float(np.ptp(load))
    spread = sqrt(float(((load - load.mean()) ** 2).sum()))
    coarse = line.sd < 0.5 * gauge.resolution_mm
    rounding = [times(gauge.resolution(sqrt(2)), 1 / span)] if coarse else []
    place = times(gauge.place(abs(line.slope) * span), 1 / span)
    return [scatter_part("scatter about the line", line.sd / spread, line.dof), *rounding, place]


def loop_width_mm(load: Array, way: Array) -> tuple[float, float, float] | None:
    """Width of the loop of loading and unloading at the same loads, with u and dof.

    Loads read both ways only, the largest left out (there the loop turns); None under two.
    """
    up, down = branches(load)
    common = sorted(set(np.round(load[up], 6)) & set(np.round(load[down], 6)), key=abs)[:-1]
    gaps = []
    for value in common:
        a = way[[i for i in up if abs(load[i] - value) < 1e-5]].mean()
        b = way[[i for i in down if abs(load[i] - value) < 1e-5]].mean()
        gaps.append(float(b - a))
    if len(gaps) < 2:
        return None
    found = sample(gaps)
    return found.mean, found.sd / sqrt(found.n), found.n - 1


def gauge_check(leaf: Array, read: Array, gauge: GaugeDoubt) -> Found:
    """The gauge on blocks or leaves: by what share it reads long, and how far it hangs back.

    Args:
        leaf: thickness under the plunger.
        read: reading, any zero.
        gauge: what the gauge adds.
    """
    made: Found = []
    if len(np.unique(leaf)) >= FEWEST and len(leaf) > FEWEST:
        line = fit_line(leaf, read)
        span = float(np.ptp(leaf))
        least = gauge.resolution_mm / sqrt(12) / span
        parts = [scatter_part("scatter about the line", max(line.u_slope, least), line.dof)]
        made.append(figure("scale_error", line.slope - 1, parts, unit=Unit.RATIO))
    else:
        count = len(np.unique(leaf))
        why = f"{FEWEST} thicknesses are wanted, {count} {'is' if count == 1 else 'are'} there."
        made.append(cannot("scale_error", why, "Lay leaves of known thickness under the plunger."))
    groups = [read[leaf == value] - read[leaf == value].mean() for value in np.unique(leaf)]
    rest = np.concatenate(groups) if groups else np.zeros(0)
    dof = len(rest) - len(groups)
    if dof >= 2:
        sd = max(sqrt(float(rest @ rest) / dof), gauge.resolution_mm / sqrt(12))
        parts = [scatter_part("few readings", 4 * sd * relative_u_of_sd(dof + 1), dof)]
        made.append(figure("repeatability", 4 * sd, parts, detail="gauge"))
    return made
