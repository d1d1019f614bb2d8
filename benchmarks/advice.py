"""What following the advice on the next test is worth: minutes until the right set is stated, and
the log score on the way, against the usual habit and against tests in random order.

python benchmarks/advice.py [machines] writes benchmarks/results/advice.json.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import log
from multiprocessing import get_context
from pathlib import Path
from statistics import mean, stdev
from typing import Any

import made
import numpy as np
import sessions as bristles

from plumbrise.demo.draws import MOST_ENDS, Draws, draw
from plumbrise.demo.plans import plan
from plumbrise.demo.reading_gauge import written_down
from plumbrise.demo.session import happened
from plumbrise.demo.true_axis import Axis
from plumbrise.demo.truth import Label, truth
from plumbrise.explain import Explanation, explain
from plumbrise.explain.causes import causes_of
from plumbrise.explain.causes_seen import depth_of, groups_of
from plumbrise.machine import ARRANGEMENTS
from plumbrise.measure.setups import SetUp, candidates
from plumbrise.readings import Run, moves

RESULT = Path(__file__).parent / "results" / "advice.json"
SEED = 7
PROCESSES = 2
MINUTES = 65.0
"""Time for further tests after a five-minute start: what the first four of the habit take."""
LEAST = 1e-3
HABIT = (
    ("fine-steps", "gantry-left"),
    ("fine-steps", "gantry-right"),
    ("full-travel", "gantry-left"),
    ("reversal", "gantry-left"),
    ("reversal", "nut"),
    ("reversal", "screw"),
    ("reversal", "motor-shaft"),
)
"""The order in which most go on (common practice, no source)."""

Choose = Callable[[Explanation, Sequence[SetUp]], SetUp | None]


@dataclass(frozen=True, slots=True)
class Stop:
    """What was stated after so many minutes of further tests."""

    minutes: float
    log_score: float
    right: bool
    test: str = ""


def advised(found: Explanation, open_tests: Sequence[SetUp]) -> SetUp | None:
    """The first test that the explanation asks for; None where it asks for nothing more."""
    for wanted in found.next_tests:
        for setup in open_tests:
            if (setup.kind.id, setup.station.id) == (wanted.test, wanted.station):
                return setup
    return None


def by_habit(_found: Explanation, open_tests: Sequence[SetUp]) -> SetUp | None:
    """The next of the usual order."""
    by_name = {(s.kind.id, s.station.id): s for s in open_tests}
    return next((by_name[name] for name in HABIT if name in by_name), None)


def at_random(rng: np.random.Generator) -> Choose:
    """Any test that is left."""
    return lambda _found, open_tests: open_tests[int(rng.integers(len(open_tests)))]


def growing(runs: Sequence[Run], number: int) -> Draws:
    """The chance of a session, each kind from a state of its own, so that a longer session begins
    as the shorter one did."""
    made_moves = sum(len(moves(run)) for run in runs)
    taken = sum(len(run.readings) for run in runs)
    state = [np.random.default_rng([SEED, number, 2, kind]) for kind in range(10)]
    return Draws(
        drag=state[0].standard_normal((len(runs), MOST_ENDS)),
        run=state[1].standard_normal((len(runs), 6)),
        clamp=state[2].standard_normal((made_moves, MOST_ENDS)),
        home=state[3].standard_normal(made_moves),
        falls=state[4].exponential(size=(MOST_ENDS, 64)),
        stand=state[5].standard_normal(taken),
        contact=state[6].standard_normal(taken),
        person=state[7].standard_normal(taken),
        slips=state[8].random((taken, 4)),
        room=state[9].random(3),
    )


def machine(number: int) -> tuple[Axis, dict[str, Label]]:
    """A machine with none to three faults, and what its causes take in a full session."""
    name = f"advised-{bristles.origin()}-{SEED}-{number}"
    axis, labels = bristles.kept(name, partial(_machine, number))
    return whole(axis), labels


def whole(axis: Axis) -> Axis:
    """The same axis with the registry's own arrangement, of which a pickle brings a copy."""
    arrangement = ARRANGEMENTS[axis.machine.arrangement.id]
    return replace(axis, machine=replace(axis.machine, arrangement=arrangement))


def _machine(number: int) -> tuple[Axis, dict[str, Label]]:
    rng = np.random.default_rng([SEED, number])
    axis = bristles.sound_axis("one-screw", rng)
    count = int(rng.choice(4, p=[0.12, 0.38, 0.33, 0.17]))
    can_be = sorted(c for c in bristles.FAULTS if c in causes_of(axis.machine.arrangement))
    for cause in rng.choice(can_be, size=count, replace=False):
        axis = bristles.FAULTS[str(cause)](axis, rng)
    whole = plan(axis.machine, "full")
    labels = truth(axis, whole, draw(whole, np.random.default_rng([SEED, number, 1])))
    return axis, labels


