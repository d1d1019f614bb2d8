"""The measure sheet, the acts that its script sends, and the events that tell it of others."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from contextlib import suppress
from dataclasses import asdict
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import BaseRoute, Route

from plumbrise.store import ShelfError
from plumbrise.web import capture_words
from plumbrise.web.begun import readings_of
from plumbrise.web.capture import Capture
from plumbrise.web.capture_axis import Axis
from plumbrise.web.capture_devices import Devices
from plumbrise.web.capture_view import axis_now, axis_told, live, set_ups
from plumbrise.web.captures import Captures
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.sheet import sheet_of

MOST_ACTS = 400
BEAT_S = 15.0
SHORTEST_S = 0.03
"""Between two events: what changes more often is told as it then is."""


def captures_of(request: Request) -> Captures:
    """The captures of this bench, made with the first."""
    state = request.app.state
    if not hasattr(state, "captures"):
        gauges = devices_of(request).gauges
        source = "indicator" if gauges else "page"
        state.captures = Captures(bench_of(request).now, source, max(1, len(gauges)))
    found: Captures = state.captures
    return found


def devices_of(request: Request) -> Devices:
    """What is plugged in."""
    found: Devices = request.app.state.devices
    return found


def capture_of(request: Request) -> Capture:
    """The capture that an address names."""
    at = request.path_params
    return captures_of(request).of(bench_of(request).shelf, at["machine"], at["plan"])


def measure(request: Request) -> Response:
    """The sheet: the walk and the drawing, the chart growing, and capture."""
    bench = bench_of(request)
    capture = capture_of(request)
    with capture.lock:
        told = {
            **set_ups(capture),
            "live": live(capture, everything=True),
            "words": capture_words.SCRIPT,
            "at": request.url.path,
            "answer": f"/m/{capture.sitting.machine_id}",
            **plugged_in(request),
        }
        asks = capture.sitting.session.asks
        here = None if asks is None else capture.sitting.session.runs[asks.run].station.id
    story = bench.story(capture.sitting.machine_id, explain=False)
    told["machine"] = story.machine.name or capture_words.THE_AXIS
    stations = {run.station.id for run in story.readings.runs}
    return page(
        request,
        "capture.html",
        **sheet_of(bench, story, "measure", station=here if here in stations else None),
        cw=capture_words,
        told=_in_a_page(told),
        runs=told["runs"],
        plan_id=capture.sitting.plan_id,
    )


def plugged_in(request: Request) -> dict[str, Any]:
    """The devices as they are when a page is opened."""
    devices = devices_of(request)
    axis = devices.axis
    return {
        "gauges": [asdict(gauge.shown) for gauge in devices.gauges],
        "axis": None if axis is None else {**axis_now(axis), "may": may_move(request, axis)},
    }


def may_move(request: Request, axis: Axis) -> bool:
    """Whether this device may move the axis: the bench's own computer, or any if that was said."""
    client = request.client.host if request.client is not None else ""
    server = request.scope.get("server") or ("", 0)
    here = client.startswith("127.") or (bool(client) and client == server[0])
    return axis.from_elsewhere or here


