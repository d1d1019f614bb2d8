"""Rendering: templates with escaping always on, and what every sheet needs."""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.convertors import Convertor, register_url_convertor
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse

from plumbrise import __version__
from plumbrise.readings import KINDS
from plumbrise.report.layout import held_together
from plumbrise.report.names import station_name
from plumbrise.store import ShelvedRun
from plumbrise.web import (
    build_words,
    capture_words,
    foresee_words,
    prove_words,
    redesign_words,
    size_words,
    wiring_words,
    words,
)
from plumbrise.web.bench import Bench

PLACE = "place"
"""The cookie that says where this browser was last."""
YEAR_S = 365 * 24 * 3600


class Number(Convertor[int]):
    """A number of the shelf in an address, `{machine:number}`: no more digits than it counts."""

    regex = "[0-9]{1,15}"

    def convert(self, value: str) -> int:
        """The number."""
        return int(value)

    def to_string(self, value: int) -> str:
        """As it stands in an address."""
        return str(value)


register_url_convertor("number", Number())


def bench_of(request: Request) -> Bench:
    """The bench that this request is for."""
    bench: Bench = request.app.state.bench
    return bench


def page(request: Request, template: str, /, *, status: int = 200, **context: Any) -> HTMLResponse:
    """A template as an answer."""
    text = (
        environment()
        .get_template(template)
        .render(
            path=request.url.path,
            scheme=_scheme(request),
            axis=request.app.state.devices.axis,
            **context,
        )
    )
    answer = HTMLResponse(text, status_code=status)
    path = request.url.path
    if status == 200 and request.method == "GET" and path.startswith("/m/"):
        answer.set_cookie(PLACE, path, max_age=YEAR_S, samesite="strict", httponly=True)
    return answer


def own_address(said: str) -> str:
    """An address of ours, or the start.

    Example:
        >>> own_address("/m/3"), own_address("//elsewhere.example"), own_address("/\\\\elsewhere")
        ('/m/3', '/', '/')
    """
    plain = said.isascii() and all(c.isalnum() or c in "/-_.?=&" for c in said)
    return said if plain and said.startswith("/") and not said.startswith("//") else "/"


def see(address: str) -> RedirectResponse:
    """After a change: look at this address. The browser's Back does not send the change again."""
    return RedirectResponse(address, status_code=303)


def set_up_title(run: ShelvedRun) -> str:
    """What was done where; with its name where that tells more than the two."""
    title = test_at((run.kind.id, run.station.id))
    kind, station = run.kind.id, run.station.id
    plain = run.name in (f"{kind} {station}", f"{kind} at {station}")
    return title if plain else f"{title} ({run.name})"


def test_at(ids: tuple[str, str]) -> str:
    """A test and where it is done, by their ids.

    Example:
        >>> test_at(("coarse-steps", "gantry-left"))
        'Coarse steps, left end of the gantry'
    """
    return f"{KINDS[ids[0]].title}, {station_name(ids[1])}"


def _scheme(request: Request) -> str:
    chosen = request.cookies.get("scheme", "")
    return chosen if chosen in ("light", "dark") else ""


@cache
def environment() -> Environment:
    """Templates with escaping always on: whatever a person typed is text, never markup."""
    made = Environment(
        loader=PackageLoader("plumbrise.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals |= {
        "w": words,
        "bw": build_words,
        "cw": capture_words,
        "fw": foresee_words,
        "pw": prove_words,
        "rw": redesign_words,
        "sw": size_words,
        "ww": wiring_words,
        "version": __version__,
        "static": static,
    }
    made.filters["held"] = held_together
    made.filters["place"] = station_name
    made.filters["set_up"] = set_up_title
    made.filters["test_at"] = test_at
    made.filters["twice"] = lambda one: (one, one)
    return made


@cache
def static(name: str) -> str:
    """Address of a static file; changes when the file does."""
    content = files("plumbrise.web").joinpath("static", name).read_bytes()
    return f"/static/{name}?{sha256(content).hexdigest()[:10]}"
