"""What to read next: the test that is expected to remove most doubt in a minute.

Every candidate is simulated for axes drawn from what is believed now. How far its readings would
tell the likely sets apart, noise and free zero taken into account, gives the expected gain: the
doubt over sets now, less the mean doubt once it is read (Lindley, Annals of Mathematical
Statistics 27 (1956) 986).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import linear_terms, predict_all, prepare
from plumbrise.explain.causes import CAUSES
from plumbrise.explain.draws import Draws
from plumbrise.explain.noise import run_noise
from plumbrise.explain.priors import CHANCE, LINEAR
from plumbrise.explain.results import NextTest
from plumbrise.explain.scores import entropy_bits
from plumbrise.explain.witness import Witness
from plumbrise.machine import Machine
from plumbrise.measure.setups import SetUp, candidates
from plumbrise.readings import Readings

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

LEAST_BITS = 0.1
DIRECTIONS = 4
MOST_CLASSES = 10
OUTCOMES = 200
BEST = 5
SHARED_MM = 0.15
"""Take-up by which the model is expected to err in a test that was not read yet (mm)."""


def expected_gain_bits(
    outcomes: Matrix, of_class: NDArray[np.int64], weight: Vector, rng: np.random.Generator
) -> float:
    """Doubt over classes that a test is expected to remove.

    Args:
        outcomes: simulated readings scaled to unit noise, one draw a row.
        of_class: class of each draw.
        weight: of each draw.
        rng: for the outcomes over which the mean is taken.
    """
    classes = np.unique(of_class)
    chance = np.array([weight[of_class == c].sum() for c in classes])
    chance = chance / chance.sum()
    before = entropy_bits(chance)
    if len(classes) < 2 or outcomes.shape[1] == 0:
        return 0.0
    means, within = [], np.eye(outcomes.shape[1])
    for c, p in zip(classes, chance, strict=True):
        here = outcomes[of_class == c]
        means.append(here.mean(axis=0))
        within += p * np.atleast_2d(np.cov(here.T, bias=True)) if len(here) > 1 else 0.0
    centres = np.array(means)
    spread = (centres - chance @ centres) * np.sqrt(chance)[:, None]
    lower = np.linalg.cholesky(within)
    scaled = np.linalg.solve(lower, spread.T)
    left, size, _ = np.linalg.svd(scaled, full_matrices=False)
    use = left[:, size > 1e-9][:, :DIRECTIONS]
    if use.shape[1] == 0:
        return 0.0
    project = np.linalg.solve(lower.T, use)
    bells = []
    for c, centre in zip(classes, centres, strict=True):
        here = (outcomes[of_class == c] - centre) @ project
        own = here.T @ here / len(here) + project.T @ project
        bells.append((centre @ project, np.linalg.cholesky(own)))
    per = np.maximum(1, np.round(chance * OUTCOMES).astype(int))
    after = 0.0
    for c, (middle, lower_c) in enumerate(bells):
        seen = middle + rng.standard_normal((per[c], len(middle))) @ lower_c.T
        logs = np.stack(
            [np.log(chance[k]) + _log_bell(seen, *bell) for k, bell in enumerate(bells)], axis=1
        )
        p = np.exp(logs - logs.max(axis=1, keepdims=True))
        p /= p.sum(axis=1, keepdims=True)
        doubt = -np.sum(p * np.log2(np.maximum(p, 1e-300)), axis=1)
        after += chance[c] * float(doubt.mean())
    return float(min(max(before - after, 0.0), before))


def _log_bell(at: Matrix, middle: Vector, lower: Matrix) -> Vector:
    z = np.linalg.solve(lower, (at - middle).T)
    return np.asarray(-0.5 * np.sum(z * z, axis=0) - np.log(np.diag(lower)).sum())


def next_tests(
    machine: Machine,
    seen: Witness,
    draws: Draws,
    done: frozenset[tuple[str, str]],
    open_groups: Sequence[tuple[str, ...]],
    rng: np.random.Generator,
) -> tuple[NextTest, ...]:
    """The tests most worth doing, by bits a minute.

    Args:
        machine: the axis.
        seen: the session so far.
        draws: what is believed.
        done: (kind, station) already read; they are left out.
        open_groups: groups whose split is open, for the words.
        rng: all chance.
    """
    setups = [s for s in candidates(machine) if (s.kind.id, s.station.id) not in done]
    if not setups:
        return ()
    of_class, weight, pick = _classes(draws)
    session = prepare(seen.session.base, Readings(tuple(s.run for s in setups)))
    made = predict_all(session, draws.thetas[pick]).reading_mm
    terms = linear_terms(session)
    for name, column in zip(terms.names, terms.columns.T, strict=True):
        made += np.outer(_drawn(seen, draws, name, pick, rng), column)
    found = []
    for setup, rows in zip(setups, session.rows_of_run, strict=True):
        noise = run_noise(
            setup.run,
            slice(0, rows.stop - rows.start),
            travelled_mm=session.path_mm[rows],
            since_turn_mm=session.since_turn_mm[rows],
            level=seen.level,
            misread_mm=np.zeros(rows.stop - rows.start),
            amplitude_mm=SHARED_MM,
        )
        gain = expected_gain_bits(made[:, rows] @ noise.whiten.T, of_class, weight, rng)
        if gain >= LEAST_BITS:
            found.append((gain / setup.minutes, gain, setup))
    found.sort(key=lambda one: -one[0])
    out = []
    for _, gain, setup in found[:BEST]:
        why, meanings = words_for(setup, open_groups)
        out.append(NextTest(setup.kind.id, setup.station.id, gain, setup.minutes, why, meanings))
    return tuple(out)


def _classes(
    draws: Draws,
) -> tuple[NDArray[np.int64], Vector, NDArray[np.int64]]:
    """Draws by the set that matters in them, weights flattened by their root: stated
    probabilities are about that much flatter than computed ones."""
    names = sorted(draws.takes)
    keys = [tuple(bool(draws.takes[c][i]) for c in names) for i in range(len(draws.weight))]
    flat = np.sqrt(np.maximum(draws.weight, 1e-12))
    total: dict[tuple[bool, ...], float] = {}
    for key, w in zip(keys, flat, strict=True):
        total[key] = total.get(key, 0.0) + float(w)
    kept = sorted(total, key=lambda key: -total[key])[:MOST_CLASSES]
    pick = np.array([i for i, key in enumerate(keys) if key in kept], dtype=np.int64)
    of_class = np.array([kept.index(keys[i]) for i in pick], dtype=np.int64)
    weight = flat[pick] / flat[pick].sum()
    return of_class, weight, pick


def _drawn(
    seen: Witness, draws: Draws, name: str, pick: NDArray[np.int64], rng: np.random.Generator
) -> Vector:
    """A linear term in the draws: as fitted where the session holds it, else from its prior."""
    if name in seen.names:
        return np.asarray(draws.terms[pick, seen.names.index(name)])
    prior = LINEAR[name.split(":", maxsplit=1)[0]]
    there = rng.random(len(pick)) < CHANCE
    return np.where(there, prior.faulty, prior.sound) * rng.standard_normal(len(pick))


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
