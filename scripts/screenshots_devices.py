"""The states of the measure sheet with devices plugged in, for `screenshots.py`: an indicator and
a driven axis, two indicators, a set-up left half read.

The far ends of the ports are those of the tests. One way through a set-up in each size and scheme.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page

from plumbrise.files import read_readings
from plumbrise.machine import blank
from plumbrise.machine.description import Controller, Travel
from plumbrise.readings import scale_of
from plumbrise.store import Shelf
from plumbrise.store.sitting import Sitting

STAND_INS = Path(__file__).resolve().parents[1] / "tests" / "hardware" / "stand_ins.py"
MACHINE = replace(
    blank("one-screw"),
    name="Shed printer",
    travel=Travel(height_mm=250.0),
    controller=Controller(dwell_unit="milliseconds", stop_waits=True, home="down"),
)
WORKSHEET = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},,{'up' if i else 'down'}\n" for i in range(9)
)


PAIR = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
    f"{end},coarse-steps,gantry-{end},{i},{i},,{'up' if i else 'down'}\n"
    for end in ("left", "right")
    for i in range(9)
)


def stand_ins() -> Any:
    """The module of the far ends; a homing takes as long as one that a controller waits for."""
    spec = spec_from_file_location("plumbrise_stand_ins", STAND_INS)
    module = module_from_spec(spec)
    sys.modules["plumbrise_stand_ins"] = module
    spec.loader.exec_module(module)
    module.HOMING_S = 1.5
    return module


Picture = Callable[[Page, str], None]


def device_states(
    browser: Browser, viewport: dict[str, int], scheme: str, picture: Picture
) -> None:
    """All states with devices in one size and scheme; `picture` takes one of them."""
    far = stand_ins()
    indicator = far.StandInIndicator(show=0.0)
    axis = far.StandInController(
        on_height=lambda mm: setattr(indicator, "show", max(0.0, mm - 0.42))
    )
    ports = ("--indicator", indicator.name, "--controller", axis.name)
    with opened(browser, viewport, scheme, MACHINE, WORKSHEET, ports) as page:
        walked(page, axis, indicator, lambda name: picture(page, name))
    axis.close()
    indicator.close()
    two = [far.StandInIndicator(show=show) for show in (0.0, 0.0)]
    ports = tuple(word for one in two for word in ("--indicator", one.name))
    with opened(browser, viewport, scheme, blank("two-screw"), PAIR, ports) as page:
        both_read(page, two, lambda name: picture(page, name))
    for one in two:
        one.close()
    with opened(browser, viewport, scheme, MACHINE, WORKSHEET, (), half_read=True) as page:
        page.get_by_role("button", name="No, go on").wait_for()
        picture(page, "half-read")


@contextmanager
def opened(
    browser: Browser,
    viewport: dict[str, int],
    scheme: str,
    machine: Any,
    sheet: str,
    ports: tuple[str, ...],
    half_read: bool = False,
) -> Iterator[Page]:
    """The measure sheet of a bench of its own with these ports, closed at the end."""
    with tempfile.TemporaryDirectory() as folder:
        place = f"{folder}/shelf.sqlite3"
        with Shelf.open(place, now=lambda: datetime.now(UTC) - timedelta(hours=1)) as shelf:
            number = shelf.add_machine(machine)
            plan = shelf.add_plan(number, sheet)
            if half_read:
                runs = read_readings(sheet.encode(), name="plan", scale=scale_of(machine)).runs
                how: Any = {"since_s": lambda: 0.0, "label": "an hour ago"}
                Sitting.on(shelf, number, plan, runs, **how).keep(0.0)
        command = [sys.executable, "-m", "plumbrise", "bench", "--no-browser", "--shelf", place]
        command += [*ports, *(["--line", "{value:3} {unit}"] if ports else [])]
        running = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        try:
            way = ""
            while not (found := re.search(r"http://\S+/in/\w+", way)):
                way = running.stdout.readline()
            context = browser.new_context(viewport=viewport, color_scheme=scheme)
            page = context.new_page()
            page.goto(found[0])
            page.goto(f"{found[0].split('/in/')[0]}/m/{number}/measure/{plan}")
            yield page
            context.close()
        finally:
            running.terminate()
            running.wait()


def both_read(page: Page, two: list[Any], picture: Callable[[str], None]) -> None:
    """Two gauges: being set, both at rest, one said and the other not yet."""
    key = page.locator("#keep")
    page.get_by_role("button", name="The gauge stands").wait_for()
    picture("two-gauges-set")
    page.get_by_role("button", name="The gauge stands").click()
    key.filter(has_text="Keep 0.00 and 0.00").click()
    for told in (1, 2, 3):
        two[0].show, two[1].show = told - 0.38, told - 0.45
        key.filter(has_text=f"Keep {told - 0.38:.2f} and {told - 0.45:.2f}").click()
    picture("two-gauges-read")
    page.locator("#typed").press_sequentially("61")
    page.keyboard.press("Enter")
    page.locator("#whose", has_text="now right end").wait_for()
    picture("two-gauges-one-said")


def walked(page: Page, axis: Any, indicator: Any, picture: Any) -> None:
    """Before it moves, moving, waiting for the gauge, at rest, moving on, stopped, unplugged."""
    key = page.locator("#keep")
    begin = page.get_by_role("button", name=re.compile("All is clear"))
    begin.wait_for()
    picture("axis-before")
    begin.click()
    page.wait_for_timeout(600)
    picture("axis-homes")
    page.get_by_role("button", name=re.compile("Hands off")).wait_for()
    picture("axis-waits")
    page.get_by_role("button", name=re.compile("Hands off")).click()
    for told in range(1, 4):
        key.filter(has_text=re.compile(r"Keep \d")).click()
        key.filter(has_text=f"Move to {told}.00").click()
    key.filter(has_text="Keep 2.58").wait_for()
    picture("axis-at-rest")
    page.get_by_label("Move on once kept").check()
    picture("axis-keeps-and-moves")
    key.click()
    page.get_by_label("Move on once kept").uncheck()
    key.filter(has_text=re.compile(r"Keep \d")).click()
    key.filter(has_text="Move to 5.00").wait_for()
    picture("axis-goes-next")
    axis.slow = 6.0
    key.click()
    page.wait_for_timeout(600)
    picture("axis-moves")
    page.get_by_role("button", name="Stop the axis").click()
    begin.wait_for()
    picture("axis-stopped")
    page.get_by_role("button", name=re.compile("without moving")).click()
    page.get_by_role("button", name="The gauge stands").click()
    indicator.unplug()
    page.get_by_text("the cable is out").wait_for()
    picture("indicator-unplugged")
    page.locator(".mark").click() if page.locator(".mark").is_visible() else page.goto(
        "/".join(page.url.split("/")[:3])
    )
    page.locator("#axis-says", has_text="topped").wait_for()
    picture("stop-on-start")
