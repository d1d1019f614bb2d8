"""The plan: which set-ups are most worth the minutes there are, in walking order."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from plumbrise import __version__
from plumbrise.cautions import DEFER, MEASURING
from plumbrise.errors import InputError, InputErrors
from plumbrise.explain.plan import Plan
from plumbrise.explain.symptoms import SYMPTOMS
from plumbrise.files.plan import runs_of, worksheet_csv, worksheet_xlsx
from plumbrise.machine import known
from plumbrise.measure.at_hand import AS_DESCRIBED, AtHand, with_gauge
from plumbrise.measure.motion_program import motion_program
from plumbrise.measure.stroke import stroke_of
from plumbrise.readings.kinds import GAUGE_CHECK
from plumbrise.report.plan import looks, plan_steps, stroke_words, summary
from plumbrise.report.plan_pdf import plan_pdf
from plumbrise.web import fault_words, words
from plumbrise.web.begun import begun_plans
from plumbrise.web.bench import Bench, Story
from plumbrise.web.forms import form_of
from plumbrise.web.one_test import begin_one, to_readings
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.sheet import file_stem, kept_file, sheet_of
from plumbrise.web.work import Job

WAIT_S, LONG_S = 4.0, 60.0
"""How long a page waits for its plan, and how long what cannot be shown without one."""
MINUTES = (20, 40, 60, 90, 120)
LEAST_MINUTES, MOST_MINUTES = 5.0, 600.0


@dataclass(frozen=True, slots=True)
class Asked:
    """What a plan is made for."""

    minutes: float = 60.0
    symptoms: tuple[str, ...] = ()
    at_hand: AtHand = AS_DESCRIBED
    balance: bool = True
    blocks: bool = False
    stated: bool | None = None
    """Whether it starts from what the readings say; None: if they are explained by now. What is
    kept is then the plan that was seen, even if more is known meanwhile."""

    @property
    def query(self) -> str:
        """As it stands in an address."""
        pairs: list[tuple[str, str]] = [("minutes", f"{self.minutes:g}")]
        pairs += [("symptom", one) for one in self.symptoms]
        pairs += [(name, text) for name, text in self.gauge_typed.items() if text]
        pairs += [("balance", _yes(self.balance)), ("blocks", _yes(self.blocks))]
        pairs += [] if self.stated is None else [("stated", _yes(self.stated))]
        return urlencode(pairs)

    @property
    def gauge_typed(self) -> dict[str, str]:
        """What stands in the fields of the gauge at hand; empty where the machine's counts."""
        step, stroke = self.at_hand.resolution_mm, self.at_hand.stroke_mm
        return {
            "gauges": str(self.at_hand.at_once),
            "resolution": "" if step is None else f"{step:g}",
            "stroke": "" if stroke is None else f"{stroke:g}",
        }


def asked_in(query: QueryParams) -> Asked:
    """What an address or a form asks for.

    Raises:
        InputError: minutes that are none, or a gauge that is none.
    """
    said = query.get("minutes", "60").strip()
    minutes = _number_in(said)
    if minutes is None or not LEAST_MINUTES <= minutes <= MOST_MINUTES:
        raise InputError(
            place=words.MINUTES,
            value=said[:20],
            allowed=f"{LEAST_MINUTES:g} to {MOST_MINUTES:g}",
            remedy=fault_words.TIME_THERE_IS,
        )
    symptoms = tuple(dict.fromkeys(s for s in query.getlist("symptom") if s in SYMPTOMS))
    at_hand = AtHand(
        resolution_mm=_number_in(query.get("resolution", "").strip()),
        stroke_mm=_number_in(query.get("stroke", "").strip()),
        at_once=2 if query.get("gauges") == "2" else 1,
    )
    stated = {"yes": True, "no": False}.get(query.get("stated", ""))
    balance, blocks = query.get("balance", "yes") != "no", query.get("blocks") == "yes"
    return Asked(minutes, symptoms, at_hand, balance, blocks, stated)


