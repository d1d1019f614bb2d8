"""What pages send to move the axis and to stop it, and what they are told of it.

The stop is a door of its own: no cookie, no rate, no thread that others use, no lock. Stopping
harms nobody; the request has to come from a page of the bench all the same.
"""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from urllib.parse import urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from plumbrise.machine import Machine
from plumbrise.measure.fingerprint import fingerprint
from plumbrise.measure.home_guess import home_guess
from plumbrise.measure.motion_path import commands_moves
from plumbrise.measure.mounting import mounting
from plumbrise.readings import Run
from plumbrise.web import capture_words as words
from plumbrise.web.capture import Capture
from plumbrise.web.capture_axis import Axis
from plumbrise.web.capture_pages import capture_of, json_sent, may_move
from plumbrise.web.capture_standing import Asked
from plumbrise.web.capture_view import axis_now
from plumbrise.web.guard import STOP
from plumbrise.web.pages import bench_of, own_address, see

ANSWER_WITHIN_S = 0.2
_STOPPERS = ThreadPoolExecutor(max_workers=4, thread_name_prefix="stop")


def axis_of(request: Request) -> Axis:
    """The axis that this bench moves."""
    axis: Axis | None = request.app.state.devices.axis
    if axis is None:
        raise HTTPException(404)
    return axis


async def stop(request: Request) -> Response:
    """Stop the axis: from any page, at any time, any number of times."""
    axis = axis_of(request)
    stopping = asyncio.wrap_future(_STOPPERS.submit(axis.stop, words.STOPPED))
    done, _ = await asyncio.wait({stopping}, timeout=ANSWER_WITHIN_S)
    if "text/html" in request.headers.get("accept", ""):
        return see(own_address(urlsplit(request.headers.get("referer", "/")).path))
    bound = str(stopping.result()) if done else words.STOPPING
    return JSONResponse({**axis_now(axis), "bound": bound})


async def look_on(request: Request) -> Response:
    """How the axis stands, for a page that looks on and can stop it."""
    axis = axis_of(request)
    axis.seen()
    return JSONResponse({**axis_now(axis), "bound": str(axis.bound)})


@dataclass(frozen=True, slots=True)
class _Press:
    """What a page sent: what to do, at which reading of which set-up, after how many stops and
    words that were followed; and when it had last heard how the axis stands."""

    do: str
    run: str
    reading: int | None
    stops: int
    presses: int
    heard_s: float


async def move(request: Request) -> Response:
    """Begin a set-up, go on with it, or run its program to the end: one press, one of these."""
    axis = axis_of(request)
    if not may_move(request, axis):
        return JSONResponse({"words": words.NOT_FROM_HERE}, status_code=403)
    try:
        sent = await json_sent(request)
        do, run, stops = str(sent["do"]), str(sent["run"]), int(sent["stops"])
        reading = None if do == "end" else int(sent["reading"])
        presses, heard_s = int(sent["presses"]), float(sent["at_s"])
        if do not in ("begin", "go", "end"):
            raise ValueError(do)
    except (ValueError, TypeError, KeyError, OverflowError):
        return JSONResponse({"words": words.NOT_UNDERSTOOD}, status_code=400)
    press = _Press(do, run, reading, stops, presses, heard_s)
    against = await run_in_threadpool(_asked, request, axis, press)
    return JSONResponse({**axis_now(axis), "against": against}, status_code=409 if against else 200)


def _asked(request: Request, axis: Axis, press: _Press) -> str:
    capture = capture_of(request)
    sitting = capture.sitting
    machine = bench_of(request).shelf.machine(sitting.machine_id)
    if fingerprint(machine) != capture.made_for:
        return words.ANOTHER_DESCRIPTION
    with capture.lock:
        run = _run_asked(capture, press)
        if isinstance(run, str):
            return run
        asked = Asked(
            plan=sitting.plan_id,
            run=run,
            reading=press.reading,
            stops=press.stops,
            presses=press.presses,
            heard_s=press.heard_s,
            begin=press.do == "begin",
            gauge=_gauges_words(machine, capture, run),
            broken_off=partial(capture.broken_off, run.name),
        )
        against = axis.against(asked, sitting.machine_id)
        if against:  # before what was read is broken off for it
            return against
        if asked.begin:
            run = capture.begun_anew(run)
            broken_off = partial(capture.broken_off, run.name)
            asked = replace(asked, run=run, reading=0, broken_off=broken_off)
    return axis.ask(asked, sitting.machine_id, machine)


def _run_asked(capture: Capture, press: _Press) -> Run | str:
    """The set-up, if it is the one that is read now; else what is against it."""
    session = capture.sitting.session
    asks = session.asks
    run = next((one for one in session.runs if one.name == press.run), None)
    if run is None or not commands_moves(run):
        return words.NOT_MOVED_HERE
    now = None if asks is None else (session.runs[asks.run].name, asks.reading)
    if press.do != "end" and now != (press.run, press.reading):
        return words.NOT_ASKED_NOW
    for one in (run, *_read_with(capture, run)):
        capture.sitting.programs[one.name] = capture.made_for
    return run


def _read_with(capture: Capture, run: Run) -> list[Run]:
    """The set-up that a second gauge reads at the same moves, if any."""
    runs = capture.sitting.session.runs
    return [runs[number] for number in capture.read_now() if runs[number].name != run.name]


def _gauges_words(machine: Machine, capture: Capture, run: Run) -> str:
    """Where the gauges are set for a set-up, and on which guess it homes while they stand."""
    places = [mounting(one.station) for one in (run, *_read_with(capture, run))]
    return " ".join([*places, home_guess(machine, run)]).rstrip()


AT = "/m/{machine:number}/measure/{plan:number}"
ROUTES: list[BaseRoute] = [
    Route(STOP, stop, methods=["POST"]),
    Route("/axis.json", look_on, methods=["GET"]),
    Route(f"{AT}/move", move, methods=["POST"]),
]
