"""An indicator and a driven axis on the measure sheet, in a real browser, against the bench's own
ports with their far ends standing in."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from time import monotonic, sleep

import pytest

from plumbrise.machine import blank
from plumbrise.machine.description import Controller, Travel
from plumbrise.store import Shelf

MACHINE = replace(
    blank("one-screw"),
    name="Heron",
    travel=Travel(height_mm=250.0),
    controller=Controller(dwell_unit="milliseconds", stop_waits=True, home="down"),
)
SHEET = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},,{'up' if i else 'down'}\n" for i in range(5)
)
QUICKLY = """
from functools import partial
from plumbrise.cli import main
from plumbrise.hardware import controller
from plumbrise.web import capture_gauge
controller.Timing = partial(controller.Timing, **{quick})
capture_gauge.StillnessRule = partial(capture_gauge.StillnessRule, seconds=0.3)
main()
"""
"""The program, which waits for a controller and for a gauge to stand still as briefly as stand-ins
need it."""


SWIFT = 0.02
"""So much of the told time does the stand-in axis take."""
SLOWLY = 25.0
"""The same where something is done while it moves: long enough for a loaded computer."""


class Machine:
    """A bench with both ports plugged in; the indicator shows where the stand-in axis is."""

    def __init__(self, folder: Path, start_bench, stand_ins) -> None:
        self.axis = stand_ins.StandInController(on_height=self.follow, slow=SWIFT)
        self.indicator = stand_ins.StandInIndicator(show=0.0)
        self.shelf = folder / "shelf.sqlite3"
        with Shelf.open(self.shelf, now=lambda: datetime.now(UTC)) as shelf:
            self.id = shelf.add_machine(MACHINE, "Heron")
        self.machine = f"/m/{self.id}/machine"
        self.plan()
        ports = ("--indicator", self.indicator.name, "--line", "{value:3} {unit}")
        ports += ("--controller", self.axis.name)
        python = ("-c", QUICKLY.format(quick=stand_ins.QUICK))
        self.bench = start_bench(self.shelf, *ports, python=python)

    def plan(self) -> None:
        """Nothing read; what an earlier one left moving comes to its end."""
        self.axis.slow, self.indicator.show = SWIFT, 0.0
        with Shelf.open(self.shelf, now=lambda: datetime.now(UTC)) as shelf:
            self.number = shelf.add_plan(self.id, SHEET)
        self.at = f"/m/{self.id}/measure/{self.number}"

    def follow(self, height_mm: float) -> None:
        self.indicator.show = max(0.0, height_mm - 0.4)

    def open(self, page) -> None:
        self.bench.enter(page)
        self.see(page)

    def see(self, page) -> None:
        page.goto(self.bench.address + self.at)
        page.locator("#card .go, #typed").locator("visible=true").first.wait_for()

    def to_first(self, page) -> None:
        self.open(page)
        page.get_by_role("button", name="All is clear: move Heron").click()
        page.get_by_role("button", name="Hands off").click()
        page.locator("#keep", has_text="Keep 0.00").wait_for()

    def found(self, what: str) -> list[tuple]:
        """What the file holds of this plan."""
        with closing(sqlite3.connect(self.shelf)) as file:
            return list(file.execute(f"{what} WHERE plan_id = ? ORDER BY 1", (self.number,)))

    def rows(self) -> list[tuple[int, float | None]]:
        return self.found("SELECT seq, reading_mm FROM readings JOIN runs ON runs.id = run_id")

    def marks(self) -> str:
        return str(self.found("SELECT words FROM marks JOIN runs ON runs.id = run_id"))

    def wait_for(self, count: int, page) -> None:
        until = monotonic() + 20
        while len(self.rows()) < count and monotonic() < until:
            page.wait_for_timeout(50)  # what is routed goes on meanwhile
        assert len(self.rows()) == count

    def end(self) -> None:
        self.bench.kill()
        self.axis.close()
        self.indicator.close()


@pytest.fixture(scope="module")
def plugged_in(tmp_path_factory, start_bench, stand_ins):
    made = Machine(tmp_path_factory.mktemp("devices"), start_bench, stand_ins)
    yield made
    made.end()


@pytest.fixture
def machine(plugged_in):
    """A plan of which nothing is read, at the one bench of all these tests."""
    plugged_in.plan()
    return plugged_in


@pytest.fixture
def unplugged(tmp_path, start_bench, stand_ins):
    """The same at a bench of its own, for what pulls a cable."""
    made = Machine(tmp_path, start_bench, stand_ins)
    yield made
    made.end()


def test_the_value_appears_the_axis_moves_and_the_stop_stops(machine, page, breaches):
    machine.open(page)
    assert page.get_by_text("crushes fingers").is_visible()
    assert breaches(page) == []
    page.get_by_role("button", name="All is clear: move Heron").click()
    page.get_by_role("button", name="Hands off").wait_for()
    assert "tip" in page.locator("#card").inner_text()
    assert breaches(page) == []
    page.get_by_role("button", name="Hands off").click()
    page.locator("#keep", has_text="Keep 0.00").click()
    page.locator("#keep", has_text="Move to 1.00").click()
    page.locator("#keep", has_text="Keep 0.60").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.locator("#value").inner_text() == "0.60 mm"
    assert breaches(page) == []
    page.keyboard.press("Enter")
    machine.axis.slow = SLOWLY
    page.locator("#keep", has_text="Move to 2.00").click()
    page.locator("#keep", has_text="It moves").wait_for()
    page.get_by_role("button", name="Stop the axis").click()
    page.get_by_text("All is clear: move Heron").wait_for()
    sent = len(machine.axis.got)
    assert "Stopped by hand." in page.locator("#card").inner_text()
    assert "may still be made" in page.locator("#card").inner_text()
    assert breaches(page) == []
    page.wait_for_timeout(500)
    assert len(machine.axis.got) == sent
    machine.wait_for(2, page)
    assert machine.rows() == [(0, 0.0), (1, 0.6)]


def test_it_is_taken_when_still_and_goes_on_by_itself_where_that_is_ticked(machine, phone):
    machine.to_first(phone)
    phone.get_by_label("Move on once kept").check()
    phone.get_by_label("Keep once still").check()
    machine.wait_for(5, phone)
    assert machine.rows() == [(0, 0.0), (1, 0.6), (2, 1.6), (3, 2.6), (4, 3.6)]
    phone.get_by_role("heading", name="All is read").wait_for()


def test_a_stop_at_rest_holds_though_it_is_ticked_that_it_goes_on_by_itself(machine, laptop):
    machine.to_first(laptop)
    machine.indicator.show = lambda seconds: seconds % 1.0
    laptop.locator("#keep", has_text="Keep when still").wait_for()
    laptop.get_by_label("Move on once kept").check()
    laptop.get_by_label("Keep once still").check()
    laptop.get_by_role("button", name="Stop the axis").click()
    laptop.locator("#axis-says", has_text="It stays where it is").wait_for()
    sent = len(machine.axis.got)
    machine.indicator.show = 0.0
    machine.wait_for(1, laptop)
    laptop.locator("#keep", has_text="Move to 1.00").wait_for()
    laptop.wait_for_timeout(600)
    assert len(machine.axis.got) == sent


def test_nothing_goes_on_by_itself_while_the_page_is_out_of_sight(machine, laptop):
    machine.to_first(laptop)
    laptop.get_by_label("Move on once kept").check()
    laptop.evaluate(
        "Object.defineProperty(document, 'visibilityState', {get: () => 'hidden'});"
        "document.dispatchEvent(new Event('visibilitychange'))"
    )
    sent = len(machine.axis.got)
    laptop.locator("#keep").click()
    laptop.locator("#said", has_text="0.00 mm kept").or_(
        laptop.locator("#said", has_text="0.00 kept")
    ).wait_for()
    laptop.wait_for_timeout(300)
    assert len(machine.axis.got) == sent


def test_the_stop_is_first_for_the_keyboard_and_on_every_sheet(machine, laptop):
    machine.open(laptop)
    for address in (machine.at, machine.machine, "/shelf", "/"):
        laptop.goto(machine.bench.address + address)
        laptop.locator("#axis-says:not(:empty)").wait_for()
        laptop.keyboard.press("Tab") if address != machine.at else laptop.locator("body").press(
            "Home"
        )
        first = laptop.evaluate(
            "[...document.querySelectorAll('a, button, input')]"
            ".find((one) => one.checkVisibility() && one.tabIndex >= 0).textContent"
        )
        assert first.startswith("Stop the axis")
        assert laptop.get_by_role("button", name="Stop the axis").is_visible()


def test_escape_stops_from_another_tab_and_sheet(machine, browser):
    context = browser.new_context(viewport={"width": 1366, "height": 850})
    one, other = context.new_page(), context.new_page()
    machine.to_first(one)
    one.locator("#keep").click()
    machine.axis.slow = SLOWLY
    other.goto(machine.bench.address + "/shelf")
    other.locator("#axis-says", has_text="At rest").wait_for()
    one.locator("#keep", has_text="Move to 1.00").click()
    other.locator("#axis-says", has_text="It moves").wait_for()
    other.keyboard.press("Escape")
    other.locator("#axis-says", has_text="Stopped by hand").wait_for()
    one.get_by_text("All is clear: move Heron").wait_for()
    context.close()


def test_typed_figures_go_before_the_indicator_and_work_without_it(unplugged, laptop):
    unplugged.to_first(laptop)
    laptop.keyboard.type("0.07")
    assert laptop.locator("#keep").inner_text().startswith("Keep 0.07")
    laptop.keyboard.press("Enter")
    unplugged.wait_for(1, laptop)
    unplugged.indicator.unplug()
    laptop.get_by_text("the cable is out").wait_for()
    laptop.keyboard.press("Enter")
    laptop.locator("#keep", has_text=re.compile("^Keep")).wait_for()
    laptop.keyboard.type("0.64")
    laptop.keyboard.press("Enter")
    unplugged.wait_for(2, laptop)
    assert unplugged.rows() == [(0, 0.07), (1, 0.64)]


def test_nothing_scrolls_sideways_and_the_big_key_is_in_sight_on_a_phone(machine, phone):
    machine.to_first(phone)
    box = phone.locator("#keep").bounding_box()
    stop = phone.get_by_role("button", name="Stop the axis").bounding_box()
    assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert box["y"] + box["height"] <= 844
    assert stop["y"] >= 0
    assert stop["height"] >= 44
    assert phone.evaluate("document.documentElement.scrollHeight <= innerHeight")


def test_an_enter_too_many_moves_nothing(machine, laptop):
    machine.open(laptop)
    laptop.get_by_role("button", name="All is clear").wait_for()
    sent = len(machine.axis.got)
    laptop.keyboard.press("Enter")
    laptop.keyboard.press("Enter")
    laptop.wait_for_timeout(500)
    assert len(machine.axis.got) == sent


def test_a_page_that_is_closed_while_it_moves_stops_it(machine, browser):
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    machine.to_first(page)
    page.locator("#keep").click()
    machine.axis.slow = SLOWLY
    page.locator("#keep", has_text="Move to 1.00").click()
    page.locator("#keep", has_text="It moves").wait_for()
    page.close()
    until = monotonic() + 20
    while "No page looks on" not in machine.marks() and monotonic() < until:
        sleep(0.05)  # a page that asked would look on
    later = context.new_page()
    machine.see(later)
    later.locator("#card", has_text="No page looks on any more").wait_for()
    context.close()
