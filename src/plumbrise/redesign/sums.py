"""The sums that a set of changes rests on: each change's calculators, worked for this machine."""

from __future__ import annotations

from collections.abc import Iterable
from statistics import median

from plumbrise.axis.vector import layout_of
from plumbrise.elements.calculators import calculator
from plumbrise.elements.worked import Asked, Calculator, sheet
from plumbrise.errors import InputError, InputErrors
from plumbrise.machine import Machine
from plumbrise.machine.said import said_of
from plumbrise.redesign.axes import Drawn
from plumbrise.redesign.changes import Change
from plumbrise.redesign.results import WorkedFor


def sums_for(machine: Machine, changes: Iterable[Change], draws: Drawn) -> tuple[WorkedFor, ...]:
    """Every calculator that some change names, worked once, with what is known of this machine.

    Args:
        machine: the axis as it is after the changes.
        changes: the set.
        draws: the axes that are believed, for the drag of the guides.
    """
    found: dict[str, WorkedFor] = {}
    for change in changes:
        for kind in change.sizing:
            if kind not in found:
                found[kind] = _worked(change, calculator(kind), machine, draws)
    return tuple(found.values())


def _worked(change: Change, made: Calculator, machine: Machine, draws: Drawn) -> WorkedFor:
    values = _drawn_from(draws, made.asked) | _of_arrangement(machine, made.asked)
    values |= said_of(machine, made.asked)
    names = {one.name for one in made.asked}
    values |= {name: value for name, value in change.sizes if name in names}
    missing = tuple(
        one.words
        for one in made.asked
        if one.name not in values and one.default is None and not one.optional and not one.each
    )
    if missing:
        return WorkedFor(change.id, made.kind, None, missing)
    try:
        return WorkedFor(change.id, made.kind, sheet(made, values), ())
    except InputError as problem:
        return WorkedFor(change.id, made.kind, None, (_needed(problem),))
    except InputErrors as several:
        return WorkedFor(change.id, made.kind, None, tuple(map(_needed, several.problems)))


def sizes_in(sums: Iterable[WorkedFor]) -> dict[str, str]:
    """Sizes of parts to buy that the sums settle: the nearest stock length of a belt."""
    for one in sums:
        if one.kind == "belt-loop" and one.sheet is not None:
            shifts = {s.name: s.value for s in one.sheet.worked.sums if s.name.startswith("shift_")}
            nearest = min(shifts, key=lambda name: abs(float(shifts[name])))
            length, shift = nearest.split("_")[1], float(shifts[nearest])
            pitch = next(i.value for i in one.sheet.inputs if i.asked.name == "belt_pitch_mm")
            words = f"{length} mm long, pitch {pitch:g} mm, stock length"
            return {"belt": words + (f"; screws {shift:+.1f} mm apart for it" if shift else "")}
    return {}


def _needed(problem: InputError) -> str:
    return f"{problem.place}: {problem.remedy}"


def _drawn_from(draws: Drawn, asked: Iterable[Asked]) -> dict[str, object]:
    """The drag of the worse guide in the middle of what is believed."""
    if not any(one.name == "drag_n" for one in asked):
        return {}
    places = layout_of(draws.base).of("drag_n")
    return {"drag_n": round(median(draws.thetas[:, list(places)].max(axis=1).tolist()), 2)}


def _of_arrangement(machine: Machine, asked: Iterable[Asked]) -> dict[str, object]:
    screws = len(machine.screw_sides)
    known = {
        "screws": screws,
        "guides": max(1, len(machine.arrangement.ends) // screws),
        "motors": min(2, machine.arrangement.motors),
    }
    names = {one.name for one in asked}
    return {name: value for name, value in known.items() if name in names}
