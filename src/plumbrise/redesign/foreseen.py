"""What a print would show after some changes, beside what it shows now."""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass, replace

import numpy as np

from plumbrise.explain import Believed
from plumbrise.foresee import Axes, Forecast, Print, axes_of, foresee_on, same_axes
from plumbrise.machine import Machine
from plumbrise.redesign.after import axes_after
from plumbrise.redesign.named import set_for

SOURCE = "changed axis"


@dataclass(frozen=True, slots=True, eq=False)
class BeforeAfter:
    """The axes as they are and as they would be after `changes`, each with its machine."""

    changes: tuple[str, ...]
    machine_now: Machine
    now: Axes
    machine: Machine
    then: Axes


def before_and_after(
    machine: Machine,
    believed: Believed,
    changes: Sequence[str],
    rng: np.random.Generator,
    *,
    place: str = "changes",
) -> BeforeAfter:
    """The believed axes, and what these changes make of them.

    Args:
        machine: the axis as it is.
        believed: what its readings leave.
        changes: ids of the catalogue.
        rng: all chance comes from here.
        place: where the changes were named, for errors.

    Raises:
        InputError: a change that is not known, that is made in the slicer, that this machine
            cannot have, or that another of them excludes.
    """
    chosen = set_for(machine, changes, place=place)
    same = deepcopy(rng)  # the same axes are drawn for both, so that they differ by the changes
    now = axes_of(believed, rng)
    after = axes_after(machine, believed, chosen, same)
    ids = tuple(change.id for change in chosen)
    return BeforeAfter(ids, machine, now, after.machine, same_axes(after))


def foresee_after(axes: BeforeAfter, job: Print, rng: np.random.Generator) -> Forecast:
    """What they will print after the changes, and beside it (`before`) what they print now.

    Raises:
        InputError: a print that does not fit the axis.
    """
    same = deepcopy(rng)
    now = foresee_on(axes.machine_now, axes.now, job, rng=rng, remedies=False)
    then = foresee_on(axes.machine, axes.then, job, rng=same, source=SOURCE)
    return replace(then, changes=axes.changes, before=now)
