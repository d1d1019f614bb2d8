"""The independent simulator: a session at a machine whose truth is known.

Nothing here shares code with the axis model that explains: masses, speed-dependent drag and real
contacts instead of quasi-static springs, so that what the model gets wrong shows.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from plumbrise.demo.draws import draw
from plumbrise.demo.reading_gauge import written_down
from plumbrise.demo.session import happened
from plumbrise.demo.true_axis import Axis
from plumbrise.readings import Readings, Run

__all__ = ["Axis", "simulate_session"]


def simulate_session(axis: Axis, plan: Sequence[Run], rng: np.random.Generator) -> Readings:
    """The readings that a person takes at this axis.

    Args:
        axis: the machine as it truly is.
        plan: runs whose readings hold targets, directions and loads but no values yet.
        rng: all chance comes from here; the same state gives the same table.

    Returns:
        The same runs with readings, times and temperatures.
    """
    draws = draw(plan, rng)
    return written_down(axis, happened(axis, plan, draws), draws)
