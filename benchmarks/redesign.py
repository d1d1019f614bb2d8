"""How long a redesign takes: worked out anew, a slider moved, and as the catalogue grows.

python benchmarks/redesign.py          writes results/redesign.json
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

import made
import numpy as np

from plumbrise.demo import scenario
from plumbrise.explain import explain
from plumbrise.redesign import CATALOGUE, Workshop, propose, prospects_for, targets_of

RESULT = Path(__file__).parent / "results" / "redesign.json"
SEED = 1
TIMES = 5
MOVES = 40
SIZES = (4, 8, 12, 16, 20, len(CATALOGUE))


def seconds(what: Callable[[], Any], times: int) -> float:
    """Middle of so many goes."""
    took = []
    for _ in range(times):
        start = perf_counter()
        what()
        took.append(perf_counter() - start)
    return round(median(took), 4)


def main() -> None:
    """Explain the invented machine once, then time what follows."""
    example = scenario()
    explanation = explain(example.machine, example.readings, rng=np.random.default_rng(SEED))

    def anew(workshop: Workshop | None = None) -> Any:
        rng = np.random.default_rng(SEED)
        return prospects_for(example.machine, explanation, rng=rng, workshop=workshop)

    prospects = anew()
    limits = iter(np.linspace(0.02, 0.4, MOVES + 1))

    def moved() -> Any:
        targets = targets_of({"lost-motion": float(next(limits)), "sides": 0.05})
        return propose(prospects, targets, rng=np.random.default_rng(SEED), budget=90.0)

    growth = []
    for size in SIZES:
        left_out = frozenset(list(CATALOGUE)[size:])
        workshop = Workshop(without=left_out)
        took = seconds(lambda w=workshop: anew(w), 1 if size < len(CATALOGUE) else TIMES)
        some = anew(workshop)
        growth.append({"changes": len(some.changes), "sets": len(some.masks), "worked_out_s": took})
        print(growth[-1], flush=True)
    results = {
        "how": made.how("python benchmarks/redesign.py", SEED),
        "changes": len(prospects.changes),
        "sets": len(prospects.masks),
        "worked_out_s": growth[-1]["worked_out_s"],
        "slider_s": seconds(moved, MOVES),
        "growth": growth,
    }
    RESULT.write_text(made.compact(results), encoding="utf-8")
    print(json.dumps({k: results[k] for k in ("worked_out_s", "slider_s")}))


if __name__ == "__main__":
    main()
