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

from plumbrise.axis import Session, predict_all, prepare
from plumbrise.explain.causes import CAUSES, causes_of
from plumbrise.explain.draws import Draws
from plumbrise.explain.noise import run_noise
from plumbrise.explain.priors import CHANCE, LINEAR, PRIORS, back, onto
from plumbrise.explain.results import NextTest
from plumbrise.explain.scores import entropy_bits
from plumbrise.explain.witness import Witness, witness
from plumbrise.machine import Machine
from plumbrise.measure.setups import SetUp, candidates
from plumbrise.readings import Readings, Run

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Bools = NDArray[np.bool_]

LEAST_BITS = 0.1
DIRECTIONS = 4
MOST_CLASSES = 10
OUTCOMES, LEAST_OUTCOMES = 200, 8
MOST_DRAWS = 1200
FEW = 8.0
"""Draws from which a class's own spread counts as much as that of all."""
FLOOR = 0.02
"""Share of all weight spread evenly over the draws, so that no set is impossible."""
SWEEPS = 30
DEALT = 3
"""How often draws are dealt to classes at random, to see what that seems to tell."""
SPRING_OF = {
    "motor-seat": "seat_stiffness_n_per_mm",
    "coupling-stretch": "coupling_stiffness_n_per_mm",
    "bracket-flex": "bracket_stiffness_n_per_mm",
}
LEADING = 4
CLEAR_MM = 0.01
CLEAR_SHARE = 0.2
"""Sizes nearer than this, or than this share of themselves, are not told apart in words."""
OF_ONE_RUN = ("coupling-slip", "home-scatter")
"""Causes whose terms belong to one run."""
UNSEEN_WORTH = 0.25
"""What a bit about a cause that nothing read so far could show is worth beside one about where the
loss that was read comes from: people ask that first (a choice, no source)."""
BEST = 5
SHARED_MM = 0.15
"""Take-up by which the model is expected to err in a test that was not read yet (mm)."""


def expected_gain_bits(
    outcomes: Matrix, of_class: NDArray[np.int64], weight: Vector, rng: np.random.Generator
) -> float:
    """Doubt over classes that a test is expected to remove.

    What draws dealt to the classes at random would seem to tell is taken off: with few draws
    that is not little.

    Args:
        outcomes: simulated readings scaled to unit noise, one draw a row.
        of_class: class of each draw.
        weight: of each draw.
        rng: for the outcomes over which the mean is taken.
    """
    gain, doubt = _seeming_bits(outcomes, of_class, weight, rng)
    if gain == 0.0:
        return 0.0
    dealt = [
        _seeming_bits(outcomes, of_class[order], weight[order], rng)[0]
        for order in (rng.permutation(len(of_class)) for _ in range(DEALT))
    ]
    nothing = min(float(np.mean(dealt)), 0.999 * doubt)
    return max(gain - nothing, 0.0) / (doubt - nothing) * doubt


