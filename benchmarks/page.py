"""The measure sheet: from a key to the chart and to the disk, many browsers, bytes, first paint.

    python benchmarks/page.py              into results/page.json, about three minutes
    python benchmarks/page.py devices      the ports alone, beside what the file has
    python benchmarks/page.py pages        weight, paint, rate and memory alone, likewise

Everything runs on this computer, browser and bench on the same cores, over loopback. Times are
taken inside the page: from the press of Enter to the drawn chart (what the person sees), and to
the answer that says that the reading is on disk, with the chart drawn anew.
"""

from __future__ import annotations

import json
import os
import platform
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from typing import Any

import page_devices
import page_wire

from plumbrise.machine import blank
from plumbrise.store import Shelf

RESULTS = Path(__file__).parent / "results" / "page.json"
FLAGS = ("--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking")
READINGS = 200
BROWSERS, EACH = 20, 20
TIMES = """() => {  // the nth Enter keeps the nth reading
    window.times = [];
    const began = [];
    const press = (e) => { if (e.key === "Enter") began.push(performance.now()); };
    addEventListener("keydown", press, true);
    const seen = { drawn: 0, disk: 0 };
    new MutationObserver(() => {
        const all = document.querySelectorAll("figure.growing svg circle.mark").length;
        const waits = document.querySelectorAll("figure.growing svg circle.waits").length;
        const now = performance.now();
        for (; seen.drawn < all; seen.drawn++) times.push(["drawn", now - began[seen.drawn]]);
        for (; seen.disk < all - waits; seen.disk++) times.push(["disk", now - began[seen.disk]]);
    }).observe(document.getElementById("notes").parentElement, {childList: true, subtree: true});
}"""


def worksheet(readings: int, number: int) -> str:
    rows = ["run,test,station,seq,target_mm,reading_mm,approach"]
    rows += [
        f"walk {number},coarse-steps,gantry-left,{i},{i},,{'up' if i else 'down'}"
        for i in range(readings)
    ]
    return "\n".join(rows) + "\n"


