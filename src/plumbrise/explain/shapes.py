"""Shapes in what is left over that no cause has: something else goes on.

Each test looks for one thing that people meet at such machines and that is no loss of the axis: a
dial off once a turn, a belt's teeth, a cable that pulls with height, a table that sways, a tip on
a rough face, a dial in the wrong unit, somebody leaning on the table. Limits are such that about
one session in fifty of machines with known causes, or none, trips any of them
(`benchmarks/results/left_over.json`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from itertools import pairwise

import numpy as np

from plumbrise.explain.remains import Matrix, Remains, Vector
from plumbrise.explain.results import Sign

PERIODS_MM = np.geomspace(0.25, 1.6, 30)
"""Longer ones are too near a turn of the screw and its parts."""
PER_PERIOD = 2.4
"""Readings a period needs at least."""
WAVE_GAIN, WAVE_MM = 16.0, 0.006
DIAL_EXCESS = 8.0
HEIGHT_GAIN, HEIGHT_MM, LONG_MM = 12.0, 0.015, 30.0
SCATTER_TIMES = 1.8
REPEAT_TIMES = 2.6
SCALE_OFF = 0.03
RETURN_MM, RETURN_TIMES = 0.015, 5.0
FEWEST_TRIPLES, FEWEST_REPEATS = 12, 6
STEPPING = ("fine-steps", "coarse-steps", "reversal", "one-turn", "hold")


def signs_of(left: Remains) -> tuple[Sign, ...]:
    """Everything seen in what is left over that no cause does, the strongest first."""
    tests: tuple[Callable[[Remains], Iterable[Sign]], ...]
    tests = (_scale, _wave, _dial_turn, _height, _repeats, _scatter, _come_and_gone)
    if left.uneven_mm.any():  # a clamp that sinks in fits and starts can look like most of them
        tests = (_scale,)
    found = [sign for test in tests for sign in test(left)]
    return tuple(sorted(found, key=lambda sign: -sign.times_its_limit))


def _scale(left: Remains) -> Iterable[Sign]:
    """Everything read in one proportion to the way: more than a gauge can stand tilted."""
    off = left.terms.get("gauge-tilt", 0.0)
    leads = [value for name, value in left.terms.items() if name.startswith("lead-error")]
    whole = off + (sum(leads) / len(leads) if leads else 0.0)
    if abs(whole) > SCALE_OFF and abs(off) > SCALE_OFF / 2:
        words = (
            f"every set-up shows about {1 + whole:.2f} of the way told: a dial in another unit, a "
            "lever gauge, or wrong steps per mm; no tilt of a gauge and no thread is that far off"
        )
        yield Sign("scale", "all set-ups", abs(whole), abs(whole) / SCALE_OFF, words)


def _wave(left: Remains) -> Iterable[Sign]:
    """A swing at a period that is no cause's, in step with the told height or with the dial."""
    best = (0.0, 0.0, 0.0)
    for period in PERIODS_MM:
        fit = [_holds_a_period(left, part, period) for part in range(len(left.runs))]
        if not any(fit):
            continue
        told = np.zeros((len(left.told_mm), 2))
        for bound in (b for b, yes in zip(left.bounds, fit, strict=True) if yes):
            told[bound] = _turning(left.told_mm[bound], period)
        gain, size = left.gain(told)
        best = max(best, (gain, float(np.hypot(*size)), float(period)))
    gain, size_mm, period = best
    if gain > WAVE_GAIN and size_mm > max(WAVE_MM, 0.7 * left.resolution_mm):
        where = _station_of_most(left, period)
        words = (
            f"the readings at {where} swing with a period of about {period:.2f} mm told, "
            f"{size_mm:.3f} mm each way, as the teeth of a belt or a gear would; no cause here "
            "does that"
        )
        yield Sign("period", where, size_mm, gain / WAVE_GAIN, words, period)


def _dial_turn(left: Remains) -> Iterable[Sign]:
    """A dial off once a turn: every set-up starts elsewhere on it, so each has its own phase."""
    for turn in (1.0, 0.5):
        gains, sizes, where = [], [], []
        for part, bound in enumerate(left.bounds):
            if not _holds_a_period(left, part, turn):
                continue
            columns = np.zeros((len(left.told_mm), 2))
            columns[bound] = _turning(left.read_mm[bound], turn)
            gain, size = left.gain(columns)
            gains.append(min(gain, 50.0))
            sizes.append(float(np.hypot(*size)))
            where.append(left.runs[part].station.id)
        if len(gains) < 2:
            continue
        excess = float((sum(gains) - 2 * len(gains)) / np.sqrt(4 * len(gains)))
        size_mm = float(np.average(sizes, weights=gains)) if sum(gains) else 0.0
        if excess > DIAL_EXCESS and size_mm > max(WAVE_MM, 0.7 * left.resolution_mm):
            place = where[int(np.argmax(gains))]
            words = (
                f"the readings swing with a period of {turn:.2f} mm shown, {size_mm:.3f} mm each "
                f"way, most at {place}: as a dial would once a turn; no cause here does that"
            )
            yield Sign("dial turn", place, size_mm, excess / DIAL_EXCESS, words, turn)
            return


