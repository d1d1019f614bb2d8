"""What an hour planned by information is worth against an hour by habit: how often each ends in the
right set, and the log score, on the machines that `advice.py` follows. Both have the same things at
hand: a gauge and masses, with blocks of known thickness to lay under the tip and without.

python benchmarks/plans.py [machines] [minutes] writes benchmarks/results/plans.json.
"""

from __future__ import annotations

import sys
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import advice
import made
import numpy as np
from advice import Stop

from plumbrise.demo.reading_gauge import written_down
from plumbrise.demo.session import happened
from plumbrise.explain import explain
from plumbrise.explain.causes_seen import depth_of, groups_of
from plumbrise.explain.plan import plan
from plumbrise.machine import Machine
from plumbrise.measure.setups import candidates, fits_gauge, minutes_after
from plumbrise.readings import Run

RESULT = Path(__file__).parent / "results" / "plans.json"
MACHINES, MINUTES = 40, 60.0
WAYS = ("plan", "habit")


def by_habit(machine: Machine, minutes: float, *, blocks: bool) -> list[Run]:
    """The usual order, as far as stroke and minutes go."""
    offered = [s for s in candidates(machine) if blocks or fits_gauge(machine, s)]
    place = {(s.kind.id, s.station.id): i for i, s in enumerate(offered)}
    order: list[int] = []
    for name in advice.HABIT:
        longer = [*order, place[name]] if name in place else order
        if sum(minutes_after(offered, longer)) <= minutes:
            order = longer
    return [offered[i].run for i in order]


def by_plan(machine: Machine, minutes: float, number: int, *, blocks: bool) -> list[Run]:
    """What the plan says."""
    rng = np.random.default_rng([7, number, 9])
    made_plan = plan(machine, minutes=minutes, rng=rng, balance=False, blocks=blocks)
    return [step.set_up.run for step in made_plan.steps]


def judged(number: int, way: str, minutes: float, *, blocks: bool) -> Stop:
    """One machine, read one way, explained and judged by what its causes take in a full session;
    the stop's test names what was read."""
    axis, labels = advice.machine(number)
    machine = axis.machine
    if way == "plan":
        runs = by_plan(machine, minutes, number, blocks=blocks)
    else:
        runs = by_habit(machine, minutes, blocks=blocks)
    chance = advice.growing(runs, number)
    readings = written_down(axis, happened(axis, runs, chance), chance)
    found = explain(machine, readings, rng=np.random.default_rng(0))
    groups = [g.causes for g in groups_of(machine, depth_of(machine, readings))]
    return advice.judged(found, labels, groups, minutes, ", ".join(run.name for run in runs))


def both_ways(number: int, minutes: float, blocks: bool) -> dict[str, Stop]:
    """One machine read by plan and by habit."""
    return {way: judged(number, way, minutes, blocks=blocks) for way in WAYS}


def main(machines: int = MACHINES, minutes: float = MINUTES) -> dict[str, Any]:
    """Both ways on the same machines, without blocks and with them."""
    out: dict[str, Any] = {
        "how": made.how(f"python benchmarks/plans.py {machines} {minutes:g}", advice.SEED),
        "simulator": "bristles",
        "machines": machines,
        "minutes": minutes,
    }
    for name, blocks in (("without_blocks", False), ("with_blocks", True)):
        with get_context("spawn").Pool(advice.PROCESSES) as pool:
            one = partial(both_ways, minutes=minutes, blocks=blocks)
            found = pool.map(one, range(machines), chunksize=1)
        scores = {way: [each[way].log_score for each in found] for way in WAYS}
        less = [a - b for a, b in zip(scores["plan"], scores["habit"], strict=True)]
        out[name] = {
            "log_score": {way: advice.with_error(scores[way]) for way in WAYS},
            "right": {way: sum(each[way].right for each in found) for way in WAYS},
            "plan_less_habit": advice.with_error(less),
            "read": {way: [each[way].test for each in found] for way in WAYS},
        }
    return out


if __name__ == "__main__":
    given = sys.argv[1:]
    found = main(*(kind(text) for kind, text in zip((int, float), given, strict=False)))
    RESULT.write_text(made.compact(found), encoding="utf-8")
    print({k: v for k, v in found.items() if k != "how"})
