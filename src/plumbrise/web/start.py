"""Start: paste or drop a table, describe a machine, open the invented example or the shelf."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.demo import scenario
from plumbrise.errors import InputError, InputErrors
from plumbrise.files import write_machine, write_readings
from plumbrise.files.machine_file import machine_from
from plumbrise.files.machine_typed import set_in
from plumbrise.machine import ARRANGEMENTS, stations_of
from plumbrise.readings import KINDS
from plumbrise.web import words
from plumbrise.web.bench import Bench
from plumbrise.web.forms import form_of, text, upload
from plumbrise.web.pages import bench_of, page, see

TABLE = "pasted table"
FIELDS = ("arrangement", "lead", "station", "test", "unit", "resolution", "table", "name")
FIRST_STATION = {"gantry": "gantry-left", "bed": "bed-left"}


def start(request: Request) -> Response:
    """The first sheet."""
    return _form(request, {})


def _form(
    request: Request, typed: dict[str, str], problems: tuple[InputError, ...] = ()
) -> Response:
    bench = bench_of(request)
    places = {s.id: s for a in ARRANGEMENTS.values() for s in stations_of(a)}
    return page(
        request,
        "start.html",
        status=422 if problems else 200,
        arrangements=list(ARRANGEMENTS.values()),
        stations=list(places.values()),
        kinds=list(KINDS.values()),
        typed={name: typed.get(name, "") for name in FIELDS},
        problems=problems,
        machines=list(reversed(bench.shelf.machines()))[:5],
    )


async def paste(request: Request) -> Response:
    """A table becomes a machine on the shelf with its readings, and is explained."""
    form = await form_of(request)
    typed = {name: text(form, name, most=2_000_000) for name in FIELDS}
    file_name, data = await upload(form, "file")
    try:
        made = await run_in_threadpool(_taken_in, bench_of(request), typed, file_name, data)
    except InputErrors as problem:
        return await run_in_threadpool(_form, request, typed, problem.problems)
    except InputError as problem:
        return await run_in_threadpool(_form, request, typed, (problem,))
    return see(f"/m/{made}")


def _taken_in(bench: Bench, typed: dict[str, str], file_name: str, data: bytes) -> int:
    tree: dict[str, object] = {"arrangement": typed["arrangement"] or "one-screw"}
    if typed["name"].strip():
        tree["name"] = typed["name"].strip()
    set_in(tree, "screw.lead_mm", typed["lead"])
    set_in(tree, "gauge.resolution_mm", typed["resolution"])
    machine = machine_from(tree)
    station = typed["station"] or FIRST_STATION[machine.arrangement.body]
    table = data or typed["table"].encode("utf-8")
    if not table.strip():
        raise InputError(
            place=words.THE_TABLE,
            value="",
            allowed="two columns or more, a row for each reading",
            remedy="Paste it, or choose its file.",
        )
    return bench.shelf.import_(
        write_machine(machine),
        table,
        source=file_name or TABLE,
        test=typed["test"] or None,
        station=station,
        inches=typed["unit"] == "inch",
    )


async def example(request: Request) -> Response:
    """The invented example, put on the shelf once."""
    return see(f"/m/{await run_in_threadpool(_example, bench_of(request))}")


def _example(bench: Bench) -> int:
    invented = scenario()
    for one in bench.shelf.machines():
        if one.readings and bench.shelf.machine(one.id) == invented.machine:
            return one.id
    return bench.shelf.import_(
        write_machine(invented.machine), write_readings(invented.readings), source="invented"
    )


ROUTES: list[BaseRoute] = [
    Route("/", start, methods=["GET"]),
    Route("/tables", paste, methods=["POST"]),
    Route("/example", example, methods=["POST"]),
]