def _number_in(said: str) -> float | None:
    """A number as typed; None for nothing, and one that nothing allows for what is none."""
    try:
        return float(said.replace(",", ".")) if said else None
    except ValueError:
        return float("nan")


def _yes(said: bool) -> str:
    return "yes" if said else "no"


def settled(story: Story, asked: Asked) -> Asked:
    """What is asked, with whether the plan starts from the readings said."""
    whole = story.explanation is not None and story.explanation.complete
    return replace(asked, stated=whole and asked.stated is not False)


def plan_of(bench: Bench, story: Story, asked: Asked, *, wait_s: float = WAIT_S) -> Job:
    """The plan as a job: it starts from what the readings say, where they are explained."""
    explanation = story.explanation
    arguments: dict[str, Any] = {
        "minutes": asked.minutes,
        "symptoms": asked.symptoms,
        "gauges": asked.at_hand.at_once,
        "balance": asked.balance,
        "blocks": asked.blocks,
    }
    if explanation is not None and asked.stated:
        arguments["stated"] = {c.cause: c.probability for c in explanation.causes}
        arguments["done"] = frozenset((r.kind.id, r.station.id) for r in story.readings.runs)
    machine = with_gauge(story.machine, asked.at_hand)
    job = bench.work.ask(_key(story, asked), "plan", machine, arguments)
    return bench.work.as_it_stands(bench.work.wait(job, wait_s))


def plan(request: Request) -> Response:
    """The plan, and what it is for."""
    bench = bench_of(request)
    machine_id = request.path_params["machine"]
    story = bench.story(machine_id, wait_s=WAIT_S)
    problems: tuple[InputError, ...] = ()
    try:
        asked = asked_in(request.query_params)
    except InputError as problem:
        asked, problems = Asked(), (problem,)
    asked = settled(story, asked)
    job = plan_of(bench, story, asked)
    made: Plan | None = job.best
    machine = with_gauge(story.machine, asked.at_hand)
    first = made.steps[0].set_up.station.id if made and made.steps else None
    return page(
        request,
        "plan.html",
        status=422 if problems else 200,
        **sheet_of(bench, story, "measure", station=None if first == "block" else first),
        asked=asked,
        described={
            "resolution": f"{float(known(story.machine, 'gauge.resolution_mm').value):g}",
            "stroke": f"{float(stroke_of(story.machine).value):g}",
        },
        symptoms=list(SYMPTOMS.values()),
        minutes=MINUTES,
        made=made,
        plan_job=job,
        summary=f"{summary(made)} {stroke_words(machine, made)}".rstrip() if made else "",
        steps=plan_steps(made, machine, gauges=asked.at_hand.at_once) if made else (),
        looks=looks(machine, made, asked.symptoms) if made else (),
        hazards=MEASURING,
        defer=DEFER,
        programs=_has_programs(story),
        problems=problems,
        begun=begun_plans(bench.shelf, machine_id),
    )