def _seeming_bits(
    outcomes: Matrix, of_class: NDArray[np.int64], weight: Vector, rng: np.random.Generator
) -> tuple[float, float]:
    """Gain with the draws taken at their word, and the doubt there is (bits)."""
    classes = np.unique(of_class)
    share = weight / weight.sum()
    chance = np.array([share[of_class == c].sum() for c in classes])
    before = entropy_bits(chance)
    if len(classes) < 2 or outcomes.shape[1] == 0:
        return 0.0, before
    held = np.stack([np.where(of_class == c, share, 0.0) for c in classes])
    held /= held.sum(axis=1, keepdims=True)
    centres = held @ outcomes
    off = outcomes - centres[np.searchsorted(classes, of_class)]
    lower = np.linalg.cholesky(np.eye(outcomes.shape[1]) + (off * share[:, None]).T @ off)
    off = np.asarray(np.linalg.solve(lower, off.T).T, dtype=np.float64)
    centres = np.asarray(np.linalg.solve(lower, (centres - chance @ centres).T).T, dtype=np.float64)
    _, size, ways = np.linalg.svd(centres * np.sqrt(chance)[:, None], full_matrices=False)
    by_chance = _by_chance(off, held, share, chance)
    kept = np.sqrt(np.maximum(size**2 - by_chance, 0.0))[:DIRECTIONS]
    use = kept > 1e-6
    if not use.any():
        return 0.0, before
    way = ways[:DIRECTIONS][use].T
    middles = centres @ way * (kept / np.maximum(size[:DIRECTIONS], 1e-12))[use]
    noise = np.linalg.solve(lower.T, way)
    common = way.T @ ((off * share[:, None]).T @ off) @ way
    bells = []
    for one, middle in zip(held, middles, strict=True):
        count = 1.0 / np.sum(one**2)
        own = ((off @ way) * one[:, None]).T @ (off @ way)
        trust = count / (count + FEW)
        spread = trust * own + (1 - trust) * common + noise.T @ noise
        bells.append((middle, np.linalg.cholesky(spread)))
    after = 0.0
    for p_class, (middle, root) in zip(chance, bells, strict=True):
        number = max(LEAST_OUTCOMES, round(p_class * OUTCOMES))
        seen = middle + rng.standard_normal((number, len(middle))) @ root.T
        logs = np.stack(
            [np.log(p) + _log_bell(seen, *bell) for p, bell in zip(chance, bells, strict=True)], 1
        )
        p = np.exp(logs - logs.max(axis=1, keepdims=True))
        p /= p.sum(axis=1, keepdims=True)
        doubt = -np.sum(p * np.log2(np.maximum(p, 1e-300)), axis=1)
        after += p_class * float(doubt.mean())
    return float(min(max(before - after, 0.0), before)), before


def _by_chance(off: Matrix, held: Matrix, share: Vector, chance: Vector) -> float:
    """Largest square difference between class means that so few draws show where there is none
    (largest eigenvalue of a Wishart matrix: Marchenko and Pastur 1967)."""
    scatter = np.linalg.eigvalsh((off * share[:, None]).T @ off)
    total = float(np.sum(scatter))
    if total < 1e-12:
        return 0.0
    ways = total**2 / float(np.sum(scatter**2))
    most = float(scatter[-1])
    free = max(len(chance) - 1, 1)
    error = float(np.sum(chance * (1 - chance) * np.sum(held**2, axis=1))) * most
    return float(error / free * (np.sqrt(free) + np.sqrt(ways)) ** 2)


def _log_bell(at: Matrix, middle: Vector, lower: Matrix) -> Vector:
    z = np.linalg.solve(lower, (at - middle).T)
    return np.asarray(-0.5 * np.sum(z * z, axis=0) - np.log(np.diag(lower)).sum())


def raked(weight: Vector, there: Mapping[str, Bools], stated: Mapping[str, float]) -> Vector:
    """Weights of draws whose causes are as likely as stated, changed as little as can be
    (iterative proportional fitting: Deming and Stephan, Annals of Mathematical Statistics 11
    (1940) 427). A cause that is in all draws, or in none, is left out.

    Example:
        >>> there = {"racking": np.array([True, False])}
        >>> half = raked(np.array([0.9, 0.1]), there, {"racking": 0.5})
        >>> [round(float(w), 6) for w in half]
        [0.5, 0.5]
    """
    out = np.maximum(weight / weight.sum(), FLOOR / len(weight))
    free = [c for c, yes in there.items() if c in stated and 0 < yes.sum() < len(yes)]
    for _ in range(SWEEPS):
        for cause in free:
            yes = there[cause]
            aim = min(max(stated[cause], 1e-3), 1 - 1e-3)
            now = float(out[yes].sum() / out.sum())
            out = out * np.where(yes, aim / now, (1 - aim) / (1 - now))
            out = np.maximum(out / out.sum(), FLOOR / len(out) / 10)
    return np.asarray(out / out.sum())


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
    told = Readings(tuple(_as_read(s.run) for s in setups))
    session = prepare(seen.session.base, told)
    ahead = witness(session, seen.resolution_mm)
    belief = _Belief(machine, seen, draws, pick, rng)
    made = belief.readings(session, ahead)
    found = []
    for setup, bound in zip(setups, ahead.bounds, strict=True):
        rows = ahead.rows[bound]
        noise = run_noise(
            setup.run,
            slice(0, len(rows)),
            travelled_mm=session.path_mm[rows],
            since_turn_mm=session.since_turn_mm[rows],
            level=seen.level,
            misread_mm=np.zeros(len(rows)),
            amplitude_mm=SHARED_MM,
        )
        scaled = made[:, bound] @ noise.whiten.T
        gain = worth = expected_gain_bits(scaled, of_class, weight, rng)
        for cause, there in belief.supposed.items():
            if _shows(ahead, bound, belief, cause):
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


