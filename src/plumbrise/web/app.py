"""The page as one ASGI application: routes from each file of pages, faults as pages."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Mount
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from plumbrise.errors import InputError, InputErrors
from plumbrise.store import ShelfError
from plumbrise.web import (
    build_page,
    capture_moving_pages,
    capture_pages,
    describe,
    entrance,
    foresee_bands_page,
    foresee_page,
    foresee_part_page,
    pack_page,
    planning,
    prove_again,
    prove_example,
    prove_keeping,
    prove_page,
    readings_page,
    redesign_page,
    report_page,
    sheet,
    shelf_page,
    size_page,
    start,
    wiring_page,
    words,
)
from plumbrise.web.bench import Bench
from plumbrise.web.capture_devices import Devices
from plumbrise.web.guard import Guard, Limits
from plumbrise.web.pages import page
from plumbrise.web.work import Busy

STATIC = Path(__file__).parent / "static"
ROUTES: list[BaseRoute] = [
    *entrance.ROUTES,
    *start.ROUTES,
    *pack_page.ROUTES,
    *sheet.ROUTES,
    *report_page.ROUTES,
    *describe.ROUTES,
    *capture_pages.ROUTES,
    *capture_moving_pages.ROUTES,
    *planning.ROUTES,
    *readings_page.ROUTES,
    *foresee_page.ROUTES,
    *foresee_bands_page.ROUTES,
    *foresee_part_page.ROUTES,
    *redesign_page.ROUTES,
    *prove_page.ROUTES,
    *prove_again.ROUTES,
    *prove_example.ROUTES,
    *prove_keeping.ROUTES,
    *shelf_page.ROUTES,
    *size_page.ROUTES,
    *build_page.ROUTES,
    *wiring_page.ROUTES,
    Mount("/static", StaticFiles(directory=STATIC)),
]


def app(
    bench: Bench,
    *,
    devices: Devices | None = None,
    limits: Limits | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> ASGIApp:
    """The bench's page, guarded.

    Args:
        bench: what the pages work with.
        devices: what is plugged in.
        limits: sizes, times and rates.
        clock: seconds, for rates and times.
    """
    made = Starlette(
        routes=ROUTES,
        exception_handlers={
            InputError: _wrong_input,
            InputErrors: _wrong_input,
            ShelfError: _shelf_trouble,
            Busy: _busy,
            HTTPException: _http,
            500: _fault,
        },
    )
    made.state.bench = bench
    made.state.devices = devices or Devices()
    return Guard(
        GZipMiddleware(made, minimum_size=2_000, compresslevel=6),
        bench.door,
        lambda: bench.hosts,
        lambda: bench.cookie,
        clock,
        limits or Limits(),
    )


TITLES = {404: words.NOT_HERE, 408: words.TOO_SLOW, 413: words.TOO_LARGE}


def _wrong_input(request: Request, problem: Exception) -> Response:
    problems = problem.problems if isinstance(problem, InputErrors) else (problem,)
    missing = request.method == "GET"
    return page(
        request,
        "fault.html",
        status=404 if missing else 422,
        title=words.NOT_HERE if missing else words.CANNOT_USE,
        lines=[str(one) for one in problems],
    )


def _shelf_trouble(request: Request, problem: Exception) -> Response:
    return page(request, "fault.html", status=503, title=words.SHELF_TROUBLE, lines=[str(problem)])


def _busy(request: Request, _problem: Exception) -> Response:
    return page(request, "fault.html", status=503, title=words.BUSY, lines=[])


def _http(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, HTTPException)
    title = TITLES.get(problem.status_code, words.CANNOT_USE)
    return page(request, "fault.html", status=problem.status_code, title=title, lines=[])


def _fault(request: Request, _problem: Exception) -> Response:
    return page(request, "fault.html", status=500, title=words.OUR_FAULT, lines=[])
