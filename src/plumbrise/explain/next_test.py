"""What to read next: the test that is expected to remove most doubt in a minute.

Every candidate is simulated for axes drawn from what is believed now. How far its readings would
tell the likely sets apart, noise and free zero taken into account, gives the expected gain: the
doubt over sets now, less the mean doubt once it is read (Lindley, Annals of Mathematical
Statistics 27 (1956) 986).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Session, predict_all
from plumbrise.explain.ahead import ahead_of
from plumbrise.explain.causes import causes_of
from plumbrise.explain.draws import Draws
from plumbrise.explain.gain import expected_gain_bits, raked
from plumbrise.explain.meanings import meaning_by_size, words_for
from plumbrise.explain.priors import CHANCE, LINEAR, PRIORS, back, onto
from plumbrise.explain.results import NextTest
from plumbrise.explain.witness import Witness
from plumbrise.machine import Machine
from plumbrise.measure.setups import SetUp, candidates

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Bools = NDArray[np.bool_]

LEAST_BITS = 0.1
MOST_CLASSES = 10
MOST_DRAWS = 1200
SPRING_OF = {
    "motor-seat": "seat_stiffness_n_per_mm",
    "coupling-stretch": "coupling_stiffness_n_per_mm",
    "bracket-flex": "bracket_stiffness_n_per_mm",
}
OF_ONE_RUN = ("coupling-slip", "home-scatter")
"""Causes whose terms belong to one run."""
UNSEEN_WORTH = 0.25
"""What a bit about a cause that nothing read so far could show is worth beside one about where the
loss that was read comes from: people ask that first (a choice, no source)."""
BEST = 5


def next_tests(
    machine: Machine,
    seen: Witness,
    draws: Draws,
    done: frozenset[tuple[str, str]],
    open_groups: Sequence[tuple[str, ...]],
    rng: np.random.Generator,
    *,
    stated: Mapping[str, float] | None = None,
) -> tuple[NextTest, ...]:
    """The tests most worth doing, by what their bits are worth a minute.

    The doubt is that over sets of the causes that the session could show, as likely as stated,
    and, worth less, over each cause that it could not show. These start out independent, so what
    a test says of all of them is at least the sum of what it says of each.

    Args:
        machine: the axis.
        seen: the session so far.
        draws: what is believed.
        done: (kind, station) already read; they are left out.
        open_groups: groups whose split is open, for the words.
        rng: all chance.
        stated: stated probability by cause; left out, the draws speak for themselves.
    """
    runs = seen.session.readings.runs
    stands_at = runs[-1].station.id if runs else ""
    setups = [s for s in candidates(machine, stands_at) if (s.kind.id, s.station.id) not in done]
    if not setups:
        return ()
    draws = _with_splits(draws, seen.session.layout.names, open_groups)
    weight = raked(draws.weight, draws.takes, stated or {})
    of_class, pick = _classes(draws, weight)
    weight = weight[pick] / weight[pick].sum()
    ahead = ahead_of(seen.session.base, setups, seen.resolution_mm)
    belief = _Belief(machine, seen, draws, pick, rng)
    made = belief.readings(ahead.session, ahead.seen)
    found = []
    for number, (setup, bound) in enumerate(zip(setups, ahead.seen.bounds, strict=True)):
        scaled = ahead.scaled(number, made, seen.level)
        gain = worth = expected_gain_bits(scaled, of_class, weight, rng)
        for cause, there in belief.supposed.items():
            if _shows(ahead.seen, bound, belief, cause):
                shown = expected_gain_bits(scaled, there.astype(np.int64), weight, rng)
                gain, worth = gain + shown, worth + UNSEEN_WORTH * shown
        if worth >= LEAST_BITS:
            found.append((worth, gain, setup, made[:, bound]))
    found.sort(key=lambda one: -one[0] / one[2].minutes)
    names = _class_causes(draws, pick, of_class)
    out = []
    for worth, gain, setup, outcomes in found[:BEST]:
        why, meanings = words_for(setup, open_groups)
        ranges = meaning_by_size(_size(setup, outcomes), of_class, weight, names)
        said = (ranges,) if ranges else meanings
        test, station = setup.kind.id, setup.station.id
        out.append(NextTest(test, station, gain, worth, setup.minutes, why, said))
    return tuple(out)


def _with_splits(
    draws: Draws, names: Sequence[str], open_groups: Sequence[tuple[str, ...]]
) -> Draws:
    """Draws and, where springs in a row cannot be told apart, the same with two of them
    exchanged: the session would have read the same."""
    places = {
        cause: [i for i, name in enumerate(names) if name.partition(":")[0] == quantity]
        for cause, quantity in SPRING_OF.items()
    }
    pairs = {
        pair
        for group in open_groups
        if group[0] in SPRING_OF
        for pair in permutations([c for c in group if c in SPRING_OF and c in draws.takes], 2)
    }
    for this, other in sorted(pairs):
        rows = np.flatnonzero(draws.takes[this] & ~draws.takes[other])
        if not len(rows):
            continue
        thetas = draws.thetas[rows].copy()
        thetas[:, places[this] + places[other]] = draws.thetas[rows][
            :, places[other] + places[this]
        ]
        takes = {c: np.concatenate([yes, yes[rows]]) for c, yes in draws.takes.items()}
        takes[this][-len(rows) :], takes[other][-len(rows) :] = False, True
        over = {c: np.concatenate([far, far[rows]]) for c, far in draws.over.items()}
        if {this, other} <= over.keys():
            over[this][-len(rows) :], over[other][-len(rows) :] = (
                draws.over[other][rows],
                draws.over[this][rows],
            )
        weight = draws.weight.copy()
        weight[rows] /= 2
        draws = replace(
            draws,
            thetas=np.concatenate([draws.thetas, thetas]),
            weight=np.concatenate([weight, weight[rows]]),
            over=over,
            of_set=np.concatenate([draws.of_set, draws.of_set[rows]]),
            terms=np.concatenate([draws.terms, draws.terms[rows]]),
            takes=takes,
        )
        if len(draws.weight) > MOST_DRAWS:
            break
    return draws


def _classes(draws: Draws, weight: Vector) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Class of each kept draw by the set that matters in it, and which draws are kept."""
    keys = [
        frozenset(c for c in draws.takes if draws.takes[c][i]) for i in range(len(draws.weight))
    ]
    total: dict[frozenset[str], float] = {}
    for key, w in zip(keys, weight, strict=True):
        total[key] = total.get(key, 0.0) + float(w)
    kept = sorted(total, key=lambda key: (-total[key], sorted(key)))[:MOST_CLASSES]
    place = {key: number for number, key in enumerate(kept)}
    pick = np.array([i for i, key in enumerate(keys) if key in place], dtype=np.int64)
    return np.array([place[keys[i]] for i in pick], dtype=np.int64), pick


