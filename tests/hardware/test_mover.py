"""The axis moved from reading to reading: it moves on a person's word only, and stops on any."""

import threading
import time
from dataclasses import replace

import pytest

from plumbrise.errors import InputError
from plumbrise.hardware import (
    Cause,
    Controller,
    Halted,
    Mover,
    Timing,
    Waits,
    open_port,
)
from plumbrise.machine import STATIONS, blank
from plumbrise.machine.description import Controller as ControllerFacts
from plumbrise.machine.description import Travel
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import COARSE_STEPS

MACHINE = replace(
    blank("one-screw"),
    travel=Travel(height_mm=250.0),
    controller=ControllerFacts(dwell_unit="milliseconds", stop_waits=True, home="down"),
)
HASTE = 8.0
"""Machine and sender live so many times faster than the wall clock."""
TIMING = Timing(
    margin_s=0.05,
    guard_s=0.1,
    quiet_s=0.4,
    silence_s=10.0,
    home_s=60.0,
    home_at_once_s=0.04,
    home_mm_per_s=600.0,
    greet_s=0.8,
)


def hasty():
    return HASTE * time.monotonic()


def stairs(name="left", step_mm=0.5, count=3):
    rows = tuple(
        Reading(seq=i, target_mm=i * step_mm, reading_mm=None, approach="up" if i else "down")
        for i in range(count)
    )
    return Run(name=name, kind=COARSE_STEPS, station=STATIONS["gantry-left"], readings=rows)


@pytest.fixture
def moved(stand_in_controller):
    """A mover on a stand-in, and the stand-in."""
    opened = []

    def start(**how):
        far = stand_in_controller(slow=1 / HASTE, **how)
        port = open_port(far.name, baud=115200)
        opened.append(Controller(port, timing=TIMING, clock=hasty))
        return Mover(opened[-1], MACHINE), far

    yield start
    for one in opened:
        one.close()


def to(mover, reading):
    """On to a reading, past the wait for the gauge."""
    while isinstance(came := mover.go(reading), Waits):
        pass
    return came


def until(said, seconds=10.0):
    ends = time.monotonic() + seconds
    while not said() and time.monotonic() < ends:
        time.sleep(0.005)
    return said()


def test_it_waits_for_the_gauge_and_then_stands_at_each_reading(moved):
    mover, far = moved()
    mover.begin(stairs())
    first = mover.go(0)
    assert isinstance(first, Waits)
    assert first.gauge
    for reading, height_mm in enumerate((0.0, 0.5, 1.0)):
        assert to(mover, reading) is None
        assert mover.reached == reading
        assert far.height_mm == pytest.approx(height_mm, abs=1e-6)
        assert mover.bound.moves == 0
    assert mover.finish() is None


def test_nothing_moves_before_a_person_has_begun(moved):
    mover, far = moved()
    with pytest.raises(InputError, match="nothing begun"):
        mover.go(0)
    assert far.got == []


def test_a_reading_that_was_passed_is_not_moved_back_to(moved):
    mover, far = moved()
    mover.begin(stairs())
    to(mover, 2)
    sent = len(far.got)
    assert mover.go(0) is None
    assert (mover.reached, len(far.got)) == (2, sent)


def test_another_thread_stops_it_in_mid_move(moved):
    mover, far = moved()
    mover.begin(stairs(step_mm=9.0))
    assert to(mover, 0) is None
    found = []
    driving = threading.Thread(target=lambda: found.append(mover.go(1)))
    driving.start()
    assert until(lambda: far.height_mm > 0.2)
    assert driving.is_alive()
    bound = mover.stop("The page said stop.")
    driving.join(5)
    assert isinstance(found[0], Halted)
    assert found[0].words == "The page said stop."
    assert (bound.moves, bound.mm) == (1, pytest.approx(9.0))
    assert mover.halted is found[0]
    assert far.got[-1].startswith("G1 Z9")


def test_after_a_stop_nothing_moves_until_it_is_begun_again(moved):
    mover, far = moved()
    mover.begin(stairs())
    to(mover, 1)
    mover.stop()
    sent = len(far.got)
    assert isinstance(mover.go(2), Halted)
    assert len(far.got) == sent
    mover.begin(stairs())
    assert to(mover, 1) is None
    assert far.got[sent:].index("G28 Z0") < far.got[sent:].index("G1 Z0.5 F180")


def test_a_stop_while_an_earlier_one_is_being_ended_holds(moved):
    """Ending a halt waits for what was sent; a stop that comes in that wait is not forgotten."""
    mover, far = moved()
    mover.begin(stairs(step_mm=9.0))
    to(mover, 0)
    driving = threading.Thread(target=lambda: mover.go(1))
    driving.start()
    assert until(lambda: far.height_mm > 0.2)
    mover.stop()
    driving.join(5)
    mover.begin(stairs("again"))
    found = []
    driving = threading.Thread(target=lambda: found.append(mover.go(0)))
    driving.start()
    time.sleep(0.05)  # it waits for the 9 mm that were sent
    mover.stop("And stop again.")
    sent = len(far.got)
    driving.join(10)
    assert isinstance(found[0], Halted)
    assert found[0].words == "And stop again."
    assert len(far.got) == sent


def test_an_alarm_is_said_and_the_next_beginning_homes(moved):
    mover, far = moved(faults={9: "alarm"})
    mover.begin(stairs(step_mm=1.0, count=6))
    came = to(mover, 5)
    assert isinstance(came, Halted)
    assert came.cause is Cause.ALARM
    far.clear_alarm()
    sent = len(far.got)
    mover.begin(stairs("left again 1"))
    assert to(mover, 0) is None
    assert any(line.startswith("G28") for line in far.got[sent:])


def test_what_is_begun_homes_though_a_set_up_of_that_name_stands_already(moved):
    mover, far = moved()
    mover.begin(stairs(step_mm=0.5))
    to(mover, 1)
    homes = far.got.count("G28 Z0")
    mover.begin(stairs(step_mm=2.0))  # of another plan
    assert to(mover, 1) is None
    assert far.got.count("G28 Z0") == 2 * homes
    assert far.height_mm == pytest.approx(2.0, abs=1e-6)


def test_a_set_up_that_was_left_is_not_run_to_its_end(moved):
    mover, far = moved()
    mover.begin(stairs())
    to(mover, 1)
    mover.begin(stairs("right"))
    to(mover, 0)
    assert "G1 Z1 F180" not in far.got
    assert mover.run == "right"
