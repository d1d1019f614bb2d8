"""How often `prove` says better or worse where nothing was done, and how often it sees what was.

    python benchmarks/pairs.py [machines of each simulator] [eased]   writes results/pairs.json

Two full sessions of one machine, the second on another day, with nothing done between them: a
"better" or "worse" is false. Then the drag of every guide is eased to a share of itself, in five
sizes, and the share of the pairs is told in which lost motion at either end is called better.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Any

import answers
import made
import numpy as np
import sessions as bristles
import simulators

from plumbrise.analyse import analyse
from plumbrise.demo.draws import draw
from plumbrise.demo.plans import plan
from plumbrise.demo.reading_gauge import written_down
from plumbrise.demo.session import happened
from plumbrise.demo.true_axis import Axis
from plumbrise.prove import Proof, Stage, Verdict, prove
from plumbrise.readings import scale_of

RESULT = Path(__file__).parent / "results" / "pairs.json"
SEED = 11
DAYS = 99
"""Seeds the second day's chance."""
SIZES = (0.95, 0.9, 0.8, 0.6, 0.3)
"""What is left of the drag after the work."""
SURE = (Verdict.BETTER, Verdict.WORSE)
ENDS = ("gantry-left", "gantry-right")


@dataclass(frozen=True, slots=True)
class Pair:
    """A machine's session before, and one on another day after."""

    simulator: str
    number: int
    before: Any
    after: Any


def pair(simulator: str, number: int, eased: float = 1.0) -> Pair:
    """Machine `number` of a simulator read twice, with its drag eased in between."""
    before = simulators.sessions(simulator, "full", number + 1, seed=SEED)[number]
    name = f"{simulators.origin(simulator)}-again-{DAYS}-{SEED}-{number}-{eased:g}"
    after = bristles.kept(name, partial(again, simulator, number, before, eased))
    return Pair(simulator, number, answers.whole(before), answers.whole(after))


def again(simulator: str, number: int, before: Any, eased: float) -> Any:
    """The same machine on another day."""
    axis = eased_to(before.axis, eased)
    runs = plan(before.machine, "full")
    which = simulators.SIMULATORS.index(simulator)
    draws = draw(runs, np.random.default_rng([DAYS, which, number, round(1000 * eased)]))
    motion = simulators.motion_of(simulator)
    readings = written_down(axis, happened(axis, runs, draws, motion=motion), draws)
    return replace(before, axis=axis, readings=readings)


def eased_to(axis: Axis, share: float) -> Axis:
    """The axis with this share of its drag."""
    guides = tuple(
        replace(one, drag_n=share * one.drag_n, binding_n=share * one.binding_n)
        for one in axis.guides
    )
    return replace(axis, guides=guides)


def proof(one: Pair) -> Proof:
    """What prove says of a pair."""
    stages = [
        Stage(
            name,
            some.machine,
            some.readings,
            analyse(some.readings, scale_of(some.machine)),
        )
        for name, some in (("before", one.before), ("after", one.after))
    ]
    return prove(*stages)


SLOW = {"asperities": 33}
"""No more pairs than these of a simulator whose sessions take minutes."""


def of_same(count: int) -> dict[str, Any]:
    """Pairs with nothing done between them: what was falsely said."""
    found: dict[str, Any] = {}
    said: Counter[str] = Counter()
    better = worse = pairs = 0
    false: list[str] = []
    for simulator in simulators.SIMULATORS:
        here, how_many = 0, min(count, SLOW.get(simulator, count))
        for number in range(how_many):
            told = proof(pair(simulator, number))
            wrong = [one for one in told.figures if one.verdict in SURE]
            said.update(str(one.verdict) for one in told.figures)
            better += any(one.verdict is Verdict.BETTER for one in wrong)
            worse += any(one.verdict is Verdict.WORSE for one in wrong)
            here += any(one.verdict is Verdict.BETTER for one in wrong)
            false += [f"{simulator} {number}: {o.thing} {o.station} {o.verdict}" for o in wrong]
            pairs += 1
        found[simulator] = {"pairs": how_many, "with_a_false_better": here}
        print(simulator, found[simulator], flush=True)
    return {
        **found,
        "pairs": pairs,
        "with_a_false_better": better,
        "with_a_false_worse": worse,
        "figures": dict(said),
        "false": false,
    }


def of_changed(count: int, eased: float) -> dict[str, Any]:
    """Pairs with the drag eased to a share: how often an end is called better, and how far the
    losses read differ."""
    shown = pairs = ends = 0
    changes: list[float] = []
    called: list[tuple[float, bool]] = []
    for simulator in simulators.SIMULATORS:
        for number in range(count):
            figures = proof(pair(simulator, number, eased)).figures
            told = [o for o in figures if o.thing == "lost-motion" and o.station in ENDS]
            pairs += 1
            ends += len(told)
            shown += any(o.verdict is Verdict.BETTER for o in told)
            changes += [-o.change.value for o in told]
            called += [(-o.change.value, o.verdict is Verdict.BETTER) for o in told]
    return {
        "drag_left": eased,
        "pairs": pairs,
        "with_an_end_called_better": shown,
        "ends": ends,
        "ends_called_better": sum(yes for _, yes in called),
        "median_change_mm": round(float(np.median(changes)), 3),
        "changes_mm_and_called": [[round(mm, 3), int(yes)] for mm, yes in sorted(called)],
    }


def by_size(changed: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """The share of ends called better by how much less was read to be lost."""
    called = [tuple(c) for one in changed for c in one["changes_mm_and_called"]]
    edges = (-1.0, 0.01, 0.02, 0.05, 0.1, 0.2, 9.0)
    found = []
    for low, high in pairwise(edges):
        some = [yes for mm, yes in called if low <= mm < high]
        if some:
            found.append(
                {
                    "from_mm": max(low, 0.0),
                    "to_mm": high if high < 9 else None,
                    "ends": len(some),
                    "called_better": sum(some),
                }
            )
    return found


def main(count: int, changed: int) -> None:
    """Same machines first, then the five sizes; stored at the end."""
    same = of_same(count)
    sizes = []
    for eased in SIZES:
        sizes.append(of_changed(changed, eased))
        print({k: v for k, v in sizes[-1].items() if k != "changes_mm_and_called"}, flush=True)
    results = {
        "how": made.how(f"python benchmarks/pairs.py {count} {changed}", SEED),
        "sources_of_prove": made.sources("prove", "analyse", without=()),
        "same": same,
        "changed": sizes,
        "by_size": by_size(sizes),
    }
    RESULT.write_text(made.compact(results), encoding="utf-8")


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    main(*(given or [35, 5]))
