"""What to read next: the test that is expected to tell most of the causes in a minute.

Every candidate is simulated for axes drawn from what is believed now, and what its figures would
tell of each cause is counted as for a plan.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import predict_all
from plumbrise.explain.ahead import Ahead, ahead_of
from plumbrise.explain.causes import causes_of
from plumbrise.explain.causes_seen import flexes_unread, frame_places
from plumbrise.explain.draws import Draws
from plumbrise.explain.gain import bits_told, raked
from plumbrise.explain.mattering import matters
from plumbrise.explain.meanings import meaning_by_size, words_for
from plumbrise.explain.priors import CHANCE, LINEAR, PRIORS, back, onto
from plumbrise.explain.results import NextTest
from plumbrise.explain.space import space_of
from plumbrise.explain.witness import Witness
from plumbrise.machine import Machine
from plumbrise.measure.setups import SetUp, candidates
from plumbrise.readings.kinds import SIDE_PUSH

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

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
BEST = 5
AXES = 800
"""Axes made from the draws, each in its share."""


def next_tests(
    machine: Machine,
    seen: Witness,
    draws: Draws,
    done: frozenset[tuple[str, str]],
    open_groups: Sequence[tuple[str, ...]],
    rng: np.random.Generator,
    *,
    shown: Collection[str],
    stated: Mapping[str, float] | None = None,
) -> tuple[NextTest, ...]:
    """The tests most worth doing, by the bits that each is expected to tell a minute, summed over
    the causes: those that the session could show as likely as stated, the others as before
    anything was read.

    Args:
        machine: the axis.
        seen: the session so far.
        draws: what is believed.
        shown: the causes that the session could show.
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
    draws = replace(draws, takes={c: yes for c, yes in draws.takes.items() if c in shown})
    draws, origin = _with_splits(draws, seen.session.layout.names, open_groups)
    weight = raked(draws.weight, draws.takes, stated or {})
    ahead = ahead_of(seen.session.base, setups, seen.resolution_mm)
    pick = rng.choice(len(weight), AXES, p=weight)
    made, there = _Belief(machine, seen, draws, pick, rng).readings(ahead)
    found = []
    for number, (setup, bound) in enumerate(zip(setups, ahead.seen.bounds, strict=True)):
        noisy = ahead.noisy(number, made, seen.level, rng)
        figures = ahead.figures(number, noisy, seen.level)
        told = bits_told([figures], there, origin[pick])
        gain = sum(max(bits, 0.0) for bits in told.values())
        if gain >= LEAST_BITS:
            found.append((gain, setup, made[:, bound]))
    found.sort(key=lambda one: -one[0] / one[1].minutes)
    of_class, kept, names = _classes(draws, pick)
    even = np.full(len(kept), 1.0 / len(kept))
    out = []
    for gain, setup, outcomes in found[:BEST]:
        why, meanings = words_for(setup, open_groups)
        ranges = meaning_by_size(_size(setup, outcomes[kept]), of_class, even, names)
        said = (ranges,) if ranges else meanings
        test, station = setup.kind.id, setup.station.id
        out.append(NextTest(test, station, gain, setup.minutes, why, said))
    return tuple(out)


def _with_splits(
    draws: Draws, names: Sequence[str], open_groups: Sequence[tuple[str, ...]]
) -> tuple[Draws, Ints]:
    """Draws and, where springs in a row cannot be told apart, the same with two of them
    exchanged: the session would have read the same. With them, which draw each came from."""
    origin = np.arange(len(draws.weight))
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
        origin = np.concatenate([origin, origin[rows]])
        if len(draws.weight) > MOST_DRAWS:
            break
    return draws, origin


