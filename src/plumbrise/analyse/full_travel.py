"""A full-travel test: ISO 230-2 figures with their uncertainty, start-up transient told apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, inf, sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.budget import GaugeDoubt, cannot, figure, scatter_part, times
from plumbrise.analyse.lines import fit_line
from plumbrise.analyse.positioning import Positioning, TargetDeviations, positioning
from plumbrise.analyse.results import CannotTell, Figure, Part, Target
from plumbrise.analyse.statistics import pooled_sd, relative_u_of_sd, sample
from plumbrise.analyse.used import Used, legs
from plumbrise.quantity import Unit

Array = NDArray[np.float64]
Found = list[Figure | CannotTell]
FEWEST_FOR_SCATTER = 3
"""Runs a direction from which a scatter is stated; the standard asks for five."""
DIRECTIONS = ("up", "down")


def cycles(data: Used) -> NDArray[np.intp]:
    """Number of the cycle, from 1, of each reading: a cycle is one pass each way."""
    return legs(data.up) // 2 + 1


def deviations(data: Used) -> tuple[TargetDeviations, ...]:
    """Reading less target, by target and direction; the zero is the first reading's."""
    places = np.round(data.told, 6)
    return tuple(
        TargetDeviations(
            float(place),
            tuple(float(x) for x in -data.lag[(places == place) & data.up]),
            tuple(float(x) for x in -data.lag[(places == place) & ~data.up]),
        )
        for place in np.unique(places)
    )


def target_table(targets: Sequence[TargetDeviations]) -> tuple[Target, ...]:
    """Statistics at each target, None where a direction was not read (often enough)."""
    return tuple(_row(t) for t in targets)


def _row(target: TargetDeviations) -> Target:
    up = sample(target.up) if target.up else None
    down = sample(target.down) if target.down else None
    return Target(
        target_mm=target.target_mm,
        mean_up_mm=up.mean if up else None,
        mean_down_mm=down.mean if down else None,
        sd_up_mm=up.sd if up and up.n > 1 else None,
        sd_down_mm=down.sd if down and down.n > 1 else None,
        reversal_mm=up.mean - down.mean if up and down else None,
        n_up=len(target.up),
        n_down=len(target.down),
    )


def full_travel(data: Used, gauge: GaugeDoubt, transient: NDArray[np.bool_]) -> Found:
    """All figures of a full-travel test.

    Args:
        data: the readings as used.
        gauge: what the gauge adds.
        transient: readings of a start-up transient. The figures keep them, as the standard's
            letter asks; where there are some, the same figures follow without the first cycle.
    """
    found = _figures(deviations(data), gauge, "")
    if transient.any():
        rest = data.only(cycles(data) > 1)
        if rest.n:
            without = _figures(deviations(rest), gauge, "without cycle 1")
            found += [item for item in without if isinstance(item, Figure)]
    return found


def _figures(targets: tuple[TargetDeviations, ...], gauge: GaugeDoubt, without: str) -> Found:
    both = [t for t in targets if t.up and t.down]
    fewest = min((min(len(t.up), len(t.down)) for t in both), default=0)
    if len(both) < 2:
        why = f"2 targets read from both sides are wanted, {len(both)} {_is(len(both))} there."
        need = "Go over the same targets once upward and once downward."
        names = ("reversal_value", "mean_bidirectional", "systematic_deviation", "lost_motion")
        return [cannot(n, why, need) for n in (*names, "repeatability", "accuracy", "scale_error")]
    scatter = _Scatter.of(both, gauge)
    found: Found = _means(both, scatter, gauge, without)
    if fewest < FEWEST_FOR_SCATTER:
        more = FEWEST_FOR_SCATTER - fewest
        why = f"{FEWEST_FOR_SCATTER} runs a direction are wanted, {fewest} {_is(fewest)} there."
        often = {1: "once more", 2: "twice"}.get(more, f"{more} times")
        for name in ("repeatability", "accuracy"):
            for detail in ("up", "down", "bidirectional"):
                found.append(
                    cannot(name, why, f"Repeat the test {often}.", _detail(detail, without))
                )
        return found
    return found + _spreads(positioning(both), scatter, gauge, both, without)


