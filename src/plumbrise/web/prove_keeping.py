"""What is given to the prove sheet and kept: readings from after the work, a promise, what was
measured on prints."""

from __future__ import annotations

import json
from dataclasses import replace

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import QueryParams
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.errors import InputError, InputErrors
from plumbrise.files import write_machine
from plumbrise.files.decoding import text_of
from plumbrise.files.proposal import proposal_dict
from plumbrise.web import fault_words, redesign_asked
from plumbrise.web import prove_words as words
from plumbrise.web.bench import Bench
from plumbrise.web.forms import form_of, text, upload
from plumbrise.web.pages import bench_of, see
from plumbrise.web.prove_asked import asked_in, keep_prints, keep_promise, let_go
from plumbrise.web.prove_page import proof_sheet
from plumbrise.web.prove_sessions import keep_story, story_of
from plumbrise.web.redesign_page import LONG_S, proposal_of, prospects_job
from plumbrise.web.start import TABLE


async def give(request: Request) -> Response:
    """A table that was read after the work, kept as a machine of its own and compared."""
    form = await form_of(request)
    table = text(form, "table", most=2_000_000)
    name, data = await upload(form, "file")
    machine_name, machine_data = await upload(form, "machine")
    typed = {"table": table, "repeats": text(form, "repeats", most=80)}
    before = text(form, "before", most=40)
    given = (name, data or table.encode("utf-8"), machine_name, machine_data)
    return await run_in_threadpool(_given, request, typed, before, *given)


def _given(
    request: Request,
    typed: dict[str, str],
    before: str,
    name: str,
    table: bytes,
    machine_name: str,
    machine_data: bytes,
) -> Response:
    bench, machine_id = bench_of(request), request.path_params["machine"]
    bench.shelf.machine(machine_id)  # one that is not there is told first
    asked = asked_in(bench, machine_id, QueryParams([("before", before)] if before else []))
    if asked.before is None:
        return see(f"/m/{machine_id}/prove")
    was = story_of(bench, asked.before, explain=False).machine
    tests = asked.before.tests
    repeated = [one for one in tests if " ".join(one) == typed["repeats"] or len(tests) == 1]
    test, station = repeated[0] if repeated else (None, None)  # where the table does not say it
    toml = write_machine(
        replace(was, name=words.CALLED_AFTER.format(was.name or was.arrangement.title))
    )
    try:
        if machine_data:
            toml = text_of(machine_data, name=machine_name).text
        if not table.strip():
            raise InputError(
                place=name or words.AFTER,
                value=fault_words.NOTHING,
                allowed=fault_words.A_TABLE,
                remedy=fault_words.PASTE_IT,
            )
        made = bench.shelf.import_(
            toml,
            table,
            name=words.CALLED_AFTER.format(asked.before.name),
            source=name or TABLE,
            station=station,
            test=test,
        )
    except (InputError, InputErrors) as problem:
        return _again(request, machine_id, problem, typed)
    keep_story(bench, (asked.before.id, *(one.id for one in asked.afters), str(made)))
    return see(f"/m/{machine_id}/prove")


def _again(
    request: Request,
    machine_id: int,
    problem: InputError | InputErrors,
    typed: dict[str, str] | None = None,
) -> Response:
    """The sheet with what cannot be used, and what was typed."""
    problems = problem.problems if isinstance(problem, InputErrors) else (problem,)
    return proof_sheet(request, machine_id, request.query_params, tuple(problems), typed)


async def promise(request: Request) -> Response:
    """Keep a proposal as what was promised: a file, or a set of the redesign sheet; or take it
    off."""
    form = await form_of(request)
    name, data = await upload(form, "proposal")
    set_asked = text(form, "set", most=40_000)
    return await run_in_threadpool(
        _promised, request, text(form, "do", most=20), set_asked, name, data
    )


def _promised(request: Request, do: str, set_asked: str, name: str, data: bytes) -> Response:
    bench, machine_id = bench_of(request), request.path_params["machine"]
    bench.shelf.machine(machine_id)
    try:
        if do == "off":
            let_go(bench, machine_id)
        elif do == "set":
            _keep_set(bench, machine_id, set_asked)
        else:
            keep_promise(bench, machine_id, text_of(data, name=name).text)
    except (InputError, InputErrors) as problem:
        return _again(request, machine_id, problem)
    return see(f"/m/{machine_id}/prove")


def _keep_set(bench: Bench, machine_id: int, query: str) -> None:
    """Keep what the redesign sheet proposes for this address."""
    story = bench.story(machine_id, wait_s=LONG_S)
    asked = redesign_asked.asked_in(QueryParams(query))[0]
    found = proposal_of(bench, story, prospects_job(bench, story, wait_s=LONG_S), asked)
    if found is None or found.chosen is None:
        raise InputError(
            place="redesign",
            value=fault_words.NO_SET,
            allowed=fault_words.PROPOSED_SET,
            remedy=fault_words.LOOK_AT_REDESIGN,
        )
    keep_promise(bench, machine_id, json.dumps(proposal_dict(found), ensure_ascii=False))


async def prints(request: Request) -> Response:
    """Keep what was measured on a part printed at a session."""
    form = await form_of(request)
    said = {
        name.removeprefix("prints-"): text(form, name, most=100_000)
        for name in form
        if name.startswith("prints-")
    }
    return await run_in_threadpool(_printed, request, said)


def _printed(request: Request, said: dict[str, str]) -> Response:
    bench, machine_id = bench_of(request), request.path_params["machine"]
    asked = asked_in(bench, machine_id, request.query_params)
    try:
        for one in asked.all:
            if one.id in said:
                keep_prints(bench, one.id, said[one.id])
    except (InputError, InputErrors) as problem:
        return _again(request, machine_id, problem)
    return see(f"/m/{machine_id}/prove?{asked.query}")


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/prove", give, methods=["POST"]),
    Route("/m/{machine:number}/prove/promise", promise, methods=["POST"]),
    Route("/m/{machine:number}/prove/prints", prints, methods=["POST"]),
]
