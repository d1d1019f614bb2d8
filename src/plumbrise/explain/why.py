"""Why: what the readings themselves say for and against each cause, run by run.

The best set with a cause is held beside the best set without it, each fitted by itself. A run
whose readings are left much farther off without the cause carries it; one that is left farther
off with it speaks against it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.causes import CAUSES
from plumbrise.explain.draws import with_and_without
from plumbrise.explain.fit import Mode
from plumbrise.explain.results import Interval, Rival, RunFit, SetFit
from plumbrise.explain.search import Found, rest_of

Vector = NDArray[np.float64]

CARRIES = 4.0
"""Log units by which a run must fit better with a cause to be said to carry it."""
SPEAKS_AGAINST = 1.5
ALIKE = 1.5
SURE = 0.9
STRAIN = 2.0
"""Prior spreads from which a sound part is bent beyond what sound ones are."""
MOST_SETS = 6
MOST_FOR, MOST_AGAINST = 2, 2
APART_MM = 0.003
SEEN_MM = 0.0015
"""Sums left over closer to each other than this are not told apart in words."""


@dataclass(frozen=True, slots=True, eq=False)
class Left:
    """What one set leaves: rest at every reading (mm), and by run its root mean square (mm) and
    half its misfit in units of noise."""

    rest_mm: Vector
    rms_mm: Vector
    misfit: Vector


@dataclass(slots=True)
class Leaving:
    """What sets leave, each worked out once."""

    found: Found
    known: dict[tuple[frozenset[str], frozenset[str]], Left]

    def of(self, mode: Mode, linear: frozenset[str]) -> Left:
        """What a mode leaves with these linear causes switched on."""
        key = (mode.causes, linear)
        if key not in self.known:
            self.known[key] = left_by(self.found, mode, linear)
        return self.known[key]


def left_by(found: Found, mode: Mode, linear: frozenset[str]) -> Left:
    """What a fitted set leaves over, run by run; slips of the hand are left out of the sums."""
    seen = found.model.witness
    _, _, rest = rest_of(found.model, mode, linear)
    rest = rest.copy()
    rms, misfit = np.zeros(len(seen.bounds)), np.zeros(len(seen.bounds))
    for part, (bound, noise) in enumerate(zip(seen.bounds, seen.noise, strict=True)):
        good = seen.misread_mm[bound] == 0
        here = rest[bound]
        rest[bound] = here - (np.mean(here[good]) if good.any() else 0.0)
        rms[part] = np.sqrt(np.mean(rest[bound][good] ** 2)) if good.any() else 0.0
        white = noise.whiten @ here
        misfit[part] = 0.5 * float(white @ white)
    return Left(rest, rms, misfit)


def reasons(
    found: Found, leaving: Leaving, cause: str, stated: float, loss: Mapping[str, Interval]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What speaks for and against a cause that the session could show, in sentences."""
    for_it, against = _by_run(found, leaving, cause)
    if not for_it and not against and stated < SURE:
        against = _alike(found, leaving, cause)
    size = _size(loss)
    if size and stated >= 0.3:
        for_it = (f"Put back to sound alone, it returns {size}.", *for_it)
    elif size:
        against = (*against, f"It may take little: put back to sound alone, it returns {size}.")
    if not for_it and not against and stated < 0.05:
        against = ("The readings leave it no size that matters.",)
    return for_it[: MOST_FOR + 1], against[:MOST_AGAINST]


def not_seen(cause: str) -> tuple[str, ...]:
    """Why a cause could not be judged."""
    return (f"No test here could show it; that takes {CAUSES[cause].needs}.",)


