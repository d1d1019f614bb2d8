"""The drawing sheet of one machine: its answer, its links, its stations."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from plumbrise import __version__
from plumbrise.explain.causes import CAUSES
from plumbrise.machine import stations_of
from plumbrise.report.answer import act_now_sentence, shown_causes
from plumbrise.report.contents import contents
from plumbrise.report.pictures import Pictures
from plumbrise.report.setting import strings
from plumbrise.web.begun import begun_plans
from plumbrise.web.bench import Bench, Story, job_key
from plumbrise.web.build_kept import brief
from plumbrise.web.foresee_kept import kept_part
from plumbrise.web.links import links_of, said_of_cause, said_of_link, said_of_station
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.sheet_drawing import Sheet, sheet_drawing
from plumbrise.web.title_block import title_block

STOPPED_EARLY = "The search was stopped early."
"""As an explanation says it."""
WAIT_S = 0.6
"""How long a page waits for an answer before it shows what there is."""
LONG_S = 60.0
"""How long what cannot be made without one."""


def answer(request: Request) -> Response:
    """The sheet with nothing pressed: the answer, its causes, what to read next."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=WAIT_S)
    explanation = story.said
    shown = shown_causes(explanation) if explanation else ()
    return page(
        request,
        "answer.html",
        **sheet_of(bench, story, "answer"),
        r=told(bench, story),
        act_now=act_now_sentence(explanation) if explanation and not explanation.next_tests else "",
        cause_ids=[cause.cause for cause in shown],
        runs=bench.shelf.runs(story.id),
        begun=begun_plans(bench.shelf, story.id),
        part=kept_part(bench, story),
    )


def sheet_of(
    bench: Bench, story: Story, here: str, *, link: str | None = None, station: str | None = None
) -> dict[str, Any]:
    """What every sheet of a machine needs, for a template that extends machine_sheet.html.

    Args:
        bench: the bench.
        story: the machine.
        here: which cell of the title block this sheet is.
        link: the link that is pressed.
        station: the station that is pressed.
    """
    return {
        "story": story,
        "here": here,
        "job": story.job,
        "drawing": drawing_of(bench, story, link, station),
        "block": title_block(
            story,
            foreseen=bench.last_print(story),
            redesigned=bench.redesigned(story),
            built=brief(bench, story.id),
            proved=bench.last_proof(story),
        ),
    }


def drawing_of(
    bench: Bench, story: Story, link: str | None = None, station: str | None = None
) -> Sheet:
    """The load path drawing with its links, in both widths."""
    step = story.job.step if story.job else 0
    found: Sheet = bench.remembered(
        ("drawing", story.fingerprint, story.id, step, link, station),
        lambda: sheet_drawing(story, link, station),
    )
    return found


def told(bench: Bench, story: Story) -> dict[str, Any] | None:
    """All that a report would say, None before there is a first answer."""
    if story.explanation is None or story.analysis is None or story.job is None:
        return None
    explanation, analysis = story.explanation, story.analysis
    stopped = story.job.state == "stopped"
    if not story.job.ended:  # a first answer that is still being bettered was stopped by nobody
        doubts = tuple(d for d in explanation.doubts if d != STOPPED_EARLY)
        explanation = replace(explanation, doubts=doubts)
    found: dict[str, Any] = bench.remembered(
        ("told", story.fingerprint, story.id, story.job.step, stopped),
        lambda: strings(
            contents(
                story.machine,
                story.readings,
                analysis,
                explanation,
                pictures=Pictures(width_px=560, narrow_px=340, follows_page=True),
                when=bench.now().date().isoformat(),
                version=__version__,
                machine_text="",
                readings_text="",
            )
        ),
    )
    return found


def link(request: Request) -> Response:
    """The sheet with a link pressed."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=WAIT_S)
    pressed = request.path_params["link"]
    if pressed not in links_of(story.machine):
        raise HTTPException(404)
    return page(
        request,
        "link.html",
        **sheet_of(bench, story, "answer", link=pressed),
        said=said_of_link(story, pressed),
    )


def station(request: Request) -> Response:
    """The sheet with a station pressed."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=WAIT_S)
    pressed = request.path_params["station"]
    if pressed not in {one.id for one in stations_of(story.machine.arrangement)}:
        raise HTTPException(404)
    return page(
        request,
        "station.html",
        **sheet_of(bench, story, "answer", station=pressed),
        said=said_of_station(story, pressed),
        run_ids=run_ids(bench, story.id),
    )


def cause(request: Request) -> Response:
    """The sheet with a cause pressed: what speaks for and against it."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=WAIT_S)
    pressed = request.path_params["cause"]
    found = next(
        (c for c in (story.said.causes if story.said else ()) if c.cause == pressed),
        None,
    )
    if found is None:
        raise HTTPException(404)
    at = CAUSES[pressed].link
    return page(
        request,
        "cause.html",
        **sheet_of(bench, story, "answer", link=at if at in links_of(story.machine) else None),
        said=said_of_cause(story, found),
    )


def run_ids(bench: Bench, machine_id: int) -> dict[str, int]:
    """The shelf's number of each run, by its name."""
    return {run.name: run.id for run in bench.shelf.runs(machine_id)}


def run_state(request: Request) -> Response:
    """How far explaining is, for the page's script."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], explain=False)
    state, step = (story.job.state, story.job.step) if story.job else ("none", 0)
    return JSONResponse({"state": state, "step": step, "mark": story.fingerprint[:16]})


async def run(request: Request) -> Response:
    """Stop explaining, or begin again."""
    form = await request.form()
    machine_id = request.path_params["machine"]
    await run_in_threadpool(_run, bench_of(request), machine_id, str(form.get("do", "")))
    return see(f"/m/{machine_id}")


def _run(bench: Bench, machine_id: int, do: str) -> None:
    story = bench.story(machine_id, explain=False)
    key = job_key(machine_id, story.fingerprint)
    if do == "stop":
        bench.work.stop(key)
    elif do == "again" and story.readings.count:
        bench.begin(machine_id, key, story.machine, story.readings, again=True)


PAPERS = ("a4", "letter")


def file_stem(name: str) -> str:
    """A machine's name as the beginning of a file name: letters, digits and dashes.

    Example:
        >>> file_stem("Shed printer (2)"), file_stem("../..")
        ('shed-printer-2', 'machine')
    """
    kept = "".join(c if c.isascii() and c.isalnum() else "-" for c in name.lower())
    return "-".join(part for part in kept.split("-") if part)[:40] or "machine"


def kept_file(content: bytes, media: str, name: str) -> Response:
    """A file to keep: never shown inside the bench's own origin."""
    return Response(
        content,
        media_type=media,
        headers={
            "content-disposition": f'attachment; filename="{name}"',
            "content-security-policy": "default-src 'none'; sandbox",
        },
    )


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}", answer, methods=["GET"]),
    Route("/m/{machine:number}/link/{link}", link, methods=["GET"]),
    Route("/m/{machine:number}/station/{station}", station, methods=["GET"]),
    Route("/m/{machine:number}/cause/{cause}", cause, methods=["GET"]),
    Route("/m/{machine:number}/run.json", run_state, methods=["GET"]),
    Route("/m/{machine:number}/run", run, methods=["POST"]),
]
