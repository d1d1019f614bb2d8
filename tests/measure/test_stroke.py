"""A gauge is set so that the axis never drives its plunger to its stop."""

from __future__ import annotations

from dataclasses import replace

import pytest

from plumbrise.machine import STATIONS, blank
from plumbrise.machine.description import Controller, Gauge, Travel
from plumbrise.measure.motion_path import heights_of, path_of
from plumbrise.measure.motion_program import motion_program
from plumbrise.measure.setups import candidates, fits_gauge, kinds_too_long
from plumbrise.measure.stroke import how_set, needs_blocks
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import REVERSAL

DIAL = replace(blank("one-screw"), travel=Travel(height_mm=250.0))


def with_stroke(stroke_mm):
    return replace(DIAL, gauge=Gauge(range_mm=stroke_mm))


def run_of(*told):
    rows = tuple(
        Reading(seq=i, target_mm=mm, reading_mm=None, approach=way)
        for i, (mm, way) in enumerate(told)
    )
    return Run(name="a", kind=REVERSAL, station=STATIONS["gantry-left"], readings=rows)


def of_kind(machine, kind):
    return next(s for s in candidates(machine) if s.kind.id == kind)


def test_a_stroke_that_nobody_gave_is_that_of_a_common_dial():
    assert not fits_gauge(DIAL, of_kind(DIAL, "full-travel"))
    assert not fits_gauge(DIAL, of_kind(DIAL, "one-turn"))
    assert fits_gauge(DIAL, of_kind(DIAL, "coarse-steps"))
    long = with_stroke(300.0)
    assert fits_gauge(long, of_kind(long, "full-travel"))
    assert [kind.id for kind in kinds_too_long(DIAL)] == ["full-travel", "one-turn"]


@pytest.mark.parametrize("kind", ["full-travel", "one-turn"])
def test_a_test_longer_than_the_stroke_is_never_done_with_the_tip_on_top(kind):
    text = " ".join(motion_program(DIAL, of_kind(DIAL, kind).run).text.replace("; ", "").split())
    assert "Never with the tip on top of the part" in text
    assert "lay blocks of known thickness between" in text
    assert "10 mm, taken as a common dial has it" in text
    assert "comes clear, and is never driven" not in text


def test_what_is_left_to_go_in_covers_the_whole_way_with_its_approach():
    run = run_of((20, "up"), (21, "up"), (21, "down"), (20, "down"))
    words = how_set(DIAL, run, heights_of(DIAL, path_of(DIAL, run, 1.0)))
    assert "6 mm lower and 3 mm higher" in words  # the approach comes from both sides
    assert "on top of the part leave the plunger 3.5 mm" in words
    assert "under it 6.5 mm" in words


def test_a_homing_at_the_top_leaves_only_the_place_under_the_part():
    machine = replace(DIAL, controller=Controller(home="up"))
    text = motion_program(machine, of_kind(machine, "repeat-home").run).text
    assert "Only with the tip under the part" in " ".join(text.replace("; ", "").split())


def test_a_run_that_begins_at_the_top_of_its_way_is_set_anew_at_each_stop():
    run = run_of((100, "down"), (50, "down"), (10, "down"), (60, "up"))
    words = how_set(DIAL, run, [100.0, 106.0, 50.0, 10.0, 9.0, 60.0])
    assert needs_blocks(DIAL, run)
    assert "Take the gauge away before each move" in words
    assert "Put the tip" not in words
