"""Axes drawn from what is believed, and what sets of changes make of their numbers.

Draws are taken with equal weight, and every effect of every change has one value a draw, the same
in all sets: so sets differ by what they do and not by chance. Each draws by its own name, so that
what else is looked at, or ruled out, does not move it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis.parameters import Lift, Parameters, sound
from plumbrise.axis.vector import layout_of, vector_of
from plumbrise.explain import Believed
from plumbrise.explain.witness import BREATH
from plumbrise.foresee.axes import resampled
from plumbrise.machine import Machine
from plumbrise.redesign.changes import Change, Effect, Way
from plumbrise.redesign.unread import new_screws, own_chance, unread_terms

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Masks = NDArray[np.int64]
Bools = NDArray[np.bool_]

DRAWS = 128
FRICTION, DETENT = "thread_friction", "detent_nmm"
THREAD_FRICTION = (0.15, 0.3)
"""Median and spread of the friction between nut and screw (common practice, no source)."""
DETENT_NMM = (10.0, 0.4)
"""What one unpowered motor holds (common practice, no source)."""
ORDER = (Way.TO, Way.AT_MOST, Way.AT_LEAST, Way.TIMES)


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """Equally likely axes.

    `base` is the make of the axis, `thetas` a vector a draw, `terms` linear terms by name,
    `friction` and `detent_nmm` of thread and one motor, `unread` the terms of a screw that
    a change adds, and of its motor, by cause and column. `meant` says by cause in which draws what
    is laid at that cause is meant, `strength` by change and number of its effect the value or
    factor that this effect has in each draw; `of` which believed axis each draw is.
    """

    base: Parameters
    thetas: Matrix
    terms: Mapping[str, Vector]
    friction: Vector
    detent_nmm: Vector
    unread: Mapping[str, Vector]
    meant: Mapping[str, Bools]
    strength: Mapping[tuple[str, int], Vector]
    of: NDArray[np.int64]

    @property
    def count(self) -> int:
        """How many draws."""
        return len(self.thetas)


def drawn(
    believed: Believed,
    changes: Sequence[Change],
    rng: np.random.Generator,
    count: int = DRAWS,
    *,
    any_day: bool = True,
) -> Drawn:
    """Axes of equal weight from what is believed (systematic resampling), and what every effect
    does in each; on `any_day` guides drag a little more or less than on the day of the readings."""
    at = resampled(believed.weight, count, rng)
    seed = int(rng.integers(2**32))
    strength = {
        (change.id, k): effect.middle
        * np.exp(effect.spread * own_chance(seed, f"{change.id} {k}").standard_normal(count))
        for change in changes
        for k, effect in enumerate(change.effects)
    }
    keep = {cause: rng.random(count) < share for cause, share in believed.keep.items()}
    thetas = believed.thetas[at].copy()
    if any_day:
        for place in layout_of(believed.base).of("drag_n"):
            thetas[:, place] *= np.exp(BREATH * rng.standard_normal(count))
    return Drawn(
        base=believed.base,
        thetas=thetas,
        terms={name: values[at] for name, values in believed.terms.items()},
        friction=THREAD_FRICTION[0] * np.exp(THREAD_FRICTION[1] * rng.standard_normal(count)),
        detent_nmm=DETENT_NMM[0] * np.exp(DETENT_NMM[1] * rng.standard_normal(count)),
        unread=unread_terms(seed, count),
        meant=keep,
        strength=strength,
        of=at,
    )


def base_of(before: Parameters, after: Machine) -> Parameters:
    """The make of the axis after changes. A bearing that comes at the top of a screw frees
    nothing at its bottom: what rubs there still does.

    Args:
        before: the make as it is.
        after: the description after the changes.
    """
    had = {lift.end: lift for lift in before.lifts}
    base = sound(after)

    def still_held(lift: Lift) -> Lift:
        if lift.end in had and had[lift.end].held_end == "bottom":
            return replace(lift, held_end="bottom")
        return lift

    return replace(base, lifts=tuple(map(still_held, base.lifts)))


def onto(draws: Drawn, base: Parameters) -> Matrix:
    """The drawn axes in the layout of another make: what both have is taken over, what is new
    starts as in a sound axis."""
    old, new = layout_of(draws.base), layout_of(base)
    out = np.tile(vector_of(base), (draws.count, 1))
    have = {name: place for place, name in enumerate(old.names)}
    for place, name in enumerate(new.names):
        if name in have:
            out[:, place] = draws.thetas[:, have[name]]
    return out


def ends_where(where: str, before: Parameters, after: Parameters) -> tuple[str, ...]:
    """The ends that an effect works on which does not work on all."""
    had = tuple(lift.end for lift in before.lifts)
    return {
        "driven": had,
        "far": tuple(end for end in before.ends if end not in had),
        "new": new_screws(before, after),
    }[where]


def altered(
    draws: Drawn,
    values: Vector,
    entry: str,
    end: str | None,
    changes: Sequence[Change],
    masks: Masks,
    after: Parameters,
) -> Matrix:
    """One number of the axis after each set of changes: (sets, draws).

    It is worked out once for every set of the few changes that touch it.

    Args:
        draws: the axes.
        values: the number as it is, a value a draw.
        entry: its name, without its end.
        end: the end it belongs to, None for one that belongs to the whole axis.
        changes: whose effects count, in the order of the bits of `masks`.
        masks: sets, bit k of which holds change k.
        after: the make of the axis after the sets (all of one make).
    """
    effects = [
        (bit, effect, draws.strength[change.id, k])
        for bit, change in enumerate(changes)
        for k, effect in enumerate(change.effects)
        if effect.entry == entry and _works_at(effect, end, draws, after)
    ]
    own, row = np.unique(masks & sum({1 << bit for bit, *_ in effects}), return_inverse=True)
    out = np.tile(values, (len(own), 1))
    for way in ORDER:
        for bit, effect, strength in effects:
            if effect.way is way:
                there = (own >> bit & 1).astype(bool)
                out[there] = _applied(effect, strength, draws.meant.get(effect.cause), out[there])
    return np.asarray(out[row])


def _works_at(effect: Effect, end: str | None, draws: Drawn, after: Parameters) -> bool:
    return (
        end is None or effect.where == "all" or end in ends_where(effect.where, draws.base, after)
    )


def _applied(effect: Effect, strength: Vector, meant: Bools | None, now: Matrix) -> Matrix:
    if effect.way is Way.TO:
        made = np.broadcast_to(strength, now.shape)
    elif effect.way is Way.AT_MOST:
        made = np.minimum(now, strength)
    elif effect.way is Way.AT_LEAST:
        made = np.maximum(now, strength)
    else:
        made = now * strength
    return made if meant is None else np.where(meant, made, now)