def plan_state(request: Request) -> Response:
    """How far planning is, for the page's script."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], explain=False)
    job = bench.work.find(_key(story, settled(story, asked_in(request.query_params))))
    state, step = (job.state, job.step) if job else ("none", 0)
    return JSONResponse({"state": state, "step": step, "mark": story.fingerprint[:16]})


def _key(story: Story, asked: Asked) -> str:
    """The name of the job that plans this."""
    return f"plan-{story.fingerprint}-{asked.query}"


def _has_programs(story: Story) -> bool:
    return story.machine.travel.height_mm is not None


async def begin(request: Request) -> Response:
    """Keep the plan on the shelf and go to the readings."""
    form = await form_of(request)
    query = QueryParams([(k, v) for k, v in form.multi_items() if isinstance(v, str)])
    story, asked = await _planned(request, query)
    return see(await run_in_threadpool(_begun, bench_of(request), story, asked))


def _begun(bench: Bench, story: Story, asked: Asked) -> str:
    return to_readings(bench, story.id, worksheet_csv(_made(bench, story, asked), asked.at_hand))


async def _planned(request: Request, query: QueryParams) -> tuple[Story, Asked]:
    """The machine and what is asked, once the plan is made, or after long; no thread waits."""
    bench, asked = bench_of(request), asked_in(query)
    story = await bench.explained(request.path_params["machine"], WAIT_S)
    asked = settled(story, asked)
    job = await run_in_threadpool(plan_of, bench, story, asked, wait_s=0.0)
    await bench.work.ended(job.key, LONG_S)
    return story, asked


def _made(bench: Bench, story: Story, asked: Asked) -> Plan:
    made = plan_of(bench, story, asked, wait_s=0.0).best
    if not isinstance(made, Plan) or not made.steps:
        raise InputError(
            place=words.MINUTES,
            value=f"{asked.minutes:g}",
            allowed=fault_words.TIME_FOR_ONE,
            remedy=fault_words.MORE_MINUTES,
        )
    return made


async def document(request: Request) -> Response:
    """The plan as PDF, or its worksheets."""
    story, asked = await _planned(request, request.query_params)
    return await run_in_threadpool(_document, request, story, asked)


def _document(request: Request, story: Story, asked: Asked) -> Response:
    bench, kind = bench_of(request), request.path_params["file"]
    made = _made(bench, story, asked)
    stem = file_stem(story.name)
    if kind == "plan.pdf":
        data = plan_pdf(
            with_gauge(story.machine, asked.at_hand),
            made,
            when=bench.now().date().isoformat(),
            version=__version__,
            symptoms=asked.symptoms,
            gauges=asked.at_hand.at_once,
        )
        return kept_file(data, "application/pdf", f"{stem}-plan.pdf")
    if kind == "worksheet.csv":
        return kept_file(
            worksheet_csv(made, asked.at_hand).encode(), "text/csv", f"{stem}-worksheet.csv"
        )
    if kind == "worksheet.xlsx":
        media = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
        return kept_file(worksheet_xlsx(made, asked.at_hand), media, f"{stem}-worksheet.xlsx")
    raise HTTPException(404)


async def program(request: Request) -> Response:
    """The motion program of one set-up of the plan, proved safe for this machine."""
    story, asked = await _planned(request, request.query_params)
    return await run_in_threadpool(_program, request, story, asked)


def _program(request: Request, story: Story, asked: Asked) -> Response:
    made = _made(bench_of(request), story, asked)
    runs = runs_of(made).runs
    number = request.path_params["number"]
    if not 1 <= number <= len(runs) or runs[number - 1].kind is GAUGE_CHECK:
        raise HTTPException(404)
    run = runs[number - 1]
    try:
        text = motion_program(with_gauge(story.machine, asked.at_hand), run).text
    except (InputError, InputErrors) as problem:
        return page(request, "fault.html", status=422, title=words.NO_PROGRAM, lines=[str(problem)])
    name = f"{file_stem(story.name)}-{number:02}-{file_stem(run.name)}.gcode"
    return kept_file(text.encode(), "text/plain", name)


def worksheet(request: Request) -> Response:
    """The worksheet of a plan on the shelf, to be filled in and pasted."""
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], explain=False)
    found = next(
        (p for p in bench.shelf.plans(story.id) if p.id == request.path_params["plan"]), None
    )
    if found is None:
        raise HTTPException(404)
    return kept_file(found.text.encode(), "text/csv", f"{file_stem(story.name)}-worksheet.csv")


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/plan", plan, methods=["GET"]),
    Route("/m/{machine:number}/plan", begin, methods=["POST"]),
    Route("/m/{machine:number}/plan/one", begin_one, methods=["POST"]),
    Route("/m/{machine:number}/plan/run.json", plan_state, methods=["GET"]),
    Route("/m/{machine:number}/measure/{plan:number}/worksheet.csv", worksheet, methods=["GET"]),
    Route("/m/{machine:number}/plan/files/{file}", document, methods=["GET"]),
    Route("/m/{machine:number}/plan/programs/{number:number}", program, methods=["GET"]),
]
