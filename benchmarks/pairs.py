"""How often `prove` says better or worse where nothing was done, and how often it sees what was.

    python benchmarks/pairs.py [machines of each simulator] [worked on]   writes results/pairs.json

Two full sessions of one machine, the second on another day, with nothing done between them: a
"better" or "worse" is false. Then work is done: the drag of every guide eased to a share of itself
in five sizes, or every cause of lost motion put right. What an end truly loses before and after
the simulator knows (`power.py`): told is how often lost motion there is called better.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import astuple, dataclass, replace
from functools import partial
from typing import Any

import answers
import made
import numpy as np
import power
import scoring
import sessions as bristles
import simulators
import true_figures
from power import CHANCE, End

from plumbrise.analyse import analyse
from plumbrise.demo.draws import draw
from plumbrise.demo.plans import plan
from plumbrise.demo.reading_gauge import written_down
from plumbrise.demo.session import happened
from plumbrise.demo.true_axis import Axis
from plumbrise.demo.truth import MENDED
from plumbrise.prove import Proof, Stage, Verdict, prove
from plumbrise.readings import scale_of

SEED = 11
DAYS = 99
"""Seeds the second day's chance."""
SURE = (Verdict.BETTER, Verdict.WORSE)
ENDS = ("gantry-left", "gantry-right")


@dataclass(frozen=True, slots=True)
class Work:
    """What is done to a machine between its sessions. `seed` deals the second day's chance."""

    name: str
    seed: int
    done: Callable[[Axis], Axis]


def eased(share: float) -> Work:
    """The drag of every guide eased to a share of itself."""
    return Work(f"{share:g}", round(1000 * share), partial(eased_to, share=share))


def eased_to(axis: Axis, share: float) -> Axis:
    """The axis with this share of its drag."""
    guides = tuple(
        replace(one, drag_n=share * one.drag_n, binding_n=share * one.binding_n)
        for one in axis.guides
    )
    return replace(axis, guides=guides)


def put_right(axis: Axis) -> Axis:
    """The axis with every cause of lost motion put right."""
    for cause in true_figures.LOSSES_OF:
        axis = MENDED[cause](axis)
    return axis


NOTHING = eased(1.0)
WORKS = (*(eased(share) for share in (0.95, 0.9, 0.8, 0.6, 0.3)), Work("all", 2000, put_right))


@dataclass(frozen=True, slots=True)
class Pair:
    """A machine's session before, and one on another day after."""

    simulator: str
    number: int
    before: Any
    after: Any


def pair(simulator: str, number: int, work: Work = NOTHING) -> Pair:
    """Machine `number` of a simulator read twice, with some work done in between."""
    before = simulators.sessions(simulator, "full", number + 1, seed=SEED)[number]
    name = f"{simulators.origin(simulator)}-again-{DAYS}-{SEED}-{number}-{work.name}"
    after = bristles.kept(name, partial(again, simulator, number, before, work))
    return Pair(simulator, number, answers.whole(before), answers.whole(after))


def again(simulator: str, number: int, before: Any, work: Work) -> Any:
    """The same machine on another day."""
    axis = work.done(before.axis)
    runs = plan(before.machine, "full")
    which = simulators.SIMULATORS.index(simulator)
    draws = draw(runs, np.random.default_rng([DAYS, which, number, work.seed]))
    motion = simulators.motion_of(simulator)
    readings = written_down(axis, happened(axis, runs, draws, motion=motion), draws)
    return replace(before, axis=axis, readings=readings)


def proof(one: Pair) -> Proof:
    """What prove says of a pair."""
    before, after = (
        Stage(name, some.machine, some.readings, analyse(some.readings, scale_of(some.machine)))
        for name, some in (("before", one.before), ("after", one.after))
    )
    return prove(before, after)


SLOW = {"asperities": 33}
"""No more pairs than these of a simulator whose sessions take minutes."""


