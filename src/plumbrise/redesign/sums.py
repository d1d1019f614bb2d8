"""The sums that a set of changes rests on: each change's calculators, worked for the machine as it
is after the set."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.elements.asked import Trust
from plumbrise.elements.calculators import calculator
from plumbrise.elements.screw_thread import trapezoidal_of_lead
from plumbrise.elements.screw_torque import lift_torque_nmm, lower_torque_nmm
from plumbrise.elements.worked import Calculator, sheet
from plumbrise.errors import InputError, InputErrors
from plumbrise.machine import Machine, known, lead_mm
from plumbrise.machine.said import said_of
from plumbrise.quantity import GRAVITY_M_PER_S2
from plumbrise.redesign.changes import Change
from plumbrise.redesign.load import Load, gear_of
from plumbrise.redesign.results import WorkedFor


@dataclass(frozen=True, slots=True)
class _Taken:
    """A value that nobody typed: the middle of what is believed after the changes."""

    value: float
    trust: Trust


_Believed = Mapping[str, _Taken]


def sums_for(machine: Machine, changes: Iterable[Change], load: Load) -> tuple[WorkedFor, ...]:
    """Every calculator that some change names, worked once, with what is known of this machine.

    Args:
        machine: the axis as it is after the changes.
        changes: the set.
        load: what its screws then carry, of this set alone: so that the sums and the chance that
            it stays up speak of the same load.
    """
    carried = _carried(machine, load)
    turning = _turning(machine, load)
    found: dict[str, WorkedFor] = {}
    for change in changes:
        for kind in change.sizing:
            if kind not in found:
                believed = {**carried, **turning.get(kind, {})}
                found[kind] = _worked(change, calculator(kind), machine, believed)
    return tuple(found.values())


def _worked(change: Change, made: Calculator, machine: Machine, believed: _Believed) -> WorkedFor:
    names = {one.name for one in made.asked}
    taken = {name: one for name, one in believed.items() if name in names}
    values = _of_machine(machine, names) | said_of(machine, made.asked)
    values |= {name: one.value for name, one in taken.items()}
    values |= {name: value for name, value in change.sizes if name in names}
    missing = tuple(
        one.words
        for one in made.asked
        if one.name not in values and one.default is None and not one.optional and not one.each
    )
    if missing:
        return WorkedFor(change.id, made.kind, None, missing)
    try:
        worked = sheet(made, values)
    except InputError as problem:
        return WorkedFor(change.id, made.kind, None, (_needed(problem),))
    except InputErrors as several:
        return WorkedFor(change.id, made.kind, None, tuple(map(_needed, several.problems)))
    inputs = tuple(
        replace(one, trust=taken[one.asked.name].trust) if one.asked.name in taken else one
        for one in worked.inputs
    )
    return WorkedFor(change.id, made.kind, replace(worked, inputs=inputs), ())


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


def _carried(machine: Machine, load: Load) -> _Believed:
    """What the screws carry together, and the drag of one guide.

    The drag was read, by what the axis loses; a weight is what the owner said, or as usual.
    """
    weighed = Trust.COMMON_PRACTICE if known(machine, "gantry.mass_kg").assumed else Trust.GIVEN
    guides = len(machine.arrangement.ends)
    return {
        "mass_kg": _Taken(_middle(load.weight_n / GRAVITY_M_PER_S2), weighed),
        "drag_n": _Taken(_middle(load.drag_n / guides), Trust.MEASURED),
        "thread_friction": _Taken(_middle(load.thread_friction), Trust.COMMON_PRACTICE),
    }


def _turning(machine: Machine, load: Load) -> dict[str, _Believed]:
    """By kind of sum, the torques that this load makes and what is there to hold it."""
    screws, motors = len(machine.screw_sides), machine.arrangement.motors
    held = float(np.median(load.detent_nmm))
    found: dict[str, dict[str, float]] = {
        "screw": {"detent_nmm": held / screws},
        "motor": {"detent_nmm": held * gear_of(machine) / motors},
    }
    torques = _torques(machine, load)
    if torques is not None:
        up, back = torques
        found["motor"] |= {"lift_nmm": up, "back_nmm": max(back, 0.0), "swing_nmm": up - back}
        found["belt-loop"] = {"torque_nmm": up / screws, "swing_nmm": (up - back) / screws}
        found["coupling"] = {"torque_nmm": (up - back) / motors}
    return {
        kind: {
            name: _Taken(float(f"{value:.3g}"), Trust.COMMON_PRACTICE)
            for name, value in values.items()
        }
        for kind, values in found.items()
    }


def _torques(machine: Machine, load: Load) -> tuple[float, float] | None:
    """Torque of all screws together that lifts, and by which the load turns them back; None where
    the thread is not known, or cannot be."""
    weight, drag = float(np.median(load.weight_n)), float(np.median(load.drag_n))
    lead = lead_mm(machine)
    if lead is None:
        return None
    try:
        thread = trapezoidal_of_lead(
            nominal_mm=float(known(machine, "screw.diameter_mm").value),
            lead_mm=lead,
            starts=int(known(machine, "screw.starts").value),
        )
    except InputError:  # the sheet of the screw tells what does not go together
        return None
    shape = {
        "lead_mm": lead,
        "pitch_diameter_mm": thread.pitch_diameter_mm,
        "thread_friction": float(np.median(load.thread_friction)),
    }
    up = lift_torque_nmm(axial_load_n=weight + drag, **shape)
    if weight < drag:  # the guides hold it, and the nut pulls it down against the thread
        return up, -lift_torque_nmm(axial_load_n=drag - weight, **shape)
    return up, -lower_torque_nmm(axial_load_n=weight - drag, **shape)


def _middle(values: NDArray[np.float64]) -> float:
    return float(f"{np.median(values):.3g}")


def _of_machine(machine: Machine, names: set[str]) -> dict[str, object]:
    screws = len(machine.screw_sides)
    found: dict[str, object] = {
        "screws": screws,
        "guides": max(1, len(machine.arrangement.ends) // screws),
        "motors": min(2, machine.arrangement.motors),
    }
    if machine.drive is not None:
        found["ratio"] = gear_of(machine)
    if known(machine, "screw.top_end").value == "held":
        found["fixing"] = "held-top"
    return {name: value for name, value in found.items() if name in names}
