"""Simulation-based calibration: is what the engine computes right where its beliefs are?

    python benchmarks/sbc.py                     goes on where it stopped, writes results/sbc.json
    python benchmarks/sbc.py --count 20 --depth five-minutes
    python benchmarks/sbc.py --as-stated         with the likelihood weakened in long sessions, as
                                                 people get it; without, as one whole

Sessions come from the engine's own beliefs (`own_prior`). Each is explained, and the true value
of a dozen figures ranked among the draws; the ranks must be even. Of each cause (in the sense of
what it takes), the probabilities computed, before any map, must add up to how often it is there.
"""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Iterable
from dataclasses import asdict
from math import inf
from pathlib import Path
from time import perf_counter
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import made
import numpy as np
import own_prior
import ranks
from watched import Stages, watched

from plumbrise.axis import prepare
from plumbrise.explain import explain
from plumbrise.explain.chain import bench_of, ends_of
from plumbrise.explain.draws import Draws, peak_to_peak, threshold_mm
from plumbrise.explain.fit import TRUSTED
from plumbrise.explain.search import Found

HERE = Path(__file__).parent
RESULTS = HERE / "results" / "sbc.json"
PLAN = {"gantry-only": 300, "five-minutes": 200, "full": 100}
SEED = 17
SINKS = 2
"""A clamp slips if it sinks in so many runs."""
LINEAR_FIGURES = {"lead-error": "lead-error:left", "gauge-tilt": "gauge-tilt"}
FIGURES = (
    "weight_n",
    "weight_share:left",
    "seat_stiffness_n_per_mm:left",
    "coupling_stiffness_n_per_mm:left",
    "bracket_stiffness_n_per_mm:left",
    "play_mm:left",
    "drag_n:left",
    "drag_n:right",
    "reach_mm:left",
    "racking_n_per_mm",
    "plunger_mm",
)

Row = dict[str, Any]


def one(depth: str, number: int, *, power_one: bool, arrangement: str = "one-screw") -> Row:
    """One session drawn and explained: ranks of its figures, computed and true causes."""
    rng = np.random.default_rng([SEED, number])
    session = own_prior.drawn(depth, rng, arrangement=arrangement)
    began = perf_counter()
    with watched(without=("next_tests",)) as stages:
        explain(
            session.machine,
            session.readings,
            rng=np.random.default_rng(number),
            trusted=inf if power_one else TRUSTED,
        )
    seconds = perf_counter() - began
    return {
        "depth": depth,
        "number": number,
        "causes": sorted(session.causes),
        "seconds": round(seconds, 2),
        **ranked(session, stages, rng),
    }


def ranked(session: own_prior.Drawn, stages: Stages, rng: np.random.Generator) -> Row:
    """Ranks of the truth among the draws of a watched explanation, and causes."""
    found: Found = stages["search"].made
    draws: Draws = stages["share_jumps"].made[0]
    layout = prepare(session.machine, session.readings).layout
    found_ranks = {}
    for name in FIGURES:
        if name not in layout.names:
            continue
        place = layout.names.index(name)
        if not any(entry.place == place for entry in found.model.space.entries):
            continue
        truth, values = session.theta[place], draws.thetas[:, place]
        found_ranks[name] = ranks.rank(truth, values, draws.weight, rng.random())
    bench = bench_of(session.machine, prepare(session.machine, session.readings))
    losses, true = bench.losses(draws.thetas), bench.losses(session.theta[None])
    for end in ends_of(session.machine):
        truth = float(true[end][0])
        found_ranks[f"loss:{end}"] = ranks.rank(truth, losses[end], draws.weight, rng.random())
    names = found.model.witness.names
    for figure, name in LINEAR_FIGURES.items():
        if name in names:
            values = draws.terms[:, names.index(name)]
            truth = session.terms[name]
            found_ranks[figure] = ranks.rank(truth, values, draws.weight, rng.random())
    there = truly_takes(session, found)
    computed = {c: float(draws.weight @ yes) for c, yes in draws.takes.items()}
    sets = stages["calibrated"].given[1]
    true_set = frozenset(c for c, yes in there.items() if yes)
    total = sum(sets.values())
    best = max(sets, key=lambda s: sets[s])
    return {
        "ranks": {k: round(v, 4) for k, v in found_ranks.items()},
        "computed": {c: round(p, 4) for c, p in computed.items()},
        "there": [c for c in computed if there.get(c, False)],
        "true_set": round(sets.get(true_set, 0.0) / total, 4),
        "best_set": round(sets[best] / total, 4),
        "best_right": best == true_set,
        "bell_sets": sorted("+".join(sorted(n.mode.causes)) for n in found.nodes[:3]),
    }


