"""Simulators of other physics than the axis model, and labelled sessions on their machines.

"bristles" is the demo's: masses and bristles, in time. "asperities" drags by junctions that break
and form again; "tilting" by a hysteresis that grows with racking. What none of them shares with
the axis model is how a guide drags.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from typing import Any

import made
import numpy as np
import sessions as bristles
from sessions import LabelledSession

from plumbrise.demo.draws import draw
from plumbrise.demo.reading_gauge import written_down
from plumbrise.demo.session import happened
from plumbrise.readings import Readings, Run
from simulators.figures import figures
from simulators.labels import labels_of
from simulators.machines import FAULTS, sound_axis

SIMULATORS = ("bristles", "asperities", "tilting")
VERSIONS = {"asperities": 4, "tilting": 5}
"""Raise one when that simulator changes, both when the machines or labels do."""
Rng = np.random.Generator


@dataclass(frozen=True, slots=True)
class OtherSession(LabelledSession):
    """A labelled session whose true figures come from its own physics (keys of `true_figures`)."""

    true_figures: dict[str, float]


def motion_of(simulator: str) -> Callable[..., Any] | None:
    """A fresh law of motion for one session after another; None is the demo's own.

    Raises:
        KeyError: no such simulator.
    """
    if simulator == "bristles":
        return None
    if simulator == "asperities":
        from simulators.asperities import junctions

        return junctions()
    if simulator == "tilting":
        from simulators.tilting import edges

        return edges()
    raise KeyError(simulator)


def sessions(
    simulator: str, depth: str, count: int, *, arrangement: str = "one-screw", seed: int = 1
) -> list[LabelledSession]:
    """Labelled sessions, from the cache where they are there; session i depends on the seed and
    i alone."""
    if simulator == "bristles":
        return bristles.sessions(depth, count, arrangement=arrangement, seed=seed)
    name, which = f"{origin(simulator)}-{arrangement}-{depth}-{seed}", SIMULATORS.index(simulator)
    chance = (np.random.default_rng([which, seed, i]) for i in range(count))
    return [
        bristles.kept(f"{name}-{i}", partial(session, simulator, depth, arrangement, rng))
        for i, rng in enumerate(chance)
    ]


@cache
def origin(simulator: str) -> str:
    """What this simulator's sessions come from: its version, and the code of demo and labels."""
    if simulator == "bristles":
        return bristles.origin()
    return f"{simulator}-v{VERSIONS[simulator]}-{made.origin()}"


def session(simulator: str, depth: str, arrangement: str, rng: Rng) -> LabelledSession:
    """One random machine and its session."""
    sound = sound_axis(arrangement, rng)
    axis, wrong = bristles.made_faulty(sound, FAULTS, (0.15, 0.4, 0.3, 0.15), rng)
    runs = bristles.runs_of(axis.machine, depth, rng)
    draws = draw(runs, rng)
    motion = motion_of(simulator)
    readings = written_down(axis, happened(axis, runs, draws, motion=motion), draws)
    labels = labels_of(axis, runs, draws, wrong, motion)
    there = frozenset(cause for cause, label in labels.items() if label.there)
    true = figures(axis, there, motion)
    return OtherSession(axis.machine, readings, wrong, labels, axis, true)


def more_readings(
    simulator: str, labelled: LabelledSession, runs: Sequence[Run], seed: int
) -> Readings:
    """The same machine read again, another day, with these runs."""
    axis = replace(labelled.axis)
    draws = draw(runs, np.random.default_rng([seed, 77]))
    done = happened(axis, runs, draws, motion=motion_of(simulator))
    return written_down(axis, done, draws)
