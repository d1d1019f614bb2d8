"""What an hour planned by information is worth against an hour by habit: how often each ends in the
right set, and the log score, on the machines that `advice.py` follows.

python benchmarks/plans.py [machines] [minutes] writes benchmarks/results/plans.json.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
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
from plumbrise.measure.setups import candidates, minutes_after
from plumbrise.readings import Run

RESULT = Path(__file__).parent / "results" / "plans.json"
MACHINES, MINUTES = 24, 60.0


def by_habit(machine: Any, minutes: float) -> list[Run]:
    """The usual order, as far as the minutes go."""
    offered = candidates(machine)
    place = {(s.kind.id, s.station.id): i for i, s in enumerate(offered)}
    order: list[int] = []
    for name in advice.HABIT:
        longer = [*order, place[name]]
        if sum(minutes_after(offered, longer)) <= minutes:
            order = longer
    return [offered[i].run for i in order]


def by_plan(machine: Any, minutes: float, number: int) -> list[Run]:
    """What the plan says."""
    made_plan = plan(machine, minutes=minutes, rng=np.random.default_rng([7, number, 9]))
    return [step.set_up.run for step in made_plan.steps]


def judged(number: int, way: str, minutes: float) -> Stop:
    """One machine, read one way, explained and judged by what its causes take in a full session."""
    axis, labels = advice.machine(number)
    machine = axis.machine
    runs = by_plan(machine, minutes, number) if way == "plan" else by_habit(machine, minutes)
    chance = advice.growing(runs, number)
    readings = written_down(axis, happened(axis, runs, chance), chance)
    found = explain(machine, readings, rng=np.random.default_rng(0))
    groups = [g.causes for g in groups_of(machine, depth_of(machine, readings))]
    return advice.judged(found, labels, groups, minutes, way)


def main(machines: int = MACHINES, minutes: float = MINUTES) -> dict[str, Any]:
    """Both ways on the same machines."""
    ways: dict[str, Sequence[Stop]] = {
        way: [judged(number, way, minutes) for number in range(machines)]
        for way in ("plan", "habit")
    }
    return {
        "how": made.how(f"python benchmarks/plans.py {machines} {minutes:g}", advice.SEED),
        "simulator": "bristles",
        "machines": machines,
        "minutes": minutes,
        "log_score": {way: advice.with_error([s.log_score for s in ways[way]]) for way in ways},
        "right": {way: sum(s.right for s in ways[way]) for way in ways},
        "plan_less_habit": advice.with_error(
            [a.log_score - b.log_score for a, b in zip(ways["plan"], ways["habit"], strict=True)]
        ),
    }


if __name__ == "__main__":
    given = sys.argv[1:]
    found = main(*(kind(text) for kind, text in zip((int, float), given, strict=False)))
    RESULT.write_text(made.compact(found), encoding="utf-8")
    print({k: v for k, v in found.items() if k != "how"})
