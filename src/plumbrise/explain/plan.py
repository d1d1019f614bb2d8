"""A plan for the minutes there are: the set-ups that together are expected to tell most about the
causes, chosen one after another by what each adds a minute.

Axes are drawn from what is believed, and every candidate is simulated on each (`gain` says what
some tests together tell of a cause).

Source, from memory: Minoux, Optimization Techniques (1978) 234 (greedy choice with gains kept from
earlier rounds).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import predict_all
from plumbrise.explain.ahead import ahead_of
from plumbrise.explain.causes import causes_of
from plumbrise.explain.causes_seen import flexes_unread, frame_places
from plumbrise.explain.gain import bits_told
from plumbrise.explain.mattering import matters
from plumbrise.explain.meanings import words_for
from plumbrise.explain.priors import CHANCE, LINEAR, PRIORS
from plumbrise.explain.space import space_of
from plumbrise.explain.symptoms import SYMPTOMS, chances
from plumbrise.machine import Machine, known
from plumbrise.measure.setups import SetUp, candidates, fits_gauge, in_walking_order, minutes_after
from plumbrise.readings.kinds import GAUGE_CHECK, SIDE_PUSH

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Bools = NDArray[np.bool_]

AXES = 1500
"""Axes drawn from what is believed before anything is read."""
POINTED_AT = 3.0
"""What a bit about a cause that a symptom points at is worth beside one about another (a choice, no
source)."""
LEAST_CHANCE = 0.02
"""No cause counts as settled beyond this by readings that another test may still check."""
LEAST_BITS_A_MINUTE = 0.01
STARTS = 5
"""How many of the tests that tell most are tried as held from the start."""
SETTLED = 0.5
"""A cause is said to be settled where less than this share of its doubt is left."""
LITTLE_BITS = 0.05
"""Less doubt than this before anything is read: no test on offer shows the cause."""
NEWS = 0.1
"""A set-up is said to tell of a cause where it takes this share of its doubt away."""


@dataclass(frozen=True, slots=True)
class PlannedSetUp:
    """One set-up of a plan, in walking order.

    `minutes` counts setting the stand where it has to be moved; `tells` the causes of which this
    set-up takes away a good part of the doubt, after those before it; `settled` the causes of
    which most doubt is gone by then; `share` how much of the doubt that the whole plan takes
    away is gone by then.
    """

    set_up: SetUp
    minutes: float
    why: str
    tells: tuple[str, ...]
    settled: tuple[str, ...]
    share: float


@dataclass(frozen=True, slots=True)
class Plan:
    """Set-ups in walking order; doubt in bits before and as expected after them; the causes that
    nothing in the plan could show."""

    steps: tuple[PlannedSetUp, ...]
    minutes: float
    doubt_bits: float
    gain_bits: float
    unseen: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Imagined:
    """Axes drawn from what is believed: which causes matter on each, the figures that each
    candidate would show on it, and those of the difference between two that tell the same at two
    places."""

    there: Mapping[str, Bools]
    figures: tuple[Matrix, ...]
    apart: Mapping[tuple[int, int], Matrix]

    def bits_told(self, chosen: Collection[int]) -> dict[str, float]:
        """Bits that these candidates together tell of each cause."""
        shown = [self.figures[i] for i in chosen]
        shown += [figures for pair, figures in self.apart.items() if set(pair) <= set(chosen)]
        return bits_told(shown, self.there)


def plan(
    machine: Machine,
    *,
    minutes: float,
    rng: np.random.Generator,
    symptoms: Collection[str] = (),
    stated: Mapping[str, float] | None = None,
    done: Collection[tuple[str, str]] = (),
    gauges: int = 1,
    balance: bool = True,
    blocks: bool = False,
) -> Plan:
    """The set-ups most worth these minutes.

    Args:
        machine: the axis as described.
        minutes: how long there is, gauge check included.
        rng: all chance comes from here.
        symptoms: ids of what the person sees.
        stated: what readings taken so far say of the causes; left out, nothing was read.
        done: (kind, station) read already; they are not planned again.
        gauges: how many stand at once.
        balance: whether there is a spring balance.
        blocks: whether there are blocks of known thickness to lay under the tip where the way is
            longer than the gauge's stroke.

    Raises:
        InputError: a symptom that is none.
    """
    offered = [
        s
        for s in candidates(machine, balance=balance)
        if (blocks or fits_gauge(machine, s)) and (s.kind.id, s.station.id) not in done
    ]
    if not offered:
        return Plan((), 0.0, 0.0, 0.0, ())
    chance = dict(chances(symptoms, causes_of(machine.arrangement)))
    raised = {c: p / (1 - p) * (1 - CHANCE) / CHANCE for c, p in chance.items()}
    for cause, p in (stated or {}).items():
        held = min(max(p, LEAST_CHANCE), 1 - LEAST_CHANCE)
        odds = held / (1 - held) * raised.get(cause, 1.0)  # a symptom speaks beside the readings
        chance[cause] = min(odds / (1 + odds), 1 - LEAST_CHANCE)
    pushed = {station for kind, station in done if kind == SIDE_PUSH.id}
    if pushed:  # what was found there is known: the plan looks for it elsewhere
        chance["frame-flex"] = flexes_unread(machine, pushed)
    imagined = imagine(machine, offered, rng, chance)
    pointed = {c for one in symptoms for c in SYMPTOMS[one].causes}
    worth = {c: POINTED_AT if c in pointed else 1.0 for c in chance}
    chosen = _chosen(offered, imagined, worth, minutes, gauges)
    order = in_walking_order(machine, [offered[i] for i in chosen], gauges)
    place = {id(s): i for i, s in enumerate(offered)}
    return _told(imagined, [place[id(s)] for s in order], offered, gauges)


def imagine(
    machine: Machine,
    offered: Sequence[SetUp],
    rng: np.random.Generator,
    chance: Mapping[str, float],
    count: int = AXES,
) -> Imagined:
    """Draw axes by these chances of the causes, and what each candidate would read on them. A
    frame that gives way does so at one of the stations where a push is offered."""
    ahead = ahead_of(machine, offered, float(known(machine, "gauge.resolution_mm").value))
    session, seen = ahead.session, ahead.seen
    space = space_of(machine, session)
    there = {cause: rng.random(count) < p for cause, p in chance.items()}
    curved = {p.cause for p in PRIORS.values() if p.cause}
    thetas = np.empty((count, len(space.base)))
    pushes = [s.station.id for s in offered if s.kind is SIDE_PUSH]
    places = pushes or frame_places(machine)
    for i in range(count):
        belief = space.belief(
            frozenset(c for c in curved if c in there and there[c][i]),
            flexing=places[int(rng.integers(len(places)))],
        )
        u = belief.middle.copy()
        noise = rng.standard_normal(len(belief.active))
        u[belief.active] += np.clip(noise, -2.5, 2.5) * belief.spread[belief.active]
        thetas[i] = space.thetas(belief, u[None, :])[0]
    made = np.asarray(predict_all(session, thetas).reading_mm)[:, seen.rows]
    terms = np.empty((count, len(seen.names)))
    for k, cause in enumerate(seen.causes):
        held = there.get(cause, np.zeros(count, bool))
        spread = np.where(held, LINEAR[cause].faulty, LINEAR[cause].sound)
        terms[:, k] = spread * rng.standard_normal(count)
    made = made + terms @ seen.columns.T
    there = matters(ahead, space, there, thetas, terms)
    every = range(len(offered))
    noisy = [ahead.noisy(number, made, seen.level, rng) for number in every]
    figures = tuple(ahead.figures(number, noisy[number], seen.level) for number in every)
    return Imagined(
        there,
        figures,
        {
            (one, other): ahead.apart(one, other, noisy, seen.level)
            for one, other in combinations(every, 2)
            if ahead.alike(one, other)
        },
    )


def _chosen(
    offered: Sequence[SetUp],
    imagined: Imagined,
    worth: Mapping[str, float],
    minutes: float,
    gauges: int,
) -> list[int]:
    """Which candidates. The best a minute are taken first; since a long test may then find no room,
    that is tried anew with each of the few that tell most held from the start, and what tells
    most in all is kept."""
    told = _Told(imagined, worth)
    checks = [i for i, s in enumerate(offered) if s.kind is GAUGE_CHECK][:1]
    # a reading without the check means little
    first = checks if minutes >= 2 * _minutes_of_check(offered) else []
    alone = [i for i in range(len(offered)) if i not in first]
    alone.sort(key=lambda i: -told.by([*first, i]))
    starts = [first] + [[*first, i] for i in alone[:STARTS]]
    tried = [
        _filled(offered, imagined, told, start, minutes, gauges)
        for start in starts
        if sum(minutes_after(offered, start, gauges)) <= minutes
    ]
    return max(tried, key=told.by, default=[])


class _Told:
    """Worth of what candidates tell together, each choice worked out once. What is told by chance
    alone falls to both sides of nothing, so nothing is clipped before the sum."""

    def __init__(self, imagined: Imagined, worth: Mapping[str, float]) -> None:
        self.imagined, self.worth = imagined, worth
        self.known: dict[frozenset[int], float] = {}

    def by(self, chosen: Collection[int]) -> float:
        """By these candidates."""
        key = frozenset(chosen)
        if key not in self.known:
            bits = self.imagined.bits_told(sorted(key))
            self.known[key] = sum(self.worth[c] * b for c, b in bits.items())
        return self.known[key]


def _filled(
    offered: Sequence[SetUp],
    imagined: Imagined,
    told: _Told,
    start: Sequence[int],
    minutes: float,
    gauges: int,
) -> list[int]:
    """These candidates and others, the best a minute first. Gains found in an earlier round are
    taken to bound the later ones, so that few are worked out again, but for a test that tells the
    same at another place as one that was picked: together they tell more."""
    picked = list(start)
    now = told.by(picked)
    bound = {i: np.inf for i in range(len(offered)) if i not in picked}
    while True:
        left = minutes - sum(minutes_after(offered, picked, gauges))
        rate = {}
        for i in bound:
            cost = sum(minutes_after(offered, [*picked, i], gauges)) - minutes + left
            if cost <= left:
                rate[i] = (bound[i] / cost, cost)
        fresh: set[int] = set()
        best = None
        while rate:
            i = max(rate, key=lambda one: rate[one][0])
            if i in fresh:
                best = i
                break
            bound[i] = max(told.by([*picked, i]) - now, 0.0)
            rate[i] = (bound[i] / rate[i][1], rate[i][1])
            fresh.add(i)
        if best is None or rate[best][0] < LEAST_BITS_A_MINUTE:
            return picked
        picked.append(best)
        now += bound.pop(best)
        for pair in imagined.apart:
            bound |= {i: np.inf for i in pair if best in pair and i in bound}


def _minutes_of_check(offered: Sequence[SetUp]) -> float:
    return next((s.minutes for s in offered if s.kind is GAUGE_CHECK), 0.0)


def _told(imagined: Imagined, order: Sequence[int], offered: Sequence[SetUp], gauges: int) -> Plan:
    """The plan in words and bits, set-up by set-up."""
    chance = {c: float(yes.mean()) for c, yes in imagined.there.items()}
    doubt = {c: _entropy(p) for c, p in chance.items()}
    now = imagined.bits_told([])
    every = imagined.bits_told(order)
    whole = max(sum(every.values()), 1e-9)
    steps, share = [], 0.0
    cost = minutes_after(offered, order, gauges)
    for number, (i, took) in enumerate(zip(order, cost, strict=True), start=1):
        after = imagined.bits_told(order[:number])
        tells = [c for c in after if after[c] - now[c] > NEWS * doubt[c]]
        tells.sort(key=lambda c: now[c] - after[c])
        settled = tuple(c for c in after if after[c] > (1 - SETTLED) * doubt[c])
        share = min(max(sum(after.values()) / whole, share), 1.0)
        why, _ = words_for(offered[i], ())
        steps.append(PlannedSetUp(offered[i], took, why, tuple(tells[:4]), settled, share))
        now = after
    unseen = tuple(c for c in every if doubt[c] < LITTLE_BITS or every[c] < NEWS * doubt[c])
    return Plan(tuple(steps), sum(cost), sum(doubt.values()), whole, unseen)


def _entropy(p: float) -> float:
    return float(-sum(q * np.log2(q) for q in (p, 1 - p) if q > 0))
