"""The machine part by part: every field may stay unknown, and says what is then taken instead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from plumbrise.errors import InputError, InputErrors
from plumbrise.files import machine_from, machine_remarks, write_machine
from plumbrise.files.machine_fields import FIELDS, PARTS, PER_SIDE, Field
from plumbrise.files.machine_typed import DO_NOT_KNOW, set_in
from plumbrise.files.machine_writing import applies, machine_dict
from plumbrise.machine import ARRANGEMENTS, Machine, PerSide
from plumbrise.web import fault_words
from plumbrise.web.bench import Bench
from plumbrise.web.forms import form_of, text
from plumbrise.web.pages import bench_of, page, see
from plumbrise.web.sheet import sheet_of

ALL = "all"
"""In an address: the part of every screw, not of one side."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One field as the page asks for it: what stands in it, and what is wrong with that."""

    field: Field
    value: str
    wrong: str = ""

    @property
    def wide(self) -> bool:
        """Several lines."""
        return self.field.takes == "lines"

    @property
    def choices(self) -> tuple[str, ...]:
        """The words to choose from; none for what is typed."""
        return ("yes", "no") if self.field.takes == "yes-no" else self.field.choices


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part in the list: what is known of it and how much is not."""

    id: str
    known: str
    unknown: int


def machine(request: Request) -> Response:
    """All parts, what is known of each."""
    return _list(request, bench_of(request), request.path_params["machine"], {}, ())


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
        "machine.html",
        status=422 if problems else 200,
        **sheet_of(bench, story, "machine"),
        lines=[_line(story.machine, part) for part in PARTS],
        remarks=machine_remarks(story.machine),
        before=bench.shelf.descriptions_before(machine_id),
        arrangements=list(ARRANGEMENTS.values()),
        typed={
            "name": typed.get("name", story.machine.name),
            "note": typed.get("note", story.machine.note),
            "arrangement": typed.get("arrangement", story.machine.arrangement.id),
        },
        problems=problems,
    )


def part(request: Request) -> Response:
    """The fields of one part, of all screws or of one."""
    bench = bench_of(request)
    return _part(request, bench, request.path_params["machine"], *_which(request), {}, ())


def _which(request: Request) -> tuple[str, str]:
    name, side = request.path_params["part"], request.path_params.get("side", ALL)
    if name not in PARTS or (side != ALL and name not in PER_SIDE):
        raise HTTPException(404)
    return name, side


def _part(
    request: Request,
    bench: Bench,
    machine_id: int,
    name: str,
    side: str,
    typed: dict[str, str],
    problems: tuple[InputError, ...],
) -> Response:
    story = bench.story(machine_id)
    sides = story.machine.arrangement.sides if name in PER_SIDE else ()
    if side != ALL and (side not in sides or len(sides) < 2):
        raise HTTPException(404)
    asked = _asked(story.machine, name, side, typed, problems)
    placed = {a.wrong for a in asked}
    return page(
        request,
        "part.html",
        status=422 if problems else 200,
        **sheet_of(bench, story, "machine", link=LINK_OF.get(name)),
        part=name,
        side=side,
        sides=sides if len(sides) > 1 else (),
        asked=asked,
        others=[str(p) for p in problems if _said(p) not in placed],
        names=list(PARTS),
    )


LINK_OF = {
    "bearing": "seat",
    "motor": "seat",
    "coupling": "coupling",
    "screw": "screw",
    "nut": "nut",
    "guide": "racking",
    "gantry": "racking",
    "drive": "tie",
}
"""The link that is shown while a part is described."""


def _described(machine: Machine, name: str, side: str) -> Any:
    described = getattr(machine, name)
    if isinstance(described, PerSide):
        return described.common if side == ALL else dict(described.overrides).get(side)
    return described


def _asked(
    machine: Machine,
    name: str,
    side: str,
    typed: dict[str, str],
    problems: tuple[InputError, ...],
) -> list[Asked]:
    described, common = _described(machine, name, side), _described(machine, name, ALL)
    found = []
    for field in FIELDS.values():
        if field.part != name or not applies(machine, field):
            continue
        value = None if described is None else getattr(described, field.name)
        if side != ALL and common is not None and value == getattr(common, field.name):
            value = None
        wrong = next((_said(p) for p in problems if _is_of(p, field)), "")
        found.append(Asked(field, typed.get(field.name, shown(value)), wrong))
    return found


def shown(value: Any) -> str:
    """A value as a person would type it.

    Example:
        >>> shown(8.0), shown(True), shown(("G21", "G90")), shown(None)
        ('8', 'yes', 'G21; G90', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.9g}"
    return "; ".join(value) if isinstance(value, tuple) else str(value)


