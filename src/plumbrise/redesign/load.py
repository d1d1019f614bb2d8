"""What the screws carry after changes and what holds them, for many axes at once: from it come
the chance that the moving part stays up, and what the sums are worked with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis.parameters import Parameters
from plumbrise.axis.vector import layout_of
from plumbrise.redesign.axes import DETENT, FRICTION, Drawn, altered, onto
from plumbrise.redesign.changes import Change
from plumbrise.redesign.sets import Masks

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Load:
    """Each (sets, draws): the weight, the drag of all guides together, what all unpowered motors
    hold, and the friction of the thread."""

    weight_n: Matrix
    drag_n: Matrix
    detent_nmm: Matrix
    thread_friction: Matrix


def load_of(draws: Drawn, base: Parameters, changes: Sequence[Change], masks: Masks) -> Load:
    """What the screws carry after each set; `base` is the make of the axis after them."""
    names = layout_of(base).names
    start = onto(draws, base)
    drag = np.zeros((len(masks), draws.count))
    for place, name in enumerate(names):
        entry, _, end = name.partition(":")
        if entry == "drag_n":
            drag += altered(draws, start[:, place], entry, end, changes, masks, base)
    weight = start[:, names.index("weight_n")]
    held = altered(draws, draws.detent_nmm, DETENT, None, changes, masks, base)
    return Load(
        weight_n=altered(draws, weight, "weight_n", None, changes, masks, base),
        drag_n=drag,
        detent_nmm=base.arrangement.motors * held,
        thread_friction=altered(draws, draws.friction, FRICTION, None, changes, masks, base),
    )