def _by_run(found: Found, leaving: Leaving, cause: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    pair = with_and_without(found, cause)
    if pair is None:
        return (), ()
    (with_mode, with_on, _), (without_mode, without_on, _) = pair
    held, lacked = leaving.of(with_mode, with_on), leaving.of(without_mode, without_on)
    gain = lacked.misfit - held.misfit
    names = [found.model.witness.run(part).name for part in range(len(gain))]
    for_it = [
        f"`{names[part]}` carries it: without it {lacked.rms_mm[part]:.3f} mm is left over there, "
        f"with it {held.rms_mm[part]:.3f} mm."
        for part in np.argsort(-gain)[:MOST_FOR]
        if gain[part] > CARRIES and lacked.rms_mm[part] > held.rms_mm[part] + SEEN_MM
    ]
    against = [
        f"`{names[part]}` speaks against it: with it {held.rms_mm[part]:.3f} mm is left over "
        f"there, without it {lacked.rms_mm[part]:.3f} mm."
        for part in np.argsort(gain)[:1]
        if gain[part] < -SPEAKS_AGAINST and held.rms_mm[part] > lacked.rms_mm[part] + SEEN_MM
    ]
    strained = _strained(found, cause, without_mode)
    if strained:
        for_it = [strained, *for_it]
    return tuple(for_it), tuple(against)


def _alike(found: Found, leaving: Leaving, cause: str) -> tuple[str, ...]:
    """That the readings fit with a cause as they fit without it, if they do."""
    pair = with_and_without(found, cause)
    if pair is None or abs(pair[0][2] - pair[1][2]) >= ALIKE:
        return ()
    whole = float(np.sqrt(np.mean(leaving.of(pair[0][0], pair[0][1]).rest_mm ** 2)))
    return (f"With it and without it the readings fit alike, to {whole:.3f} mm.",)


def _strained(found: Found, cause: str, without: Mode) -> str:
    """Where a fit without the cause has to bend a sound part farthest beyond what sound ones
    are, in words."""
    space, belief = found.model.space, without.belief
    worst, words = STRAIN, ""
    for i in belief.active:
        entry = space.entries[i]
        if entry.prior.cause != cause or not entry.prior.worse or entry.told is not None:
            continue
        off = entry.prior.worse * (without.u[i] - belief.middle[i]) / belief.spread[i]
        if off > worst:
            worst = off
            edge = np.full((3, space.size), 0.0)
            edge[:, i] = without.u[i], *(belief.middle[i] + k * belief.spread[i] for k in (-2, 2))
            value, low, high = space.natural(edge)[:, i]
            name = PARAMETERS.get(entry.quantity, entry.quantity)
            where = f" at the {entry.name.split(':')[1]}" if ":" in entry.name else ""
            unit = f" {entry.prior.unit}" if entry.prior.unit else ""
            words = (
                f"Without it the {name}{where} would still have to be {plain(value)}{unit}; sound "
                f"ones lie between {plain(low)} and {plain(high)}{unit}."
            )
    return words


def plain(value: float) -> str:
    """Two digits that count, without powers of ten.

    Example:
        >>> plain(1830.0), plain(0.0123)
        ('1800', '0.012')
    """
    return f"{float(f'{value:.2g}'):g}"


PARAMETERS = {
    "seat_stiffness_n_per_mm": "stiffness of the seat",
    "seat_travel_mm": "travel of the seat",
    "coupling_stiffness_n_per_mm": "stiffness of the coupling",
    "bracket_stiffness_n_per_mm": "stiffness of the bracket",
    "play_mm": "play of the nut",
    "drag_n": "drag",
    "racking_n_per_mm": "stiffness against racking",
    "tilting_n_per_mm": "stiffness against tilting",
    "plunger_mm": "sticking of the plunger",
    "stiffness_n_per_mm": "stiffness of the frame",
    "joint_stiffness_n_per_mm": "stiffness of the joint",
    "lag_mm": "slack of the tie",
    "wind_up_mm_per_n": "wind-up of the tie",
}
"""Words for parameters of the model."""


def _size(loss: Mapping[str, Interval]) -> str:
    most = max(loss.values(), key=lambda i: i.estimate, default=None)
    if most is None or most.estimate < 0.005:
        return ""
    where = next(station for station, i in loss.items() if i is most)
    return f"{most.estimate:.2f} mm at {where} ({most.low:.2f} to {most.high:.2f} holds 90 %)"


def set_fits(found: Found, leaving: Leaving, fits: Sequence[RunFit]) -> tuple[SetFit, ...]:
    """What each of the likeliest fitted sets says of every reading, in the order of `fits`."""
    out = []
    for node in found.nodes[:MOST_SETS]:
        left = leaving.of(node.mode, node.mode.linear)
        computed = tuple(
            tuple(
                round(read - float(rest), 5)
                for read, rest in zip(fit.read_mm, left.rest_mm[bound], strict=True)
            )
            for fit, bound in zip(fits, found.model.witness.bounds, strict=True)
        )
        causes = tuple(c for c in CAUSES if c in node.mode.causes | node.mode.linear)
        rms = tuple(round(float(r), 5) for r in left.rms_mm)
        out.append(SetFit(causes, computed, rms))
    return tuple(out)


def rival_of(
    found: Found,
    stated: Sequence[tuple[str, ...]],
    sets: Sequence[SetFit],
    fits: Sequence[RunFit],
) -> Rival | None:
    """The likeliest stated set that says something else of some reading than the likeliest one,
    and where the two differ most; None where none does, or where the likeliest was not fitted.

    Args:
        found: what the search found.
        stated: sets in the order of what is stated of them.
        sets: what fitted sets say of every reading.
        fits: the runs, for their names.
    """
    fitted = {one.causes: one for one in reversed(sets)}
    leader = fitted.get(tuple(stated[0])) if stated else None
    if leader is None:
        return None
    seen = found.model.witness
    for other in (fitted[causes] for causes in map(tuple, stated[1:]) if causes in fitted):
        most, where = 0.0, (0, 0)
        for part, (one, two) in enumerate(zip(leader.computed_mm, other.computed_mm, strict=True)):
            apart = np.abs(np.array(one) - np.array(two))
            k = int(np.argmax(apart))
            if apart[k] > most:
                most, where = float(apart[k]), (part, k)
        if most >= APART_MM:
            part, k = where
            told = float(seen.session.told_mm[seen.rows[seen.bounds[part]]][k])
            return Rival(other.causes, fits[part].run, told, most)
    return None
