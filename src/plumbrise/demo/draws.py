"""All chance of one session, drawn before anything moves: with the same draws a machine and the
same machine with one part put right can be compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from plumbrise.readings import Run, moves

Array = np.ndarray[Any, np.dtype[np.float64]]
MOST_ENDS = 3


@dataclass(frozen=True, slots=True)
class Draws:
    """Standard normals and uniforms, by run, by move and by reading."""

    drag: Array
    run: Array
    clamp: Array
    home: Array
    falls: Array
    stand: Array
    contact: Array
    person: Array
    slips: Array
    room: Array


def draw(plan: Sequence[Run], rng: np.random.Generator) -> Draws:
    """The chance of one session with this plan."""
    runs = len(plan)
    made = sum(len(moves(run)) for run in plan)
    taken = sum(len(run.readings) for run in plan)
    return Draws(
        drag=rng.standard_normal((runs, MOST_ENDS)),
        run=rng.standard_normal((runs, 6)),
        clamp=rng.standard_normal((made, MOST_ENDS)),
        home=rng.standard_normal(made),
        falls=rng.exponential(size=(MOST_ENDS, 64)),
        stand=rng.standard_normal(taken),
        contact=rng.standard_normal(taken),
        person=rng.standard_normal(taken),
        slips=rng.random((taken, 4)),
        room=rng.random(3),
    )
