"""The shelf's machines, and what concerns the browser alone: light or dark."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from plumbrise.web.forms import form_of, text
from plumbrise.web.pages import YEAR_S, bench_of, own_address, page, see


def shelf(request: Request) -> Response:
    """All machines, the last first."""
    bench = bench_of(request)
    machines = list(reversed(bench.shelf.machines()))
    return page(request, "shelf.html", machines=machines, answers=bench.answers())


async def scheme(request: Request) -> Response:
    """Light or dark, kept in the browser."""
    form = await form_of(request)
    answer: RedirectResponse = see(own_address(text(form, "back")))
    chosen = text(form, "scheme")
    if chosen in ("light", "dark"):
        answer.set_cookie("scheme", chosen, max_age=YEAR_S, samesite="strict", httponly=True)
    return answer


ROUTES: list[BaseRoute] = [
    Route("/shelf", shelf, methods=["GET"]),
    Route("/scheme", scheme, methods=["POST"]),
]
