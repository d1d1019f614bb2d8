"""The drawing sheet of one machine: its answer, its links, its stations, its documents."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from plumbrise import __version__
from plumbrise.errors import InputError
from plumbrise.files import write_machine, write_readings
from plumbrise.report import html_report, pdf_report
from plumbrise.report.contents import contents
from plumbrise.report.pictures import Pictures
from plumbrise.report.setting import strings
from plumbrise.web.bench import Bench, Story
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.sheet_drawing import Sheet, sheet_drawing
from plumbrise.web.title_block import title_block

WAIT_S = 0.6
"""How long a page waits for an answer before it shows what there is."""


def answer(request: Request) -> Response:
    """The sheet with nothing pressed: the answer, its causes, what to read next."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=WAIT_S)
    return page(request, "answer.html", **_sheet(bench, story, "answer"), r=told(bench, story))


def _sheet(
    bench: Bench, story: Story, here: str, *, link: str | None = None, station: str | None = None
) -> dict[str, Any]:
    """What every sheet of a machine needs."""
    return {
        "story": story,
        "here": here,
        "job": story.job,
        "drawing": drawing_of(bench, story, link, station),
        "block": title_block(story),
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
    found: dict[str, Any] = bench.remembered(
        ("told", story.fingerprint, story.id, story.job.step),
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


def run_state(request: Request) -> Response:
    """How far explaining is, for the page's script."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], explain=False)
    if story.job is None:
        return JSONResponse({"state": "none", "step": 0})
    return JSONResponse({"state": story.job.state, "step": story.job.step})


async def run(request: Request) -> Response:
    """Stop explaining, or begin again."""
    form = await request.form()
    machine_id = request.path_params["machine"]
    await run_in_threadpool(_run, bench_of(request), machine_id, str(form.get("do", "")))
    return see(f"/m/{machine_id}")


def _run(bench: Bench, machine_id: int, do: str) -> None:
    story = bench.story(machine_id, explain=False)
    key = f"explain-{story.fingerprint}"
    if do == "stop":
        bench.work.stop(key)
    elif do == "again" and story.readings.count:
        bench.work.ask(key, "explain", story.machine, story.readings, again=True)


PAPERS = ("a4", "letter")


def document(request: Request) -> Response:
    """Report, machine file, readings table or drawing as a file."""
    bench = bench_of(request)
    kind = request.path_params["file"]
    if kind not in FILES:
        raise HTTPException(404)
    story = bench.story(request.path_params["machine"], wait_s=60.0 if "report" in kind else 0.0)
    stem = file_stem(story.name)
    if kind in ("machine.toml", "readings.csv"):
        toml, csv = bench.shelf.export(story.id)
        content, media = (toml, "application/toml") if kind == "machine.toml" else (csv, "text/csv")
        return _file(content.encode(), media, f"{stem}-{kind}")
    if story.explanation is None or story.analysis is None:
        raise InputError(
            place="report",
            value="no answer yet",
            allowed="a machine with readings that are explained",
            remedy="Take readings or paste a table, and let it be worked out.",
        )
    session = (story.machine, story.readings, story.analysis, story.explanation)
    about: dict[str, Any] = {
        "when": bench.now().date().isoformat(),
        "version": __version__,
        "machine_text": write_machine(story.machine),
        "readings_text": write_readings(story.readings),
    }
    if kind == "report.html":
        return _file(html_report(*session, **about).encode(), "text/html", f"{stem}-report.html")
    if kind == "report.pdf":
        paper = request.query_params.get("paper", "a4")
        data = pdf_report(*session, paper="letter" if paper == "letter" else "a4", **about)
        return _file(data, "application/pdf", f"{stem}-report.pdf")
    from plumbrise.drawing import load_path, mark

    marking = mark(story.machine, story.readings, story.explanation, story.analysis)
    svg = load_path(story.machine, marking, theme="print")
    return _file(svg.encode(), "image/svg+xml", f"{stem}-load-path.svg")


def file_stem(name: str) -> str:
    """A machine's name as the beginning of a file name: letters, digits and dashes.

    Example:
        >>> file_stem("Shed printer (2)"), file_stem("../..")
        ('shed-printer-2', 'machine')
    """
    kept = "".join(c if c.isascii() and c.isalnum() else "-" for c in name.lower())
    return "-".join(part for part in kept.split("-") if part)[:40] or "machine"


def _file(content: bytes, media: str, name: str) -> Response:
    """A file to keep: never shown inside the bench's own origin."""
    return Response(
        content,
        media_type=media,
        headers={
            "content-disposition": f'attachment; filename="{name}"',
            "content-security-policy": "default-src 'none'; sandbox",
        },
    )


FILES = ("report.html", "report.pdf", "load-path.svg", "machine.toml", "readings.csv")

ROUTES: list[BaseRoute] = [
    Route("/m/{machine:int}", answer, methods=["GET"]),
    Route("/m/{machine:int}/run.json", run_state, methods=["GET"]),
    Route("/m/{machine:int}/run", run, methods=["POST"]),
    Route("/m/{machine:int}/files/{file}", document, methods=["GET"]),
]
