"""How long a set-up takes: the plan's count is that of its programs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from plumbrise.machine import ARRANGEMENTS, blank
from plumbrise.machine.description import Controller, Gauge, Travel
from plumbrise.measure.motion_path import commands_moves
from plumbrise.measure.motion_program import motion_program
from plumbrise.measure.setups import candidates, in_walking_order, minutes_after


def machine_of(arrangement="one-screw", **controller):
    return replace(
        blank(arrangement),
        travel=Travel(height_mm=250.0),
        controller=Controller(dwell_unit="seconds", **controller),
    )


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("home", [None, "down", "up"])
@pytest.mark.parametrize("stops", [True, False])
def test_a_set_up_takes_what_its_program_takes_setting_and_reading_counted_in(
    arrangement, home, stops
):
    machine = machine_of(arrangement, home=home, stop_waits=stops, end=("M84",))
    for setup in candidates(machine, balance=True):
        if commands_moves(setup.run):
            assert motion_program(machine, setup.run).minutes == pytest.approx(setup.minutes)


def test_a_program_by_dwells_is_as_long_as_a_clock_finds_it():
    machine = machine_of(stop_waits=False)
    setup = next(s for s in candidates(machine) if s.kind.id == "reversal")
    program = motion_program(machine, setup.run)
    assert program.check.minutes == pytest.approx(setup.minutes)
    assert f"Takes about {setup.minutes:.0f} min" in program.text


def test_a_slower_feed_and_a_longer_wait_take_longer():
    machine = machine_of(stop_waits=True)
    run = next(s for s in candidates(machine) if s.kind.id == "reversal").run
    usual = motion_program(machine, run).minutes
    assert motion_program(machine, run, feed_mm_per_min=60).minutes > usual
    longer = motion_program(machine, run, dwell_s=25).minutes
    assert longer - usual == pytest.approx(len(run.readings) * 10 / 60)


def test_blocks_laid_at_each_stop_are_counted():
    short = replace(machine_of(), gauge=Gauge(range_mm=10.0))
    long = replace(machine_of(), gauge=Gauge(range_mm=300.0))
    took = [
        next(s for s in candidates(m) if s.kind.id == "full-travel").minutes for m in (short, long)
    ]
    assert took[0] > took[1]


def test_two_gauges_read_one_motion_one_after_the_other_and_stand_together_in_the_order():
    machine = machine_of("two-screw")
    wanted = [s for s in candidates(machine) if s.kind.id in ("coarse-steps", "reversal")]
    ends = [s for s in wanted if s.station.id in ("gantry-left", "gantry-right")]
    order = in_walking_order(machine, ends, 2)
    names = [(s.kind.id, s.station.id) for s in order]
    assert [kind for kind, _ in names[::2]] == [kind for kind, _ in names[1::2]]
    first, second, *_ = minutes_after(order, range(4), 2)
    assert second < first
