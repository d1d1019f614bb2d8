"""The states of the measure sheet with an indicator and a driven axis, as pictures.

    .venv/bin/python scripts/screenshots_devices.py FOLDER

The far ends of both ports are those of the tests. One way through a set-up in each size and scheme.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import replace
from datetime import UTC, datetime
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

from plumbrise.machine import blank
from plumbrise.machine.description import Controller, Travel
from plumbrise.store import Shelf

SIZES = {"laptop": (1366, 850), "phone": (390, 844)}
SCHEMES = ("light", "dark")
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


def stand_ins() -> Any:
    """The module of the far ends; a homing takes as long as one that a controller waits for."""
    spec = spec_from_file_location("plumbrise_stand_ins", STAND_INS)
    module = module_from_spec(spec)
    sys.modules["plumbrise_stand_ins"] = module
    spec.loader.exec_module(module)
    module.HOMING_S = 1.5
    return module


def main() -> None:
    to = Path(sys.argv[1])
    to.mkdir(parents=True, exist_ok=True)
    far = stand_ins()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        for size in SIZES:
            for scheme in SCHEMES:
                taken(browser, far, to, size, scheme)
        browser.close()


def taken(browser: Browser, far: Any, to: Path, size: str, scheme: str) -> None:
    """A bench of its own with both ports, and one way through its set-up."""
    indicator = far.StandInIndicator(show=0.0)
    axis = far.StandInController(
        on_height=lambda mm: setattr(indicator, "show", max(0.0, mm - 0.42))
    )
    with tempfile.TemporaryDirectory() as folder:
        place = f"{folder}/shelf.sqlite3"
        with Shelf.open(place, now=lambda: datetime.now(UTC)) as shelf:
            machine = shelf.add_machine(MACHINE)
            at = f"/m/{machine}/measure/{shelf.add_plan(machine, WORKSHEET)}"
        command = [sys.executable, "-m", "plumbrise", "bench", "--no-browser", "--shelf", place]
        command += ["--indicator", indicator.name, "--line", "{value:3} {unit}"]
        command += ["--controller", axis.name]
        running = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        try:
            way = ""
            while not (found := re.search(r"http://\S+/in/\w+", way)):
                way = running.stdout.readline()
            width, height = SIZES[size]
            context = browser.new_context(
                viewport={"width": width, "height": height}, color_scheme=scheme
            )
            page = context.new_page()
            page.goto(found[0])
            page.goto(found[0].split("/in/")[0] + at)
            walked(page, axis, indicator, lambda name: _taken(page, to, name, size, scheme))
            context.close()
        finally:
            running.terminate()
            running.wait()
            axis.close()
            indicator.close()


def _taken(page: Page, to: Path, name: str, size: str, scheme: str) -> None:
    page.evaluate("document.fonts.ready")
    page.screenshot(path=to / f"{name}-{size}-{scheme}.png", full_page=size == "phone")


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


if __name__ == "__main__":
    main()
