"""A move of a slider on the redesign sheet: from the input to the proposal that stands there.

    python benchmarks/redesign_page.py      into results/redesign_page.json, about a minute

The invented machine, explained to the end, in a browser over loopback on the same cores. Times are
taken inside the page, from the input event of the slider until the new proposal is in the
document; beside it stand how long the server took, and how much of that it worked. Where other
things run on the same cores the last is the figure that says what the page needs.
"""

from __future__ import annotations

import json
import os
import platform
import shutil
import tempfile
import time
from pathlib import Path
from typing import Any

from page import FLAGS, bench, spread

RESULTS = Path(__file__).parent / "results" / "redesign_page.json"
MOVES = 40
LIMITS = [round(0.02 + 0.005 * step, 3) for step in range(MOVES)]
MOVE = """(limit) => new Promise((done) => {
    const field = document.querySelector('input[name="lost-motion"]');
    const began = performance.now();
    new MutationObserver((_, seen) => {
        seen.disconnect();
        done(performance.now() - began);
    }).observe(document.getElementById("proposal"), {childList: true, subtree: true});
    const slider = document.querySelector('[data-of="lost-motion"]');
    slider.step = "any";
    slider.value = String(limit);
    slider.dispatchEvent(new Event("input", {bubbles: true}));
})"""


def ready(page: Any, way_in: str) -> tuple[str, float]:
    """The redesign sheet of the invented machine, and how long its sets of changes took (s)."""
    page.goto(way_in)
    page.get_by_role("button", name="Open the invented example").click()
    page.wait_for_url("**/m/*")
    page.get_by_role("heading", level=1).first.wait_for()
    page.locator("[data-run]").wait_for(state="detached", timeout=120_000)
    began = time.perf_counter()
    page.goto(f"{page.url}/redesign")
    page.locator("[data-run]").wait_for(state="detached", timeout=120_000)
    return page.url, time.perf_counter() - began


def served(page: Any, address: str) -> list[float]:
    """How long the server takes for addresses that it has not answered yet (ms)."""
    times = []
    for limit in LIMITS:
        began = time.perf_counter()
        page.request.get(f"{address}?asked=yes&aim=lost-motion&lost-motion={limit + 0.002:g}")
        times.append(1000 * (time.perf_counter() - began))
    return times


def worked_s(process: Any) -> float | None:
    """Processor time of the server until now; None where the system does not say."""
    told = Path(f"/proc/{process.pid}/stat")
    if not told.exists():
        return None
    fields = told.read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    from playwright.sync_api import sync_playwright

    chromium = next(filter(None, map(shutil.which, ("chromium", "google-chrome"))))
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "shelf.sqlite3"
        with bench(place) as (process, way_in), sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
            page = browser.new_page(viewport={"width": 1366, "height": 850})
            address, first_s = ready(page, way_in)
            began = worked_s(process)
            moved = [page.evaluate(MOVE, limit) for limit in LIMITS]
            ended = worked_s(process)
            found = {
                "sets_worked_out_s": round(first_s, 1),
                "slider_to_proposal": spread(moved),
                "server_works_ms": None
                if began is None or ended is None
                else round(1000 * (ended - began) / MOVES, 1),
                "server": spread(served(page, address)),
            }
            browser.close()
    about = {
        "what": "redesign sheet over loopback, browser and bench on the same computer",
        "cores": os.cpu_count(),
        "load": round(os.getloadavg()[0], 1),
        "python": platform.python_version(),
        "system": platform.system(),
    }
    RESULTS.write_text(json.dumps({"about": about, **found}, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(found, indent=2))


if __name__ == "__main__":
    main()