def followed(number: int, choose: Choose) -> list[Stop]:
    """One machine from its five-minute start, one test after another.

    Runs already read keep their readings when further ones are added. Truth is what the causes
    take in the readings of a full session, so that it is the same whatever is read.
    """
    axis, labels = machine(number)
    runs = list(plan(axis.machine, "five-minutes"))
    stops: list[Stop] = []
    minutes, name = 0.0, ""
    while True:
        chance = growing(runs, number)
        readings = written_down(axis, happened(axis, runs, chance), chance)
        found = explain(axis.machine, readings, rng=np.random.default_rng(len(stops)))
        groups = [g.causes for g in groups_of(axis.machine, depth_of(axis.machine, readings))]
        stops.append(judged(found, labels, groups, minutes, name))
        done = {(run.kind.id, run.station.id) for run in runs}
        last = runs[-1].station.id
        left = [s for s in candidates(axis.machine, last) if (s.kind.id, s.station.id) not in done]
        chosen = choose(found, left)
        if chosen is None or minutes + chosen.minutes > MINUTES:
            break
        minutes += chosen.minutes
        runs.append(chosen.run)
        name = chosen.run.name
    return stops


def judged(
    found: Explanation,
    labels: dict[str, Any],
    groups: Sequence[tuple[str, ...]],
    minutes: float,
    test: str,
) -> Stop:
    """Mean log score over the causes that are not in doubt, and whether the set of what is stated
    at a half or more is right, causes of one group counting as one."""
    stated = {c.cause: c.probability for c in found.causes}
    counted = [c for c in stated if c in labels and not labels[c].doubtful]
    score = mean(
        -log(min(max(stated[c] if labels[c].there else 1 - stated[c], LEAST), 1 - LEAST))
        for c in counted
    )
    of = {c: min((g for g in groups if c in g), default=(c,)) for c in counted}
    there = {of[c] for c in counted if labels[c].there}
    said = {of[c] for c in counted if stated[c] >= 0.5}
    said |= {g.causes for g in found.groups if g.probability >= 0.5 and g.causes in of.values()}
    return Stop(minutes, score, said == there, test)


def minutes_to_right(stops: Sequence[Stop]) -> float | None:
    """Minutes after which the right set is stated and kept; None if it never is."""
    kept = None
    for stop in reversed(stops):
        if not stop.right:
            break
        kept = stop.minutes
    return kept


AT_MINUTES = (0, 15, 30, 45, 65)


def score_at(stops: Sequence[Stop], minutes: float) -> float:
    """The log score that stands after so many minutes."""
    return [s.log_score for s in stops if s.minutes <= minutes][-1]


def with_error(values: Sequence[float]) -> list[float]:
    """Mean and its standard error."""
    error = stdev(values) / len(values) ** 0.5 if len(values) > 1 else float("nan")
    return [round(mean(values), 4), round(error, 4)]


def every_way(number: int) -> dict[str, list[Stop]]:
    """One machine, read by each way of going on."""
    return {
        "advice": followed(number, advised),
        "habit": followed(number, by_habit),
        "random": followed(number, at_random(np.random.default_rng([SEED, number, 3]))),
    }


def main(machines: int = 40) -> dict[str, Any]:
    """All ways on the same machines."""
    with get_context("spawn").Pool(PROCESSES) as pool:
        found = pool.map(every_way, range(machines), chunksize=1)
    ways = tuple(found[0])
    all_of = {way: [one[way] for one in found] for way in ways}
    result: dict[str, Any] = {
        "how": made.how("python benchmarks/advice.py", SEED),
        "simulator": "bristles",
        "machines": len(all_of["advice"]),
        "at_minutes": AT_MINUTES,
    }
    for way in ways:
        reached = [m for m in map(minutes_to_right, all_of[way]) if m is not None]
        result[way] = {
            "right_and_kept": len(reached),
            "minutes_to_right": [round(m, 1) for m in sorted(reached)],
            "log_score": [with_error([score_at(s, m) for s in all_of[way]]) for m in AT_MINUTES],
            "tests": [[stop.test for stop in stops[1:]] for stops in all_of[way]],
        }
    for other in ways[1:]:
        result[f"advice_less_{other}"] = [
            with_error(
                [
                    score_at(a, m) - score_at(b, m)
                    for a, b in zip(all_of["advice"], all_of[other], strict=True)
                ]
            )
            for m in AT_MINUTES
        ]
    return result


if __name__ == "__main__":
    found = main(*map(int, sys.argv[1:2]))
    RESULT.write_text(made.compact(found), encoding="utf-8")
    print(json.dumps({k: v for k, v in found.items() if k != "how"}, indent=1)[:3000])
