"""What a measure sheet hears while it is open: nothing that happens is passed over."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from plumbrise.machine import blank
from plumbrise.machine.description import Gauge
from plumbrise.store import Shelf, ShelfError
from plumbrise.store.sitting import Sitting
from plumbrise.web import capture_pages
from plumbrise.web.capture import Capture
from plumbrise.web.capture_devices import Devices
from plumbrise.web.capture_gauge import Shown
from plumbrise.web.capture_view import set_ups
from plumbrise.web.captures import Captures

SHEET = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},,{'up' if i else 'down'}\n" for i in range(4)
)
NOW = datetime(2026, 5, 1, 20, 0, tzinfo=UTC)
FIRST = {"do": "keep", "at": ["left", 0], "token": "token-one", "text": "0.0"}


@pytest.fixture
def shelf(tmp_path):
    with Shelf.open(tmp_path / "shelf.sqlite3", now=lambda: NOW) as it:
        yield it


@pytest.fixture
def capture(shelf):
    machine = shelf.add_machine(blank("one-screw"))
    return Captures(lambda: NOW).of(shelf, machine, shelf.add_plan(machine, SHEET))


async def told_of_one(told):
    """Hear on until a sheet is told that one reading is on disk."""
    async for piece in told:
        if '"disk":1' in piece:
            return True
    return False


def test_what_is_kept_while_the_first_piece_goes_out_slowly_is_told(capture):
    async def heard():
        told = capture_pages._told(capture, Devices())
        assert '"disk":0' in await anext(told)
        await asyncio.to_thread(capture.do, FIRST)
        return await asyncio.wait_for(told_of_one(told), 5)

    assert asyncio.run(heard())


@pytest.fixture
def restless():
    """An indicator that shows something else whenever it is looked at."""

    class Restless:
        def __init__(self):
            self.watchers, self.mm = [], 0.0

        @property
        def shown(self):
            self.mm += 0.001
            for watcher in self.watchers:
                watcher()
            return Shown(self.mm)

    return Restless()


def terminal_keeps(path, capture):
    of = capture.sitting
    how = {"since_s": lambda: 1.0, "label": "terminal"}
    with Shelf.open(path, now=lambda: NOW) as other:
        runs = of.session.planned
        Sitting.on(other, of.machine_id, of.plan_id, runs, **how).keep(0.0)


def test_what_the_terminal_reads_is_told_while_an_indicator_never_rests(
    capture, shelf, restless, monkeypatch
):
    monkeypatch.setattr(capture_pages, "BEAT_S", 0.2)

    async def heard():
        told = capture_pages._told(capture, Devices((restless,)))
        await anext(told)
        await asyncio.to_thread(terminal_keeps, shelf.path, capture)
        return await asyncio.wait_for(told_of_one(told), 5)

    assert asyncio.run(heard())


def test_a_shelf_that_is_busy_ends_no_sheets_hearing(capture, monkeypatch):
    monkeypatch.setattr(capture_pages, "BEAT_S", 0.05)

    def busy(_):
        raise ShelfError(place="shelf", wrong="busy", remedy="Wait.")

    async def heard():
        told = capture_pages._told(capture, Devices())
        await anext(told)
        with monkeypatch.context() as meanwhile:
            meanwhile.setattr(Capture, "catch_up", busy)
            assert "still here" in await asyncio.wait_for(anext(told), 5)
        await asyncio.to_thread(capture.do, FIRST)
        return await asyncio.wait_for(told_of_one(told), 5)

    assert asyncio.run(heard())


@pytest.mark.parametrize(("resolution_mm", "turn_mm"), [(0.01, 1.0), (0.001, 0.0)])
def test_a_sheet_takes_figures_for_what_the_bench_takes_them(shelf, resolution_mm, turn_mm):
    machine = replace(blank("one-screw"), gauge=Gauge(resolution_mm=resolution_mm))
    number = shelf.add_machine(machine)
    capture = Captures(lambda: NOW).of(shelf, number, shelf.add_plan(number, SHEET))
    assert set_ups(capture)["turn"] == turn_mm
