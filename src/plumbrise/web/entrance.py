"""The way in: a code from the terminal becomes the browser's cookie."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from plumbrise.web import words
from plumbrise.web.pages import bench_of, page, see

YEAR_S = 365 * 24 * 3600


async def ask(request: Request) -> Response:
    """A field for the code, where it is typed."""
    return page(request, "in.html", said="")


async def typed(request: Request) -> Response:
    """A typed code."""
    form = await request.form()
    return await run_in_threadpool(_enter, request, str(form.get("code", "")))


async def followed(request: Request) -> Response:
    """A code in an address that was opened or scanned."""
    return await run_in_threadpool(_enter, request, request.path_params["code"])


def _enter(request: Request, code: str) -> Response:
    """In a thread of its own: a terminal that is held up must not hold up the pages."""
    door = bench_of(request).door
    known = request.cookies.get(bench_of(request).cookie, "")
    if door.knows(known):
        return see("/")
    if door.shut:
        return page(request, "in.html", status=429, said=words.DOOR_SHUT)
    cookie = door.let_in(code)
    if cookie is None:
        return page(request, "in.html", status=403, said=words.WRONG_CODE)
    answer: RedirectResponse = see("/")
    answer.set_cookie(
        bench_of(request).cookie,
        cookie,
        max_age=YEAR_S,
        httponly=True,
        samesite="strict",
        path="/",
    )
    return answer


ROUTES: list[BaseRoute] = [
    Route("/in", ask, methods=["GET"]),
    Route("/in", typed, methods=["POST"]),
    Route("/in/{code}", followed, methods=["GET"]),
]
