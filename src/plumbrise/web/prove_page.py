"""The prove sheet: what was read before the work against what was read after it.

Figures are compared in the request; where the loss went and what to do next take explaining, one
session after the other beside the page, and come in when they are there.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from plumbrise.api import Answer, ProofAnswer, packed
from plumbrise.errors import InputError, InputErrors
from plumbrise.files import write_machine
from plumbrise.files.decoding import text_of
from plumbrise.files.proposal import proposal_dict
from plumbrise.prove import Stage, prove_all
from plumbrise.redesign import Proposal
from plumbrise.report.pictures import Picture, Pictures
from plumbrise.report.proof_section import ProofSection, proof_section
from plumbrise.report.setting import strings
from plumbrise.web import prove_words as words
from plumbrise.web import redesign_asked
from plumbrise.web.bench import Bench, Story
from plumbrise.web.forms import form_of, text, tidy, upload
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.prove_asked import (
    Asked,
    Promise,
    asked_in,
    keep_prints,
    keep_promise,
    prints_of,
    prints_text,
    promise_of,
)
from plumbrise.web.prove_sessions import Session, keep_story, story_of
from plumbrise.web.redesign_page import LONG_S, proposal_of, prospects_job
from plumbrise.web.sheet import WAIT_S, file_stem, kept_file, sheet_of
from plumbrise.web.sheet_drawing import with_addresses

WIDE_PX, NARROW_PX = 780, 350


def prove(request: Request) -> Response:
    """The sheet: is it fair, what changed, and what is left."""
    tidied = tidy(request)
    if tidied:
        return see(tidied)
    return _sheet(request, request.path_params["machine"], request.query_params, ())


def _sheet(
    request: Request, machine_id: int, query: QueryParams, problems: tuple[InputError, ...]
) -> Response:
    bench = bench_of(request)
    story = bench.story(machine_id, wait_s=WAIT_S)
    asked = asked_in(bench, machine_id, query)
    promise = promise_of(bench, asked.before.machine) if asked.before else None
    found = told(bench, asked, promise)
    if found is not None:
        bench.proved[story.id] = (story.fingerprint, _brief(found))
    return page(
        request,
        "prove.html",
        status=422 if problems else 200,
        **sheet_of(bench, story, "prove"),
        asked=asked,
        told=found,
        p=strings(_section(bench, found)) if found else None,
        promise=promise,
        prints=[(one, prints_text(bench, one)) for one in asked.sessions],
        problems=problems,
    )


@dataclass(frozen=True, slots=True)
class Told:
    """A proof as far as it is. `working` while sessions are being explained, `step` counts what
    came in, `key` tells this proof from another."""

    answer: ProofAnswer
    stories: tuple[Story, ...]
    promise: Promise | None
    working: bool
    step: int
    key: tuple[Any, ...]


def told(
    bench: Bench, asked: Asked, promise: Promise | None, *, wait_s: float = 0.0
) -> Told | None:
    """The proof of what is asked; None where there is nothing to compare.

    Args:
        bench: the bench.
        asked: which sessions.
        promise: what was promised.
        wait_s: how long to wait for each session to be explained.
    """
    if asked.before is None or not asked.afters:
        return None
    stories, working = _explained(bench, asked.sessions, wait_s)
    job = None if working else prospects_job(bench, stories[-1], wait_s=wait_s)
    working = working or (job is not None and not job.ended)
    proposal = proposal_of(bench, stories[-1], job, redesign_asked.Asked())
    step = sum(one.job.step for one in stories if one.job) + (job.step if job else 0)
    prints = [prints_text(bench, one) for one in asked.sessions]
    said = promise.text if promise else ""
    key = (*(one.fingerprint for one in stories), asked.query, step, working, said, *prints)
    answer = bench.remembered(
        ("proof", *key), lambda: _proof(bench, asked, stories, proposal, promise)
    )
    return Told(answer, stories, promise, working, step, key)


def _explained(
    bench: Bench, sessions: tuple[Session, ...], wait_s: float
) -> tuple[tuple[Story, ...], bool]:
    """Each session as far as it is explained, one after the other so that others get a turn."""
    stories: list[Story] = []
    working = False
    for one in sessions:
        stories.append(story_of(bench, one, explain=not working, wait_s=wait_s))
        job = stories[-1].job
        working = working or job is None or not job.ended
    return tuple(stories), working


def _proof(
    bench: Bench,
    asked: Asked,
    stories: tuple[Story, ...],
    proposal: Proposal | None,
    promise: Promise | None,
) -> ProofAnswer:
    stages = []
    for one, story in zip(asked.sessions, stories, strict=True):
        assert story.analysis is not None  # only sessions with readings are offered
        ended = story.job is not None and story.job.ended
        stages.append(
            Stage(
                name=f"{one.name}, {one.when}",
                machine=story.machine,
                readings=story.readings,
                analysis=story.analysis,
                explanation=story.explanation if ended else None,
                prints=prints_of(bench, one),
            )
        )
    before, *afters = stages
    afters[-1] = replace(afters[-1], proposal=proposal)
    promised = promise.chosen.predicted if promise else None
    return ProofAnswer(before, tuple(afters), prove_all(before, afters, promised))


def _section(bench: Bench, found: Told) -> ProofSection:
    def made() -> ProofSection:
        answer = found.answer
        pictures = Pictures(width_px=WIDE_PX, narrow_px=NARROW_PX, follows_page=True)
        section = proof_section(answer.before, answer.afters, answer.result, pictures)
        return replace(section, was=_plain(section.was), now=_plain(section.now))

    kept: ProofSection = bench.remembered(("proof section", *found.key), made)
    return kept


def _plain(drawn: Picture) -> Picture:
    return replace(drawn, svg=with_addresses(drawn.svg, ""))


def _brief(found: Told) -> str:
    """The proof in a few words, for the title block."""
    figures = found.answer.result[-1].figures
    counts = {str(one.verdict): 0 for one in figures}
    for one in figures:
        counts[str(one.verdict)] += 1
    return ", ".join(f"{count} {verdict}" for verdict, count in counts.items()) or "none in common"


def state(request: Request) -> Response:
    """How far the sessions are, for the page's script; each look begins the next one."""
    bench = bench_of(request)
    machine_id = request.path_params["machine"]
    asked = asked_in(bench, machine_id, request.query_params)
    promise = promise_of(bench, asked.before.machine) if asked.before else None
    found = told(bench, asked, promise)
    now = "none" if found is None else "working" if found.working else "done"
    mark = bench.story(machine_id, explain=False).fingerprint[:16]
    return JSONResponse({"state": now, "step": found.step if found else 0, "mark": mark})


