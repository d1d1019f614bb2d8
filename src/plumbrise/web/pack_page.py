"""Packs on the page: a story kept as one file, and another person's put on the shelf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.api import Answer, packed
from plumbrise.errors import InputError
from plumbrise.files import PackNotWhole, read_pack, write_machine
from plumbrise.files.pack_again import Agreement, analysed_again, session_in
from plumbrise.files.pack_beside import Beside, beside_again
from plumbrise.files.pack_names import STAGES
from plumbrise.files.pack_text import json_text
from plumbrise.report.names import listed
from plumbrise.web import words
from plumbrise.web.bench import PACK, Bench, Story
from plumbrise.web.forms import form_of, upload
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.prove_asked import keep_prints, keep_promise
from plumbrise.web.sheet import file_stem, kept_file, sheet_of
from plumbrise.web.start import first_sheet
from plumbrise.web.wiring_kept import keep_harness

WAIT_S = 60.0


async def keep(request: Request) -> Response:
    """The story of a machine, and of those that it became, as one file."""
    bench = bench_of(request)
    machine_id = request.path_params["machine"]
    afters = [int(a) for a in request.query_params.getlist("after") if a.isdecimal() and len(a) < 9]
    asked = list(dict.fromkeys((machine_id, *afters)))[: len(STAGES)]
    stories = [await bench.explained(one, WAIT_S) for one in asked]
    return await run_in_threadpool(_kept, bench, stories)


def _kept(bench: Bench, stories: Sequence[Story]) -> Response:
    answers = [answer_of(story) for story in stories]
    data = packed(answers, when=bench.now().date().isoformat())
    stem = file_stem(answers[0].machine.name or answers[0].machine.arrangement.title)
    return kept_file(data, "application/zip", f"{stem}-pack.zip")


def answer_of(story: Story) -> Answer:
    """A machine's readings with the whole answer, for a pack.

    Raises:
        InputError: it is not explained to the end.
    """
    explanation = story.explanation
    if story.analysis is None or explanation is None or not explanation.complete:
        raise InputError(
            place=story.name,
            value=words.PACK_NO_ANSWER,
            allowed=words.PACK_NEEDS,
            remedy=words.PACK_WORK_IT_OUT,
        )
    return Answer(story.machine, story.readings, story.analysis, explanation)


async def take(request: Request) -> Response:
    """Another person's pack: looked through, put on the shelf, its numbers worked out again."""
    name, data = await upload(await form_of(request), "pack")
    return await run_in_threadpool(taken, request, name, data)


def taken(request: Request, name: str, data: bytes) -> Response:
    """The sheet that says what came in a pack, or the start with what is wrong with it."""
    try:
        first = _put_on_the_shelf(bench_of(request), name, data)
    except PackNotWhole as broken:
        return first_sheet(request, {}, pack_problems=broken.problems)
    return see(f"/m/{first}/pack")


def _put_on_the_shelf(bench: Bench, name: str, data: bytes) -> int:
    pack = read_pack(data)
    opened = [(stage, *session_in(stage)) for stage in pack.stages]
    again = [analysed_again(*one) for one in opened]
    beside = beside_again(pack, [one[1:] for one in opened])
    ids, found = [], []
    with bench.shelf.together():  # all stages, or none
        for (stage, machine, readings), agreement in zip(opened, again, strict=True):
            called = f"{machine.name or machine.arrangement.title}, {stage.name}"
            toml = write_machine(replace(machine, name=called))
            ids.append(bench.shelf.import_(toml, stage.readings, source=name or PACK))
            found.append(
                {
                    "stage": stage.name,
                    "name": called,
                    "machine": ids[-1],
                    "readings": readings.count,
                    "agrees": agreement.verdict,
                    "differences": list(agreement.told),
                }
            )
        about = {
            "file": name,
            "packed_on": pack.packed_on,
            "made_by": pack.versions.get("plumbrise", ""),
            "stages": found,
            "beside": _beside_said(beside),
        }
        for one, stage in zip(ids, pack.stages, strict=True):
            bench.shelf.add_result(one, PACK, about)
            keep_prints(bench, str(one), stage.prints)
        if pack.proposal is not None:
            keep_promise(bench, ids[0], json_text(pack.proposal))
        if pack.harness:
            keep_harness(bench, ids[0], pack.harness)
    return ids[0]


def _beside_said(beside: Beside) -> list[dict[str, Any]]:
    """A line for each thing beside the stages: title, words, and what is other."""
    return [
        {"title": title, "words": said, "differences": list(found.told if found else ())}
        for title, said, found in (
            (words.PACK_PROOF, _agrees(beside.proof), beside.proof),
            (words.PACK_BUILD, _agrees(beside.build), beside.build),
            (words.PACK_PROMISE, listed([one.lower() for one in beside.changes]), None),
            (words.PACK_HARNESS, beside.harness, None),
        )
        if said
    ]


def _agrees(found: Agreement | None) -> str:
    if found is None:
        return ""
    return words.PACK_MADE_AGAIN if found.verdict == "same" else words.PACK_OTHER


def sheet(request: Request) -> Response:
    """Where a machine came from."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"])
    about = bench.came_in(story.id)
    if about is None:
        raise HTTPException(404)
    return page(request, "pack.html", **sheet_of(bench, story, "report"), about=about)


ROUTES: list[BaseRoute] = [
    Route("/packs", take, methods=["POST"]),
    Route("/m/{machine:number}/pack", sheet, methods=["GET"]),
    Route("/m/{machine:number}/files/pack.zip", keep, methods=["GET"]),
]
