"""How often `prove` says better or worse where nothing was done, and how often it sees what was.

    python benchmarks/pairs.py [machines of each simulator]   writes results/pairs.json

Two full sessions of one machine, the second on another day, with nothing done between them: a
"better" or "worse" is false. Then the drag of every guide is eased to a share of itself, in five
sizes, and the share of the pairs is told in which lost motion at either end is called better.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
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
