"""Explain's evidence and draws beside a general-purpose sampler on the very same posterior.

    python benchmarks/sampler.py            into results/sampler.json; needs `dynesty`

The likeliest sets of causes of two sessions are handed to nested sampling (Skilling, Bayesian
Analysis 1 (2006) 833; the package dynesty): the same axis model, noise, linear terms and priors,
the likelihood whole. What comes back is the probability of every set and the quantiles of a few
figures, each with an error, and what either took.
"""

from __future__ import annotations

import os
import sys
from math import inf
from pathlib import Path
from time import perf_counter
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import answers
import made
import numpy as np
from watched import watched

from plumbrise.explain import chains, explain
from plumbrise.explain.evidence import LOG_2PI, normalised
from plumbrise.explain.fit import Mode, Model
from plumbrise.readings import Readings

RESULTS = Path(__file__).parent / "results" / "sampler.json"
SESSIONS = (("five-minutes", 5), ("gantry-only", 16))
"""Depth and number of the sessions, of seed 1."""
MOST_SETS = 4
LIVE = 150
FIGURES = ("drag_n:left", "coupling_stiffness_n_per_mm:left", "racking_n_per_mm")
LEVELS = (0.05, 0.5, 0.95)


def nested(log_likelihood: Any, size: int, seed: int) -> tuple[float, float, np.ndarray, int]:
    """Log evidence over a unit normal prior, its error, equally weighted draws, evaluations."""
    from dynesty import NestedSampler
    from scipy.special import ndtri

    sampler = NestedSampler(
        log_likelihood,
        lambda u: ndtri(np.clip(u, 1e-9, 1 - 1e-9)),
        size,
        nlive=LIVE,
        sample="rslice" if size > 10 else "auto",
        rstate=np.random.default_rng(seed),
    )
    sampler.run_nested(dlogz=0.3, print_progress=False)
    found = sampler.results
    draws = found.samples_equal(rstate=np.random.default_rng(seed))
    return float(found.logz[-1]), float(found.logzerr[-1]), draws, int(np.sum(found.ncall))


def whole_posterior(model: Model, mode: Mode) -> tuple[Any, float]:
    """The log likelihood of one point of scaled parameters, and what must be added to the
    evidence: what linear terms and noise contribute whatever the parameters."""
    spread = model.witness.linear_spread(mode.linear)
    believed = chains.Believed(model, mode, spread)
    columns, lower, _ = believed.linear()

    def log_likelihood(v: np.ndarray) -> float:
        rest = believed.rests(v[None, :])
        half = np.linalg.solve(lower, columns.T @ rest)
        return -0.5 * float(np.sum(rest**2) - np.sum(half**2))

    count = model.witness.count - len(model.witness.bounds)
    more = -0.5 * mode.local.log_det - 0.5 * count * LOG_2PI
    return log_likelihood, more - float(np.log(np.diag(lower)).sum())


def compared(depth: str, number: int) -> dict[str, Any]:
    """One session, both ways."""
    session = answers.whole(answers.sessions_of("bristles", depth, number + 1, "one-screw", 1)[-1])
    runs = session.readings.runs if depth == "five-minutes" else session.readings.runs[1:3]
    readings = Readings(tuple(runs))
    began = perf_counter()
    with watched() as stages:
        explain(session.machine, readings, rng=np.random.default_rng(0), trusted=inf)
    ours_s = perf_counter() - began
    found = stages["search"].made
    model, nodes = found.model, found.nodes[:MOST_SETS]
    simulated = model.count.simulated
    rows, laplace, sampled, errors = [], [], [], []
    spent_s, spent = 0.0, 0
    for k, node in enumerate(nodes):
        likelihood, more = whole_posterior(model, node.mode)
        began = perf_counter()
        log_z, error, draws, calls = nested(likelihood, len(node.mode.v), k)
        spent_s, spent = spent_s + perf_counter() - began, spent + calls
        ours = node.mode.switch.log_evidence(model.witness.linear_spread(node.mode.linear))
        laplace.append(ours)
        sampled.append(log_z + more)
        errors.append(error)
        row: dict[str, Any] = {
            "causes": sorted(node.mode.causes | node.mode.linear),
            "parameters": len(node.mode.v),
            "log_evidence_ours": round(ours, 2),
            "log_evidence_sampler": round(log_z + more, 2),
            "error": round(error, 2),
        }
        if k == 0:
            row["figures"] = _figures(model, node.mode, draws)
        rows.append(row)
    p_ours, p_sampler = normalised(laplace), normalised(sampled)
    for row, ours, theirs in zip(rows, p_ours, p_sampler, strict=True):
        row |= {"share_ours": round(float(ours), 3), "share_sampler": round(float(theirs), 3)}
    return {
        "readings": readings.count,
        "sets": rows,
        "largest_difference_of_shares": round(float(np.max(np.abs(p_ours - p_sampler))), 3),
        "error_of_log_evidence": round(float(np.mean(errors)), 2),
        "seconds_ours_all_sets": round(ours_s, 2),
        "seconds_sampler_these_sets": round(spent_s, 1),
        "simulated_ours": simulated,
        "simulated_sampler": spent,
        "sets_ours": len(found.nodes),
        "times_as_long_a_set": round(spent_s / len(nodes) / (ours_s / len(found.nodes))),
    }


def _figures(model: Model, mode: Mode, draws: np.ndarray) -> dict[str, Any]:
    """Quantiles of some figures by the sampler's draws and by ours."""
    believed = chains.Believed(model, mode, model.witness.linear_spread(mode.linear))
    theirs = model.space.thetas(mode.belief, believed.places(draws))
    moved, _ = chains.moved(model, mode, mode.linear, np.random.default_rng(1), 200)
    ours = model.space.thetas(mode.belief, moved)
    out = {}
    for entry in model.space.entries:
        if entry.name in FIGURES:
            out[entry.name] = {
                "ours": [round(float(x), 2) for x in np.quantile(ours[:, entry.place], LEVELS)],
                "sampler": [
                    round(float(x), 2) for x in np.quantile(theirs[:, entry.place], LEVELS)
                ],
            }
    return out


def main() -> None:
    """Compare, store."""
    found = {f"{depth} {number}": compared(depth, number) for depth, number in SESSIONS}
    words = [
        f"{name.rpartition(' ')[0].capitalize()}, {one['readings']} readings, "
        f"{one['sets'][0]['parameters']} parameters: shares of the {len(one['sets'])} likeliest "
        f"sets differ by {one['largest_difference_of_shares']:.2f} at most, where the log evidence "
        f"of the sampler errs by {one['error_of_log_evidence']:.2f}. All of explain took "
        f"{one['seconds_ours_all_sets']:g} s for {one['sets_ours']} sets, the sampler "
        f"{one['seconds_sampler_these_sets']:g} s for {len(one['sets'])}: a set takes it "
        f"{one['times_as_long_a_set']} times as long."
        for name, one in found.items()
    ]
    how = made.how("python benchmarks/sampler.py", 1) | {"load": list(os.getloadavg())}
    RESULTS.write_text(made.compact(found | {"words": words, "how": how}), encoding="utf-8")
    print(made.compact(found))


if __name__ == "__main__":
    sys.exit(main())