def _is(count: int) -> str:
    return "is" if count == 1 else "are"


def _detail(detail: str, without: str) -> str:
    return ", ".join(part for part in (detail, without) if part)


@dataclass(frozen=True, slots=True)
class _Scatter:
    """Scatter within a target and direction, pooled over all."""

    sd: float
    dof: float

    @staticmethod
    def of(targets: Sequence[TargetDeviations], gauge: GaugeDoubt) -> _Scatter:
        sd, dof = pooled_sd([cell for t in targets for cell in (t.up, t.down)])
        least = gauge.resolution_mm / sqrt(12)
        if dof == 0:
            return _Scatter(hypot(least, gauge.limits.repeatability_mm / sqrt(3)), inf)
        return _Scatter(max(sd, least), dof)


def _means(
    targets: Sequence[TargetDeviations], scatter: _Scatter, gauge: GaugeDoubt, without: str
) -> Found:
    up = [sample(t.up).mean for t in targets]
    down = [sample(t.down).mean for t in targets]
    gaps = [u - d for u, d in zip(up, down, strict=True)]
    middles = [(u + d) / 2 for u, d in zip(up, down, strict=True)]
    worst = max(range(len(gaps)), key=lambda i: abs(gaps[i]))
    u_gap = [scatter.sd * sqrt(1 / len(t.up) + 1 / len(t.down)) for t in targets]
    common = _rounding(scatter, gauge)
    at_worst = [scatter_part("scatter of the runs", u_gap[worst], scatter.dof), *common]
    u_mean = sqrt(sum(u**2 for u in u_gap)) / len(gaps)
    mean = [scatter_part("scatter of the runs", u_mean, scatter.dof), *common]
    turn = [gauge.retrace(), gauge.stand()]
    at = targets[worst].target_mm
    mean_gap = sum(gaps) / len(gaps)
    ends = _ends(middles)
    wide = targets[ends[1]].target_mm - targets[ends[0]].target_mm
    u_ends = hypot(u_gap[ends[0]], u_gap[ends[1]]) / 2
    over = [scatter_part("scatter of the runs", u_ends, scatter.dof), *common, gauge.place(wide)]
    found: Found = [
        figure("reversal_value", gaps[worst], at_worst + turn, detail=without, at_mm=at),
        figure("reversal_value", mean_gap, mean + turn, detail=_detail("mean", without)),
        figure("lost_motion", -mean_gap, mean + turn, detail=without),
        figure("mean_bidirectional", max(middles) - min(middles), over, detail=without),
    ]
    for detail, values in (("up", up), ("down", down), ("bidirectional", up + down)):
        found.append(_systematic(detail, values, targets, scatter, gauge, without))
    found.append(_scale_error(targets, middles, scatter, gauge, without))
    return found


def _rounding(scatter: _Scatter, gauge: GaugeDoubt) -> list[Part]:
    return [] if scatter.sd >= 0.5 * gauge.resolution_mm else [gauge.resolution(sqrt(2))]


def _ends(values: Sequence[float]) -> tuple[int, int]:
    low = min(range(len(values)), key=lambda i: values[i])
    high = max(range(len(values)), key=lambda i: values[i])
    return low, high


def _systematic(
    detail: str,
    values: Sequence[float],
    targets: Sequence[TargetDeviations],
    scatter: _Scatter,
    gauge: GaugeDoubt,
    without: str,
) -> Figure:
    low, high = _ends(values)
    cells = [t.up for t in targets], [t.down for t in targets]
    counts = {"up": cells[0], "down": cells[1]}.get(detail, cells[0] + cells[1])
    u = scatter.sd * sqrt(1 / len(counts[low]) + 1 / len(counts[high]))
    m = len(targets)
    apart = targets[high % m].target_mm - targets[low % m].target_mm
    turns = [gauge.retrace()] if detail == "bidirectional" and low // m != high // m else []
    parts = [
        scatter_part("scatter of the runs", u, scatter.dof),
        *_rounding(scatter, gauge),
        *([gauge.place(apart)] if apart else []),
        *turns,
        gauge.stand(),
    ]
    return figure(
        "systematic_deviation",
        max(values) - min(values),
        parts,
        detail=_detail(detail, without),
    )