def _height(left: Remains) -> Iterable[Sign]:
    """A pull that grows with height and differs by direction."""
    high = np.zeros(len(left.told_mm))
    for run, bound in zip(left.runs, left.bounds, strict=True):
        if run.follows_command and np.ptp(left.told_mm[bound]) > LONG_MM:
            high[bound] = 1.0
    if not high.any():
        return
    part = left.told_mm / max(float(np.max(left.told_mm * high)), 1.0)
    columns = np.stack([part * left.up, part**2 * left.up], axis=1) * high[:, None]
    gain, size = left.gain(columns)
    size_mm = 2 * abs(float(size.sum()))
    if gain > HEIGHT_GAIN and size_mm > HEIGHT_MM:
        words = (
            f"up and down lie {size_mm:.3f} mm further apart at the top than the guides can "
            "account for, growing with height: as a cable or a spring that pulls would"
        )
        yield Sign("height", "the whole travel", size_mm, gain / HEIGHT_GAIN, words)


def _repeats(left: Remains) -> Iterable[Sign]:
    """The same place reached the same way, read differently."""
    by: dict[tuple[int, float, float], list[int]] = defaultdict(list)
    for part, (run, bound) in enumerate(zip(left.runs, left.bounds, strict=True)):
        if run.kind.id not in ("reversal", "full-travel"):
            continue
        for i in range(bound.start, bound.stop):
            if left.good[i]:
                by[(part, round(float(left.told_mm[i]), 3), float(left.up[i]))].append(i)
    scaled: list[tuple[float, str]] = []
    for (part, *_), rows in by.items():
        free = len(rows) - 1
        if free:
            middle = free * (1 - 2 / (9 * free)) ** 3  # of chi-square (Wilson and Hilferty 1931)
            square = float(np.sum((left.rest_mm[rows] - left.rest_mm[rows].mean()) ** 2)) / middle
            scaled.append((float(np.sqrt(square)) / left.gauge_mm, left.runs[part].station.id))
    if len(scaled) < FEWEST_REPEATS:
        return
    times = float(np.median([value for value, _ in scaled]))  # a few lost steps do not move it
    where = max(scaled)[1]
    if times > REPEAT_TIMES:
        size_mm = times * left.gauge_mm
        words = (
            f"the same height reached the same way reads {size_mm:.3f} mm differently from one "
            f"time to the next, most at {where}, where gauge and hand give {left.gauge_mm:.3f} mm: "
            "as a table or a stand that moves would, or a tip that does not sit"
        )
        yield Sign("repeats", where, size_mm, times / REPEAT_TIMES, words)


def _scatter(left: Remains) -> Iterable[Sign]:
    """Neighbours that jump about more than gauge and hand let them."""
    by: dict[str, list[float]] = defaultdict(list)
    for run, bound in zip(left.runs, left.bounds, strict=True):
        if run.kind.id not in STEPPING:
            continue
        rest, good, up = left.rest_mm[bound], left.good[bound], left.up[bound]
        for i in range(2, len(rest) - 1):
            if good[i - 1 : i + 2].all() and up[i - 1] == up[i] == up[i + 1]:
                bend = abs(rest[i - 1] - 2 * rest[i] + rest[i + 1]) / np.sqrt(6)
                by[run.station.id].append(float(bend) / left.gauge_mm)
    whole = [value for values in by.values() for value in values]
    if len(whole) < FEWEST_TRIPLES:
        return
    times = float(np.median(whole)) / 0.6745
    size_mm = times * left.gauge_mm
    if times > SCATTER_TIMES and size_mm > left.resolution_mm:
        where = max(by, key=lambda name: float(np.median(by[name])))
        words = (
            f"neighbouring readings scatter by {size_mm:.3f} mm, most at {where}, where gauge and "
            f"hand give {left.gauge_mm:.3f} mm: as a tip on a rough face would, a stand that "
            "shakes, or an error that comes again every few steps"
        )
        yield Sign("scatter", where, size_mm, times / SCATTER_TIMES, words)


def _come_and_gone(left: Remains) -> Iterable[Sign]:
    """A step that goes away again within its run, in more than one run."""
    steps: dict[int, list[tuple[int, float]]] = defaultdict(list)
    for name, value in left.terms.items():
        if name.startswith("jump:"):
            _, run, reading = name.split(":")
            steps[int(run)].append((int(reading), value))
    pairs = []
    for part_of, jumps in steps.items():
        for (_, one), (_, other) in pairwise(sorted(jumps)):
            size = 0.5 * (abs(one) + abs(other))
            if one * other < 0 and abs(one + other) < 0.4 * size and size > RETURN_MM:
                pairs.append((size, left.runs[part_of].name))
    if len(pairs) >= 2:
        size, where = max(pairs)
        words = (
            f"in {len(pairs)} places the readings step aside and come back, {size:.3f} mm in "
            f"{where}: as when somebody leans on the table or touches the stand"
        )
        yield Sign("come and gone", where, size, len(pairs) / 2, words)


def _holds_a_period(left: Remains, part: int, period: float) -> bool:
    """Whether a run is long and close enough for a swing of this period."""
    run, told = left.runs[part], left.told_mm[left.bounds[part]]
    if not run.follows_command or len(told) < 8 or np.ptp(told) < 1.15 * period:
        return False
    steps = np.abs(np.diff(told))
    steps = steps[steps > 0]
    return bool(len(steps) and np.median(steps) <= period / PER_PERIOD)


def _turning(way: Vector, period: float) -> Matrix:
    angle = 2 * np.pi * way / period
    return np.stack([np.cos(angle), np.sin(angle)], axis=1)


def _station_of_most(left: Remains, period: float) -> str:
    """At which station a swing of this period gains most."""
    best: dict[str, float] = defaultdict(float)
    for part, bound in enumerate(left.bounds):
        if _holds_a_period(left, part, period):
            columns = np.zeros((len(left.told_mm), 2))
            columns[bound] = _turning(left.told_mm[bound], period)
            best[left.runs[part].station.id] += left.gain(columns)[0]
    return max(best, key=lambda name: best[name])
