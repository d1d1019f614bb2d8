"""What redesign promises against what comes of it, on machines of the independent simulators.

    python benchmarks/changes.py [machines of each simulator]   writes results/changes.json

Each machine is read (a full session), explained, and given a proposal for the usual targets. The
proposal is then really made on the true machine: its parts change by amounts that redesign does
not know, drawn flat over what such work gives (`MADE`, judgement, no source). What the true
machine loses afterwards is held against the prediction, the asked probability, and the money
against buying everything and against the cheapest set that does on the true machine.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf
from pathlib import Path
from typing import Any

import answers
import made
import numpy as np
import simulators
import true_figures

from plumbrise.demo.true_axis import Axis, Guide, Lift
from plumbrise.explain import explain
from plumbrise.machine import ARRANGEMENTS
from plumbrise.redesign import CATALOGUE, LOST_MOTION, propose, prospects_for, targets_of
from plumbrise.redesign.prospects import Prospects
from plumbrise.redesign.sets import members, summed

RESULT = Path(__file__).parent / "results" / "changes.json"
SEED = 11
ASKED = 0.7
LIMIT_MM = 0.05
TRIED = 400
"""Sets tried on the true machine for the cheapest that does."""
Rng = np.random.Generator
Make = Callable[[Axis, Rng], Axis]


def _lifts(change: Callable[[Lift, Rng], Lift]) -> Make:
    return lambda axis, rng: replace(axis, lifts=tuple(change(one, rng) for one in axis.lifts))


def _guides(change: Callable[[Guide, Rng], Guide]) -> Make:
    return lambda axis, rng: replace(axis, guides=tuple(change(one, rng) for one in axis.guides))


def _eased(axis: Axis, rng: Rng) -> Axis:
    eased = _guides(lambda g, r: replace(g, drag_n=min(g.drag_n, r.uniform(1.5, 3.2))))(axis, rng)
    return replace(
        eased,
        racking_n_per_mm=axis.racking_n_per_mm * rng.uniform(1.0, 1.5),
        loose_tilt_mm=axis.loose_tilt_mm * rng.uniform(0.1, 0.6),
    )


def _squared(axis: Axis, rng: Rng) -> Axis:
    def one(guide: Guide, rng: Rng) -> Guide:
        spots = tuple(replace(s, rise=s.rise * rng.uniform(0.3, 0.8)) for s in guide.tight_spots)
        return replace(
            guide,
            drag_n=guide.drag_n * rng.uniform(0.8, 1.0),
            binding_n=guide.binding_n * rng.uniform(0.4, 0.9),
            tight_spots=spots,
        )

    return _guides(one)(axis, rng)


def _tied(axis: Axis, rng: Rng) -> Axis:
    first = replace(axis.lifts[0], thrust_n_per_mm=rng.uniform(800, 3000), clamp_holds_n=inf)
    second = Lift(
        thrust_n_per_mm=rng.uniform(800, 3000),
        bracket_n_per_mm=rng.uniform(300, 900),
        play_mm=rng.uniform(0.02, 0.06),
        belt_n_per_mm=rng.uniform(1500, 6000),
        belt_slack_mm=rng.uniform(0.0, 0.007),
    )
    machine = replace(axis.machine, arrangement=ARRANGEMENTS["two-screw-tied"])
    return replace(axis, machine=machine, lifts=(first, second), loose_tilt_mm=0.0)


def _driven(axis: Axis, rng: Rng) -> Axis:
    second = Lift(
        seat_n_per_mm=rng.uniform(100, 900),
        seat_travel_mm=rng.uniform(0.03, 0.15),
        coupling_n_per_mm=rng.uniform(80, 700),
        bracket_n_per_mm=rng.uniform(300, 900),
        play_mm=rng.uniform(0.02, 0.06),
    )
    machine = replace(axis.machine, arrangement=ARRANGEMENTS["two-screw"])
    return replace(axis, machine=machine, lifts=(axis.lifts[0], second), loose_tilt_mm=0.0)


MADE: dict[str, Make] = {
    "clean-screw": _guides(lambda g, r: replace(g, drag_n=g.drag_n * r.uniform(0.78, 0.98))),
    "set-rollers": _eased,
    "align-nut": _guides(lambda g, r: replace(g, binding_n=g.binding_n * r.uniform(0.1, 0.5))),
    "square-frame": _squared,
    "tighten-clamps": _lifts(lambda one, _: replace(one, clamp_holds_n=inf)),
    "ball-in-coupling": _lifts(
        lambda one, r: replace(one, coupling_n_per_mm=one.coupling_n_per_mm * r.uniform(3, 8))
    ),
    "rigid-coupling": _lifts(
        lambda one, r: replace(
            one,
            coupling_n_per_mm=max(one.coupling_n_per_mm, r.uniform(1200, 4000)),
            clamp_holds_n=inf,
        )
    ),
    "thrust-bearing": _lifts(
        lambda one, r: replace(one, thrust_n_per_mm=r.uniform(800, 3000), clamp_holds_n=inf)
    ),
    "stiff-bracket": _lifts(
        lambda one, r: replace(one, bracket_n_per_mm=one.bracket_n_per_mm * r.uniform(2, 5))
    ),
    "new-nut": _lifts(lambda one, r: replace(one, play_mm=min(one.play_mm, r.uniform(0.02, 0.07)))),
    "split-nut": _lifts(
        lambda one, r: replace(one, play_mm=min(one.play_mm, r.uniform(0.002, 0.012)))
    ),
    "straight-screw": _lifts(
        lambda one, r: replace(
            one,
            once_a_turn_mm=one.once_a_turn_mm * r.uniform(0.2, 0.6),
            play_mm=min(one.play_mm, r.uniform(0.02, 0.07)),
        )
    ),
    "stiff-carriages": lambda axis, r: replace(
        axis,
        racking_n_per_mm=axis.racking_n_per_mm * r.uniform(1.5, 3.2),
        loose_tilt_mm=axis.loose_tilt_mm * r.uniform(0.4, 0.8),
    ),
    "counterweight": lambda axis, r: replace(axis, weight_n=axis.weight_n * r.uniform(0.65, 0.85)),
    "second-screw-tied": _tied,
    "second-screw-motor": _driven,
}
"""What each change makes of a true machine; changes that are not here leave its motion as it is."""


def changed(axis: Axis, ids: Sequence[str], number: int) -> Axis:
    """The true machine with these changes made, each by its own chance."""
    for at, change in enumerate(CATALOGUE):
        if change in ids and change in MADE:
            axis = MADE[change](axis, np.random.default_rng([SEED, number, at]))
    return axis


def lost_mm(axis: Axis, simulator: str) -> dict[str, float]:
    """What each end of the true machine loses after homing."""
    rises = true_figures._rises(axis, simulators.motion_of(simulator))
    return {end: true_figures.SETTLED_MM - rise for end, rise in rises.items()}


def does(lost: dict[str, float]) -> bool:
    """Whether both usual targets hold."""
    values = list(lost.values())
    return max(values) <= LIMIT_MM and max(values) - min(values) <= LIMIT_MM


@dataclass(frozen=True, slots=True)
class Outcome:
    """One machine: what was promised and what came of it."""

    stated: float
    reached: bool
    reachable: bool
    already: bool
    money: float
    hours: float
    everything: float
    cheapest: float | None
    inside: tuple[bool, ...]
    off_mm: tuple[float, ...]


def outcome(simulator: str, session: Any, number: int) -> Outcome:
    """Explain, propose, make it so, look."""
    rng = np.random.default_rng([SEED, number])
    explanation = explain(session.machine, session.readings, rng=rng)
    prospects = prospects_for(session.machine, explanation, rng=rng)
    proposal = propose(prospects, targets_of(), rng=rng, probability=ASKED)
    chosen = proposal.chosen
    assert chosen is not None
    ids = chosen.line.changes
    lost = lost_mm(changed(session.axis, ids, number), simulator)
    predicted = next(p for p in chosen.predictions if p.figure is LOST_MOTION).after
    ends = {station.rpartition("-")[2]: interval for station, interval in predicted.items()}
    inside, off = [], []
    for end, value in lost.items():
        interval = ends[end.rpartition("-")[2]]
        inside.append(interval.low <= value <= interval.high)
        off.append(value - interval.estimate)
    return Outcome(
        chosen.line.probability,
        does(lost),
        proposal.reachable,
        does(lost_mm(session.axis, simulator)),
        chosen.line.cost.expected,
        chosen.line.hours.expected,
        _everything(prospects),
        _cheapest(prospects, simulator, session, number),
        tuple(inside),
        tuple(off),
    )


def _everything(prospects: Prospects) -> float:
    """What the dearest set costs that can be made together."""
    return float(summed(prospects.masks, [c.cost.expected for c in prospects.changes]).max())


def _cheapest(prospects: Prospects, simulator: str, session: Any, number: int) -> float | None:
    """Money of the cheapest set that does on the true machine, as far as `TRIED` sets go."""
    some = [c for c in prospects.changes if c.id in MADE]
    narrow = prospects.narrowed(frozenset({LOST_MOTION.id}))
    bits = sum(1 << k for k, c in enumerate(prospects.changes) if c in some)
    masks = narrow.masks[(narrow.masks & ~bits) == 0]
    total = summed(masks, [c.cost.expected + 10 * c.hours.expected for c in prospects.changes])
    for mask in masks[np.argsort(total, kind="stable")][:TRIED]:
        changes = members(int(mask), prospects.changes)
        axis = changed(session.axis, [c.id for c in changes], number)
        if does(lost_mm(axis, simulator)):
            return sum(c.cost.expected for c in changes)
    return None


def summary(found: Sequence[Outcome]) -> dict[str, Any]:
    """Rates over machines."""
    inside = [i for one in found for i in one.inside]
    off = [abs(o) for one in found for o in one.off_mm]
    asked = [one for one in found if one.reachable]
    return {
        "machines": len(found),
        "met_already": sum(one.already for one in found),
        "said_to_be_reachable": len(asked),
        "of_these_reached": sum(one.reached for one in asked),
        "mean_probability_stated": round(float(np.mean([one.stated for one in found])), 3),
        "reached": sum(one.reached for one in found),
        "interval_of_90_holds": round(float(np.mean(inside)), 3),
        "median_error_mm": round(float(np.median(off)), 4),
        "money": round(float(np.mean([one.money for one in found])), 1),
        "money_of_everything": round(float(np.mean([one.everything for one in found])), 1),
        "cheapest_known_for": sum(one.cheapest is not None for one in found),
        "money_where_cheapest_known": [
            round(float(np.mean(values)), 1)
            for values in zip(
                *[(o.money, o.cheapest) for o in found if o.cheapest is not None], strict=True
            )
        ],
    }


def main(count: int) -> None:
    """Every simulator in turn; what was made is stored as it comes."""
    results: dict[str, Any] = {"how": made.how(f"python benchmarks/changes.py {count}", SEED)}
    everyone: list[Outcome] = []
    for simulator in simulators.SIMULATORS:
        found = [
            outcome(simulator, answers.whole(session), number)
            for number, session in enumerate(
                simulators.sessions(simulator, "full", count, seed=SEED)
            )
        ]
        everyone += found
        results[simulator] = summary(found)
        print(simulator, json.dumps(results[simulator]), flush=True)
    results["all"] = summary(everyone)
    RESULT.write_text(made.compact(results), encoding="utf-8")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 12)