def _class_causes(
    draws: Draws, pick: NDArray[np.int64], of_class: NDArray[np.int64]
) -> list[frozenset[str]]:
    first = [int(pick[np.argmax(of_class == c)]) for c in range(int(of_class.max()) + 1)]
    return [frozenset(c for c in draws.takes if draws.takes[c][i]) for i in first]


class _Belief:
    """What is believed of a test's readings: draws, and causes that nothing could show yet, each
    there in some of them by its prior chance, all its terms together."""

    def __init__(
        self,
        machine: Machine,
        seen: Witness,
        draws: Draws,
        pick: NDArray[np.int64],
        rng: np.random.Generator,
    ) -> None:
        self.seen, self.draws, self.pick, self.rng = seen, draws, pick, rng
        unseen = [c for c in causes_of(machine.arrangement) if c not in draws.takes]
        self.supposed: dict[str, Bools] = {c: rng.random(len(pick)) < CHANCE for c in unseen}

    def readings(self, session: Session, ahead: Witness) -> Matrix:
        """Readings of each draw at the rows that a test would take, noise left out."""
        thetas = self.draws.thetas[self.pick].copy()
        for place, name in enumerate(session.layout.names):
            prior = PRIORS.get(name.partition(":")[0])
            there = self.supposed.get(prior.cause or "") if prior else None
            if prior is None or there is None or prior.faulty is None:
                continue
            middle, spread = onto(prior.scale, prior.faulty[0]), prior.faulty[1]
            for i in np.flatnonzero(there):
                value = middle + spread * float(self.rng.standard_normal())
                thetas[i, place] = back(prior.scale, value)
        made = np.asarray(predict_all(session, thetas).reading_mm)[:, ahead.rows]
        terms = np.stack(
            [self._term(n, c) for n, c in zip(ahead.names, ahead.causes, strict=True)], axis=1
        )
        return np.asarray(made + terms @ ahead.columns.T)

    def _term(self, name: str, cause: str) -> Vector:
        """One linear term: as fitted where it is the session's own, else from its prior."""
        if name in self.seen.names and cause not in OF_ONE_RUN:
            return np.asarray(self.draws.terms[self.pick, self.seen.names.index(name)])
        prior = LINEAR[cause]
        there = self.supposed.get(cause)
        if there is None:
            there = self.draws.takes[cause][self.pick]
        spread = np.where(there, prior.faulty, prior.sound)
        return np.asarray(spread * self.rng.standard_normal(len(self.pick)))


def _shows(ahead: Witness, bound: slice, belief: _Belief, cause: str) -> bool:
    """Whether a test has a term of a cause that the session could not show; a cause without
    terms is curved, and shows by what it does to the readings where some draw has it."""
    here = [i for i, c in enumerate(ahead.causes) if c == cause]
    if here:
        return bool(np.any(ahead.columns[bound][:, here]))
    return bool(belief.supposed[cause].any())


def _size(setup: SetUp, outcomes: Matrix) -> Vector:
    """How far a test's readings depart from what was told, largest less smallest (mm)."""
    told = np.array([r.target_mm for r in setup.run.readings])
    off = outcomes - (told if setup.run.follows_command else 0.0)
    return np.asarray(np.ptp(off, axis=1))
