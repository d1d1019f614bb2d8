"""The readings: looked at set-up by set-up, mended, undone; more of them pasted."""

from __future__ import annotations

from dataclasses import replace
from secrets import token_urlsafe

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.drawing import chart_for
from plumbrise.errors import InputError, InputErrors
from plumbrise.files.cells import number_in
from plumbrise.machine import stations_of
from plumbrise.readings import KINDS
from plumbrise.report.figures_said import run_sentence
from plumbrise.report.pictures import following_the_page
from plumbrise.report.set_ups import plain_number
from plumbrise.store import Kept, ShelvedRun
from plumbrise.web import words
from plumbrise.web.bench import Bench, Story
from plumbrise.web.forms import form_of, text, upload
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.sheet import sheet_of

UNASKED = dict.fromkeys(("station", "test", "unit", "table"), "")
"""What stands in the fields before anything was typed."""
FURTHEST_MM = 1000.0
"""No dial shows more; a value beyond this is a slip of the finger."""


def readings(request: Request) -> Response:
    """All set-ups, and a field for more."""
    return _list(request, bench_of(request), request.path_params["machine"], UNASKED, ())


def _list(
    request: Request,
    bench: Bench,
    machine_id: int,
    typed: dict[str, str],
    problems: tuple[InputError, ...],
) -> Response:
    story = bench.story(machine_id)
    return page(
        request,
        "readings.html",
        status=422 if problems else 200,
        **sheet_of(bench, story, "readings"),
        runs=bench.shelf.runs(machine_id),
        remarks=story.readings.remarks,
        stations=stations_of(story.machine.arrangement),
        kinds=KINDS.values(),
        typed=typed,
        pasted=typed["table"],
        problems=problems,
    )


async def paste(request: Request) -> Response:
    """More readings for a machine, as a table."""
    form = await form_of(request)
    typed = {name: text(form, name) for name in ("station", "test", "unit")}
    typed["table"] = text(form, "table", most=2_000_000)
    name, data = await upload(form, "file")
    machine_id = request.path_params["machine"]
    return await run_in_threadpool(_pasted, request, machine_id, typed, data, name)


def _pasted(
    request: Request,
    machine_id: int,
    typed: dict[str, str],
    data: bytes,
    name: str,
) -> Response:
    bench = bench_of(request)
    try:
        bench.shelf.take_in(
            machine_id,
            data if name else typed["table"].encode("utf-8"),
            source=name or "pasted table",
            station=typed["station"] or None,
            test=typed["test"] or None,
            inches=typed["unit"] == "inch",
            some=True,
        )
    except InputErrors as several:
        return _list(request, bench, machine_id, typed, several.problems)
    except InputError as problem:
        return _list(request, bench, machine_id, typed, (problem,))
    return see(f"/m/{machine_id}/readings")


def run(request: Request) -> Response:
    """One set-up: its chart, its readings, and the one that is being mended."""
    return _run(request, bench_of(request), *_which(request), {}, "")


def _which(request: Request) -> tuple[int, int]:
    return request.path_params["machine"], request.path_params["run"]


def _header(bench: Bench, machine_id: int, run_id: int) -> ShelvedRun:
    found = next((one for one in bench.shelf.runs(machine_id) if one.id == run_id), None)
    if found is None:
        raise HTTPException(404)
    return found


def _run(
    request: Request, bench: Bench, machine_id: int, run_id: int, typed: dict[str, str], wrong: str
) -> Response:
    story = bench.story(machine_id)
    header = _header(bench, machine_id, run_id)
    rows = bench.shelf.kept(run_id)
    asked = typed.get("seq", request.query_params.get("mend", ""))
    mended = next((one for one in rows if str(one.reading.seq) == asked), None)
    analysed = story.analysis.runs if story.analysis else ()
    said = next((r for r in analysed if r.run.name == header.name), None)
    last = max(rows, key=lambda one: one.id, default=None)
    return page(
        request,
        "run.html",
        status=422 if wrong else 200,
        **sheet_of(bench, story, "readings", station=header.station.id),
        run=header,
        rows=[(one, plain_number(one.reading.target_mm), value_of(one)) for one in rows],
        extra=_extra(rows),
        mended=mended,
        typed=typed.get("value", value_of(mended) if mended else ""),
        note=typed.get("note", mended.reading.note if mended else ""),
        wrong=wrong,
        token=token_urlsafe(12),
        chart=_charts(story, header),
        sentence=run_sentence(said) if said else "",
        oddities=[o.words for o in said.oddities] if said else [],
        last=last,
        last_value=value_of(last) if last else "",
        number=plain_number,
    )


