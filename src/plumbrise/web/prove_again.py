"""The readings after the work: the set-ups that were read before it, with the readings blank."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from itertools import count

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.files import write_readings
from plumbrise.prove import compared_runs
from plumbrise.prove.results import Stage
from plumbrise.readings import Reading, Readings
from plumbrise.web import prove_words as words
from plumbrise.web.forms import form_of, text
from plumbrise.web.one_test import to_readings
from plumbrise.web.pages import bench_of, see
from plumbrise.web.prove_asked import asked_in
from plumbrise.web.prove_sessions import story_of


async def begin(request: Request) -> Response:
    """Keep the worksheet of the session before and go to its readings."""
    form = await form_of(request)
    return see(await run_in_threadpool(_begun, request, text(form, "before", most=40)))


def _begun(request: Request, before: str) -> str:
    bench, machine_id = bench_of(request), request.path_params["machine"]
    bench.shelf.machine(machine_id)  # one that is not there is told first
    asked = asked_in(bench, machine_id, QueryParams([("before", before)]))
    if asked.before is None:
        raise HTTPException(404)
    story = story_of(bench, asked.before, explain=False)
    assert story.analysis is not None  # only sessions with readings are offered
    stage = Stage(story.name, story.machine, story.readings, story.analysis)
    fullest, _, _ = compared_runs(stage, stage)
    taken = {run.name for run in bench.shelf.runs(machine_id) if run.readings}
    return to_readings(bench, machine_id, worksheet_again(fullest.readings, taken))


def worksheet_again(readings: Readings, taken: Collection[str] = ()) -> str:
    """A readings table of the same set-ups in the same order, with nothing read in it.

    Args:
        readings: what was read before.
        taken: names that set-ups of this machine have already.
    """
    for again in count(1):
        name = words.CALLED_AGAIN if again == 1 else f"{words.CALLED_AGAIN} {again}"
        runs = tuple(
            replace(run, name=name.format(run.name), readings=tuple(map(_blank, run.readings)))
            for run in readings.runs
        )
        if not {run.name for run in runs} & set(taken):
            return write_readings(Readings(runs))
    raise AssertionError  # there is always a next number


def _blank(reading: Reading) -> Reading:
    """What was told and hung, without what was read and seen then."""
    return replace(
        reading,
        reading_mm=None,
        torque_nmm=None,
        time_s=None,
        temp_c=None,
        note="",
        row=None,
        assumed=False,
        other=(),
    )


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/prove/again", begin, methods=["POST"]),
]
