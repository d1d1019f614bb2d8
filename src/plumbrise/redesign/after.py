"""The axes as they would be after some changes, for what a print would show then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Parameters, layout_of
from plumbrise.errors import InputError
from plumbrise.explain import Believed
from plumbrise.foresee.axes import DRAWS
from plumbrise.machine import Machine
from plumbrise.redesign.axes import Drawn, altered, base_of, drawn, onto
from plumbrise.redesign.changes import Change
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.named import set_for
from plumbrise.redesign.unread import OF_MOTOR, terms_with_new

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
    base = base_of(draws.base, after)
    every = np.array([2 ** len(changes) - 1], dtype=np.int64)
    thetas = onto(draws, base)
    touched = {entry for change in changes for entry in change.entries()}
    for place, name in enumerate(layout_of(base).names):
        entry, _, end = name.partition(":")
        if entry in touched:
            now = thetas[:, place]
            thetas[:, place] = altered(draws, now, entry, end or None, changes, every, base)[0]
    terms = {
        name: values * _factor(draws, name, draws.terms, changes, every, base)
        for name, values in draws.terms.items()
    }
    unread = dict(draws.unread)
    for name, values in draws.unread.items():
        if name.startswith(OF_MOTOR):  # a shorter lead makes less of the new motor's error too
            unread[name] = values * _factor(draws, name, draws.unread, changes, every, base)
    return Changed(after, base, thetas, terms_with_new(terms, unread, draws.base, base))


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
    terms: Mapping[str, Vector],
    changes: Sequence[Change],
    every: NDArray[np.int64],
    base: Parameters,
) -> Vector:
    """By what the size of a term changes; both parts of a wave alike, so that its phase stays."""
    entry = TERM + name.split(":", maxsplit=1)[0]
    now = np.abs(terms[name])
    for wave, other in ((":cos", ":sin"), (":sin", ":cos")):
        if name.endswith(wave):
            now = np.hypot(now, terms[name.removesuffix(wave) + other])
    then = altered(draws, now, entry, None, changes, every, base)[0]
    return np.asarray(np.divide(then, now, out=np.ones_like(now), where=now > 0))