def _scale_error(
    targets: Sequence[TargetDeviations],
    middles: Sequence[float],
    scatter: _Scatter,
    gauge: GaugeDoubt,
    without: str,
) -> Figure | CannotTell:
    if len(targets) < 3:
        why = f"3 targets read from both sides are wanted, {len(targets)} are there."
        return cannot("scale_error", why, "Read at more heights.", without)
    x = [t.target_mm for t in targets]
    line = fit_line(x, middles)
    span = max(x) - min(x)
    least = scatter.sd / sqrt(2 * len(targets[0].up)) / (span * sqrt(len(x) / 12))
    parts = [
        scatter_part("scatter about the line", max(line.u_slope, least), line.dof),
        times(gauge.place(span), 1 / span),
    ]
    return figure("scale_error", line.slope, parts, unit=Unit.RATIO, detail=without)


def _spreads(
    found: Positioning,
    scatter: _Scatter,
    gauge: GaugeDoubt,
    targets: Sequence[TargetDeviations],
    without: str,
) -> Found:
    made: Found = []
    n_up = min(len(t.up) for t in targets)
    n_down = min(len(t.down) for t in targets)
    rows = (
        ("up", found.repeatability_up, found.accuracy_up, n_up),
        ("down", found.repeatability_down, found.accuracy_down, n_down),
        (
            "bidirectional",
            found.repeatability,
            found.accuracy,
            min(n_up, n_down),
        ),
    )
    for detail, spread, whole, n in rows:
        words = f"an experimental standard deviation of {n} values is itself uncertain"
        own = relative_u_of_sd(n)
        if detail == "bidirectional":
            worst = max(found.at_targets, key=lambda t: t.repeatability)
        if detail == "bidirectional" and worst.repeatability > max(
            worst.repeatability_up, worst.repeatability_down
        ):
            of_sd = 2 * own * hypot(worst.sd_up, worst.sd_down)
            of_mean = scatter.sd * sqrt(2 / n)
            spread_parts = [
                scatter_part(words, of_sd, n - 1),
                scatter_part("scatter of the mean reversal", of_mean, scatter.dof),
                gauge.retrace(),
            ]
        else:  # one direction alone decides: four times its spread
            spread_parts = [scatter_part(words, own * spread, n - 1)]
        spread_parts += _rounding(scatter, gauge)
        made.append(figure("repeatability", spread, spread_parts, detail=_detail(detail, without)))
        highest, lowest = _extremes(found, detail)
        apart = targets[-1].target_mm - targets[0].target_mm
        whole_parts = [
            scatter_part(words, own * _of_both(highest, lowest), n - 1),
            *_rounding(scatter, gauge),
            gauge.place(apart),
            gauge.stand(),
        ]
        if highest is not lowest:
            of_means = scatter.sd * sqrt(2 / n)
            whole_parts.append(scatter_part("scatter of the means", of_means, scatter.dof))
            if highest.way != lowest.way:
                whole_parts.append(gauge.retrace())
        made.append(figure("accuracy", whole, whole_parts, detail=_detail(detail, without)))
    return made


@dataclass(frozen=True, slots=True)
class _Cell:
    """One target from one direction: mean and spread of its deviations."""

    way: str
    mean: float
    sd: float


def _extremes(found: Positioning, detail: str) -> tuple[_Cell, _Cell]:
    """The cells that give the highest mean + 2 s and the lowest mean - 2 s of an accuracy."""
    cells = []
    for at in found.at_targets:
        if detail != "down":
            cells.append(_Cell("up", at.mean_up, at.sd_up))
        if detail != "up":
            cells.append(_Cell("down", at.mean_down, at.sd_down))
    highest = max(cells, key=lambda cell: cell.mean + 2 * cell.sd)
    lowest = min(cells, key=lambda cell: cell.mean - 2 * cell.sd)
    return highest, lowest


def _of_both(highest: _Cell, lowest: _Cell) -> float:
    """How an accuracy moves with the spreads at its ends: 4 s where one cell is both."""
    if highest is lowest:
        return 4 * highest.sd
    return 2 * hypot(highest.sd, lowest.sd)