def _classes(draws: Draws, pick: Ints) -> tuple[Ints, Ints, list[frozenset[str]]]:
    """Class of each kept axis by the set that matters in it, which axes are kept, and the sets,
    those that matter most often."""
    every = [frozenset(c for c in draws.takes if draws.takes[c][i]) for i in pick]
    often = Counter(every)
    sets = sorted(often, key=lambda one: (-often[one], sorted(one)))[:MOST_CLASSES]
    kept = np.array([i for i, one in enumerate(every) if one in sets], dtype=np.int64)
    return np.array([sets.index(every[i]) for i in kept], dtype=np.int64), kept, sets


class _Belief:
    """What is believed of a test's readings: axes made from draws (`pick`), and causes that nothing
    could show yet, each there in some of them by its prior chance, all its terms together."""

    def __init__(
        self,
        machine: Machine,
        seen: Witness,
        draws: Draws,
        pick: Ints,
        rng: np.random.Generator,
    ) -> None:
        self.machine, self.seen, self.draws = machine, seen, draws
        self.pick, self.rng = pick, rng
        unseen = {c: CHANCE for c in causes_of(machine.arrangement) if c not in draws.takes}
        runs = seen.session.readings.runs
        pushed = {run.station.id for run in runs if run.kind is SIDE_PUSH}
        unseen["frame-flex"] = flexes_unread(machine, pushed)
        self.supposed: dict[str, Bools] = {c: rng.random(len(pick)) < p for c, p in unseen.items()}
        free = [place for place in frame_places(machine) if place not in pushed]
        self.flexing = rng.choice(free or [""], len(pick))

    def readings(self, ahead: Ahead) -> tuple[Matrix, dict[str, Bools]]:
        """Readings of each axis at the rows that tests would take, noise left out, and the axes on
        which each cause matters: in what was read, or as supposed in some test to come."""
        session, seen = ahead.session, ahead.seen
        thetas = self.draws.thetas[self.pick].copy()
        for place, name in enumerate(session.layout.names):
            quantity, _, station = name.partition(":")
            prior = PRIORS.get(quantity)
            there = self.supposed.get(prior.cause or "") if prior else None
            if prior is None or there is None or prior.faulty is None:
                continue
            if prior.cause == "frame-flex":  # at one station, which is not known
                there = there & (self.flexing == station)
            middle, spread = onto(prior.scale, prior.faulty[0]), prior.faulty[1]
            for i in np.flatnonzero(there):
                value = middle + spread * float(self.rng.standard_normal())
                thetas[i, place] = back(prior.scale, value)
        made = np.asarray(predict_all(session, thetas).reading_mm)[:, seen.rows]
        terms = np.empty((len(thetas), len(seen.names)))
        for k, (name, cause) in enumerate(zip(seen.names, seen.causes, strict=True)):
            terms[:, k] = self._term(name, cause)
        found = matters(ahead, space_of(self.machine, session), self.supposed, thetas, terms)
        nowhere = np.zeros(len(thetas), dtype=bool)
        for cause, yes in self.draws.takes.items():
            found[cause] = found.get(cause, nowhere) | yes[self.pick]
        return np.asarray(made + terms @ seen.columns.T), found

    def _term(self, name: str, cause: str) -> Vector:
        """One linear term: as fitted where it is the session's own, else from its prior."""
        known = name in self.seen.names and cause in self.draws.takes
        if known and cause not in OF_ONE_RUN:
            return np.asarray(self.draws.terms[self.pick, self.seen.names.index(name)])
        prior = LINEAR[cause]
        there = self.supposed.get(cause)
        if there is None:
            there = self.draws.takes[cause][self.pick]
        spread = np.where(there, prior.faulty, prior.sound)
        return np.asarray(spread * self.rng.standard_normal(len(self.pick)))


def _size(setup: SetUp, outcomes: Matrix) -> Vector:
    """How far a test's readings depart from what was told, largest less smallest (mm)."""
    told = np.array([r.target_mm for r in setup.run.readings])
    off = outcomes - (told if setup.run.follows_command else 0.0)
    return np.asarray(np.ptp(off, axis=1))
