"""Runs made up for trial: a plain axis that loses a known length, read with known scatter."""

from collections.abc import Callable

import numpy as np
import pytest

from plumbrise.machine import STATIONS
from plumbrise.readings import Reading, Run, Scale
from plumbrise.readings.kinds import COARSE_STEPS, FINE_STEPS, FULL_TRAVEL, REPEAT_HOME, REVERSAL

FINE_SCALE = Scale(lead_mm=8.0, full_step_mm=0.04, resolution_mm=0.001)


def run_of(kind, told, read, ups, station="gantry-left", name="a", **columns) -> Run:
    """A run from lists; further columns by name of the field."""
    readings = tuple(
        Reading(
            seq=i,
            target_mm=float(t),
            reading_mm=float(r),
            approach="up" if up else "down",
            **{field: values[i] for field, values in columns.items()},
        )
        for i, (t, r, up) in enumerate(zip(told, read, ups, strict=True))
    )
    return Run(name=name, kind=kind, station=STATIONS[station], readings=readings)


def taken(lag, told, scatter, rng, resolution=0.001):
    """What a gauge shows of told less lag."""
    read = told - lag + rng.normal(0, scatter, len(told))
    return np.round(read / resolution) * resolution if resolution else read


def staircase(rng, *, lost=0.2, reach=0.15, step=0.1, end=3.0, scatter=0.003, **rest) -> Run:
    """Home from above, then up: the loss is taken up over a few `reach`."""
    told = np.arange(round(end / step) + 1) * step
    lag = lost * (1 - np.exp(-told / reach))
    resolution = rest.pop("resolution", 0.001)
    kind = FINE_STEPS if step <= 0.3 else COARSE_STEPS
    read = taken(lag, told, scatter, rng, resolution)
    return run_of(kind, told, read, [False] + [True] * (len(told) - 1), **rest)


def up_down_up(rng, *, lost=0.15, heights=10, scatter=0.003, reach=0.0, **rest) -> Run:
    """Up, down, up over the same heights, with the overrun taken before each turn."""
    places = 20.0 + np.arange(heights)
    told = np.concatenate([places, places[::-1], places])
    ups = np.concatenate([np.ones(heights), np.zeros(heights), np.ones(heights)]) > 0
    since = np.concatenate([np.full(heights, 99.0), np.arange(heights), np.arange(heights)])
    share = 1 - np.exp(-since / reach) if reach else np.ones(len(since))
    lag = np.where(ups, lost, 0) * share + np.where(ups, 0, lost) * (1 - share)
    lag[:heights] = lost
    resolution = rest.pop("resolution", 0.001)
    return run_of(REVERSAL, told, taken(lag, told, scatter, rng, resolution), ups, **rest)


def over_the_travel(rng, *, lost=0.1, passes=5, scatter=0.003, **rest) -> Run:
    """Five uneven targets, from both sides, several times."""
    places = np.array([12.0, 61.3, 104.8, 159.1, 211.7])
    told = np.concatenate([places, places[::-1]] * passes)
    ups = np.concatenate([np.ones(5), np.zeros(5)] * passes) > 0
    lag = np.where(ups, lost, 0.0) + 0.0003 * told
    resolution = rest.pop("resolution", 0.001)
    return run_of(FULL_TRAVEL, told, taken(lag, told, scatter, rng, resolution), ups, **rest)


def homes(rng, *, n=10, scatter=0.01, **rest) -> Run:
    """Home again and again."""
    resolution = rest.pop("resolution", 0.001)
    read = np.round(rng.normal(0, scatter, n) / resolution) * resolution
    return run_of(REPEAT_HOME, [5.0] * n, read, [True] * n, **rest)


MADE: dict[str, Callable[..., Run]] = {
    "staircase": staircase,
    "reversal": up_down_up,
    "full travel": over_the_travel,
    "homes": homes,
}


@pytest.fixture(scope="session")
def made() -> dict[str, Callable[..., Run]]:
    """How to make up a run of each sort."""
    return MADE


@pytest.fixture(scope="session")
def build() -> Callable[..., Run]:
    """How to make a run from lists."""
    return run_of


@pytest.fixture(scope="session")
def scale() -> Scale:
    """A gauge that shows 0.001 mm on a screw of 8 mm lead."""
    return FINE_SCALE
