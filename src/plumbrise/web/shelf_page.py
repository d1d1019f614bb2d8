"""The shelf's machines, and what concerns the browser alone: light or dark."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from plumbrise.web.forms import form_of, text
from plumbrise.web.pages import bench_of, page, see

YEAR_S = 365 * 24 * 3600


def shelf(request: Request) -> Response:
    """All machines, the last first."""
    return page(request, "shelf.html", machines=list(reversed(bench_of(request).shelf.machines())))


async def scheme(request: Request) -> Response:
    """Light or dark, kept in the browser."""
    form = await form_of(request)
    answer: RedirectResponse = see(own_address(text(form, "back")))
    chosen = text(form, "scheme")
    if chosen in ("light", "dark"):
        answer.set_cookie("scheme", chosen, max_age=YEAR_S, samesite="strict", httponly=True)
    return answer


def own_address(said: str) -> str:
    """An address of ours, or the start.

    Example:
        >>> own_address("/m/3"), own_address("//elsewhere.example"), own_address("/\\\\elsewhere")
        ('/m/3', '/', '/')
    """
    plain = said.isascii() and all(c.isalnum() or c in "/-_.?=&" for c in said)
    return said if plain and said.startswith("/") and not said.startswith("//") else "/"


ROUTES: list[BaseRoute] = [
    Route("/shelf", shelf, methods=["GET"]),
    Route("/scheme", scheme, methods=["POST"]),
]
