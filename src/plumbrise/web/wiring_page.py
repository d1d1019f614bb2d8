"""The wiring sheet: a harness judged before power, reading by reading; with or without a machine.

The sheet is one form that holds the whole harness file. With a machine it is kept on the shelf;
without one nothing is kept, and the file is taken away at the end.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.cautions import DEFER
from plumbrise.drawing.harness import NARROW_PX, WIDE_PX, harness_drawing
from plumbrise.errors import InputError, InputErrors
from plumbrise.files.decoding import text_of
from plumbrise.files.wiring import wiring_dict
from plumbrise.report.wiring import CAUTIONS, FIRST, OUTSIDE
from plumbrise.web import wiring_words as words
from plumbrise.web.bench import Bench
from plumbrise.web.build_kept import wiring_went_bad
from plumbrise.web.forms import form_of, text, upload
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.picture import Picture, picture
from plumbrise.web.sheet import file_stem, kept_file, sheet_of
from plumbrise.web.wiring_asked import FIELDS, MOST_LETTERS, acted, beginning, text_after
from plumbrise.web.wiring_kept import Judged, judged, keep_harness, kept_harness
from plumbrise.web.wiring_said import said_of

Problems = tuple[InputError, ...]


def alone(request: Request) -> Response:
    """The sheet for somebody with no machine described."""
    given = request.query_params
    begun = example() if "example" in given else beginning(None) if "begin" in given else ""
    return _sheet(request, None, begun)


def of_machine(request: Request) -> Response:
    """The sheet of a machine."""
    bench, machine_id = bench_of(request), request.path_params["machine"]
    kept = kept_harness(bench, machine_id)
    if not kept and "begin" in request.query_params:
        kept = beginning(bench.shelf.machine(machine_id))
    return _sheet(request, machine_id, kept, entered="next" in request.query_params)


def example() -> str:
    """The harness of the invented machine, with a fault of our own choosing."""
    return files("plumbrise.demo").joinpath("harness.toml").read_text(encoding="utf-8")


def _sheet(
    request: Request,
    machine_id: int | None,
    given: str,
    problems: Problems = (),
    entry: Problems = (),
    form: Mapping[str, str] | None = None,
    entered: bool = False,
) -> Response:
    """The sheet of a harness file.

    Args:
        request: the request.
        machine_id: the machine that it is of.
        given: the file's text, "" for none yet.
        problems: what is wrong with the text.
        entry: what is wrong with the reading that was entered.
        form: what was typed, where it is wrong.
        entered: something was entered just now, and the next comes.
    """
    bench = bench_of(request)
    found = None
    if given.strip() and not problems:
        found = judged(bench, given)
    about: dict[str, Any] = {"machines": bench.shelf.machines()} if machine_id is None else {}
    if machine_id is not None:
        about = sheet_of(bench, bench.story(machine_id), "build")
    return page(
        request,
        "wiring.html" if machine_id is None else "wiring_of_machine.html",
        status=422 if problems or entry else 200,
        **about,
        machine_id=machine_id,
        text=given,
        problems=problems,
        entry=entry,
        entered=entered or bool(entry),
        files=FILES,
        first=FIRST,
        cautions=CAUTIONS,
        outside=(OUTSIDE, DEFER),
        said=None if found is None else said_of(found.harness, found.answer, form or {}),
        picture=None if found is None else _picture(bench, found),
    )


def _picture(bench: Bench, found: Judged) -> Picture:
    def drawn(prefix: str, width: int) -> str:
        return harness_drawing(found.harness, found.answer, prefix=prefix, narrow=width < WIDE_PX)

    made: Picture = bench.remembered(
        ("harness drawn", found.text),
        lambda: picture("harness", drawn, wide_px=int(WIDE_PX), narrow_px=int(NARROW_PX)),
    )
    return made


async def typed_alone(request: Request) -> Response:
    """What was typed on the sheet of no machine."""
    return await _typed(request, None)


async def typed_of_machine(request: Request) -> Response:
    """What was typed on a machine's sheet; kept."""
    return await _typed(request, request.path_params["machine"])


