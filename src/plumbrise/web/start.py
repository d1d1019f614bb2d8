"""Start: paste or drop a table, describe a machine, open the invented example or the shelf."""

from __future__ import annotations

import re
from functools import cache
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.demo import scenario
from plumbrise.errors import InputError, InputErrors
from plumbrise.explain.symptoms import SYMPTOMS
from plumbrise.files import write_machine, write_readings
from plumbrise.files.machine_file import machine_from
from plumbrise.files.machine_typed import set_in
from plumbrise.machine import ARRANGEMENTS, Machine, stations_of
from plumbrise.readings import KINDS
from plumbrise.web import fault_words, words
from plumbrise.web.bench import Bench
from plumbrise.web.forms import form_of, text, upload
from plumbrise.web.pages import PLACE, bench_of, own_address, page, see
from plumbrise.web.sheet_drawing import blank_drawing, picture_of

TABLE = "pasted table"
FIELDS = ("arrangement", "lead", "station", "test", "unit", "resolution", "table", "name")
UNSAID = (", test", ", station")
"""Ends of the places of faults that are put right among the fields that are folded away."""
FIRST_STATION = {"gantry": "gantry-left", "bed": "bed-left"}


def start(request: Request) -> Response:
    """The first sheet."""
    return first_sheet(request, {})


def first_sheet(
    request: Request,
    typed: dict[str, str],
    problems: tuple[InputError, ...] = (),
    *,
    pack_problems: tuple[InputError, ...] = (),
) -> Response:
    """The first sheet with what was typed, and what is wrong with it.

    Args:
        request: the request.
        typed: field -> what was typed.
        problems: of the table and its fields.
        pack_problems: of a pack.
    """
    bench = bench_of(request)
    places = {s.id: s for a in ARRANGEMENTS.values() for s in stations_of(a)}
    lead = [p for p in problems if p.place.endswith("lead_mm")]
    shelved = bench.shelf.machines()
    return page(
        request,
        "start.html",
        status=422 if problems or pack_problems else 200,
        arrangements=list(ARRANGEMENTS.values()),
        pictures=_pictures(),
        stations=list(places.values()),
        kinds=list(KINDS.values()),
        symptoms=list(SYMPTOMS.values()),
        typed={name: typed.get(name, "") for name in FIELDS},
        wrong_lead=lead,
        wrong=[p for p in problems if p not in lead],
        wrong_pack=pack_problems,
        unsaid=any(p.place.endswith(UNSAID) for p in problems),
        machines=list(reversed(shelved))[:5],
        place=place_left(request, {one.id: one.name for one in shelved}),
    )


@cache
def _pictures() -> dict[str, tuple[str, str]]:
    """A small picture and the blank drawing of each arrangement."""
    return {name: (picture_of(name), blank_drawing(name)) for name in ARRANGEMENTS}


def place_left(request: Request, names: dict[int, str]) -> tuple[str, str] | None:
    """Where this browser was last, and on which machine; None if that is not there any more."""
    address = own_address(request.cookies.get(PLACE, ""))
    found = re.match(r"/m/(\d{1,9})(?:/|$)", address)
    if found is None or int(found[1]) not in names:
        return None
    return address, names[int(found[1])]


async def paste(request: Request) -> Response:
    """A table becomes a machine on the shelf with its readings, and is explained."""
    form = await form_of(request)
    typed = {name: text(form, name, most=2_000_000) for name in FIELDS}
    file_name, data = await upload(form, "file")
    try:
        made = await run_in_threadpool(_taken_in, bench_of(request), typed, file_name, data)
    except InputErrors as problem:
        return await run_in_threadpool(first_sheet, request, typed, problem.problems)
    except InputError as problem:
        return await run_in_threadpool(first_sheet, request, typed, (problem,))
    return see(f"/m/{made}")


def _taken_in(bench: Bench, typed: dict[str, str], file_name: str, data: bytes) -> int:
    machine = _machine(typed)
    station = typed["station"] or FIRST_STATION[machine.arrangement.body]
    table = data or typed["table"].encode("utf-8")
    if not table.strip():
        raise InputError(
            place=words.THE_TABLE,
            value="",
            allowed=fault_words.TWO_COLUMNS,
            remedy=fault_words.PASTE_IT,
        )
    return bench.shelf.import_(
        write_machine(machine),
        table,
        source=file_name or TABLE,
        test=typed["test"] or None,
        station=station,
        inches=typed["unit"] == "inch",
        some=True,
    )


async def describe(request: Request) -> Response:
    """A machine of which little is known yet, drawn dotted; then the plan."""
    form = await form_of(request)
    typed = {name: text(form, name) for name in FIELDS}
    symptoms = [one for one in form.getlist("symptom") if one in SYMPTOMS]
    try:
        made = await run_in_threadpool(_described, bench_of(request), typed)
    except InputErrors as problem:
        return await run_in_threadpool(first_sheet, request, typed, problem.problems)
    except InputError as problem:
        return await run_in_threadpool(first_sheet, request, typed, (problem,))
    query = urlencode([("symptom", one) for one in symptoms])
    return see(f"/m/{made}/plan{'?' if query else ''}{query}")


def _described(bench: Bench, typed: dict[str, str]) -> int:
    return bench.shelf.add_machine(_machine(typed))


def _machine(typed: dict[str, str]) -> Machine:
    tree: dict[str, object] = {"arrangement": typed["arrangement"] or "one-screw"}
    if typed["name"].strip():
        tree["name"] = typed["name"].strip()[:80]
    set_in(tree, "screw.lead_mm", typed["lead"])
    set_in(tree, "gauge.resolution_mm", typed["resolution"])
    return machine_from(tree)


async def example(request: Request) -> Response:
    """The invented example, put on the shelf once."""
    return see(f"/m/{await run_in_threadpool(_example, bench_of(request))}")


def _example(bench: Bench) -> int:
    invented = scenario()
    described = bench.shelf.described()
    for one in bench.shelf.machines():
        if one.readings and described.get(one.id) == invented.machine:
            return one.id
    return bench.shelf.import_(
        write_machine(invented.machine), write_readings(invented.readings), source="invented"
    )


ROUTES: list[BaseRoute] = [
    Route("/", start, methods=["GET"]),
    Route("/tables", paste, methods=["POST"]),
    Route("/machines", describe, methods=["POST"]),
    Route("/example", example, methods=["POST"]),
]
