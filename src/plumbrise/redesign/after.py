"""The axes as they would be after some changes, for what a print would show then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Parameters, layout_of, sound
from plumbrise.errors import InputError
from plumbrise.explain import Believed
from plumbrise.foresee.axes import DRAWS
from plumbrise.machine import Machine
from plumbrise.redesign.axes import Drawn, altered, drawn, new_screws, onto
from plumbrise.redesign.changes import Change
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.named import set_for

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

TERM = "term:"


@dataclass(frozen=True, slots=True, eq=False)
class Changed:
    """A machine after changes, and the equally likely axes that it may then have."""

    machine: Machine
    base: Parameters
    thetas: Matrix
    terms: dict[str, Vector]


def axes_after(
    machine: Machine,
    believed: Believed,
    changes: Sequence[Change],
    rng: np.random.Generator,
    count: int = DRAWS,
) -> Changed:
    """What all of these changes make of the axes that are believed, on the day of the readings.

    Raises:
        InputError: a change that this machine cannot have, that is made in the slicer, or that
            another of them excludes.
    """
    _at_the_axis(changes)
    changes = set_for(machine, changes, place="change")
    draws = drawn(believed, changes, rng, count, any_day=False)
    after = machine_changed(machine, changes)
    base = sound(after)
    every = np.array([2 ** len(changes) - 1], dtype=np.int64)
    thetas = onto(draws, base)
    touched = {entry for change in changes for entry in change.entries()}
    for place, name in enumerate(layout_of(base).names):
        entry, _, end = name.partition(":")
        if entry in touched:
            now = thetas[:, place]
            thetas[:, place] = altered(draws, now, entry, end or None, changes, every, base)[0]
    terms = {
        name: values * _factor(draws, name, changes, every, base)
        for name, values in draws.terms.items()
    }
    for end in new_screws(draws.base, base):
        terms[f"lead-error:{end}"] = draws.new_lead_error
    return Changed(after, base, thetas, terms)


def _at_the_axis(changes: Sequence[Change]) -> None:
    """Refuse what leaves the axis as it is."""
    for change in changes:
        if change.in_slicer:
            raise InputError(
                place="change",
                value=change.id,
                allowed="a change of the axis",
                remedy="This one is made in the slicer: give the layer height that you mean.",
            )


def _factor(
    draws: Drawn,
    name: str,
    changes: Sequence[Change],
    every: NDArray[np.int64],
    base: Parameters,
) -> Vector:
    """By what the size of a term changes; both parts of a wave alike, so that its phase stays."""
    entry = TERM + name.split(":", maxsplit=1)[0]
    now = np.abs(draws.terms[name])
    for wave, other in ((":cos", ":sin"), (":sin", ":cos")):
        if name.endswith(wave):
            now = np.hypot(now, draws.terms[name.removesuffix(wave) + other])
    then = altered(draws, now, entry, None, changes, every, base)[0]
    return np.asarray(np.divide(then, now, out=np.ones_like(now), where=now > 0))
