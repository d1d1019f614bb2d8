"""The report sheet: what can be kept as files, and whether a print is foreseen in the report.

A print stands in the report as it was last foreseen, so nothing is typed again; the address of a
file holds it, so that the same address always gives the same report.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise import __version__
from plumbrise.errors import InputError
from plumbrise.files import write_machine, write_readings
from plumbrise.foresee import Forecast
from plumbrise.report import html_report, pdf_report
from plumbrise.report.foresee_words import changes_words, headline, job_words
from plumbrise.web import fault_words, foresee_words, words
from plumbrise.web.bench import Bench, Story
from plumbrise.web.build_kept import work_done
from plumbrise.web.foresee_asked import asked_in, print_query
from plumbrise.web.foresee_page import forecast_of, told
from plumbrise.web.pages import bench_of, page
from plumbrise.web.sheet import LONG_S, PAPERS, WAIT_S, file_stem, kept_file, sheet_of
from plumbrise.web.wiring_kept import wired_of

MOST_AFTERS = 9
"""How many machines to offer as what this one became."""
FORESEE, YES, NO = "foresee", "yes", "no"
"""Name in an address of whether a print is foreseen in the report, and its values."""
DATA = {"machine.toml": "application/toml", "readings.csv": "text/csv"}
FILES = ("report.html", "report.pdf", "load-path.svg", *DATA)


@dataclass(frozen=True, slots=True)
class PrintSaid:
    """The print that the report may foresee, as it would be asked for (`query`); what is said of
    it where it does (`said`), and why it cannot (`trouble`)."""

    query: str = ""
    said: tuple[str, ...] = ()
    trouble: str = ""


def report_sheet(request: Request) -> Response:
    """What can be kept as files."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], wait_s=WAIT_S)
    others = [one for one in bench.shelf.machines() if one.id != story.id and one.readings]
    printed = _print_in(bench, story, request.query_params)
    foreseen = f"{FORESEE}={YES}&{printed.query}".rstrip("&")
    return page(
        request,
        "report.html",
        **sheet_of(bench, story, "report"),
        others=others[-MOST_AFTERS:],
        in_a_pack=bench.came_in(story.id) is not None,
        printed=printed,
        report_files=tuple(
            (_with(file, foreseen) if printed.said and "report" in file else file, title, what)
            for file, title, what in words.REPORT_FILES
        ),
        choice=f"{FORESEE}={NO}" if printed.said else foreseen,
    )


def _with(address: str, query: str) -> str:
    return f"{address}{'&' if '?' in address else '?'}{query}"


def _print_in(bench: Bench, story: Story, query: QueryParams) -> PrintSaid:
    """The print that the sheet is asked for, or else the one that was last foreseen."""
    last = bench.printed.get(story.id)
    wanted = query.get(FORESEE)
    if wanted not in (YES, NO):
        wanted, query = (YES, QueryParams(last)) if last is not None else (NO, QueryParams())
    elif wanted == NO and last is not None:
        query = QueryParams(last)
    asked, wrong = asked_in(query)
    kept = print_query(asked.given, asked.changes)
    if wanted == NO:
        return PrintSaid(kept)
    found = told(bench, story, asked, wrong)
    if found.forecast is None or wrong:
        trouble = " ".join(wrong.values()) or found.trouble or foresee_words.WAITS_FOR_ANSWER
        return PrintSaid(kept, trouble=trouble)
    said = (
        job_words(found.forecast.job),
        headline(story.machine, found.forecast),
        *changes_words(story.machine, found.forecast),
    )
    return PrintSaid(kept, said)


async def document(request: Request) -> Response:
    """Report, machine file, readings table or drawing as a file."""
    kind = request.path_params["file"]
    if kind not in FILES:
        raise HTTPException(404)
    wait_s = LONG_S if "report" in kind else 0.0
    story = await bench_of(request).explained(request.path_params["machine"], wait_s)
    return await run_in_threadpool(_document, request, story, kind)


def _document(request: Request, story: Story, kind: str) -> Response:
    bench = bench_of(request)
    stem = file_stem(story.name)
    if kind in DATA:
        toml, csv = bench.shelf.export(story.id)
        content = toml if kind == "machine.toml" else csv
        return kept_file(content.encode(), DATA[kind], f"{stem}-{kind}")
    if story.explanation is None or story.analysis is None:
        raise InputError(
            place="report",
            value=fault_words.NO_ANSWER,
            allowed=fault_words.EXPLAINED_MACHINE,
            remedy=fault_words.GET_ANSWER,
        )
    if kind == "load-path.svg":
        from plumbrise.drawing import load_path, mark

        marking = mark(story.machine, story.readings, story.said, story.analysis)
        svg = load_path(story.machine, marking, theme="print")
        return kept_file(svg.encode(), "image/svg+xml", f"{stem}-{kind}")
    session = (story.machine, story.readings, story.analysis, story.explanation)
    about: dict[str, Any] = {
        "when": bench.now().date().isoformat(),
        "version": __version__,
        "machine_text": write_machine(story.machine),
        "readings_text": write_readings(story.readings),
        "forecast": _forecast(bench, story, request.query_params),
        "work": work_done(bench, story.id),
        "wired": wired_of(bench, story.id),
    }
    if kind == "report.html":
        return kept_file(html_report(*session, **about).encode(), "text/html", f"{stem}-{kind}")
    paper = request.query_params.get("paper", "")
    data = pdf_report(*session, paper=paper if paper in PAPERS else PAPERS[0], **about)
    return kept_file(data, "application/pdf", f"{stem}-{kind}")


def _forecast(bench: Bench, story: Story, query: QueryParams) -> Forecast | None:
    """The forecast of the print that an address asks for; None where it asks for none.

    Raises:
        InputError: no print, or one that does not fit the axis.
    """
    if query.get(FORESEE) != YES:
        return None
    asked, wrong = asked_in(query)
    if wrong:
        raise InputError(
            place=foresee_words.THE_PRINT,
            value=", ".join(query.get(name, "") for name in wrong),
            allowed=foresee_words.AS_THE_SHEET_ASKS,
            remedy=foresee_words.SET_IT_THERE,
        )
    return forecast_of(bench, story, asked.job, asked.changes)


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/report", report_sheet, methods=["GET"]),
    Route("/m/{machine:number}/files/{file}", document, methods=["GET"]),
]