def _in_a_page(told: dict[str, Any]) -> str:
    """JSON that can stand in a script element: no tag can end it."""
    text = json.dumps(told, ensure_ascii=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def state(request: Request) -> Response:
    """All of it, for a page that was away or whose set-ups have changed."""
    capture = capture_of(request)
    with capture.lock:
        return JSONResponse({**set_ups(capture), "live": live(capture, everything=True)})


def set_up(request: Request) -> Response:
    """What was read of a set-up of the walk, by its number there."""
    capture = capture_of(request)
    with capture.lock:
        runs, sitting = capture.sitting.session.runs, capture.sitting
    number = request.path_params["number"]
    if not 1 <= number <= len(runs):
        raise HTTPException(404)
    shelf, name = bench_of(request).shelf, runs[number - 1].name
    return see(readings_of(shelf, sitting.machine_id, sitting.plan_id, name))


async def json_sent(request: Request) -> dict[str, Any]:
    """What a page's script sent.

    Raises:
        ValueError: it is no JSON object, or nested deeper than any page nests.
    """
    try:
        sent = await request.json()
    except RecursionError as problem:
        raise ValueError("nested too deep") from problem
    if not isinstance(sent, dict):
        raise ValueError("no object")
    return sent


async def acts(request: Request) -> Response:
    """Acts in the order in which they were done; stops at the first that has to be asked about."""
    try:
        sent = await json_sent(request)
        given = [dict(act) for act in sent["acts"]][:MOST_ACTS]
        key = str(sent["key"])
    except (ValueError, TypeError, KeyError):
        return JSONResponse({"words": capture_words.NOT_UNDERSTOOD}, status_code=400)
    capture = await run_in_threadpool(capture_of, request)
    if key != capture.key:
        return JSONResponse({"words": capture_words.ANOTHER_PLAN}, status_code=409)
    try:
        return JSONResponse(await run_in_threadpool(_done, capture, given))
    except ShelfError as problem:  # the page holds what was not answered, and sends it again
        return JSONResponse({"words": str(problem)}, status_code=507)


def _done(capture: Capture, given: list[dict[str, Any]]) -> dict[str, Any]:
    outcomes = []
    for act in given:
        outcome = capture.do(act)
        outcomes.append(
            {
                "token": act.get("token"),
                "said": outcome.said,
                "words": outcome.words,
                "question": outcome.question,
                "value_mm": outcome.value_mm,
            }
        )
        if outcome.said == "asks":
            break
    with capture.lock:
        return {"outcomes": outcomes, "live": live(capture, everything=len(given) > 1)}


async def events(request: Request) -> Response:
    """How far the reading is, what the indicator shows and where the axis is, at once and after
    every change, as server-sent events."""
    capture = await run_in_threadpool(capture_of, request)
    told = _told(capture, devices_of(request))
    return StreamingResponse(told, media_type="text/event-stream")


async def _told(capture: Capture, devices: Devices) -> AsyncIterator[str]:
    loop, changed = asyncio.get_running_loop(), asyncio.Event()

    def watcher() -> None:
        loop.call_soon_threadsafe(changed.set)

    watched = [capture.watchers, *(gauge.watchers for gauge in devices.gauges)]
    watched += [] if devices.axis is None else [devices.axis.watchers]
    for watchers in watched:
        watchers.append(watcher)
    try:
        version, before = capture.version, dict[str, object]()  # first: what comes is told next
        beats_s = loop.time() + BEAT_S
        yield f"retry: 1000\n{await run_in_threadpool(_live, capture, everything=True)}"
        while True:
            changed.clear()
            if capture.version != version:
                version = capture.version
                yield await run_in_threadpool(_live, capture)
            for name, of in _plugged_in(devices).items():
                if of != before.get(name):
                    before[name] = of
                    axis = devices.axis if name == "axis" else None
                    yield _event(name, of if axis is None else axis_now(axis))
            await asyncio.sleep(SHORTEST_S)
            with suppress(TimeoutError):
                await asyncio.wait_for(changed.wait(), max(0.0, beats_s - loop.time()))
            if loop.time() >= beats_s:
                beats_s = loop.time() + BEAT_S
                with suppress(ShelfError):  # the terminal may have read on
                    await run_in_threadpool(capture.catch_up)
                yield ": still here\n\n"
    finally:
        for watchers in watched:
            watchers.remove(watcher)


def _live(capture: Capture, *, everything: bool = False) -> str:
    """In a thread of its own: the lock may be held while something goes to disk."""
    with capture.lock:
        return _event("live", live(capture, everything=everything))


def _plugged_in(devices: Devices) -> dict[str, object]:
    """What is told of the devices, by the event's name."""
    found: dict[str, object] = {}
    if devices.gauges:
        found["gauges"] = [asdict(gauge.shown) for gauge in devices.gauges]
    if devices.axis is not None:
        found["axis"] = axis_told(devices.axis)
    return found


def _event(name: str, told: object) -> str:
    return f"event: {name}\ndata: {json.dumps(told, separators=(',', ':'))}\n\n"


AT = "/m/{machine:number}/measure/{plan:number}"
ROUTES: list[BaseRoute] = [
    Route(AT, measure, methods=["GET"]),
    Route(f"{AT}/state.json", state, methods=["GET"]),
    Route(f"{AT}/set-ups/{{number:number}}", set_up, methods=["GET"]),
    Route(f"{AT}/acts", acts, methods=["POST"]),
    Route(f"{AT}/events", events, methods=["GET"]),
]
