"""Figures that both the engine and a simulator have: what is stated of them, and what is true.

A simulator of another make may give its own truths: a session with a dictionary `true_figures`
of the keys below. Of what a cause takes, true is what the simulator itself returns at each end
when that cause alone is put right and the axis is homed and driven up.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from plumbrise.demo.draws import draw
from plumbrise.demo.plans import steps
from plumbrise.demo.reading_gauge import dial_path
from plumbrise.demo.session import Motion, happened
from plumbrise.demo.true_axis import Axis, Gauge
from plumbrise.demo.truth import MENDED
from plumbrise.explain import Explanation
from plumbrise.explain.results import Interval

BY_LIFT = {
    "coupling_stiffness_n_per_mm": "coupling_n_per_mm",
    "bracket_stiffness_n_per_mm": "bracket_n_per_mm",
    "play_mm": "play_mm",
    "lead-error": "lead_error",
}
LOSSES_OF = (
    "motor-seat",
    "coupling-stretch",
    "bracket-flex",
    "nut-play",
    "guide-drag",
    "racking",
)
SETTLED_MM = 8.0


def of(session: Any) -> dict[str, float]:
    """True figures of a session by key."""
    given = getattr(session, "true_figures", None)
    if given is not None:
        return dict(given)
    axis = session.axis
    if not isinstance(axis, Axis):
        return {}
    kind = axis.machine.arrangement
    found = {"weight_n": axis.weight_n, "racking_n_per_mm": axis.racking_n_per_mm}
    for end, guide in zip(kind.ends, axis.guides, strict=True):
        found[f"drag_n_{end}"] = guide.drag_n
    for side, lift in zip(kind.sides, axis.lifts, strict=True):
        for name, own in BY_LIFT.items():
            found[f"{name}_{side}"] = getattr(lift, own)
    found["gauge-tilt"] = axis.gauge.tilt
    return found | losses(axis, session.there)


def losses(axis: Axis, there: frozenset[str], motion: Motion | None = None) -> dict[str, float]:
    """What returns at each end when a cause that is there is put right."""
    causes = [cause for cause in LOSSES_OF if cause in there]
    if not causes:
        return {}
    before = _rises(axis, motion)
    found = {}
    for cause in causes:
        after = _rises(MENDED[cause](axis), motion)
        for end, rise in after.items():
            found[f"loss:{cause}:{end}"] = rise - before[end]
    return found


def _rises(axis: Axis, motion: Motion | None) -> dict[str, float]:
    """How far each end rises from home to settled, read by a gauge without fault."""
    kind = axis.machine.arrangement
    ends = [f"{kind.body}-{end}" for end in kind.ends]
    plan = tuple(steps("coarse-steps", end, SETTLED_MM / 2, 2) for end in ends)
    chance = draw(plan, np.random.default_rng(0))
    chance = replace(chance, drag=0 * chance.drag, home=0 * chance.home)
    clean = replace(axis, gauge=replace(Gauge(), stick_mm=0.0, dial_error_mm=0.0))
    out = {}
    session = happened(clean, plan, chance, motion=motion)
    for number, (end, done) in enumerate(zip(ends, session, strict=True)):
        dial = dial_path(clean, done, number, chance)[list(done.read_at)]
        out[end] = float(dial[-1] - dial[0])
    return out


def stated(told: Explanation) -> Iterator[tuple[str, str, Interval]]:
    """(name it is scored under, key of the truth, interval) of all that is stated."""
    for force in told.forces:
        if force.absolute and force.what == "weight":
            yield force.what, "weight_n", force.newton
    for cause in told.causes:
        for name, interval in cause.parameters.items():
            yield _without_side(name), name, interval
        for end, loss in cause.loss_mm.items():
            if cause.could_be_seen:
                yield f"loss by {cause.cause}", f"loss:{cause.cause}:{end}", loss


def _without_side(name: str) -> str:
    for side in ("_left", "_right", "_back", "_front"):
        name = name.removesuffix(side)
    return name
