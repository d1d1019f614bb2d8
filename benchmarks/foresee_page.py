"""A move of a slider on the foresee sheet: from the input to the layers that stand there.

    python benchmarks/foresee_page.py      into results/foresee_page.json, about a minute

The invented machine, explained to the end, in a browser over loopback on the same cores. Times are
taken inside the page, from the input event of the slider for the layer height until the new layers
are in the document; beside it stand how long the server took, and how much of that it worked. Where
other things run on the same cores the last is the figure that says what the page needs.
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
from redesign_page import worked_s

RESULTS = Path(__file__).parent / "results" / "foresee_page.json"
MOVES = 40
HEIGHTS = [round(0.08 + 0.004 * step, 3) for step in range(MOVES)]
MOVE = """(height) => new Promise((done) => {
    const began = performance.now();
    new MutationObserver((_, seen) => {
        seen.disconnect();
        done(performance.now() - began);
    }).observe(document.getElementById("forecast"), {childList: true, subtree: true});
    const slider = document.querySelector('[data-of="layer"]');
    slider.step = "any";
    slider.value = String(height);
    slider.dispatchEvent(new Event("input", {bubbles: true}));
})"""


def ready(page: Any, way_in: str) -> tuple[str, float]:
    """The foresee sheet of the invented machine, and how long its first forecast took (ms)."""
    page.goto(way_in)
    page.get_by_role("button", name="Open the invented example").click()
    page.wait_for_url("**/m/*")
    page.get_by_role("heading", level=1).first.wait_for()
    page.locator("[data-run]").wait_for(state="detached", timeout=120_000)
    began = time.perf_counter()
    page.goto(f"{page.url}/foresee")
    return page.url, 1000 * (time.perf_counter() - began)


def served(page: Any, address: str, layers: int) -> list[float]:
    """How long the server takes for prints of so many layers (ms)."""
    times = []
    for height in HEIGHTS:
        began = time.perf_counter()
        page.request.get(f"{address}?layer={height}&layers={layers}")
        times.append(1000 * (time.perf_counter() - began))
    return times


def main() -> None:
    from playwright.sync_api import sync_playwright

    chromium = next(filter(None, map(shutil.which, ("chromium", "google-chrome"))))
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "shelf.sqlite3"
        with bench(place) as (process, way_in), sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
            page = browser.new_page(viewport={"width": 1366, "height": 850})
            address, first_ms = ready(page, way_in)
            began = worked_s(process)
            moved = [page.evaluate(MOVE, height) for height in HEIGHTS]
            ended = worked_s(process)
            found = {
                "first_forecast_ms": round(first_ms),
                "slider_to_layers": spread(moved),
                "server_works_ms": None
                if began is None or ended is None
                else round(1000 * (ended - began) / MOVES, 1),
                "server": {f"{n} layers": spread(served(page, address, n)) for n in (10, 40, 100)},
            }
            browser.close()
    about = {
        "what": "foresee sheet over loopback, browser and bench on the same computer",
        "cores": os.cpu_count(),
        "load": round(os.getloadavg()[0], 1),
        "python": platform.python_version(),
        "system": platform.system(),
    }
    RESULTS.write_text(json.dumps({"about": about, **found}, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(found, indent=2))


if __name__ == "__main__":
    main()
