"""The redesign sheet: which changes reach what is wanted, for the least money.

What every set of changes would bring is worked out once for a machine and its readings, beside the
page; each move of a slider then only chooses among them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from plumbrise.cautions import DEFER
from plumbrise.errors import InputError, InputErrors
from plumbrise.files.decoding import text_of
from plumbrise.files.proposal import parts_table
from plumbrise.files.workshop_file import read_workshop, write_workshop
from plumbrise.redesign import FIGURES, Proposal, propose
from plumbrise.redesign.suiting import suited
from plumbrise.report.redesign import hours_words, money_words
from plumbrise.web import redesign_words as words
from plumbrise.web.bench import Bench, Story
from plumbrise.web.forms import form_of, tidy, upload
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.redesign_asked import (
    BUDGET,
    HOUR,
    LIMITS,
    SURE,
    Asked,
    asked_in,
    figures_asked,
)
from plumbrise.web.redesign_drawing import Pictures, axis_with, pictures_of
from plumbrise.web.redesign_said import said_of
from plumbrise.web.redesign_sums import sums_of
from plumbrise.web.sheet import WAIT_S, file_stem, kept_file, sheet_of
from plumbrise.web.work import Job

TASK = "prospects"
MOST_KEPT = 2
"""Machines whose prospects are kept ready: tens of megabytes each."""
LONG_S = 60.0


def redesign(request: Request) -> Response:
    """The sheet: what is wanted, and the set of changes that is proposed for it."""
    tidied = tidy(request)
    if tidied:
        return see(tidied)
    asked, wrong = asked_in(request.query_params)
    return _shown(request, asked, wrong)


def _shown(request: Request, asked: Asked, wrong: dict[str, str]) -> Response:
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=WAIT_S)
    job = prospects_job(bench, story, wait_s=WAIT_S)
    try:
        found = proposal_of(bench, story, job, asked)
    except InputError as problem:
        wrong = {**wrong, "choosing": f"{problem} {words.CHEAPEST_STANDS}"}
        asked = asked.taking(())
        found = proposal_of(bench, story, job, asked)
    said = said_of(found) if found else None
    if said is not None:
        bench.proposed[story.id] = (story.fingerprint, said.brief)
    return page(
        request,
        "redesign.html",
        status=422 if wrong else 200,
        **sheet_of(bench, story, "redesign"),
        asked=asked,
        wrong=wrong,
        typed=_typed(asked, request.query_params, wrong),
        figures=figures_asked(),
        others_aimed=any(not FIGURES[one].wanted for one in asked.aims),
        money=(SURE, BUDGET, HOUR),
        changes=_changes(story, asked),
        prospects=job,
        said=said,
        pictures=_pictures(bench, story, job, asked, found),
        sums=sums_of(bench, story, found) if found else (),
        defer=DEFER,
    )


def prospects_job(bench: Bench, story: Story, *, wait_s: float) -> Job | None:
    """What every set of changes would bring, as a job; None before the readings are explained."""
    explained = story.job
    if explained is None or not explained.ended or explained.best is None:
        return None
    key = _key(story, explained)
    job = bench.work.find(key)
    if job is None:
        bench.work.drop(f"{TASK}-", keep=MOST_KEPT - 1)
        job = bench.work.ask(
            key, TASK, story.machine, explained.best, group=f"{TASK}-machine-{story.id}"
        )
    return bench.work.as_it_stands(bench.work.wait(job, wait_s))


def proposal_of(bench: Bench, story: Story, job: Job | None, asked: Asked) -> Proposal | None:
    """The proposal for what is asked; None where prospects are not there."""
    if job is None or job.state != "done":
        return None
    prospects = job.best

    def made() -> Proposal:
        return propose(
            suited(prospects, asked.workshop),
            asked.targets,
            rng=np.random.default_rng(0),
            probability=asked.sure / 100,
            budget=asked.budget,
            workshop=asked.workshop,
            explanation=story.explanation,
            taken=asked.taken or None,
        )

    found: Proposal = bench.remembered(("proposal", job.key, asked.query), made)
    return found


def _pictures(
    bench: Bench, story: Story, job: Job | None, asked: Asked, found: Proposal | None
) -> Pictures | None:
    if job is None or found is None:
        return None
    chosen = found.chosen

    def made() -> Pictures:
        axis = None
        if chosen is not None and chosen.parts:
            axis = bench.remembered(
                ("new parts", story.fingerprint, chosen.line.changes),
                lambda: axis_with(story.machine, chosen),
            )
        return pictures_of(found, axis)

    kept: Pictures = bench.remembered(("redesign pictures", job.key, asked.query), made)
    return kept


def _typed(asked: Asked, query: QueryParams, wrong: dict[str, str]) -> dict[str, str]:
    """What stands in each field: what was typed where that is wrong, else what it was taken as."""
    found = {name: f"{asked.limits[name]:g}" for name in LIMITS}
    found |= {SURE.name: f"{asked.sure:g}", HOUR.name: f"{asked.hour:g}"}
    found[BUDGET.name] = "" if asked.budget is None else f"{asked.budget:g}"
    return found | {name: query.get(name, "")[:40] for name in wrong if name in found}


@dataclass(frozen=True, slots=True)
class Choosable:
    """A change that can be made on this machine, as the list shows it."""

    id: str
    title: str
    cost: str
    hours: str


def _changes(story: Story, asked: Asked) -> tuple[Choosable, ...]:
    """Every change that can be made on this machine, at the usual price or one's own."""
    priced, currency = replace(asked.own, no_tools=frozenset()), asked.own.currency
    return tuple(
        Choosable(
            one.id,
            one.title,
            money_words(one.cost, currency).removeprefix("about "),
            hours_words(one.hours).removeprefix("about "),
        )
        for one in priced.changes_for(story.machine)
    )


