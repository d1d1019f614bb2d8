"""How honest explanations are where the model does not hold.

    python benchmarks/left_over.py                 everything, into results/left_over.json
    python benchmarks/left_over.py --count 5       fewer sessions of each

Sound machines of the independent simulator, machines with known causes, and sound machines read
through effects that are in no cause (`strange.py`). Of each: how often "something else goes on" is
said, by which sign, and how often a cause that is not there is stated at 0.9 or more.
Every row says how it was made; rows that do not are dropped.
"""

from __future__ import annotations

import argparse
import json
import os
from collections import Counter
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import made
import numpy as np
from sessions import FAULTS, HOW_MANY, made_faulty, sound_axis
from strange import COVERED, EFFECTS, readings_of

from plumbrise.explain import Explanation, explain

RESULTS = Path(__file__).parent / "results" / "left_over.json"
SEED = 77
SOUND, FAULTY = "sound", "known causes"
COUNTS = {SOUND: 40, FAULTY: 40}
COUNT = 20


def explained(name: str, depth: str, number: int) -> tuple[Explanation, frozenset[str]]:
    """The explanation of one session, and the causes that may be stated of it."""
    place = list(EFFECTS).index(name) if name in EFFECTS else 100 + (name == FAULTY)
    rng = np.random.default_rng([SEED, number, place])
    axis, may = sound_axis("one-screw", rng), COVERED.get(name, frozenset())
    if name == FAULTY:
        axis, wrong = made_faulty(axis, FAULTS, HOW_MANY, rng)
        may = frozenset(wrong)
    readings = readings_of(axis, depth, EFFECTS.get(name), rng)
    return explain(axis.machine, readings, rng=np.random.default_rng(number)), may


def measured(name: str, depth: str, count: int) -> dict[str, Any]:
    """Rates over sessions of one kind."""
    some, signs, sure, likely, empty = 0, Counter[str](), Counter[str](), 0, 0
    sessions_sure = 0
    for number in range(count):
        found, may = explained(name, depth, number)
        some += found.unexplained.verdict == "some"
        signs.update({sign.what for sign in found.unexplained.signs})
        seen = [c for c in found.causes if c.could_be_seen and c.cause not in may]
        wrong = [c.cause for c in seen if c.probability >= 0.9]
        sure.update(wrong)
        sessions_sure += bool(wrong)
        likely += any(c.probability >= 0.5 for c in seen)
        empty += found.sets[0].causes == ()
    return {
        "sessions": count,
        "something_else_said": some,
        "by_sign": dict(signs.most_common()),
        "with_a_wrong_cause_at_0.9": sessions_sure,
        "wrong_causes_at_0.9": dict(sure.most_common()),
        "with_a_wrong_cause_at_0.5": likely,
        "nothing_wrong_is_likeliest": empty,
    }


def main() -> None:
    """Measure, print, store."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--depth", action="append", choices=("full", "gantry-only", "five-minutes"))
    parser.add_argument("--kind", action="append", choices=(SOUND, FAULTY, *EFFECTS))
    parser.add_argument("--count", type=int)
    given = parser.parse_args()
    before = json.loads(RESULTS.read_text(encoding="utf-8")) if RESULTS.exists() else {}
    stored = {name: row for name, row in before.items() if "how" in row}
    for depth in given.depth or ["gantry-only"]:
        for name in given.kind or (SOUND, FAULTY, *EFFECTS):
            count = given.count or COUNTS.get(name, COUNT)
            table = measured(name, depth, count)
            print(depth, name, json.dumps(table), flush=True)
            again = (
                f"python benchmarks/left_over.py --depth {depth} --kind '{name}' --count {count}"
            )
            stored[f"{name}, {depth}"] = table | {"how": made.how(again, SEED)}
            RESULTS.write_text(made.compact(stored), encoding="utf-8")


if __name__ == "__main__":
    main()
