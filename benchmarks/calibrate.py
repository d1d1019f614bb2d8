"""The maps from computed to stated probabilities: fitting them, and checking them on a simulator
that they never saw.

    python benchmarks/calibrate.py            cross-check, into results/calibration.json
    python benchmarks/calibrate.py --write    and the maps, fitted on all simulators, into
                                              src/plumbrise/explain/calibration_maps.py

A map is fitted by the log score on sessions of seed 1, held to plain weights by a penalty (a
normal prior on each weight), so that few sessions move it little. The scores of `explain.py` are
of another seed (`explain.SCORE_SEED`), and so is the cross-check, in which each simulator in turn
is kept out wholly: they must be kept already.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import answers
import made
import numpy as np
import scoring
from answers import Answer

import explain as scores
from plumbrise.explain import calibration
from plumbrise.explain.calibration import Signs
from plumbrise.explain.calibration_maps import MAPS, Map

RESULTS = Path(__file__).parent / "results" / "calibration.json"
MAPS_FILE = Path(calibration.__file__).with_name("calibration_maps.py")
FIT_SEED = 1
MOST = {"full": 0.99, "gantry": 0.88, "short": 0.8}
"""The most that a map states. The 0.88 was chosen on sessions of seed 3, where maps fitted on two
simulators stated at 0.9 and more what was wrong in a third of the cases on the last one."""
WEIGHTS = ("offset", "odds", "gap", "over", "misfit", "doubt")
MIDDLE = np.array([-1.0, 0.65, 0.0, 0.0, 0.0, 0.0])
SPREAD = np.array([1.5, 0.4, 0.4, 0.4, 0.7, 0.4])
"""Where a weight is believed before any session, and how loosely."""
OF_CAUSE = 0.5
"""Spread of the offset of one cause."""
COUNTS = {"full": 16, "gantry-only": 30, "five-minutes": 40}
FEW = 0
"""Of other arrangements: none, so that they try maps that never saw them."""
LEAST = 1e-3

Item = tuple[str, Signs, bool]


def items(answer: Answer) -> list[Item]:
    """(cause, signs, there) of what the map is put on: causes, and groups that stand together."""
    given = answer.given
    total = sum(given["sets"].values())
    held = {frozenset(one) & answer.seen: 0.0 for one in given["sets"]}
    for one, weight in given["sets"].items():
        held[frozenset(one) & answer.seen] += weight / total
    now = {c: sum(w for one, w in held.items() if c in one) for c in given["causes"]}
    signs = {c: (given.get("signs") or {}).get(c, Signs(now[c])) for c in given["causes"]}
    alike = [tuple(group) for group in given.get("alike", ())]
    together = {cause for group in alike for cause in group}
    out = [
        (cause, signs[cause], cause in answer.there)
        for cause in sorted(answer.seen - answer.doubtful - together)
    ]
    for group in alike:
        there = bool(set(group) & answer.there)
        if not there and set(group) & answer.doubtful:
            continue
        any_of = sum(w for one, w in held.items() if one & set(group))
        best = max((signs[c] for c in group), key=lambda s: s.probability)
        whole = Signs(any_of, max(signs[c].gap for c in group), best.over, best.misfit)
        out.append((max(group, key=lambda c: now[c]), whole, there))
    return out


def columns(rows: Sequence[Item]) -> np.ndarray:
    """Regression columns in the order of `WEIGHTS`."""
    made_of = []
    for _, signs, _ in rows:
        odds, gap, over, misfit = signs.held
        made_of.append((1.0, odds, gap, over, misfit, -misfit * max(odds, 0.0)))
    return np.array(made_of)


def fitted(rows: Sequence[Item], most: float) -> Map:
    """The map that states these best (log score, with the penalty)."""
    from scipy.optimize import minimize

    x = columns(rows)
    names = sorted({cause for cause, *_ in rows})
    which = np.array([names.index(cause) for cause, *_ in rows])
    y = np.array([there for *_, there in rows], dtype=float)

    def cost(w: np.ndarray) -> tuple[float, np.ndarray]:
        z = x @ w[:6] + w[6:][which]
        p = 1 / (1 + np.exp(-z))
        q = np.clip(p, LEAST, 1 - LEAST)
        off = (w[:6] - MIDDLE) / SPREAD
        value = -np.sum(y * np.log(q) + (1 - y) * np.log(1 - q))
        value += 0.5 * np.sum(off**2) + 0.5 * np.sum((w[6:] / OF_CAUSE) ** 2)
        slope = p - y
        back = np.concatenate([x.T @ slope, np.bincount(which, slope, minlength=len(names))])
        back += np.concatenate([off / SPREAD, w[6:] / OF_CAUSE**2])
        return float(value), back

    start = np.concatenate([MIDDLE, np.zeros(len(names))])
    bounds = [(None, None), (0.05, 1.5), (0, None), (0, None), (None, None), (0, None)]
    best = minimize(
        cost, start, jac=True, method="L-BFGS-B", bounds=bounds + [(-2, 2)] * len(names)
    )
    weights = {name: round(float(v), 3) for name, v in zip(WEIGHTS, best.x[:6], strict=True)}
    of_cause = {n: round(float(v), 3) for n, v in zip(names, best.x[6:], strict=True)}
    return Map(**weights, most=most, of_cause=of_cause)


def by_depth(found: Sequence[Answer]) -> dict[str, list[Answer]]:
    """Answers by the depth their readings have, which names the map."""
    out: dict[str, list[Answer]] = {}
    for answer in found:
        out.setdefault(answer.given["depth"], []).append(answer)
    return out


def cross_checked(learn: Sequence[Answer], test: Sequence[Answer]) -> dict[str, Any]:
    """Scores on each simulator with the map of the others, with one fitted on all, and with none.

    "none" states what was computed; "the others" is the honest figure, since nothing of the
    simulator was seen; the distance to "all" is what knowing a simulator would bring.
    """
    plain = Map(offset=0.0, odds=1.0, gap=0.0, over=0.0, misfit=0.0, doubt=0.0, most=0.999)
    out: dict[str, Any] = {}
    for simulator in sorted({a.simulator for a in test}):
        for depth, those in by_depth([a for a in test if a.simulator == simulator]).items():
            same = by_depth(learn).get(depth, [])
            others = [a for a in same if a.simulator != simulator]
            maps = {"none": plain, "in use": MAPS[depth]}
            if others:
                maps["the others"] = fit_of(others, depth)
            if same:
                maps["all"] = fit_of(same, depth)
            out[f"{simulator}, {depth}"] = {
                name: _scored(those, one) for name, one in maps.items()
            } | {"sessions": len(those)}
    return out


def fit_of(found: Sequence[Answer], depth: str) -> Map:
    """A map fitted on these answers."""
    return fitted([item for answer in found for item in items(answer)], MOST[depth])


def _scored(found: Sequence[Answer], one: Map) -> dict[str, Any]:
    pairs = [(answer, answers.stated(answer, one)) for answer in found]
    stated = [(p, there) for _, p, there in scores.statements(pairs)]
    return {
        "brier": round(scoring.brier(stated), 4),
        "log_score": round(scoring.log_score(stated), 4),
        "exact_set": round(scores.SCORES["exact_set"](pairs), 3),
        "exact_up_to_groups": round(scores.SCORES["exact_up_to_groups"](pairs), 3),
        "wrong_of_stated_at_0.9": list(scoring.wrong_of_stated(stated)),
    }


def written(maps: dict[str, Map]) -> str:
    """The file of the maps with other numbers: what stands over `MAPS` stays."""
    head = MAPS_FILE.read_text(encoding="utf-8").split("MAPS = {")[0]
    lines = ["MAPS = {"]
    for name, one in maps.items():
        lines.append(f'    "{name}": Map(')
        lines += [f"        {w}={getattr(one, w)}," for w in (*WEIGHTS, "most")]
        lines.append("        of_cause={")
        lines += [f'            "{c}": {v},' for c, v in sorted(one.of_cause.items()) if v]
        lines += ["        },", "    ),"]
    return head + "\n".join([*lines, "}", ""])


def main() -> None:
    """Fit, cross-check, store; write the maps if asked."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--simulator", action="append")
    parser.add_argument("--arrangement", choices=scores.ARRANGEMENTS, action="append")
    parser.add_argument("--count", type=int)
    parser.add_argument("--few", type=int, default=FEW)
    parser.add_argument("--processes", type=int, choices=(1, 2), default=1)
    parser.add_argument("--only-kept", action="store_true")
    parser.add_argument("--write", action="store_true")
    given = parser.parse_args()
    wanted = [
        (simulator, arrangement, depth, count)
        for simulator in given.simulator or answers.simulators()
        for arrangement in given.arrangement or scores.ARRANGEMENTS
        for depth in COUNTS
        for count in [(given.count or COUNTS[depth]) if arrangement == "one-screw" else given.few]
    ]
    test = answers.answers(wanted, scores.SCORE_SEED, only_kept=True)
    if not test:
        parser.exit(
            2,
            f"No answer of seed {scores.SCORE_SEED} is kept for these sources, so there is nothing "
            "to check the maps on but what they learn from. "
            "Run `python benchmarks/explain.py` first.\n",
        )
    learn = answers.answers(wanted, FIT_SEED, processes=given.processes, only_kept=given.only_kept)
    checked = cross_checked(learn, test)
    maps = {depth: fit_of(those, depth) for depth, those in by_depth(learn).items()}
    for name, table in checked.items():
        print(name, table["sessions"], "sessions")
        for which, row in table.items():
            if which != "sessions":
                print(f"   {which:12} {row}")
    for name, one in maps.items():
        print(name, {w: getattr(one, w) for w in WEIGHTS})
    kept = {"cross_check": checked, "learnt_on": len(learn), "tested_on": len(test)}
    kept["how"] = made.how("python benchmarks/calibrate.py", FIT_SEED)
    RESULTS.parent.mkdir(exist_ok=True)
    RESULTS.write_text(made.compact(kept), encoding="utf-8")
    if given.write:
        MAPS_FILE.write_text(written(MAPS | maps), encoding="utf-8")


if __name__ == "__main__":
    main()
