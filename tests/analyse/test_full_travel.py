"""Uncertainty of what a full travel gives."""

import pytest

from plumbrise.analyse import analyse
from plumbrise.machine import STATIONS
from plumbrise.readings import KINDS, Reading, Readings, Run, Scale

UP = (0.08, -0.09, 0.1, -0.07, 0.02)
"""A direction that scatters widely, beside one that hardly does."""


def travelled():
    rows, seq = [], 0
    for cycle in range(5):
        for way, targets in (("up", (10.0, 20.0, 30.0)), ("down", (30.0, 20.0, 10.0))):
            for target in targets:
                off = 0.001 * (cycle % 2)
                if way == "up" and target == 20.0:
                    off = UP[cycle]
                rows.append(
                    Reading(seq=seq, target_mm=target, reading_mm=target + off, approach=way)
                )
                seq += 1
    run = Run(
        name="a", kind=KINDS["full-travel"], station=STATIONS["gantry-left"], readings=tuple(rows)
    )
    return analyse(Readings((run,)), Scale(lead_mm=8.0, resolution_mm=0.001)).runs[0]


def test_where_one_direction_decides_the_repeatability_its_doubt_is_the_same():
    run = travelled()
    alone, both = run.figure("repeatability", "up"), run.figure("repeatability", "bidirectional")
    assert both.value.value == alone.value.value
    assert both.value.u == pytest.approx(alone.value.u)


def test_an_accuracy_that_is_one_cells_spread_is_as_doubtful_as_that_spread():
    """Highest and lowest come from the same target and direction: A = 4 s, and so is its doubt."""
    run = travelled()
    accuracy, spread = run.figure("accuracy", "up"), run.figure("repeatability", "up")
    assert accuracy.value.value == pytest.approx(spread.value.value)
    assert accuracy.value.u >= spread.value.u
