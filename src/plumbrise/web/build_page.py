"""The build sheet: a work order entered step by step, power shut until the wiring stands."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise import __version__
from plumbrise.build import (
    WIRING,
    Progress,
    Task,
    accepted,
    entered,
    moves_handed_out,
    on_own_word,
    wiring_seen,
)
from plumbrise.errors import InputError, InputErrors
from plumbrise.files import write_machine
from plumbrise.files.decoding import text_of
from plumbrise.files.proposal import proposal_dict
from plumbrise.files.work_order import work_order_dict
from plumbrise.report.wiring import HEADS
from plumbrise.report.work_order import SCOPE
from plumbrise.report.work_order_sheet import (
    place_drawing,
    work_order_html,
    work_order_pdf,
)
from plumbrise.web import build_words as words
from plumbrise.web.bench import Bench, Story
from plumbrise.web.build_kept import (
    Work,
    anew,
    choose,
    enter,
    verdict_of,
    work_of,
)
from plumbrise.web.build_said import back_said, opened, said_of
from plumbrise.web.forms import form_of, text, upload
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.picture import Picture, picture
from plumbrise.web.prove_asked import keep_promise
from plumbrise.web.redesign_asked import asked_in
from plumbrise.web.redesign_page import proposal_of, prospects_job
from plumbrise.web.sheet import PAPERS, WAIT_S, file_stem, kept_file, sheet_of

WIDE_PX = 340
FIELDS = ("do", "step", "said", "why")
Typed = Mapping[str, str]
Problems = tuple[InputError, ...]


def build(request: Request) -> Response:
    """The sheet with a step open, or what it waits for."""
    return _sheet(request, request.query_params.get("step", ""))


def _sheet(
    request: Request, step: str, *, problems: Problems = (), form: Typed | None = None
) -> Response:
    """The sheet.

    Args:
        request: the request.
        step: the step that is open, "" for the one whose turn it is.
        problems: what is wrong with what was entered.
        form: what was typed then.
    """
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=WAIT_S)
    found = work_of(bench, story.id)
    about: dict[str, Any] = {"said": None, "picture": None, "back": None, "was": False}
    if found is not None:
        here = opened(found, step)
        wants_back = request.query_params.get("back") == "yes"
        about = {
            "said": said_of(found, here),
            "picture": _picture(bench, found, here) if here.station else None,
            "back": back_said(found, here) if wants_back else None,
            "was": write_machine(found.order.before) != write_machine(story.machine),
        }
    verdict = verdict_of(bench, story.id)
    return page(
        request,
        "build.html",
        status=422 if problems else 200,
        **sheet_of(bench, story, "build"),
        **about,
        verdict=None if verdict is None else HEADS[verdict],
        scope=SCOPE,
        problems=problems,
        typed={name: (form or {}).get(name, "") for name in FIELDS},
    )


def _picture(bench: Bench, found: Work, here: Task) -> Picture:
    order = found.order
    number = order.tasks.index(here) + 1

    def drawn(prefix: str, width: int) -> str:
        return place_drawing(order, here, number, theme="light", width_px=width, prefix=prefix)

    made: Picture = bench.remembered(
        ("place", write_machine(order.before), order.changes, here.id),
        lambda: picture("place", drawn, wide_px=WIDE_PX),
    )
    return made


async def act(request: Request) -> Response:
    """Something was entered, chosen or opened."""
    form = await form_of(request)
    name, data = await upload(form, "file")
    typed = {one: text(form, one) for one in FIELDS}
    return await run_in_threadpool(_acted, request, typed, name, data)


def _acted(request: Request, typed: dict[str, str], name: str, data: bytes) -> Response:
    bench, machine_id = bench_of(request), request.path_params["machine"]
    story = bench.story(machine_id)
    do = typed["do"]
    try:
        if do == "choose":
            proposed = _proposed(request, bench, story)
            choose(bench, story, proposed, name=words.FROM_SET)
            keep_promise(bench, machine_id, proposed)
        elif do == "open":
            choose(bench, story, text_of(data, name=name or "file").text, name=name or "file")
        elif do == "machine":
            anew(bench, story)
        elif do in ACTS:
            return _entered(bench, machine_id, typed)
        else:
            raise HTTPException(404)
    except InputErrors as several:
        return _sheet(request, typed["step"], problems=several.problems, form=typed)
    except InputError as problem:
        return _sheet(request, typed["step"], problems=(problem,), form=typed)
    return see(f"/m/{machine_id}/build")


def _proposed(request: Request, bench: Bench, story: Story) -> str:
    """The proposal that the redesign sheet makes for this address."""
    job = prospects_job(bench, story, wait_s=WAIT_S)
    found = proposal_of(bench, story, job, asked_in(request.query_params)[0])
    if found is None or found.chosen is None:
        raise InputError(
            place=words.FROM_SET,
            value=words.NOTHING_CHOSEN,
            allowed=words.A_SET,
            remedy=words.CHOOSE_FIRST,
        )
    return json.dumps(proposal_dict(found), ensure_ascii=False)


def _entered(bench: Bench, machine_id: int, typed: Typed) -> Response:
    with bench.shelf.together():  # what another tab enters meanwhile stays
        found = work_of(bench, machine_id)
        if found is None:
            raise HTTPException(404)
        made = ACTS[typed["do"]](bench, machine_id, found, typed)
        enter(bench, machine_id, found.order, made)
    new = made.entries[len(found.progress.entries) :]
    address = f"/m/{machine_id}/build"
    if new and not new[-1].holds:
        return see(f"{address}?step={new[-1].step}")
    return see(address)


Act = Callable[[Bench, int, Work, Typed], Progress]


def _now(bench: Bench) -> str:
    return bench.now().astimezone().isoformat(timespec="minutes")


def _value(bench: Bench, _: int, found: Work, typed: Typed) -> Progress:
    return entered(found.order, found.progress, typed["step"], typed["said"], when=_now(bench))


def _done(bench: Bench, _: int, found: Work, typed: Typed) -> Progress:
    said = typed["said"] if typed["said"].strip() else words.DONE_WORD
    return entered(found.order, found.progress, typed["step"], said, when=_now(bench))


def _as_it_is(bench: Bench, _: int, found: Work, typed: Typed) -> Progress:
    return accepted(found.order, found.progress, typed["step"], typed["why"], when=_now(bench))


def _verdict(bench: Bench, machine_id: int, found: Work, _: Typed) -> Progress:
    verdict = verdict_of(bench, machine_id)
    if verdict is None:
        raise InputError(
            place=WIRING, value="", allowed=words.TAKE_VERDICT.lower(), remedy=words.NO_VERDICT
        )
    return wiring_seen(found.order, found.progress, verdict.value, when=_now(bench))


def _own_word(bench: Bench, _: int, found: Work, typed: Typed) -> Progress:
    return on_own_word(found.order, found.progress, typed["why"], when=_now(bench))


ACTS: dict[str, Act] = {
    "value": _value,
    "done": _done,
    "accept": _as_it_is,
    "wiring": _verdict,
    "own-word": _own_word,
}
"""Word of a button -> what it enters."""


def document(request: Request) -> Response:
    """The work order on paper, its progress, or the program of first moves, as a file."""
    bench = bench_of(request)
    kind = request.path_params["file"]
    machine_id = request.path_params["machine"]
    found = work_of(bench, machine_id)
    make = DOCUMENTS.get(kind)
    if found is None or make is None:
        raise HTTPException(404)
    stem = file_stem(found.order.before.name or found.order.before.arrangement.title)
    content, media = make(bench, found, request.query_params.get("paper", ""))
    return kept_file(content, media, f"{stem}-{kind}")


def _about(bench: Bench) -> dict[str, str]:
    return {"when": bench.now().date().isoformat(), "version": __version__}


def _html(bench: Bench, found: Work, _: str) -> tuple[bytes, str]:
    return work_order_html(found.order, found.progress, **_about(bench)).encode(), "text/html"


def _pdf(bench: Bench, found: Work, paper: str) -> tuple[bytes, str]:
    made = work_order_pdf(
        found.order, found.progress, paper=paper if paper in PAPERS else PAPERS[0], **_about(bench)
    )
    return made, "application/pdf"


def _progress(_: Bench, found: Work, __: str) -> tuple[bytes, str]:
    made = json.dumps(work_order_dict(found.order, found.progress), ensure_ascii=False, indent=2)
    return f"{made}\n".encode(), "application/json"


def _moves(_: Bench, found: Work, __: str) -> tuple[bytes, str]:
    moves = moves_handed_out(found.order, found.progress)
    if moves is None or not moves.text:
        raise HTTPException(404)
    return moves.text.encode(), "text/plain"


DOCUMENTS: dict[str, Callable[[Bench, Work, str], tuple[bytes, str]]] = {
    "work-order.html": _html,
    "work-order.pdf": _pdf,
    "work.json": _progress,
    "first-moves.gcode": _moves,
}

ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/build", build, methods=["GET"]),
    Route("/m/{machine:number}/build", act, methods=["POST"]),
    Route("/m/{machine:number}/build/files/{file}", document, methods=["GET"]),
]