def _as_read(run: Run) -> Run:
    """A run with every reading there, so that its rows and terms are laid out."""
    return replace(run, readings=tuple(replace(r, reading_mm=0.0) for r in run.readings))


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


def meaning_by_size(
    size: Vector, of_class: NDArray[np.int64], weight: Vector, names: Sequence[frozenset[str]]
) -> str:
    """Which size of the change would mean which leading set, empty where sizes overlap.

    Example:
        >>> size, of_class = np.array([0.2, 0.22, 0.01, 0.012]), np.array([0, 0, 1, 1])
        >>> sets = [frozenset({"motor-seat"}), frozenset({"bracket-flex"})]
        >>> meaning_by_size(size, of_class, np.full(4, 0.25), sets).startswith("More than 0.2")
        True
    """
    total = np.array([weight[of_class == c].sum() for c in range(len(names))])
    leading = [int(c) for c in np.argsort(-total)[:LEADING] if total[c] > 0.05]
    spans = sorted(
        (
            float(np.quantile(size[of_class == c], 0.1)),
            float(np.quantile(size[of_class == c], 0.9)),
            c,
        )
        for c in leading
    )
    best = (CLEAR_MM, 0)
    for cut in range(1, len(spans)):
        gap = min(s[0] for s in spans[cut:]) - max(s[1] for s in spans[:cut])
        best = max(best, (gap, cut))
    gap, cut = best
    if cut == 0 or gap < CLEAR_SHARE * max(s[1] for s in spans[:cut]):
        return ""
    low, high = max(s[1] for s in spans[:cut]), min(s[0] for s in spans[cut:])
    below = [names[c] for _, _, c in spans[:cut]]
    above = [names[c] for _, _, c in spans[cut:]]
    small, large = _only_in(below, above), _only_in(above, below)
    if not small or not large:
        return ""
    return f"More than {high:.2f} mm: {large}; less than {low:.2f} mm: {small}."


def _only_in(these: Sequence[frozenset[str]], those: Sequence[frozenset[str]]) -> str:
    """The causes by which these sets differ from those, in words; empty if in nothing."""
    own = [s - frozenset[str]().union(*those) for s in these]
    if not all(own):
        return ""
    return " or ".join(dict.fromkeys(CAUSES[c].title.lower() for s in own for c in sorted(s)))


def words_for(setup: SetUp, open_groups: Sequence[tuple[str, ...]]) -> tuple[str, tuple[str, ...]]:
    """Why a test is worth its minutes, and which reading would mean which cause."""
    link = setup.station.link_station
    key = (setup.kind.id, link if link in ("motor-shaft", "screw", "nut") else "")
    why, meanings = WORDS.get(key, WORDS.get((setup.kind.id, ""), ("", ())))
    groups = [g for g in open_groups if len(g) > 1]
    if not why and groups:
        names = " and ".join(CAUSES[c].title.lower() for c in groups[0])
        why = f"It tells {names} apart."
    return why, meanings