async def give(request: Request) -> Response:
    """A table that was read after the work, kept as a machine of its own and compared."""
    form = await form_of(request)
    table = text(form, "table", most=2_000_000)
    name, data = await upload(form, "file")
    machine_name, machine_data = await upload(form, "machine")
    before = text(form, "before", most=40)
    given = (name, data or table.encode("utf-8"), machine_name, machine_data)
    return await run_in_threadpool(_given, request, before, *given)


def _given(
    request: Request, before: str, name: str, table: bytes, machine_name: str, machine_data: bytes
) -> Response:
    bench, machine_id = bench_of(request), request.path_params["machine"]
    bench.shelf.machine(machine_id)  # one that is not there is told first
    asked = asked_in(bench, machine_id, QueryParams([("before", before)] if before else []))
    if asked.before is None:
        return see(f"/m/{machine_id}/prove")
    was = story_of(bench, asked.before, explain=False).machine
    toml = write_machine(
        replace(was, name=words.CALLED_AFTER.format(was.name or was.arrangement.title))
    )
    try:
        if machine_data:
            toml = text_of(machine_data, name=machine_name).text
        if not table.strip():
            raise InputError(
                place=name or words.AFTER,
                value="nothing",
                allowed="a table of readings",
                remedy="Paste it, or choose its file.",
            )
        made = bench.shelf.import_(
            toml,
            table,
            name=words.CALLED_AFTER.format(asked.before.name),
            source=name or "pasted table",
        )
    except (InputError, InputErrors) as problem:
        return _again(request, machine_id, problem)
    story = (asked.before.id, *(one.id for one in asked.afters), str(made))
    keep_story(bench, story)
    return see(f"/m/{machine_id}/prove")