@contextmanager
def bench(shelf: Path, *options: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A bench on a shelf, and the address that lets a browser in."""
    command = [sys.executable, "-m", "plumbrise", "bench", "--no-browser", "--shelf", str(shelf)]
    command += options
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"}
    )
    try:
        assert process.stdout is not None
        yield (
            process,
            next(m[0] for s in process.stdout if (m := re.search(r"http://\S+/in/\w+", s))),
        )
    finally:
        process.terminate()
        process.wait(timeout=10)


def spread(times: list[float]) -> dict[str, float]:
    ordered = sorted(times)
    return {
        "median_ms": round(median(ordered), 1),
        "p99_ms": round(ordered[min(len(ordered) - 1, round(0.99 * (len(ordered) - 1)))], 1),
        "worst_ms": round(ordered[-1], 1),
        "count": len(ordered),
    }


def ready(page: Any, address: str) -> None:
    page.goto(address)
    page.get_by_role("button", name="The gauge stands").click()


def typed(page: Any, i: int) -> None:
    page.keyboard.insert_text(f"{max(i - 0.4, 0):.2f}")
    page.keyboard.press("Enter")


def shown(page: Any, within: str) -> list[float]:
    return [ms for kind, ms in page.evaluate("window.times") if kind == within]


def weighed(context: Any, address: str) -> dict[str, Any]:
    """Bytes of the sheet over the wire with nothing kept from before, and its first paint."""
    page = context.new_page()
    session = context.new_cdp_session(page)
    got: list[float] = []
    session.on("Network.loadingFinished", lambda event: got.append(event["encodedDataLength"]))
    session.send("Network.enable")
    session.send("Network.setCacheDisabled", {"cacheDisabled": True})
    paints = []
    for _ in range(5):
        page.goto(address, wait_until="load")
        page.locator("#cap").wait_for()
        page.wait_for_timeout(400)  # a hidden page is painted when there is time
        paints.append(
            page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime")
        )
    page.close()
    return {
        "bytes": round(sum(got) / 5),
        "requests": round(len(got) / 5),
        "first_paint_ms": [round(ms) for ms in paints],
    }


def one(context: Any, address: str) -> dict[str, Any]:
    """One person reading quickly."""
    page = context.new_page()
    ready(page, address)
    page.evaluate(TIMES)
    for i in range(READINGS):
        typed(page, i)
        page.wait_for_timeout(30)
    page.locator("circle.waits").first.wait_for(state="detached")
    found = {"drawn": spread(shown(page, "drawn")), "on_disk": spread(shown(page, "disk"))}
    page.close()
    return found


def many(browser: Any, state: Any, addresses: list[str]) -> dict[str, Any]:
    """So many browsers, each at a plan of its own, reading at once."""
    contexts = [browser.new_context(storage_state=state) for _ in addresses]
    pages = [context.new_page() for context in contexts]
    for page, address in zip(pages, addresses, strict=True):
        ready(page, address)
        page.evaluate(TIMES)
    for i in range(EACH):
        for page in pages:
            typed(page, i)
    for page in pages:
        page.locator("circle.waits").first.wait_for(state="detached")
    drawn = [ms for page in pages for ms in shown(page, "drawn")]
    disk = [ms for page in pages for ms in shown(page, "disk")]
    for context in contexts:
        context.close()
    return {"browsers": len(pages), "drawn": spread(drawn), "on_disk": spread(disk)}


def memory_mb(process: subprocess.Popen[str]) -> float | None:
    status = Path(f"/proc/{process.pid}/status")
    if not status.exists():
        return None
    found = re.search(r"VmRSS:\s+(\d+)", status.read_text())
    return round(int(found[1]) / 1024) if found else None


def devices(playwright: Any, chromium: str) -> dict[str, Any]:
    """A stop, from the press to the port; an indicator's value, from the port to the screen."""
    far = page_devices.FarEnds()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "shelf.sqlite3"
        with Shelf.open(place, now=lambda: datetime.now(UTC)) as shelf:
            address = page_devices.plan_on(shelf)
        with bench(place, *far.options) as (_, way_in):
            browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
            page = browser.new_page(viewport={"width": 390, "height": 844})
            page.goto(way_in)
            page.goto(way_in.split("/in/")[0] + address)
            page.locator("#card .go").wait_for()
            found = {
                "stop_at_rest": spread(page_devices.stops(page, far)),
                "stop_under_way": spread(page_devices.stops_under_way(page, far)),
                "indicator_to_screen": spread(page_devices.shown(page, far)),
            }
            browser.close()
    far.close()
    return found


def pages(playwright: Any, chromium: str) -> dict[str, Any]:
    """Every kind of page: weight, first paint, rate; many browsers at once, memory."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "shelf.sqlite3"
        with Shelf.open(place, now=lambda: datetime.now(UTC)) as shelf:
            addresses = page_wire.example_on(shelf)
        with bench(place) as (process, way_in):
            base = way_in.split("/in/")[0]
            browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
            context = browser.new_context(viewport={"width": 1366, "height": 850})
            page = context.new_page()
            page.goto(way_in)
            page_wire.explained(page, base + addresses["answer"])
            state = context.storage_state()
            page.close()
            found = {
                "each": page_wire.each(browser, state, base, addresses),
                "all_in_turn": page_wire.walk(browser, state, base, addresses),
                "rates": page_wire.rates(base, state["cookies"], addresses),
                "at_once": page_wire.at_once(browser, state, base + addresses["answer"]),
                "memory_mb": page_wire.memory_mb(process.pid),
                "load_average": round(os.getloadavg()[0], 1),
            }
            browser.close()
    return found


PARTS = {"devices": devices, "pages": pages}


def main() -> None:
    from playwright.sync_api import sync_playwright

    chromium = next(filter(None, map(shutil.which, ("chromium", "google-chrome"))))
    if asked := sys.argv[1:]:
        told = json.loads(RESULTS.read_text(encoding="utf-8"))
        with sync_playwright() as playwright:
            for part in asked:
                told[part] = PARTS[part](playwright, chromium)
                print(json.dumps(told[part], indent=2))
        RESULTS.write_text(json.dumps(told, indent=2) + "\n", encoding="utf-8")
        return
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "shelf.sqlite3"
        with Shelf.open(place, now=lambda: datetime.now(UTC)) as shelf:
            machine = shelf.add_machine(blank("one-screw"), "Heron")
            plans = [shelf.add_plan(machine, worksheet(READINGS, 0))]
            plans += [shelf.add_plan(machine, worksheet(EACH, n)) for n in range(1, BROWSERS + 1)]
        with bench(place) as (process, way_in), sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
            context = browser.new_context(viewport={"width": 390, "height": 844})
            page = context.new_page()
            page.goto(way_in)
            base = way_in.split("/in/")[0]
            addresses = [f"{base}/m/{machine}/measure/{plan}" for plan in plans]
            found: dict[str, Any] = {
                "sheet": weighed(context, addresses[0]),
                "one": one(context, addresses[0]),
                "many": many(browser, context.storage_state(), addresses[1:]),
                "bench_memory_mb": memory_mb(process),
            }
            browser.close()
            found |= {name: part(playwright, chromium) for name, part in PARTS.items()}
        with Shelf.open(place, now=lambda: datetime.now(UTC)) as shelf:
            kept = [len(shelf.kept(run.id, all_of_it=True)) for run in shelf.runs(machine)]
        found["kept"] = {"asked": READINGS + BROWSERS * EACH, "on_disk": sum(kept)}
    about = {
        "what": "measure sheet over loopback, browser and bench on the same computer",
        "cores": os.cpu_count(),
        "python": platform.python_version(),
        "system": platform.system(),
    }
    RESULTS.write_text(json.dumps({"about": about, **found}, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(found, indent=2))


if __name__ == "__main__":
    main()