def truly_takes(session: own_prior.Drawn, found: Found) -> dict[str, bool]:
    """Which causes truly take a size that matters, by the engine's own rule for its draws."""
    model, limit = found.model, threshold_mm(found)
    theta = session.theta[None]
    before = model.simulate(theta)
    there = {}
    for cause in found.possible:
        change = model.simulate(model.space.healthy(cause, theta)) - before
        there[cause] = bool(np.any(peak_to_peak(found, change) > limit))
    seen = model.witness
    causes = np.array(seen.causes)
    terms = np.array([session.terms.get(name, 0.0) for name in seen.names])
    for cause in found.linear_causes:
        here = causes == cause
        change = (seen.columns[:, here] @ terms[here])[None]
        matters = peak_to_peak(found, change) > limit
        if cause == "coupling-slip":
            sunk = np.array([[change[0, b.stop - 1] - change[0, b.start] for b in seen.bounds]])
            there[cause] = cause in session.causes and bool(
                np.sum(matters & (sunk < -limit)) >= SINKS
            )
        else:
            there[cause] = cause in session.causes and bool(np.any(matters))
    return there


def summary(rows: list[Row]) -> dict[str, Any]:
    """Shapes of all ranks, and of every cause how often it is there beside what was computed."""
    figures = sorted({name for row in rows for name in row["ranks"]})
    shapes = {}
    for name in figures:
        those = [row["ranks"][name] for row in rows if name in row["ranks"]]
        band = ranks.ecdf_band(len(those), tries=1000)
        made_shape = {k: round(v, 4) for k, v in asdict(ranks.shape(those)).items()}
        shapes[name] = made_shape | {"places_outside_band": ranks.outside(those, band)}
    return {
        "sessions": len(rows),
        "figures": shapes,
        "causes": _causes(rows),
        "sets": {
            "best_set_right": round(float(np.mean([r["best_right"] for r in rows])), 3),
            "best_set_computed": round(float(np.mean([r["best_set"] for r in rows])), 3),
        },
    }


def _causes(rows: list[Row]) -> dict[str, Any]:
    """`z` is (there - computed) over the spread that computed chances allow: beyond 3 is wrong."""
    out = {}
    for cause in sorted({c for row in rows for c in row["computed"]}):
        p = np.array([row["computed"][cause] for row in rows if cause in row["computed"]])
        y = np.array([cause in row["there"] for row in rows if cause in row["computed"]])
        spread = float(np.sqrt(np.sum(p * (1 - p))))
        sure = p > 0.9
        out[cause] = {
            "there": int(y.sum()),
            "computed": round(float(p.sum()), 1),
            "z": round(float((y.sum() - p.sum()) / spread), 1) if spread > 0 else None,
            "brier": round(float(np.mean((p - y) ** 2)), 4),
            "brier_if_right": round(float(np.mean(p * (1 - p))), 4),
            "wrong_of_computed_at_0.9": [int((sure & ~y).sum()), int(sure.sum())],
        }
    return out


def run(plan: dict[str, int], *, power_one: bool, most_seconds: float) -> list[Row]:
    """All rows of the plan, those already there taken from the cache."""
    kind = "whole" if power_one else "stated"
    kept = HERE / ".cache" / f"sbc-{kind}-{made.sources('explain', 'axis', 'readings')}.jsonl"
    kept.parent.mkdir(exist_ok=True)
    rows = [json.loads(line) for line in kept.read_text().splitlines()] if kept.exists() else []
    have = {(row["depth"], row["number"]) for row in rows}
    began = perf_counter()
    with kept.open("a") as file:
        for depth, number in _in_turn(plan):
            if (depth, number) in have:
                continue
            if perf_counter() - began > most_seconds:
                print("stopped for time; start again to go on")
                break
            row = one(depth, number, power_one=power_one)
            file.write(json.dumps(row) + "\n")
            file.flush()
            rows.append(row)
    return [row for row in rows if row["number"] < plan.get(row["depth"], 0)]


