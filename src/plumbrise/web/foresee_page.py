"""The foresee sheet: what a print will show, answered anew with every move of a slider.

Axes are drawn once for a machine and its readings and kept; a print is laid on them in the
request, since that takes a fraction of a second.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass, replace

import numpy as np
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.cautions import DEFER, HOT_PARTS, PINCH
from plumbrise.errors import InputError
from plumbrise.explain import Believed
from plumbrise.foresee import (
    Axes,
    Forecast,
    Print,
    axes_of,
    foresee_from_readings,
    foresee_on,
)
from plumbrise.foresee.spacing import what_fits
from plumbrise.machine import Machine
from plumbrise.redesign import CATALOGUE, Change
from plumbrise.redesign.foreseen import BeforeAfter, before_and_after, foresee_after
from plumbrise.web import foresee_words as words
from plumbrise.web.bench import Bench, Story
from plumbrise.web.foresee_asked import (
    AFTER,
    FIELDS,
    LAYER_TIME,
    LIFTS,
    LONGEST,
    MAIN,
    MORE,
    SLIDES,
    SPACING,
    STARTS,
    Asked,
    asked_in,
    print_query,
)
from plumbrise.web.foresee_drawing import pictures_of
from plumbrise.web.foresee_kept import believed_of, ready
from plumbrise.web.foresee_said import FitsSaid, fits_said, said_of
from plumbrise.web.forms import tidy
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.sheet import LONG_S, WAIT_S, file_stem, kept_file, sheet_of
from plumbrise.web.slides import Slide, fault
from plumbrise.web.words import TOO_FEW

CAUTIONS = (PINCH, HOT_PARTS)


def foresee(request: Request) -> Response:
    """The sheet: what is printed, and what comes of it."""
    tidied = tidy(request)
    if tidied:
        return see(tidied)
    bench, query = bench_of(request), request.query_params
    asked, wrong = asked_in(query)
    story = bench.story(request.path_params["machine"], wait_s=WAIT_S)
    believed = believed_of(story)
    found = told(bench, story, asked, wrong)
    fits = _fits(story, asked)
    said = None if found.forecast is None else said_of(story.machine, found.forecast)
    if said is not None and not asked.changes:
        bench.foreseen[story.id] = (story.fingerprint, said.brief)
    if said is not None and not wrong:
        bench.printed[story.id] = print_query(asked.given, asked.changes)
    typed = {n: (query.get(n, "")[:LONGEST] or _usual(one)) for n, one in SLIDES.items()}
    return page(
        request,
        "foresee.html",
        status=422 if wrong else 200,
        **sheet_of(bench, story, "foresee"),
        asked=asked,
        wrong=wrong,
        typed=typed,
        main=_main(story),
        more=MORE,
        measured=(SPACING, LAYER_TIME),
        choices=(("start", words.STARTS, STARTS), ("lift", words.LIFTS, LIFTS)),
        more_asked=asked.job.spiral
        or any(one.name in wrong or typed[one.name] != _usual(one) for one in MORE),
        ready=ready(story),
        trouble=found.trouble,
        said=said,
        pictures=pictures_of(story.machine, found.forecast) if found.forecast else None,
        fits=fits,
        part=believed is not None,
        no_travel=story.machine.travel.height_mm is None,
        changes=() if believed is None else changes_for(story.machine),
        print_query=print_query(asked.given),
        lines_query=print_query(asked.given, asked.changes),
        cautions=CAUTIONS,
        defer=DEFER,
    )


@dataclass(frozen=True, slots=True)
class Told:
    """A forecast, or why there is none."""

    forecast: Forecast | None = None
    trouble: str = ""


def told(bench: Bench, story: Story, asked: Asked, wrong: dict[str, str]) -> Told:
    """The forecast of what is asked. What does not fit this axis is added to `wrong`, and its
    usual value stands in."""
    if not ready(story):
        return Told()
    job, changes, usual = asked.job, asked.changes, Print()
    while True:  # each time one thing that does not fit is left out
        try:
            return Told(forecast_of(bench, story, job, changes))
        except InputError as problem:
            name = {of: name for name, of in FIELDS.items()}.get(problem.place)
            at = problem.place
            if name is not None and getattr(job, at) != getattr(usual, at):
                wrong[name] = fault(SLIDES[name].title, problem)
                job = replace(job, **{at: getattr(usual, at)})
            elif at == AFTER and changes:
                wrong[AFTER] = fault(words.AFTER_CHANGES, problem)
                changes = ()
            else:
                return Told(trouble=TOO_FEW if at == "readings" else str(problem))


def changes_for(machine: Machine) -> tuple[Change, ...]:
    """The changes after which this axis can be foretold."""
    return tuple(one for one in CATALOGUE.values() if not one.in_slicer and one.applies_to(machine))


def forecast_of(bench: Bench, story: Story, job: Print, changes: tuple[str, ...] = ()) -> Forecast:
    """What this axis makes of a print, as it is or after changes.

    Raises:
        InputError: the readings tell too little; the print does not fit the axis; changes that do
            not go with it, or not together.
    """
    believed = believed_of(story)
    if believed is None and changes:
        raise InputError(
            place=AFTER,
            value=", ".join(changes),
            allowed=words.NOT_AFTER,
            remedy=words.AFTER_NEEDS,
        )
    if believed is None:
        rng = np.random.default_rng(0)
        return foresee_from_readings(story.machine, story.readings, job, rng=rng)

    def drawn() -> tuple[Axes, np.random.Generator]:
        rng = np.random.default_rng(0)
        return axes_of(believed, rng), rng

    step = story.job.step if story.job else 0
    if changes:
        return _after(bench, story, believed, job, changes, step)
    axes, rng = bench.remembered(("axes", story.id, story.fingerprint, step), drawn)
    # every print from the same chance: two differ by what was asked, and agree with the terminal
    return foresee_on(story.machine, axes, job, rng=deepcopy(rng))


def _after(
    bench: Bench,
    story: Story,
    believed: Believed,
    job: Print,
    changes: tuple[str, ...],
    step: int,
) -> Forecast:
    def drawn() -> tuple[BeforeAfter, np.random.Generator]:
        rng = np.random.default_rng(0)
        return before_and_after(story.machine, believed, changes, rng, place=AFTER), rng

    axes, rng = bench.remembered(("axes", story.id, story.fingerprint, step, changes), drawn)
    return foresee_after(axes, job, deepcopy(rng))


def _fits(story: Story, asked: Asked) -> FitsSaid | None:
    if asked.spacing_mm is None:
        return None
    return fits_said(
        what_fits(
            story.machine,
            spacing_mm=asked.spacing_mm,
            layer_mm=asked.job.layer_mm,
            layer_s=asked.layer_s,
        )
    )


def _main(story: Story) -> tuple[Slide, ...]:
    """The fields that are always seen; the part stands somewhere between the guides."""
    believed = believed_of(story)
    if believed is None:
        return tuple(one for one in MAIN if one.name != "place")
    place = replace(SLIDES["place"], high=round(believed.base.span_mm))
    return tuple(place if one.name == "place" else one for one in MAIN)


def _usual(slide: Slide) -> str:
    """What is taken where nothing is typed; "" where that is a thing of its own."""
    value = getattr(Print(), FIELDS[slide.name]) if slide.name in FIELDS else None
    return "" if value is None else f"{value:g}"


def lines(request: Request) -> Response:
    """The motion lines of a remedy, as a file."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=LONG_S)
    asked, wrong = asked_in(request.query_params)
    found = told(bench, story, asked, wrong).forecast
    wanted = request.path_params["remedy"]
    remedy = next((one for one in (found.remedies if found else ()) if one.id == wanted), None)
    if remedy is None or not remedy.lines or wrong:
        raise HTTPException(404)
    text = "\n".join(remedy.lines) + "\n"
    name = f"{file_stem(story.name)}-{remedy.id}.gcode"
    return kept_file(text.encode(), "text/plain", name)


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/foresee", foresee, methods=["GET"]),
    Route("/m/{machine:number}/foresee/lines/{remedy}", lines, methods=["GET"]),
]
