"""How soon a stop pressed on the page is on the controller's port, and how soon what an indicator
sends is on the screen. Used by page.py; the far ends of both ports are those of the tests.

A press is timed by the browser's own clock when the pointer goes down, the bytes by this program's
when they come out of the port's far end: both read the clock of this computer.
"""

from __future__ import annotations

import re
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from typing import Any

from plumbrise.machine import blank
from plumbrise.machine.description import Controller, Travel
from plumbrise.store import Shelf

STAND_INS = Path(__file__).parents[1] / "tests" / "hardware" / "stand_ins.py"
PRESSES, CHANGES, UNDER_WAY = 300, 300, 12
STOP = "!"
MACHINE = replace(
    blank("one-screw"),
    name="Heron",
    travel=Travel(height_mm=250.0),
    controller=Controller(dwell_unit="milliseconds", stop_waits=True, home="down"),
)
SHEET = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},,{'up' if i else 'down'}\n" for i in range(8)
)
PRESSED = """() => {
    window.pressed = [];
    document.querySelector(".stop-axis").addEventListener("pointerdown", (event) => {
        window.pressed.push(performance.timeOrigin + event.timeStamp);
    }, true);
}"""
SEEN = """() => {
    window.seen = {};
    const value = document.getElementById("value");
    new MutationObserver(() => {
        window.seen[value.textContent] ??= performance.timeOrigin + performance.now();
    }).observe(value, {childList: true});
}"""


def stand_ins() -> Any:
    """The module of the far ends."""
    spec = spec_from_file_location("plumbrise_stand_ins", STAND_INS)
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    sys.modules["plumbrise_stand_ins"] = module
    spec.loader.exec_module(module)
    module.HOMING_S = 0.7
    return module


class FarEnds:
    """Both ports, and when what came out of the controller's."""

    def __init__(self) -> None:
        far = stand_ins()
        self.indicator = far.StandInIndicator(show=0.0, every_s=0.02)
        stops: list[float] = []

        class Timed(far.StandInController):  # type: ignore[misc, name-defined]
            def _arrived(self, line: str) -> None:
                if STOP in line:
                    stops.append(time.time() * 1000.0)
                    return
                super()._arrived(line)

        self.stops = stops
        self.controller = Timed()

    @property
    def options(self) -> list[str]:
        """For the bench's command line."""
        ports = ["--indicator", self.indicator.name, "--line", "{value:3} {unit}"]
        return [*ports, "--controller", self.controller.name, "--stop-bytes", f"{STOP}\\n"]

    def close(self) -> None:
        """Pull both."""
        self.indicator.close()
        self.controller.close()


def plan_on(shelf: Shelf) -> str:
    """The address of a plan whose machine can be moved."""
    machine = shelf.add_machine(MACHINE, "Heron")
    return f"/m/{machine}/measure/{shelf.add_plan(machine, SHEET)}"


def press(page: Any, far: FarEnds) -> float:
    """One press of the stop; ms from the pointer to the port."""
    before = len(far.stops)
    page.locator(".stop-axis").click()
    until = time.monotonic() + 5
    while len(far.stops) == before and time.monotonic() < until:
        time.sleep(0.002)
    assert len(far.stops) > before, "a stop did not arrive"
    at: float = page.evaluate("window.pressed.at(-1)")
    return far.stops[before] - at


def stops(page: Any, far: FarEnds) -> list[float]:
    """At rest, again and again, while the indicator sends and shows."""
    page.evaluate(PRESSED)
    return [press(page, far) for _ in range(PRESSES)]


def stops_under_way(page: Any, far: FarEnds) -> list[float]:
    """While it homes and goes to where the gauge is set."""
    found = []
    for _ in range(UNDER_WAY):
        page.get_by_role("button", name=re.compile("All is clear")).click()
        page.locator("#stop-bar.moves").wait_for()
        page.wait_for_timeout(400)
        found.append(press(page, far))
        page.get_by_role("button", name=re.compile("All is clear")).wait_for()
    return found


def shown(page: Any, far: FarEnds) -> list[float]:
    """From a line that is sent to the value that stands on the page, ms."""
    page.get_by_role("button", name="Read this set-up without").click()
    stands = page.get_by_role("button", name="The gauge stands")
    stands.click()
    page.evaluate(SEEN)
    sent: dict[str, float] = {}
    values = iter(range(1, CHANGES + 1))

    def first(write: Callable[[bytes], None]) -> Callable[[bytes], None]:
        def timed(line: bytes) -> None:
            sent.setdefault(f"{float(line.split()[0]):.2f} mm", time.time() * 1000.0)
            write(line)

        return timed

    far.indicator.send = first(far.indicator.send)
    for value in values:
        far.indicator.show = value * 0.01
        page.wait_for_timeout(37 + value % 29)
    page.wait_for_timeout(300)
    seen: dict[str, float] = page.evaluate("window.seen")
    return [seen[value] - sent[value] for value in sent if value in seen and value != "0.00 mm"]
