"""Reliability: of what is stated with a probability, how much is so.

    python benchmarks/reliability.py        draws results/reliability.json again as pictures

Table and picture come from the answers that `explain.py` scores.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import made
import scoring

RESULTS = Path(__file__).parent / "results"
PICTURE = Path(__file__).parents[1] / "docs" / "pictures" / "reliability.svg"
INK, PALE, BAND = "#33373d", "#8a9099", "#c9ced6"
DEPTHS = {
    "full": "a whole evening",
    "gantry-only": "at the gantry only",
    "five-minutes": "five minutes",
    "mixed": "tests in any order",
}


def table(stated: scoring.Stated) -> list[list[float]]:
    """Rows (from, to, count, mean stated, share that is so, its 90 % interval)."""
    rows = []
    for one in scoring.reliability_table(stated):
        so = round(one.observed * one.count)
        low, high = scoring.beta_interval(so, one.count)
        row = [one.low, one.high, one.count, one.stated, one.observed, low, high]
        rows.append([round(x, 4) for x in row])
    return rows


def store(by_answer: Sequence[tuple[Any, scoring.Stated]], how: dict[str, Any]) -> None:
    """Tables of all and by depth, simulator and arrangement, into results; and the pictures."""
    parts: dict[str, list[tuple[float, bool]]] = {}
    for answer, stated in by_answer:
        for name in ("all", answer.depth, answer.simulator, answer.arrangement):
            parts.setdefault(name, []).extend(stated)
    out: dict[str, Any] = {}
    for name, stated in parts.items():
        murphy = scoring.murphy([(round(p, 1), t) for p, t in stated])
        out[name] = {
            "columns": "from, to, count, mean stated, share that is so, its 90 % interval",
            "rows": table(stated),
            "brier": round(scoring.brier(stated), 4),
            "of_it_reliability": round(murphy.reliability, 4),
            "of_it_resolution": round(murphy.resolution, 4),
            "of_it_uncertainty": round(murphy.uncertainty, 4),
        }
    out["how"] = how
    RESULTS.mkdir(exist_ok=True)
    (RESULTS / "reliability.json").write_text(made.compact(out), encoding="utf-8")
    draw(out)


def draw(tables: dict[str, Any]) -> None:
    """One square a depth: stated along, so up, with 90 % intervals and how many."""
    import matplotlib

    matplotlib.use("svg")
    matplotlib.rcParams["svg.hashsalt"] = "plumbrise"
    from matplotlib import pyplot

    shown = {name: words for name, words in DEPTHS.items() if name in tables}
    figure, axes = pyplot.subplots(1, len(shown), figsize=(3.1 * len(shown), 3.3), squeeze=False)
    for place, (name, words) in zip(axes.flat, shown.items(), strict=True):
        rows = tables[name]["rows"]
        place.plot([0, 1], [0, 1], color=BAND, lw=1)
        for _, _, count, said, so, low, high in rows:
            place.plot([said, said], [low, high], color=PALE, lw=1.5)
            place.plot(said, so, "o", color=INK, ms=4)
            left = said > 0.85
            place.annotate(
                f"{count:g}",
                (said, so),
                (-4 if left else 4, 6 if said < 0.5 else -9),
                textcoords="offset points",
                ha="right" if left else "left",
                fontsize=7,
                color=PALE,
            )
        place.set(xlim=(-0.03, 1.03), ylim=(-0.03, 1.03), aspect="equal")
        place.set_title(words, fontsize=9)
        place.set_xlabel("stated", fontsize=8)
        place.tick_params(labelsize=7)
        for edge in ("top", "right"):
            place.spines[edge].set_visible(False)
    axes.flat[0].set_ylabel("share that is so", fontsize=8)
    figure.tight_layout()
    figure.savefig(RESULTS / "reliability.svg", metadata={"Date": None})
    figure.savefig(PICTURE, metadata={"Date": None})
    pyplot.close(figure)


def main() -> None:
    draw(json.loads((RESULTS / "reliability.json").read_text(encoding="utf-8")))


if __name__ == "__main__":
    main()
