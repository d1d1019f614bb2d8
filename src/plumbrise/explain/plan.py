"""A plan for the minutes there are: the set-ups that together are expected to tell most about the
causes, chosen one after another by what each adds a minute.

Axes are drawn from what is believed, and every candidate is simulated on each. What some tests
together tell of a cause is estimated by predicting that cause from their readings, each axis from
all the others (leave-one-out ridge regression on a few features of each test), and counting the
bits by which that prediction beats the bare chance. A cause that the readings do not show is
predicted no better than by chance, so nothing is told of it.

Sources, from memory: Lindley, Annals of Mathematical Statistics 27 (1956) 986 (information of an
experiment); Allen, Technometrics 16 (1974) 125 (leave-one-out residuals of a ridge regression);
Minoux, Optimization Techniques (1978) 234 (greedy choice with gains kept from earlier rounds).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import predict_all
from plumbrise.explain.ahead import ahead_of
from plumbrise.explain.causes import causes_of
from plumbrise.explain.meanings import words_for
from plumbrise.explain.priors import CHANCE, LINEAR, PRIORS
from plumbrise.explain.space import space_of
from plumbrise.explain.symptoms import SYMPTOMS, chances
from plumbrise.machine import Machine, known
from plumbrise.measure.setups import SetUp, candidates, fits_gauge, in_walking_order, minutes_after
from plumbrise.readings.kinds import GAUGE_CHECK

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Bools = NDArray[np.bool_]

AXES = 1200
"""Axes drawn from what is believed before anything is read."""
POINTED_AT = 3.0
"""What a bit about a cause that a symptom points at is worth beside one about another (a choice, no
source)."""
LEAST_CHANCE = 0.02
"""No cause counts as settled beyond this by readings that another test may still check."""
SCORES = 5
"""Directions of a test's readings that are kept."""
RIDGE = 8.0
LEAST_BITS_A_MINUTE = 0.01
SETTLED = 0.5
"""A cause is said to be settled where less than this share of its doubt is left."""
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
    """Axes drawn from what is believed: which causes each has, and the features that each
    candidate's readings would have on it."""

    there: Mapping[str, Bools]
    features: tuple[Matrix, ...]


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

    Raises:
        InputError: a symptom that is none.
    """
    offered = [
        s
        for s in candidates(machine, balance=balance)
        if fits_gauge(machine, s) and (s.kind.id, s.station.id) not in done
    ]
    if not offered:
        return Plan((), 0.0, 0.0, 0.0, ())
    chance = dict(chances(symptoms, causes_of(machine.arrangement)))
    raised = {c: p / (1 - p) * (1 - CHANCE) / CHANCE for c, p in chance.items()}
    for cause, p in (stated or {}).items():
        held = min(max(p, LEAST_CHANCE), 1 - LEAST_CHANCE)
        odds = held / (1 - held) * raised.get(cause, 1.0)  # a symptom speaks beside the readings
        chance[cause] = min(odds / (1 + odds), 1 - LEAST_CHANCE)
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
    """Draw axes by these chances of the causes, and what each candidate would read on them."""
    ahead = ahead_of(machine, offered, float(known(machine, "gauge.resolution_mm").value))
    session, seen = ahead.session, ahead.seen
    space = space_of(machine, session)
    there = {cause: rng.random(count) < p for cause, p in chance.items()}
    curved = {p.cause for p in PRIORS.values() if p.cause}
    thetas = np.empty((count, len(space.base)))
    for i in range(count):
        belief = space.belief(frozenset(c for c in curved if c in there and there[c][i]))
        u = belief.middle.copy()
        noise = rng.standard_normal(len(belief.active))
        u[belief.active] += np.clip(noise, -2.5, 2.5) * belief.spread[belief.active]
        thetas[i] = space.thetas(belief, u[None, :])[0]
    made = np.asarray(predict_all(session, thetas).reading_mm)[:, seen.rows]
    spread = np.stack(
        [
            np.where(there.get(c, np.zeros(count, bool)), LINEAR[c].faulty, LINEAR[c].sound)
            for c in seen.causes
        ],
        axis=1,
    )
    terms = spread * rng.standard_normal((count, len(seen.names)))
    made = made + terms @ seen.columns.T
    features = []
    for number in range(len(offered)):
        scaled = ahead.scaled(number, made, seen.level)
        features.append(features_of(scaled + rng.standard_normal(scaled.shape)))
    return Imagined(there, tuple(features))


def features_of(scaled: Matrix) -> Matrix:
    """A few features of a test's readings (an axis a row, unit noise): what varies most, its
    signed logarithm, so that ratios of losses add, and its size."""
    off = scaled - scaled.mean(axis=0)
    _, size, ways = np.linalg.svd(off, full_matrices=False)
    kept = min(SCORES, int(np.sum(size > 1.3 * np.sqrt(len(off)))) or 1)
    score = off @ ways[:kept].T
    signed = np.sign(score) * np.log1p(np.abs(score))
    out = np.concatenate([score, signed, np.abs(signed)], axis=1)
    out = out - out.mean(axis=0)
    return np.asarray(out / np.maximum(out.std(axis=0), 1e-9))


def bits_told(features: Sequence[Matrix], there: Mapping[str, Bools]) -> dict[str, float]:
    """Bits that readings with these features tell of each cause.

    Each axis's causes are predicted from all the others; the prediction is put on the scale of
    probabilities by its own spread, and compared with the bare chance by the log score.

    Example:
        A feature that shows one cause plainly, and not the other:

        >>> rng = np.random.default_rng(1)
        >>> there = {"racking": rng.random(400) < 0.5, "nut-play": rng.random(400) < 0.5}
        >>> shown = 6.0 * there["racking"][:, None] + rng.standard_normal((400, 1))
        >>> bits = bits_told([shown - shown.mean()], there)
        >>> bits["racking"] > 0.8, bits["nut-play"] < 0.03
        (True, True)
    """
    names = list(there)
    held = np.stack([there[c] for c in names], axis=1).astype(float)
    chance = held.mean(axis=0)
    if not features:
        return dict.fromkeys(names, 0.0)
    x = np.concatenate(features, axis=1)
    h = x.T @ x
    h[np.diag_indices_from(h)] += RIDGE
    solved = np.linalg.solve(h, x.T)
    lever = np.clip(np.sum(x * solved.T, axis=1) + 1.0 / len(x), 0.0, 0.9)
    off = held - chance
    fit = x @ (solved @ off)
    left_out = (fit - lever[:, None] * off) / (1 - lever[:, None])
    p = _probabilities(left_out, held, chance)
    score = held * np.log2(p) + (1 - held) * np.log2(1 - p)
    sure = np.clip(chance, 1e-6, 1 - 1e-6)
    bare = sure * np.log2(sure) + (1 - sure) * np.log2(1 - sure)
    return {c: float(b) for c, b in zip(names, score.mean(axis=0) - bare, strict=True)}


def _probabilities(predicted: Matrix, held: Matrix, chance: Vector) -> Matrix:
    """Predictions as probabilities: two bells, one of axes with the cause and one of those
    without, fitted on one half of the axes for the other half."""
    out = np.empty_like(predicted)
    halves = np.arange(len(predicted)) % 2 == 0
    for k in range(predicted.shape[1]):
        for judged in (halves, ~halves):
            yes = ~judged & (held[:, k] > 0)
            no = ~judged & (held[:, k] == 0)
            if yes.sum() < 5 or no.sum() < 5:
                out[judged, k] = chance[k]
                continue
            logs = []
            for rows, share in ((yes, chance[k]), (no, 1 - chance[k])):
                middle, spread = predicted[rows, k].mean(), predicted[rows, k].std() + 1e-9
                z = (predicted[judged, k] - middle) / spread
                logs.append(np.log(share) - 0.5 * np.minimum(z * z, 40.0) - np.log(spread))
            out[judged, k] = 1 / (1 + np.exp(np.clip(logs[1] - logs[0], -30, 30)))
    return np.clip(out, 0.01, 0.99)


def _chosen(
    offered: Sequence[SetUp],
    imagined: Imagined,
    worth: Mapping[str, float],
    minutes: float,
    gauges: int,
) -> list[int]:
    """Which candidates, the best a minute first. Gains found in an earlier round are taken to
    bound the later ones, so that few are worked out again: two tests that tell something only
    together may be missed."""
    picked: list[int] = []
    if minutes >= 2 * _minutes_of_check(offered):  # a reading without it means little
        picked = [i for i, s in enumerate(offered) if s.kind is GAUGE_CHECK][:1]

    def told(features: Sequence[Matrix]) -> float:
        return sum(worth[c] * b for c, b in bits_told(features, imagined.there).items())

    # what is told by chance alone falls to both sides of nothing, so nothing is clipped before
    # the sum

    known = [imagined.features[i] for i in picked]
    now = told(known)
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
            bound[i] = max(told([*known, imagined.features[i]]) - now, 0.0)
            rate[i] = (bound[i] / rate[i][1], rate[i][1])
            fresh.add(i)
        if best is None or rate[best][0] < LEAST_BITS_A_MINUTE:
            return picked
        picked.append(best)
        known.append(imagined.features[best])
        now += bound.pop(best)


def _minutes_of_check(offered: Sequence[SetUp]) -> float:
    return next((s.minutes for s in offered if s.kind is GAUGE_CHECK), 0.0)


def _told(imagined: Imagined, order: Sequence[int], offered: Sequence[SetUp], gauges: int) -> Plan:
    """The plan in words and bits, set-up by set-up."""
    chance = {c: float(yes.mean()) for c, yes in imagined.there.items()}
    doubt = {c: _entropy(p) for c, p in chance.items()}
    known: list[Matrix] = []
    now = bits_told(known, imagined.there)
    every = bits_told([imagined.features[i] for i in order], imagined.there)
    whole = max(sum(every.values()), 1e-9)
    steps = []
    cost = minutes_after(offered, order, gauges)
    for i, took in zip(order, cost, strict=True):
        known.append(imagined.features[i])
        after = bits_told(known, imagined.there)
        tells = [c for c in after if after[c] - now[c] > NEWS * doubt[c]]
        tells.sort(key=lambda c: now[c] - after[c])
        settled = tuple(c for c in after if after[c] > (1 - SETTLED) * doubt[c])
        share = min(sum(after.values()) / whole, 1.0)
        why, _ = words_for(offered[i], ())
        steps.append(PlannedSetUp(offered[i], took, why, tuple(tells[:4]), settled, share))
        now = after
    unseen = tuple(c for c in every if every[c] < NEWS * doubt[c])
    return Plan(tuple(steps), sum(cost), sum(doubt.values()), whole, unseen)


def _entropy(p: float) -> float:
    return float(-sum(q * np.log2(q) for q in (p, 1 - p) if q > 0))