def state(request: Request) -> Response:
    """How far the prospects are, for the page's script; they begin once there is an answer."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], explain=False)
    job = prospects_job(bench, story, wait_s=0.0)
    now, step = (job.state, job.step) if job else ("none", 0)
    return JSONResponse({"state": now, "step": step, "mark": story.fingerprint[:16]})


async def run(request: Request) -> Response:
    """Stop working the prospects out, or work them out again after they did not come to an end."""
    form = await request.form()
    machine_id = request.path_params["machine"]
    await run_in_threadpool(_run, bench_of(request), machine_id, str(form.get("do", "")))
    return see(f"/m/{machine_id}/redesign")


def _run(bench: Bench, machine_id: int, do: str) -> None:
    story = bench.story(machine_id, explain=False)
    if do == "stop" and story.job is not None:
        bench.work.stop(_key(story, story.job))
    elif do == "again":
        bench.work.drop(f"{TASK}-{story.id}-", keep=0)


def _key(story: Story, explained: Job) -> str:
    """The name of the job that works out what the changes would bring."""
    return f"{TASK}-{story.id}-{story.fingerprint}-{explained.step}"


async def take_workshop(request: Request) -> Response:
    """A workshop file was given: the same sheet, reckoned with it."""
    form = await form_of(request)
    name, data = await upload(form, "file")
    return await run_in_threadpool(_taken, request, name or words.WORKSHOP, data)


def _taken(request: Request, name: str, data: bytes) -> Response:
    asked, wrong = asked_in(request.query_params)
    try:
        found = read_workshop(text_of(data, name=name).text, name=name)
    except (InputError, InputErrors) as problem:
        return _shown(request, asked, {**wrong, "workshop": str(problem)})
    path = request.url.path.removesuffix("/workshop.toml")
    return see(f"{path}?{asked.with_workshop(found).query}")


def workshop(request: Request) -> Response:
    """A workshop file to mend, as things stand."""
    bench_of(request).story(request.path_params["machine"], explain=False)
    asked, _ = asked_in(request.query_params)
    return kept_file(write_workshop(asked.workshop).encode(), "application/toml", "workshop.toml")


async def parts(request: Request) -> Response:
    """The parts list of the proposed set, to order by."""
    bench = bench_of(request)
    story = await bench.explained(request.path_params["machine"], LONG_S)
    job = await run_in_threadpool(prospects_job, bench, story, wait_s=0.0)
    if job is not None:
        await bench.work.ended(job.key, LONG_S)
    return await run_in_threadpool(_parts, request, story)


def _parts(request: Request, story: Story) -> Response:
    bench = bench_of(request)
    job = prospects_job(bench, story, wait_s=0.0)
    found = proposal_of(bench, story, job, asked_in(request.query_params)[0])
    if found is None or found.chosen is None or not found.chosen.parts:
        raise HTTPException(404)
    text = parts_table(found.chosen.parts)
    return kept_file(text.encode(), "text/csv", f"{file_stem(story.name)}-parts.csv")


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/redesign", redesign, methods=["GET"]),
    Route("/m/{machine:number}/redesign", run, methods=["POST"]),
    Route("/m/{machine:number}/redesign/run.json", state, methods=["GET"]),
    Route("/m/{machine:number}/redesign/parts.csv", parts, methods=["GET"]),
    Route("/m/{machine:number}/redesign/workshop.toml", workshop, methods=["GET"]),
    Route("/m/{machine:number}/redesign/workshop.toml", take_workshop, methods=["POST"]),
]
