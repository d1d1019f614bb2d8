"""Layers foretold from the invented machine's readings, and those that its own simulator lays,
which shares nothing with the axis model."""

from itertools import pairwise

import numpy as np
import pytest

from plumbrise.demo import scenario
from plumbrise.demo.bramble import AXIS
from plumbrise.demo.draws import draw
from plumbrise.demo.session import happened
from plumbrise.foresee import Print, Start, foresee_from_readings
from plumbrise.foresee.printing import way
from plumbrise.machine import STATIONS
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import COARSE_STEPS


def _truly_laid(job, end):
    """What the true machine makes of the same moves."""
    stops = way(job)
    told = [stop.told_mm for stop in stops]
    ways = ["down", *("up" if after > before else "down" for before, after in pairwise(told))]
    rows = tuple(
        Reading(seq=k, target_mm=z, reading_mm=None, approach=a)
        for k, (z, a) in enumerate(zip(told, ways, strict=True))
    )
    name = f"gantry-{end}"
    run = Run(name=name, kind=COARSE_STEPS, station=STATIONS[name], readings=rows)
    done = happened(AXIS, (run,), draw((run,), np.random.default_rng(4)))[0]
    above = done.true_mm - done.true_mm[0]
    at = [k for k, stop in enumerate(stops) if stop.layer]
    return np.diff(above[at], prepend=0.0)


@pytest.mark.parametrize("start", [Start.DOWN, Start.UP])
def test_layers_of_the_invented_machine_come_out_as_foretold_from_its_staircases(start):
    example, job = scenario(), Print(layers=8, start=start)
    forecast = foresee_from_readings(
        example.machine, example.readings, job, rng=np.random.default_rng(0)
    )
    for end in ("left", "right"):
        laid = _truly_laid(job, end)
        foretold = np.array([layer.at[end].gap_mm.estimate for layer in forecast.layers])
        off, off_told = np.abs(foretold - laid), np.abs(0.2 - laid)
        assert off_told.max() > 0.08  # this machine squashes its layers
        assert off.max() < 0.03
        assert np.median(off) < 0.25 * np.median(off_told)
