"""A part to print as a gauge: its squares with what they should measure, and what was measured
on them, weighed. The address holds all of it, so a sheet with measurements can be kept."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.errors import InputError
from plumbrise.explain import Believed
from plumbrise.files.printed_part import THICKEST_MM, write_part
from plumbrise.foresee.part import PartToPrint, Patch, part_to_print
from plumbrise.foresee.part_evidence import FEWEST, Measured
from plumbrise.quantity import plain
from plumbrise.report.foresee_words import span_mm
from plumbrise.report.names import counted
from plumbrise.report.printed_part import tells_words
from plumbrise.web import foresee_words as words
from plumbrise.web.bench import Bench, Story
from plumbrise.web.foresee_asked import LONGEST, Asked, asked_in, print_query
from plumbrise.web.foresee_kept import believed_of, keep_part, kept_part, weighed
from plumbrise.web.forms import form_of, text, tidy
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.sheet import LONG_S, WAIT_S, file_stem, kept_file, sheet_of
from plumbrise.web.slides import Slide, number_in

LONGEST_ADDRESS = 4_000


def part(request: Request) -> Response:
    """The sheet: what to print, and what its measurements say."""
    tidied = tidy(request)
    if tidied:
        return see(tidied)
    bench, query = bench_of(request), request.query_params
    story = bench.story(request.path_params["machine"], wait_s=WAIT_S)
    asked, _ = asked_in(query)
    believed = believed_of(story)
    made = None if believed is None else part_of(bench, story, believed, asked)
    squares = () if made is None else tuple(_square(one, query) for one in made.patches)
    measured = tuple(one.measured for one in squares if one.measured is not None)
    return page(
        request,
        "foresee_part.html",
        status=422 if any(one.wrong for one in squares) else 200,
        **sheet_of(bench, story, "foresee"),
        made=made,
        squares=squares,
        best=() if made is None else tuple(map(tells_words, made.best)),
        measured=measured,
        weighed=weighed(bench, story, asked.job, measured),
        kept=kept_part(bench, story),
        address=str(query),
        given=asked.given,
        print_query=print_query(asked.given),
    )


def part_of(bench: Bench, story: Story, believed: Believed, asked: Asked) -> PartToPrint:
    """The part for this machine as this print starts and lifts."""
    step = story.job.step if story.job else 0

    def made() -> PartToPrint:
        return part_to_print(story.machine, believed, asked.job, np.random.default_rng(0))

    found: PartToPrint = bench.remembered(
        ("part", story.id, story.fingerprint, step, asked.job), made
    )
    return found


@dataclass(frozen=True, slots=True)
class SquareSaid:
    """One square of the part, its field, what was typed there and what it was taken as."""

    name: str
    title: str
    place: str
    layers: str
    told: str
    sound: str
    expected: str
    typed: str
    wrong: str
    measured: Measured | None


def _square(one: Patch, query: QueryParams) -> SquareSaid:
    name = f"{one.place}-{one.layers}"
    place = words.NAMED[one.place]
    layers = counted(one.layers, "layer")
    title = words.THICKNESS.format(place, layers)
    said = query.get(name, "").strip()[:LONGEST]
    wrong, measured = "", None
    if said:
        try:
            thick = number_in(Slide(name, title, "mm", 0.001, THICKEST_MM, 0, 0, 0), said)
            measured = Measured(one.place_mm, one.layers, thick)
        except InputError as problem:
            wrong = str(problem)
    return SquareSaid(
        name,
        title,
        words.FROM_LEFT.format(place, one.place_mm),
        layers,
        plain(one.told_mm, 2),
        plain(one.sound_mm, 2),
        span_mm(one.expected_mm).removesuffix(" mm"),
        said,
        wrong,
        measured,
    )


async def keep(request: Request) -> Response:
    """Keep what was measured with the machine, or leave what was kept out again."""
    form = await form_of(request)
    query = QueryParams(text(form, "address", most=LONGEST_ADDRESS))
    leave = text(form, "do") == "leave"
    return await run_in_threadpool(_keep, request, query, leave)


def _keep(request: Request, query: QueryParams, leave: bool) -> Response:
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=LONG_S)
    if leave:
        keep_part(bench, story, query, ())
        return see(f"/m/{story.id}")
    believed = believed_of(story)
    made = None if believed is None else part_of(bench, story, believed, asked_in(query)[0])
    squares = () if made is None else tuple(_square(one, query) for one in made.patches)
    measured = tuple(one.measured for one in squares if one.measured is not None)
    if len(measured) < FEWEST:
        return see(f"/m/{story.id}/foresee/part?{query}")
    keep_part(bench, story, query, measured)
    return see(f"/m/{story.id}#part")


def table(request: Request) -> Response:
    """The squares as a table to fill in."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=LONG_S)
    believed = believed_of(story)
    if believed is None:
        raise HTTPException(404)
    made = part_of(bench, story, believed, asked_in(request.query_params)[0])
    name = f"{file_stem(story.name)}-part.csv"
    return kept_file(write_part(made).encode(), "text/csv", name)


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/foresee/part", part, methods=["GET"]),
    Route("/m/{machine:number}/foresee/part/keep", keep, methods=["POST"]),
    Route("/m/{machine:number}/foresee/part.csv", table, methods=["GET"]),
]
