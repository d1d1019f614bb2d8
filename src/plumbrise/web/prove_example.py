"""The invented example goes on: its owner's readings after the work, brought to the shelf once."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from threading import Lock

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.demo import scenario
from plumbrise.files import read_machine, read_readings
from plumbrise.machine import Machine
from plumbrise.readings import scale_of
from plumbrise.web import prove_words as words
from plumbrise.web.bench import Bench
from plumbrise.web.pages import bench_of, see
from plumbrise.web.prove_sessions import keep_story

_ONE_AT_A_TIME = Lock()
"""A button that is pressed twice at once still brings in one session."""


@cache
def _invented() -> Machine:
    return scenario().machine


def is_invented(machine: Machine) -> bool:
    """Whether this is the machine of the invented example as it was before the work."""
    return machine == _invented()


def bring_in(request: Request) -> Response:
    """What the invented owner read after the work, on the shelf and compared."""
    bench, machine_id = bench_of(request), request.path_params["machine"]
    if not is_invented(bench.shelf.machine(machine_id)):
        raise HTTPException(404)
    with _ONE_AT_A_TIME:
        after = _after(bench)
    keep_story(bench, (str(machine_id), str(after)))
    return see(f"/m/{machine_id}/prove")


def _after(bench: Bench) -> int:
    """The machine of the shelf with these readings, put there if none is."""
    kept = files("plumbrise.demo").joinpath("session")
    text = kept.joinpath("after-machine.toml").read_text(encoding="utf-8")
    table = kept.joinpath("after-readings.csv").read_bytes()
    machine = read_machine(text, name="machine")
    count = read_readings(table, name="readings", scale=scale_of(machine)).count
    described = bench.shelf.described()
    for one in bench.shelf.machines():
        if one.readings == count and described.get(one.id) == machine:
            return one.id
    called = words.CALLED_AFTER.format(machine.name)
    return bench.shelf.import_(text, table, name=called, source="invented")


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/prove/example", bring_in, methods=["POST"]),
]
