"""One test alone, the one that the answer names next: kept as a plan of its own, then read."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from plumbrise.explain.plan import Plan, PlannedSetUp
from plumbrise.files.plan import worksheet_csv
from plumbrise.measure.setups import candidates
from plumbrise.web.begun import way_on
from plumbrise.web.bench import Bench
from plumbrise.web.forms import form_of, text
from plumbrise.web.pages import bench_of, see


async def begin_one(request: Request) -> Response:
    """Keep the test that the form names and go to its readings."""
    form = await form_of(request)
    test, station = text(form, "test"), text(form, "station")
    return see(await run_in_threadpool(_begun, request, test, station))


def _begun(request: Request, test: str, station: str) -> str:
    bench = bench_of(request)
    story = bench.story(request.path_params["machine"], explain=False)
    for one in candidates(story.machine):
        if (one.kind.id, one.station.id) == (test, station):
            alone = PlannedSetUp(one, one.minutes, "", (), (), 1.0)
            made = Plan((alone,), one.minutes, 0.0, 0.0, ())
            return to_readings(bench, story.id, worksheet_csv(made))
    raise HTTPException(404)


def to_readings(bench: Bench, machine_id: int, worksheet: str) -> str:
    """Where the readings of a worksheet are taken, once it is kept; the same is kept once."""
    alike = [p.id for p in bench.shelf.plans(machine_id) if p.text == worksheet]
    kept = alike[-1] if alike else None  # one begun anew is the last
    plan_id = kept if kept is not None else bench.shelf.add_plan(machine_id, worksheet)
    return way_on(machine_id, plan_id)