def value_of(kept: Kept) -> str:
    """What was read, as typed: a torque where that is what is read."""
    reading = kept.reading
    return plain_number(
        reading.torque_nmm if reading.torque_nmm is not None else reading.reading_mm
    )


def _extra(rows: tuple[Kept, ...]) -> dict[str, bool]:
    """Which columns say anything."""
    return {
        "mass": any(one.reading.mass_kg for one in rows),
        "force": any(one.reading.force_n for one in rows),
        "time": any(one.reading.time_s is not None for one in rows),
        "temp": any(one.reading.temp_c is not None for one in rows),
        "note": any(one.reading.note for one in rows),
    }


def _charts(story: Story, header: ShelvedRun) -> tuple[str, str] | None:
    """The set-up's chart in both widths, with the model's curve where there is one."""
    if story.analysis is None:
        return None
    found = next((one for one in story.analysis.runs if one.run.name == header.name), None)
    if found is None or len(found.run.taken) < 2:
        return None
    explanation = story.said
    fits = {fit.run: fit for fit in explanation.fits} if explanation else {}
    wide, narrow = (
        following_the_page(chart_for(found, fits.get(header.name), theme="light", width_px=px))
        for px in (820, 350)
    )
    return wide, narrow


async def mend(request: Request) -> Response:
    """Put another value in the place of one that was read, or strike it out."""
    form = await form_of(request)
    typed = {name: text(form, name) for name in ("seq", "value", "note", "token", "do")}
    return await run_in_threadpool(_mended, request, *_which(request), typed)


def _mended(request: Request, machine_id: int, run_id: int, typed: dict[str, str]) -> Response:
    bench = bench_of(request)
    header = _header(bench, machine_id, run_id)
    kept = next((k for k in bench.shelf.kept(run_id) if str(k.reading.seq) == typed["seq"]), None)
    if kept is None:
        raise HTTPException(404)
    strike = typed["do"] == "strike"
    value = None if strike else number_in(typed["value"].strip())
    if not strike and (value is None or abs(value) > FURTHEST_MM):
        wrong = words.NOT_A_READING.format(typed["value"][:40])
        return _run(request, bench, machine_id, run_id, typed, wrong)
    torque = kept.reading.torque_nmm is not None
    reading = replace(kept.reading, note=typed["note"][:400])
    reading = replace(reading, torque_nmm=value) if torque else replace(reading, reading_mm=value)
    ended = header.ended_at is not None
    bench.shelf.go_on(run_id)
    try:
        bench.shelf.mend(run_id, reading, token=typed["token"][:40] or None)
    except InputError as problem:
        return _run(request, bench, machine_id, run_id, typed, str(problem))
    finally:
        if ended:
            bench.shelf.end_run(run_id)
    return see(f"/m/{machine_id}/readings/{run_id}#r{reading.seq}")


async def undo(request: Request) -> Response:
    """Take the last thing kept in this set-up back."""
    form = await form_of(request)
    last = text(form, "last")
    machine_id, run_id = _which(request)
    await run_in_threadpool(_undone, bench_of(request), machine_id, run_id, last)
    return see(f"/m/{machine_id}/readings/{run_id}")


def _undone(bench: Bench, machine_id: int, run_id: int, last: str) -> None:
    header = _header(bench, machine_id, run_id)
    if last.isascii() and last.isdigit():
        bench.shelf.go_on(run_id)
        try:
            bench.shelf.take_back(run_id, reading_id=int(last))
        finally:
            if header.ended_at is not None:
                bench.shelf.end_run(run_id)


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/readings", readings, methods=["GET"]),
    Route("/m/{machine:number}/readings", paste, methods=["POST"]),
    Route("/m/{machine:number}/readings/{run:number}", run, methods=["GET"]),
    Route("/m/{machine:number}/readings/{run:number}/mend", mend, methods=["POST"]),
    Route("/m/{machine:number}/readings/{run:number}/undo", undo, methods=["POST"]),
]