def _is_of(problem: InputError, field: Field) -> bool:
    return any(
        place in (field.key, field.name) or place.endswith(f".{field.name}")
        for place in problem.place.split(", ")
    )


def _said(problem: InputError) -> str:
    return fault_words.AT_FIELD.format(problem.value, problem.allowed, problem.remedy)


def _line(machine: Machine, name: str) -> PartLine:
    described = _described(machine, name, ALL)
    fields = [f for f in FIELDS.values() if f.part == name and applies(machine, f)]
    known = [
        f"{f.stem.replace('_', ' ')} {shown(getattr(described, f.name))} {f.unit}".rstrip()
        for f in fields
        if described is not None and getattr(described, f.name) not in (None, ())
    ]
    return PartLine(name, ", ".join(known), len(fields) - len(known))


async def keep_part(request: Request) -> Response:
    """Describe a part anew; all faults are told beside their fields."""
    name, side = _which(request)
    form = await form_of(request)
    typed = {
        field.name: text(form, field.name, most=20_000)
        for field in FIELDS.values()
        if field.part == name and field.name in form
    }
    machine_id = request.path_params["machine"]
    return await run_in_threadpool(_kept, request, machine_id, name, side, typed)


def _kept(
    request: Request, machine_id: int, name: str, side: str, typed: dict[str, str]
) -> Response:
    bench = bench_of(request)
    stands = bench.shelf.machine(machine_id)
    tree = machine_dict(stands)
    table = tree.setdefault(name, {})
    problems: list[InputError] = []
    within = table if side == ALL else table.setdefault(side, {})
    for key, value in typed.items():
        within.pop(key, None)
        if value.strip().lower() in DO_NOT_KNOW:
            continue
        try:
            set_in(tree, f"{name}.{key}" if side == ALL else f"{name}.{side}.{key}", value)
        except InputError as problem:
            problems.append(problem)
        except InputErrors as several:
            problems += several.problems
    if not within and side != ALL:
        del table[side]
    if not table:
        del tree[name]
    if not problems:
        try:
            bench.shelf.describe(machine_id, write_machine(machine_from(tree)))
        except InputErrors as several:
            problems += several.problems
        except InputError as problem:
            problems.append(problem)
    if problems:
        return _part(request, bench, machine_id, name, side, typed, tuple(problems))
    return see(f"/m/{machine_id}/machine#{name}")


async def keep_whole(request: Request) -> Response:
    """Name, note and arrangement, or the description that stood before."""
    form = await form_of(request)
    typed = {name: text(form, name) for name in ("name", "note", "arrangement")}
    undo = text(form, "do") == "undo"
    return await run_in_threadpool(
        _kept_whole, request, request.path_params["machine"], typed, undo
    )


def _kept_whole(request: Request, machine_id: int, typed: dict[str, str], undo: bool) -> Response:
    bench = bench_of(request)
    if undo:
        bench.shelf.put_back(machine_id)
        return see(f"/m/{machine_id}/machine")
    tree = machine_dict(bench.shelf.machine(machine_id))
    for key in ("name", "note"):
        tree.pop(key, None)
        if typed[key].strip():
            tree[key] = typed[key].strip()
    tree["arrangement"] = typed["arrangement"]
    try:
        bench.shelf.describe(machine_id, write_machine(machine_from(tree)))
    except InputErrors as several:
        return _list(request, bench, machine_id, typed, several.problems)
    except InputError as problem:
        return _list(request, bench, machine_id, typed, (problem,))
    return see(f"/m/{machine_id}/machine")


ROUTES: list[BaseRoute] = [
    Route("/m/{machine:number}/machine", machine, methods=["GET"]),
    Route("/m/{machine:number}/machine", keep_whole, methods=["POST"]),
    Route("/m/{machine:number}/machine/{part}", part, methods=["GET"]),
    Route("/m/{machine:number}/machine/{part}", keep_part, methods=["POST"]),
    Route("/m/{machine:number}/machine/{part}/{side}", part, methods=["GET"]),
    Route("/m/{machine:number}/machine/{part}/{side}", keep_part, methods=["POST"]),
]
