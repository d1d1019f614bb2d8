"""Every calculator as a sheet of its own: for people with no machine described, or filled in from
one. The address holds what was typed, so that it comes back and can be sent to someone else."""

from __future__ import annotations

import shlex
from collections.abc import Mapping
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.cautions import DEFER
from plumbrise.elements.answered import answered
from plumbrise.elements.calculators import KINDS, calculator
from plumbrise.elements.worked import Calculator, Sheet, sheet
from plumbrise.errors import InputError, InputErrors
from plumbrise.machine.said import said_of
from plumbrise.web import fault_words, size_words
from plumbrise.web.bench import Bench
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.size_asked import MACHINE, Texts, address, groups_of, others, typed_in
from plumbrise.web.worked_said import sheet_said, texts_of


def kinds(request: Request) -> Response:
    """All kinds, each with the question that it answers."""
    bench = bench_of(request)
    machine = _machine(bench, request)
    return page(
        request,
        "sizes.html",
        kinds=[calculator(kind) for kind in KINDS],
        machine=machine,
        tail="" if machine is None else f"?{MACHINE}={machine[0]}",
    )


def size(request: Request) -> Response:
    """One calculator: its form, and the sheet as soon as what is needed is there."""
    kind = request.path_params["kind"]
    if kind not in KINDS:
        raise HTTPException(404)
    bench, made = bench_of(request), calculator(kind)
    machine = _machine(bench, request)
    known = {} if machine is None else said_of(bench.shelf.machine(machine[0]), made.asked)
    texts = _own(typed_in(request.query_params, made.asked), made, known)
    path = request.url.path
    tidied = address(path, texts, None if machine is None else machine[0])
    asked_for = f"{path}?{request.url.query}" if request.url.query else path
    unknown = _unknown_machine(request, machine)
    if tidied != asked_for and not unknown:
        return see(tidied)
    worked, problems = _worked(made, texts, known)
    shown = (problems if texts else ()) + unknown
    return page(
        request,
        "size.html",
        status=422 if shown else 200,
        made=made,
        machine=machine,
        machines=bench.shelf.machines(),
        groups=groups_of(made, texts, known, shown),
        others=others(made, shown),
        marked=bool(shown),
        sheet=None if worked is None else sheet_said(worked),
        example=address(path, _example(made), None),
        defer=DEFER,
    )


def _machine(bench: Bench, request: Request) -> tuple[int, str] | None:
    """The machine on the shelf that is to fill in the form, and its name."""
    said = request.query_params.get(MACHINE, "")
    return next(((m.id, m.name) for m in bench.shelf.machines() if str(m.id) == said), None)


def _unknown_machine(request: Request, machine: tuple[int, str] | None) -> tuple[InputError, ...]:
    """What is wrong with a machine that was named and is not on the shelf."""
    said = request.query_params.get(MACHINE, "").strip()[:20]
    if not said or machine is not None:
        return ()
    return (
        InputError(
            place=MACHINE,
            value=said,
            allowed=fault_words.SHELVED_MACHINE,
            remedy=size_words.NOT_ON_SHELF,
        ),
    )


def _own(
    texts: dict[str, list[str]], made: Calculator, known: Mapping[str, object]
) -> dict[str, list[str]]:
    """What was typed, without what the machine says anyhow: that follows the machine."""
    by_name = {one.name: one for one in made.asked}
    return {
        name: several
        for name, several in texts.items()
        if name not in known or several != texts_of(by_name[name], known[name])
    }


def _worked(
    made: Calculator, texts: Texts, known: Mapping[str, Any]
) -> tuple[Sheet | None, tuple[InputError, ...]]:
    """The sheet, or what stands in its way."""
    try:
        return sheet(made, answered(made.asked, texts, known)), ()
    except InputError as problem:
        return None, (problem,)
    except InputErrors as several:
        return None, several.problems


def _example(made: Calculator) -> dict[str, list[str]]:
    """The calculator's example, typed as options, as inputs."""
    found: dict[str, list[str]] = {}
    name = ""
    for word in shlex.split(made.example):
        if word.startswith("--"):
            name = word.removeprefix("--").replace("-", "_")
        else:
            found.setdefault(name, []).append(word)
    order = [one.name for one in made.asked]
    return {one: found[one] for one in order if one in found}


ROUTES: list[BaseRoute] = [
    Route("/size", kinds, methods=["GET"]),
    Route("/size/{kind}", size, methods=["GET"]),
]
