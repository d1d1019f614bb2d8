"""What pages weigh and how soon they stand, how many a second are answered, what the bench takes in
memory. Used by page.py.

A page is interactive when its modules have run (the end of DOMContentLoaded; before that it can be
read, followed and sent as any page without script). Bytes are those of bodies and heads as they
come over the wire, packed. Requests are sent within the burst that one address may have.
"""

from __future__ import annotations

import http.client
import re
import time
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from statistics import median
from typing import Any

from plumbrise.demo import scenario
from plumbrise.files import write_machine, write_readings
from plumbrise.store import Shelf

REPEATS, REQUESTS, CONNECTIONS, BROWSERS = 7, 240, 4, 20
REFILLED_S = 4.0
SHEET = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},,{'up' if i else 'down'}\n" for i in range(12)
)
TIMES = """() => {
    const nav = performance.getEntriesByType("navigation")[0];
    return { painted: performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? null,
             interactive: nav.domContentLoadedEventEnd, loaded: nav.loadEventEnd };
}"""


def example_on(shelf: Shelf) -> dict[str, str]:
    """The invented example with a plan to take; page -> its address."""
    told = scenario()
    machine = shelf.import_(write_machine(told.machine), write_readings(told.readings))
    plan = shelf.add_plan(machine, SHEET)
    base = f"/m/{machine}"
    return {
        "start": "/",
        "answer": base,
        "link": f"{base}/link/racking",
        "plan": f"{base}/plan",
        "readings": f"{base}/readings",
        "measure": f"{base}/measure/{plan}",
    }


def explained(page: Any, address: str) -> None:
    """Wait until the example is wholly worked out."""
    page.goto(address)
    page.locator("[data-run]").wait_for(state="detached", timeout=120_000)


def each(browser: Any, state: Any, base: str, addresses: dict[str, str]) -> dict[str, Any]:
    """Every page as a browser that has nothing of it gets it, so many times."""
    return {
        name: _cold(browser, state, base + address)
        for name, address in addresses.items()
    }  # fmt: skip


def _cold(browser: Any, state: Any, address: str) -> dict[str, Any]:
    seen = []
    for _ in range(REPEATS):
        context = browser.new_context(storage_state=state)
        page, got = _listened(context)
        page.goto(address, wait_until="load")
        seen.append(_times(page) | {"bytes": sum(got), "requests": len(got)})
        context.close()
    return {
        "bytes": round(median(one["bytes"] for one in seen)),
        "requests": round(median(one["requests"] for one in seen)),
        "first_paint_ms": _spread(one["painted"] for one in seen),
        "interactive_ms": _spread(one["interactive"] for one in seen),
    }


def _listened(context: Any) -> tuple[Any, list[float]]:
    page = context.new_page()
    got: list[float] = []
    session = context.new_cdp_session(page)
    session.on("Network.loadingFinished", lambda event: got.append(event["encodedDataLength"]))
    session.send("Network.enable")
    return page, got


def _times(page: Any) -> dict[str, float]:
    found: dict[str, float] = page.evaluate(TIMES)
    while found["painted"] is None:  # what is not in front is painted when there is time
        page.wait_for_timeout(20)
        found = page.evaluate(TIMES)
    return found


def _spread(times: Iterable[float]) -> dict[str, float]:
    ordered = sorted(times)
    return {"median": round(median(ordered), 1), "worst": round(ordered[-1], 1)}


def walk(browser: Any, state: Any, base: str, addresses: dict[str, str]) -> dict[str, Any]:
    """One browser that looks at every page once, and keeps what may be kept."""
    context = browser.new_context(storage_state=state)
    page, got = _listened(context)
    for address in addresses.values():
        page.goto(base + address, wait_until="load")
    context.close()
    return {"pages": len(addresses), "bytes": round(sum(got)), "requests": len(got)}


def at_once(browser: Any, state: Any, address: str) -> dict[str, Any]:
    """So many browsers that open the same sheet in the same moment."""
    contexts = [browser.new_context(storage_state=state) for _ in range(BROWSERS)]
    pages = [context.new_page() for context in contexts]
    for page in pages:  # from a page of the bench's own, or its cookie stays at home
        page.goto(address.partition("/m/")[0] + "/in")
    for page in pages:
        page.evaluate("to => { setTimeout(() => { location.href = to; }, 200); }", address)
    for page in pages:
        page.wait_for_url(address, wait_until="load", timeout=60_000)
    seen = [_times(page) for page in pages]
    for context in contexts:
        context.close()
    return {
        "browsers": len(pages),
        "first_paint_ms": _spread(one["painted"] for one in seen),
        "interactive_ms": _spread(one["interactive"] for one in seen),
    }


def rates(base: str, cookies: list[dict[str, Any]], addresses: dict[str, str]) -> dict[str, Any]:
    """Requests a second over a few connections that stay open."""
    cookie = "; ".join(f"{one['name']}={one['value']}" for one in cookies)
    asked = {
        name: addresses[name] for name in ("start", "answer", "readings")
    } | {"state": f"{addresses['answer']}/run.json"}  # fmt: skip
    found = {}
    for name, address in asked.items():
        time.sleep(REFILLED_S)  # what one address may send at once has to come back
        found[name] = _rate(base.removeprefix("http://"), cookie, address)
    return found


def _rate(host: str, cookie: str, address: str) -> dict[str, Any]:
    def several(count: int) -> list[float]:
        connection = http.client.HTTPConnection(host, timeout=30)
        took = []
        for _ in range(count):
            began = time.perf_counter()
            headers = {"cookie": cookie, "accept-encoding": "gzip"}
            connection.request("GET", address, headers=headers)
            answer = connection.getresponse()
            answer.read()
            assert answer.status == 200, answer.status
            took.append((time.perf_counter() - began) * 1000)
        connection.close()
        return took

    several(3)
    began = time.perf_counter()
    with ThreadPoolExecutor(CONNECTIONS) as pool:
        parts = list(pool.map(several, [REQUESTS // CONNECTIONS] * CONNECTIONS))
    seconds = time.perf_counter() - began
    ordered = sorted(ms for part in parts for ms in part)
    return {
        "each_second": round(len(ordered) / seconds),
        "median_ms": round(median(ordered), 1),
        "p99_ms": round(ordered[round(0.99 * (len(ordered) - 1))], 1),
    }


def memory_mb(process_id: int) -> dict[str, int]:
    """What the bench and the process that works for it hold; nothing where that is not told."""
    children = Path(f"/proc/{process_id}/task/{process_id}/children")
    if not children.exists():
        return {}
    inner = [int(one) for one in _all_children(process_id)]
    return {"bench": _held(process_id), "working": sum(_held(one) for one in inner)}


def _all_children(process_id: int) -> list[str]:
    tasks = Path(f"/proc/{process_id}/task").glob("*/children")
    return [one for task in tasks for one in task.read_text().split()]


def _held(process_id: int) -> int:
    status = Path(f"/proc/{process_id}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+)", status)
    return round(int(found[1]) / 1024) if found else 0