def ends_of(one: Pair, work: Work, told: Proof) -> list[End]:
    """The ends of a pair where lost motion was judged."""
    motion = partial(simulators.motion_of, one.simulator)
    was, now = (power.true_losses_mm(some.axis, motion()) for some in (one.before, one.after))
    return [
        End(
            f"{one.simulator} {one.number}",
            work.name,
            round(was[figure.station] - now[figure.station], 4),
            round(-figure.change.value, 4),
            figure.verdict is Verdict.BETTER,
            figure.verdict is Verdict.WORSE,
            figure.doubt is not None,
        )
        for figure in told.figures
        if figure.thing == "lost-motion" and figure.station in ENDS
    ]


def of_same(count: int) -> dict[str, Any]:
    """Pairs with nothing done between them: what was falsely said."""
    found: dict[str, Any] = {}
    said: Counter[str] = Counter()
    false: list[str] = []
    ends: list[End] = []
    with_better, with_worse = set(), set()
    for simulator in simulators.SIMULATORS:
        how_many = min(count, SLOW.get(simulator, count))
        for number in range(how_many):
            one = pair(simulator, number)
            told = proof(one)
            wrong = [figure for figure in told.figures if figure.verdict in SURE]
            said.update(str(figure.verdict) for figure in told.figures)
            if any(figure.verdict is Verdict.BETTER for figure in wrong):
                with_better.add((simulator, number))
            if any(figure.verdict is Verdict.WORSE for figure in wrong):
                with_worse.add((simulator, number))
            false += [f"{simulator} {number}: {o.thing} {o.station} {o.verdict}" for o in wrong]
            ends += ends_of(one, NOTHING, told)
        here = sum(name == simulator for name, _ in with_better)
        found[simulator] = {"pairs": how_many, "with_a_false_better": here}
        print(simulator, found[simulator], flush=True)
    pairs = sum(one["pairs"] for one in found.values())
    better = sum(one.better for one in ends)
    return {
        **found,
        "pairs": pairs,
        "with_a_false_better": len(with_better),
        "false_better_between": rounded(scoring.beta_interval(len(with_better), pairs, CHANCE)),
        "with_a_false_worse": len(with_worse),
        "ends": len(ends),
        "ends_called_better": better,
        "ends_in_doubt": sum(one.doubt for one in ends),
        "ends_share_between": rounded(
            scoring.beta_interval(round(better * pairs / len(ends)), pairs, CHANCE)
        ),
        "figures": dict(said),
        "false": false,
    }


def of_work(count: int, work: Work) -> tuple[dict[str, Any], list[End]]:
    """Pairs with this work done between: how often an end is called better; and the ends."""
    shown = pairs = 0
    ends: list[End] = []
    for simulator in simulators.SIMULATORS:
        for number in range(count):
            one = pair(simulator, number, work)
            told = ends_of(one, work, proof(one))
            pairs += 1
            shown += any(end.better for end in told)
            ends += told
    found = {
        "work": work.name,
        "pairs": pairs,
        "with_an_end_called_better": shown,
        "ends": len(ends),
        "ends_called_better": sum(end.better for end in ends),
        "ends_called_worse": sum(end.worse for end in ends),
        "ends_in_doubt": sum(end.doubt for end in ends),
        "median_true_change_mm": round(float(np.median([end.true_mm for end in ends])), 3),
        "median_read_change_mm": round(float(np.median([end.read_mm for end in ends])), 3),
    }
    print(found, flush=True)
    return found, ends


def rounded(span: tuple[float, float]) -> list[float]:
    """Both ends of an interval to three digits."""
    return [round(x, 3) for x in span]


def main(count: int, worked_on: int) -> None:
    """Same machines first, then every work; stored and drawn at the end."""
    same = of_same(count)
    works = [of_work(worked_on, work) for work in WORKS]
    ends = [end for _, some in works for end in some]
    results = {
        "how": made.how(f"python benchmarks/pairs.py {count} {worked_on}", SEED),
        "sources_of_prove": made.sources("prove", "analyse", without=()),
        "same": same,
        "changed": [found for found, _ in works],
        "by_true": power.by_true(ends),
        "ends": {
            "columns": "machine, work, truly less lost mm, read to be less lost mm, better, worse, "
            "in doubt",
            "rows": [list(astuple(end)) for end in ends],
        },
    }
    power.RESULT.write_text(made.compact(results), encoding="utf-8")
    power.draw_curve(results)


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    main(*(given or [35, 20]))