async def _typed(request: Request, machine_id: int | None) -> Response:
    form = await form_of(request)
    name, data = await upload(form, "file")
    return await run_in_threadpool(_taken, request, machine_id, form, name, data)


def _taken(
    request: Request, machine_id: int | None, sent: FormData, name: str, data: bytes
) -> Response:
    bench = bench_of(request)
    if machine_id is not None:
        bench.shelf.machine(machine_id)  # there is none: say so before anything is judged
    form = {one: text(sent, one) for one in FIELDS} | {"harness": _text(sent, name, data)}
    given = form["harness"]
    try:
        before = judged(bench, given).harness
    except InputErrors as several:
        return _sheet(request, machine_id, given, several.problems)
    try:
        made = text_after(acted(before, form), before, given)
    except InputErrors as several:
        return _sheet(request, machine_id, given, entry=several.problems, form=form)
    except InputError as problem:
        return _sheet(request, machine_id, given, entry=(problem,), form=form)
    to = text(sent, "machine") if form["do"] == "take" else ""
    if to.isascii() and to.isdigit() and len(to) < 10:
        machine_id = int(to)
        bench.shelf.machine(machine_id)
    if machine_id is None:
        return _sheet(request, None, made, entered=made != given)
    keep_harness(bench, machine_id, made)
    wiring_went_bad(bench, machine_id, when=bench.now().astimezone().isoformat(timespec="minutes"))
    return see(f"/m/{machine_id}/wiring{'?next=yes' if made != given else ''}")


def _text(form: FormData, name: str, data: bytes) -> str:
    """The harness file: the one that was chosen, else what stands in the field."""
    if len(data) > MOST_LETTERS:
        raise InputError(
            place=name,
            value=f"{len(data)} bytes",
            allowed=f"up to {MOST_LETTERS}",
            remedy="A harness file is a page or two. Look whether this is one.",
        )
    if data:
        return text_of(data, name=name).text
    return text(form, "harness", most=MOST_LETTERS)


async def kept(request: Request) -> Response:
    """The harness as a file: as typed, as a drawing, or as a verdict for `build --wiring`."""
    form = await form_of(request)
    kind = request.path_params["file"]
    given = text(form, "harness", most=MOST_LETTERS)
    return await run_in_threadpool(_file, bench_of(request), kind, given)


def _file(bench: Bench, kind: str, given: str) -> Response:
    if kind not in FILES:
        raise HTTPException(404)
    if kind == "harness.toml":
        return kept_file(given.encode(), "application/toml", kind)
    found = judged(bench, given)
    stem = file_stem(found.harness.name) if found.harness.name else "harness"
    if kind == "harness.svg":
        drawn = harness_drawing(found.harness, found.answer, theme="print")
        return kept_file(drawn.encode(), "image/svg+xml", f"{stem}-harness.svg")
    verdict = json.dumps(wiring_dict(found.answer), ensure_ascii=False, indent=2)
    return kept_file(f"{verdict}\n".encode(), "application/json", f"{stem}-verdict.json")


FILES = {
    "harness.toml": words.KEEP_FILE,
    "harness.svg": words.KEEP_DRAWING,
    "verdict.json": words.KEEP_VERDICT,
}
"""What can be kept of a harness, and what each is."""

ROUTES: list[BaseRoute] = [
    Route("/wiring", alone, methods=["GET"]),
    Route("/wiring", typed_alone, methods=["POST"]),
    Route("/wiring/files/{file}", kept, methods=["POST"]),
    Route("/m/{machine:number}/wiring", of_machine, methods=["GET"]),
    Route("/m/{machine:number}/wiring", typed_of_machine, methods=["POST"]),
]
