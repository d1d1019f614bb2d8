"""What the screws carry after changes and what holds them, for many axes at once: from it come
the chance that the moving part stays up, and what the sums are worked with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis.parameters import Parameters
from plumbrise.axis.vector import layout_of
from plumbrise.elements.belt_drive import screw_turns_per_motor_turn
from plumbrise.machine import Machine, known
from plumbrise.redesign.axes import DETENT, FRICTION, Drawn, altered, onto
from plumbrise.redesign.changes import Change
from plumbrise.redesign.sets import Masks

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Load:
    """Each (sets, draws): the weight, the drag of all guides together, what all unpowered motors
    hold at their screws, and the friction of the thread."""

    weight_n: Matrix
    drag_n: Matrix
    detent_nmm: Matrix
    thread_friction: Matrix


def gear_of(machine: Machine) -> float:
    """Turns of a screw for one of its motor. A belt that only ties two screws gears nothing.

    Example:
        >>> from plumbrise.machine import blank
        >>> gear_of(blank("one-screw"))
        1.0
    """
    if machine.drive is None or machine.arrangement.tied:
        return 1.0
    return screw_turns_per_motor_turn(
        motor_teeth=int(known(machine, "drive.motor_teeth").value),
        screw_teeth=int(known(machine, "drive.screw_teeth").value),
    )


def load_of(
    draws: Drawn, base: Parameters, changes: Sequence[Change], masks: Masks, *, gear: float
) -> Load:
    """What the screws carry after each set.

    Args:
        draws: the axes.
        base: the make of the axis after the sets.
        changes: whose effects count, in the order of the bits of `masks`.
        masks: the sets.
        gear: turns of a screw for one of its motor.
    """
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
        detent_nmm=base.arrangement.motors * held / gear,
        thread_friction=altered(draws, draws.friction, FRICTION, None, changes, masks, base),
    )
