"""The prove sheet: what was read before the work against what was read after it."""

from __future__ import annotations

from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from plumbrise.errors import InputError
from plumbrise.report.setting import strings
from plumbrise.web.bench import Bench
from plumbrise.web.forms import tidy
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.prove_asked import asked_in, prints_text, promise_for
from plumbrise.web.prove_example import is_invented
from plumbrise.web.prove_told import Told, brief, next_asked, pack_of, section_of, told
from plumbrise.web.redesign_page import LONG_S
from plumbrise.web.sheet import WAIT_S, file_stem, kept_file, sheet_of


def prove(request: Request) -> Response:
    """The sheet: is it fair, what changed, and what is left."""
    tidied = tidy(request)
    if tidied:
        return see(tidied)
    return proof_sheet(request, request.path_params["machine"], request.query_params)


def proof_sheet(
    request: Request,
    machine_id: int,
    query: QueryParams,
    problems: tuple[InputError, ...] = (),
    typed: dict[str, str] | None = None,
) -> Response:
    """The sheet, with what of the last thing given to it cannot be used, as it was typed."""
    bench = bench_of(request)
    story = bench.story(machine_id, wait_s=WAIT_S)
    asked = asked_in(bench, machine_id, query)
    found, promise = told(bench, asked), promise_for(bench, asked)
    if found is not None:
        bench.proved[story.id] = (story.fingerprint, brief(found))
    return page(
        request,
        "prove.html",
        status=422 if problems else 200,
        **sheet_of(bench, story, "prove"),
        asked=asked,
        told=found,
        p=strings(section_of(bench, found)) if found else None,
        invented=asked.before is not None and is_invented(story.machine),
        promise=promise,
        next_query=next_asked(promise).query if promise else "",
        prints=[(one, prints_text(bench, one.id)) for one in asked.sessions],
        problems=problems,
        typed=typed or {"table": "", "repeats": ""},
    )


def state(request: Request) -> Response:
    """How far the sessions are, for the page's script; each look begins the next one."""
    bench = bench_of(request)
    machine_id = request.path_params["machine"]
    asked = asked_in(bench, machine_id, request.query_params)
    found = told(bench, asked)
    now = "none" if found is None else "working" if found.working else "done"
    mark = bench.story(machine_id, explain=False).fingerprint[:16]
    return JSONResponse({"state": now, "step": found.step if found else 0, "mark": mark})


def story_file(request: Request) -> Response:
    """The story page."""
    bench, found = _whole(request)
    story = found.answer.story(when=bench.now().date().isoformat())
    return kept_file(story.encode(), "text/html", f"{file_stem(found.stories[0].name)}-story.html")


def pack_file(request: Request) -> Response:
    """The pack."""
    bench, found = _whole(request)
    data = pack_of(bench, found, when=bench.now().date().isoformat())
    return kept_file(data, "application/zip", f"{file_stem(found.stories[0].name)}-pack.zip")


def _whole(request: Request) -> tuple[Bench, Told]:
    """The proof with each session explained to the end."""
    bench = bench_of(request)
    asked = asked_in(bench, request.path_params["machine"], request.query_params)
    found = told(bench, asked, wait_s=LONG_S)
    if found is None:
        raise HTTPException(404)
    return bench, found


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/prove", prove, methods=["GET"]),
    Route("/m/{machine:number}/prove/run.json", state, methods=["GET"]),
    Route("/m/{machine:number}/prove/story.html", story_file, methods=["GET"]),
    Route("/m/{machine:number}/prove/pack.zip", pack_file, methods=["GET"]),
]