def _again(request: Request, machine_id: int, problem: InputError | InputErrors) -> Response:
    """The sheet with what cannot be used."""
    problems = problem.problems if isinstance(problem, InputErrors) else (problem,)
    return _sheet(request, machine_id, request.query_params, tuple(problems))


async def promise(request: Request) -> Response:
    """Keep a proposal as what was promised: a file, or a set of the redesign sheet; or take it
    off."""
    form = await form_of(request)
    name, data = await upload(form, "proposal")
    set_asked = text(form, "set", most=4_000)
    return await run_in_threadpool(
        _promised, request, text(form, "do", most=20), set_asked, name, data
    )


def _promised(request: Request, do: str, set_asked: str, name: str, data: bytes) -> Response:
    bench, machine_id = bench_of(request), request.path_params["machine"]
    bench.shelf.machine(machine_id)
    try:
        if do == "off":
            keep_promise(bench, machine_id, "")
        elif data:
            keep_promise(bench, machine_id, text_of(data, name=name).text)
        else:
            _keep_set(bench, machine_id, set_asked)
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
            value="no set",
            allowed="a set of changes that is proposed",
            remedy="Look at the redesign sheet first.",
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
                keep_prints(bench, one, said[one.id])
    except (InputError, InputErrors) as problem:
        return _again(request, machine_id, problem)
    return see(f"/m/{machine_id}/prove?{asked.query}")


def story_file(request: Request) -> Response:
    """The story page."""
    bench, found = _whole(request)
    story = found.answer.story(when=bench.now().date().isoformat())
    return kept_file(story.encode(), "text/html", f"{file_stem(found.stories[0].name)}-story.html")


def pack_file(request: Request) -> Response:
    """The pack."""
    bench, found = _whole(request)
    data = _pack(found, bench.now().date().isoformat())
    return kept_file(data, "application/zip", f"{file_stem(found.stories[0].name)}-pack.zip")


def _whole(request: Request) -> tuple[Bench, Told]:
    """The proof with each session explained to the end."""
    bench = bench_of(request)
    asked = asked_in(bench, request.path_params["machine"], request.query_params)
    promise = promise_of(bench, asked.before.machine) if asked.before else None
    found = told(bench, asked, promise, wait_s=LONG_S)
    if found is None:
        raise HTTPException(404)
    return bench, found


def _pack(found: Told, when: str) -> bytes:
    answers = []
    for story in found.stories:
        if story.analysis is None or story.explanation is None or not story.explanation.complete:
            raise InputError(
                place=story.name,
                value="no whole answer yet",
                allowed="sessions that are explained to the end",
                remedy="Wait until they are worked out.",
            )
        answers.append(Answer(story.machine, story.readings, story.analysis, story.explanation))
    return packed(answers, when=when)


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/prove", prove, methods=["GET"]),
    Route("/m/{machine:number}/prove", give, methods=["POST"]),
    Route("/m/{machine:number}/prove/run.json", state, methods=["GET"]),
    Route("/m/{machine:number}/prove/promise", promise, methods=["POST"]),
    Route("/m/{machine:number}/prove/prints", prints, methods=["POST"]),
    Route("/m/{machine:number}/prove/story.html", story_file, methods=["GET"]),
    Route("/m/{machine:number}/prove/pack.zip", pack_file, methods=["GET"]),
]
