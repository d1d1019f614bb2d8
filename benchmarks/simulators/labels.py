"""What each cause takes on a simulator whose chance cannot be held still.

Where many contacts tear off one after another, or a clamp lets go in jumps, the least change of an
axis deals other chance. How much that makes is measured by changes of next to nothing; only what
a cause takes beyond it is its own. An error of thread or motor takes no more than the nut itself
goes astray by it. The threshold is that of `demo.truth`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from plumbrise.demo.draws import Draws
from plumbrise.demo.session import happened
from plumbrise.demo.true_axis import Axis, Lift
from plumbrise.demo.truth import DOUBT, MENDED, Label, _deviations, _label
from plumbrise.machine import Machine, known
from plumbrise.readings import Run

Array = np.ndarray[Any, np.dtype[np.float64]]
NEXT_TO_NOTHING = ((4e-6, 0.0), (-4e-6, 0.0), (0.0, 0.0004))
"""Error of lead (0.0008 mm over 200 mm) and of the steps, mm."""
SURELY_MORE = 2.0
"""Times the chance a cause must take."""
HIDDEN = 0.99
"""Times the threshold that a cause is given which chance hides: not there, but in doubt."""


def labels_of(
    axis: Axis,
    plan: Sequence[Run],
    draws: Draws,
    made_wrong: Collection[str],
    motion: Callable[..., Any] | None,
) -> dict[str, Label]:
    """For every cause its label. One that was made wrong and is hidden by chance is doubtful; one
    that was not is then taken for absent."""

    def seen(one: Axis) -> list[Array]:
        return _deviations(one, happened(one, plan, draws, motion=motion), draws)

    resolution = float(known(axis.machine, "gauge.resolution_mm").value)
    before = seen(axis)
    others = [seen(_nudged(axis, *by)) for by in NEXT_TO_NOTHING]
    chance = [
        SURELY_MORE * max(float(np.ptp(run - other[i])) for other in others)
        for i, run in enumerate(before)
    ]
    labels = {}
    for cause, put_right in MENDED.items():
        mended = put_right(axis)
        if mended == axis:
            labels[cause] = Label(0.0, 0.0)
            continue
        after = seen(mended)
        sure = [
            i
            for i, (run, other) in enumerate(zip(before, after, strict=True))
            if np.ptp(run - other) >= chance[i]
        ]
        own = _label([before[i] for i in sure], [after[i] for i in sure], resolution)
        if own.over < DOUBT and cause in made_wrong:
            whole = _label(before, after, resolution)
            if whole.over > 1 / DOUBT and whole.over > own.over:
                own = Label(own.takes_mm, HIDDEN)
        if cause in ASTRAY and own.takes_mm > 0.0:
            most = max(ASTRAY[cause](lift, axis.machine) for lift in axis.lifts)
            share = min(1.0, most / own.takes_mm)
            own = Label(own.takes_mm * share, own.over * share)
        labels[cause] = own
    return labels


def _once_a_turn(lift: Lift, machine: Machine) -> float:
    travel = float(known(machine, "travel.height_mm").value)
    grown = 1.0 + abs(lift.bow_growth) * max(0.5, travel / 200.0 - 0.5)
    return 2.0 * lift.once_a_turn_mm * (1.0 + lift.twice_a_turn_share) * grown


ASTRAY: dict[str, Callable[[Lift, Machine], float]] = {
    "screw-bend": _once_a_turn,
    "microstep-error": lambda lift, _: 2.0 * 1.3 * lift.step_error_mm,
    "lead-error": lambda lift, machine: (
        abs(lift.lead_error) * float(known(machine, "travel.height_mm").value)
    ),
}
"""By how much at most the nut goes astray, mm from lowest to highest."""


def _nudged(axis: Axis, lead: float, steps_mm: float) -> Axis:
    lifts = tuple(
        replace(
            lift,
            lead_error=lift.lead_error + lead,
            step_error_mm=lift.step_error_mm + steps_mm,
        )
        for lift in axis.lifts
    )
    return replace(axis, lifts=lifts)