WORDS: dict[tuple[str, str], tuple[str, tuple[str, ...]]] = {
    ("reversal", "screw"): (
        "The screw's end face shows what seat and coupling take, and nothing of nut and bracket.",
        (
            "If the screw shifts by most of the loss: seat or coupling.",
            "If it stays within 0.01 mm: nut or bracket.",
        ),
    ),
    ("reversal", "motor-shaft"): (
        "The motor's shaft shows what the seat takes by itself.",
        (
            "If the shaft shifts by most of the loss: the motor's seat.",
            "If it stays: the coupling or what comes after it.",
        ),
    ),
    ("reversal", "nut"): (
        "The nut shows all but the bracket.",
        (
            "If the nut loses as much as the gantry: not the bracket.",
            "If the nut loses clearly less: the bracket.",
        ),
    ),
    ("reversal", ""): (
        "Up, down and up again at one height shows the whole loss with its shape.",
        (
            "If the loss comes at once, as a flat floor: play in the nut.",
            "If it comes bit by bit: a spring that gives way to drag.",
        ),
    ),
    ("dead-weight", "screw"): (
        "Known masses show how far seat and coupling give to a newton, drag left out.",
        (
            "If the screw sinks 0.01 mm or more a newton: seat or coupling is soft.",
            "If it hardly moves: the loss comes after the screw, or from drag.",
        ),
    ),
    ("dead-weight", "motor-shaft"): (
        "Known masses show the motor seat's own spring.",
        (
            "If the shaft sinks 0.01 mm or more a newton: the seat is soft.",
            "If it hardly moves: not the seat.",
        ),
    ),
    ("dead-weight", "nut"): (
        "Known masses show how far all links up to the nut give to a newton.",
        (
            "If the nut sinks as far as the gantry: not the bracket.",
            "If it sinks clearly less: the bracket.",
        ),
    ),
    ("dead-weight", ""): (
        "Known masses fix the stiffness, and with it the drag in newtons.",
        (
            "If it sinks 0.01 mm or more a newton: a soft link.",
            "If it hardly sinks: the loss is drag.",
        ),
    ),
    ("gauge-check", ""): (
        "On a solid block the gauge is alone: its sticking and its tilt show, nothing else.",
        (
            "If up and down differ at the same leaf: the plunger sticks.",
            "If the readings are off in proportion: the gauge stands tilted.",
            "If neither: what was read is the machine.",
        ),
    ),
    ("full-travel", ""): (
        "The whole height shows what changes with it.",
        (
            "If the loss rises at one height only: a tight spot.",
            "If it rises toward the fixed end of the screw: the screw is out of line.",
            "If readings are off in proportion to the height: lead error or a tilted gauge.",
        ),
    ),
    ("one-turn", ""): (
        "Sixteenths of a turn show what repeats with the screw and with the motor's steps.",
        (
            "If it repeats once a turn: screw or thread.",
            "If it repeats every four full steps: uneven steps.",
        ),
    ),
    ("repeat-home", ""): (
        "Homing again and again shows how far home differs.",
        (
            "If the readings scatter more than on a hold: home differs.",
            "If they trend one way: steps are lost, or the clamp slips.",
        ),
    ),
    ("fine-steps", ""): (
        "Small steps after homing show how the loss builds up.",
        (
            "If nothing moves at first and then full steps: play.",
            "If steps grow slowly: a spring that gives way to drag.",
        ),
    ),
    ("coarse-steps", ""): (
        "A staircase after homing gives the loss of this side.",
        ("If it loses more than the other side: racking or this side's drag.",),
    ),
    ("hold", ""): (
        "While nothing moves, only warmth and creep change the reading.",
        ("If it wanders by 0.02 mm or more: drift with warmth.",),
    ),
    ("side-push", ""): (
        "A known push shows how far the frame gives way.",
        (
            "If it gives 0.02 mm or more a newton: the frame.",
            "If it does not come back: a loose joint.",
        ),
    ),
}
"""By kind of test and link station."""