def _in_turn(plan: dict[str, int]) -> Iterable[tuple[str, int]]:
    """Depths in turn, so that an unfinished run has some of each."""
    for number in range(max(plan.values())):
        for depth, count in plan.items():
            if number < count:
                yield depth, number


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--depth", choices=list(PLAN), action="append")
    parser.add_argument("--count", type=int)
    parser.add_argument("--as-stated", action="store_true")
    parser.add_argument("--seconds", type=float, default=3600)
    given = parser.parse_args()
    depths = given.depth or list(PLAN)
    plan = {depth: given.count or PLAN[depth] for depth in depths}
    rows = run(plan, power_one=not given.as_stated, most_seconds=given.seconds)
    kind = "as_stated" if given.as_stated else "whole_likelihood"
    made_now = {
        depth: summary([r for r in rows if r["depth"] == depth])
        for depth in plan
        if any(r["depth"] == depth for r in rows)
    }
    report(made_now)
    if not (given.depth or given.count):
        kept = json.loads(RESULTS.read_text()) if RESULTS.exists() else {}
        kept[kind] = made_now | {
            "ranks": {
                depth: _columns([r for r in rows if r["depth"] == depth], "ranks") for depth in plan
            },
            "statements": {depth: _statements(rows, depth) for depth in plan},
            "how": made.how(f"python benchmarks/sbc.py{' --as-stated' * given.as_stated}", SEED),
        }
        RESULTS.parent.mkdir(exist_ok=True)
        RESULTS.write_text(made.compact(kept), encoding="utf-8")
        plot(kept)


def _columns(rows: list[Row], part: str) -> dict[str, list[float]]:
    names = sorted({name for row in rows for name in row[part]})
    return {name: [row[part][name] for row in rows if name in row[part]] for name in names}


def _statements(rows: list[Row], depth: str) -> list[list[float]]:
    """(computed probability, there) of all causes and sessions, those under 0.002 left out."""
    return [
        [p, int(c in row["there"])]
        for row in rows
        if row["depth"] == depth
        for c, p in row["computed"].items()
        if p >= 0.002 or c in row["there"]
    ]


def report(summaries: dict[str, Any]) -> None:
    """Print what is not even."""
    for depth, made_of in summaries.items():
        print(f"\n{depth}: {made_of['sessions']} sessions, {made_of['sets']}")
        print(f"  {'figure':36}{'middle':>8}{'spread':>8}{'in 90':>7}{'p':>9}  outside")
        for name, s in made_of["figures"].items():
            print(
                f"  {name:36}{s['middle']:8.3f}{s['spread']:8.2f}{s['within_90']:7.2f}"
                f"{s['p_value']:9.1e}  {s['places_outside_band']}"
            )
        for name, c in made_of["causes"].items():
            print(
                f"  {name:36} there {c['there']:3}  computed {c['computed']:6}  z {c['z']}"
                f"  at 0.9 wrong {c['wrong_of_computed_at_0.9']}"
                f"  Brier {c['brier']} (if right {c['brier_if_right']})"
            )


def plot(results: dict[str, Any]) -> None:
    """Difference of the ECDF of ranks from the even law, with its band, figure by figure."""
    import matplotlib

    matplotlib.use("svg")
    from matplotlib import pyplot

    kinds = [k for k in ("whole_likelihood", "as_stated") if k in results]
    depths = list(results[kinds[0]]["ranks"])
    names = sorted({n for d in depths for n in results[kinds[0]]["ranks"][d]})
    rows = (len(names) + 3) // 4
    figure, axes = pyplot.subplots(rows, 4, figsize=(11, 2.1 * rows), sharex=True, sharey=True)
    colours = dict(zip(("gantry-only", "five-minutes", "full"), ("C0", "C1", "C2"), strict=True))
    for place, name in zip(axes.flat, names, strict=False):
        place.set_title(name, fontsize=8)
        for depth in depths:
            those = results[kinds[0]]["ranks"][depth].get(name)
            if not those:
                continue
            band = ranks.ecdf_band(len(those), tries=500)
            colour = colours.get(depth, "k")
            place.fill_between(
                band.at, band.low - band.at, band.high - band.at, color=colour, alpha=0.12, lw=0
            )
            place.plot(band.at, ranks.ecdf(those, band.at) - band.at, color=colour, label=depth)
        place.axhline(0, color="0.6", lw=0.5)
    axes.flat[0].legend(fontsize=6)
    for place in list(axes.flat)[len(names) :]:
        place.set_visible(False)
    figure.supxlabel("rank of the truth", fontsize=8)
    figure.supylabel("share of ranks below, less what an even law gives", fontsize=8)
    figure.tight_layout()
    figure.savefig(RESULTS.with_suffix(".svg"), metadata={"Date": None})


if __name__ == "__main__":
    main()
