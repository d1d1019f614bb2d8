"""How good explanations are, on machines of simulators the engine does not share its physics with.

    python benchmarks/explain.py                        everything, into results/explain.json
    python benchmarks/explain.py --depth full --count 5 --arrangement two-screw
    python benchmarks/explain.py --only-score           from the answers kept

The labels are what each cause truly takes; causes too near the threshold are left out, and so
are causes that no test of the session could show. Answers are kept (`answers`), so that scores
and maps can be worked out again without explaining again. Times are of one process on a shared
machine.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import answers
import made
import reliability
import scoring
from answers import Answer, Stated
from sessions import MIXED

RESULTS = Path(__file__).parent / "results" / "explain.json"
ARRANGEMENTS = ("one-screw", "two-screw", "two-screw-tied", "three-screw-bed")
DEPTHS = {"full": 16, "gantry-only": 30, "five-minutes": 40, MIXED: 30}
FEW = {"full": 4, "gantry-only": 8, "five-minutes": 8}
"""The same of every other arrangement, but for tests in any order."""
SCORE_SEED = 5
"""Of no session that was looked at: seeds 1 to 3 were, while the engine, its maps and its caps were
made."""

Pairs = list[tuple[Answer, Stated]]


def statements(found: Pairs) -> list[tuple[str, float, bool]]:
    """(cause, stated, there) of everything that could be seen and is not in doubt."""
    return [
        (cause, said.of[cause], cause in answer.there)
        for answer, said in found
        for cause in answer.seen
        if cause not in answer.doubtful
    ]


def group_statements(found: Pairs) -> list[tuple[float, bool]]:
    """(stated, there) of the groups that stand together."""
    out = []
    for answer, said in found:
        labels = {c: c in answer.there for c in answer.labelled if c not in answer.doubtful}
        out += scoring.group_statements(said.groups, labels)
    return out


def _sets(found: Pairs) -> list[tuple[Any, ...]]:
    """Per session what is stated, what is so, what is doubtful, and the groups stated."""
    out = []
    for answer, said in found:
        told = {c for c in answer.seen if said.of[c] >= 0.5}
        groups = [causes for causes, p in said.groups if p >= 0.5]
        out.append((told, answer.there & answer.seen, answer.doubtful, groups))
    return out


def _plain(found: Pairs) -> list[tuple[float, bool]]:
    return [(p, there) for _, p, there in statements(found)]


def _sound_called_sound(found: Pairs) -> tuple[int, int]:
    """Of the sessions of sound machines, those in which nothing is stated as more likely
    than not."""
    sound = [pair for pair in found if not pair[0].there and not pair[0].doubtful]
    quiet = [1 for a, s in sound if all(s.of[c] < 0.5 for c in a.seen)]
    return len(quiet), len(sound)


SCORES: dict[str, Callable[[Pairs], float]] = {
    "exact_set": lambda f: scoring.exact_share([s[:3] for s in _sets(f)]),
    "exact_up_to_groups": lambda f: scoring.exact_up_to_groups(_sets(f)),
    "brier": lambda f: scoring.brier(_plain(f)),
    "log_score": lambda f: scoring.log_score(_plain(f)),
    "precision_at_half": lambda f: scoring.precision_recall(_plain(f))[0],
    "recall_at_half": lambda f: scoring.precision_recall(_plain(f))[1],
}


def scored(found: Pairs) -> dict[str, object]:
    """Scores of some sessions, each with its standard error over sessions."""
    stated, groups = _plain(found), group_statements(found)
    wrong, of = scoring.wrong_of_stated(stated)
    seconds = sorted(answer.seconds for answer, _ in found)
    out: dict[str, object] = {
        "sessions": len(found),
        "statements": len(stated),
        "share_there": _r(sum(t for _, t in stated) / len(stated)),
    }
    for name, score in SCORES.items():
        out[name] = [_r(score(found), 4), _r(scoring.bootstrap(score, found), 4)]
    out |= {
        "wrong_of_stated_at_0.9": [wrong, of],
        "rate_wrong_90_%": [_r(x) for x in scoring.beta_interval(wrong, of)],
        "wrong_at_0.9_by_cause": _wrong(found),
        "sound_called_sound": list(_sound_called_sound(found)),
        "intervals_90": covered(found),
        "seconds_median_and_worst": [_r(seconds[len(seconds) // 2], 2), _r(seconds[-1], 2)],
    }
    if groups:
        out["groups"] = {
            "statements": len(groups),
            "brier": _r(scoring.brier(groups), 4),
            "wrong_of_stated_at_0.9": list(scoring.wrong_of_stated(groups)),
        }
    return out


def by_cause(found: Pairs) -> dict[str, dict[str, object]]:
    """What is stated of each cause: how often it is there, Brier score, mean stated where it is
    there and where it is not, wrong of those stated at 0.9."""
    out = {}
    rows = statements(found)
    for cause in sorted({c for c, *_ in rows}):
        those = [(p, there) for c, p, there in rows if c == cause]
        so = [p for p, there in those if there]
        not_so = [p for p, there in those if not there]
        out[cause] = {
            "statements": len(those),
            "there": len(so),
            "brier": _r(scoring.brier(those), 4),
            "stated_where_there": _r(sum(so) / len(so)) if so else None,
            "stated_where_not": _r(sum(not_so) / len(not_so)) if not_so else None,
            "wrong_of_stated_at_0.9": list(scoring.wrong_of_stated(those)),
        }
    return out


def _wrong(found: Pairs) -> dict[str, int]:
    out: dict[str, int] = {}
    for cause, p, there in statements(found):
        if p >= 0.9 and not there:
            out[cause] = out.get(cause, 0) + 1
    return out


def covered(found: Pairs) -> dict[str, object]:
    """Share of 90 % intervals that hold the true value, of figures both models have."""
    by: dict[str, list[tuple[float, float, float]]] = {}
    for answer, _ in found:
        for figure in answer.figures:
            by.setdefault(figure.what, []).append((figure.low, figure.high, figure.true))
    return {
        name: {"share": _r(scoring.coverage(rows)), "count": len(rows)}
        for name, rows in sorted(by.items())
    }


def _r(value: float, places: int = 3) -> float:
    return round(float(value), places)


def parts(found: Pairs) -> dict[str, Pairs]:
    """Sessions by simulator, arrangement and depth."""
    out: dict[str, Pairs] = {}
    for pair in found:
        a = pair[0]
        out.setdefault(f"{a.simulator}, {a.arrangement}, {a.depth}", []).append(pair)
    return out


def counts(
    simulators: Sequence[str], arrangements: Sequence[str], depths: Sequence[str], count: int | None
) -> list[tuple[str, str, str, int]]:
    """How many sessions of which simulator, arrangement and depth."""
    return [
        (simulator, arrangement, depth, count or (DEPTHS if full else FEW).get(depth, 0))
        for simulator in simulators
        for arrangement in arrangements
        for depth in depths
        for full in [arrangement == "one-screw"]
    ]


def results(found: Pairs) -> dict[str, Any]:
    """All tables."""
    whole: dict[str, Any] = {name: scored(part) for name, part in parts(found).items()}
    for depth in DEPTHS:
        those = [pair for pair in found if pair[0].depth == depth]
        if those:
            whole[f"all, {depth}"] = scored(those) | {
                "by_cause": by_cause(those),
                "reliability": reliability.table(_plain(those)),
            }
    return whole


def main() -> None:
    """Explain what is not explained yet, score, store."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--simulator", action="append")
    parser.add_argument("--arrangement", choices=ARRANGEMENTS, action="append")
    parser.add_argument("--depth", choices=list(DEPTHS), action="append")
    parser.add_argument("--count", type=int)
    parser.add_argument("--seed", type=int, default=SCORE_SEED)
    parser.add_argument("--processes", type=int, choices=(1, 2), default=1)
    parser.add_argument("--only-score", action="store_true")
    given = parser.parse_args()
    wanted = counts(
        given.simulator or answers.simulators(),
        given.arrangement or ARRANGEMENTS,
        given.depth or list(DEPTHS),
        given.count,
    )
    kept = answers.answers(
        wanted, given.seed, processes=given.processes, only_kept=given.only_score
    )
    found = [(answer, answers.stated(answer)) for answer in kept]
    made_of = results(found)
    for name, table in made_of.items():
        print(name, made.compact(table), end="")
    partly = given.simulator or given.arrangement or given.depth or given.count
    if not partly and given.seed == SCORE_SEED:
        made_of["how"] = made.how("python benchmarks/explain.py", given.seed) | {
            "sessions": "drawn by benchmarks/sessions.py and benchmarks/simulators with a seed "
            "that served neither the engine nor its maps nor their caps; the simulators did"
        }
        RESULTS.parent.mkdir(exist_ok=True)
        RESULTS.write_text(made.compact(made_of), encoding="utf-8")
        reliability.store([(pair[0], _plain([pair])) for pair in found], made_of["how"])


if __name__ == "__main__":
    main()
