"""How much less must truly be lost for `prove` to call it better.

python benchmarks/power.py        draws results/pairs.json again as a picture
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import scoring

from plumbrise.demo.draws import draw
from plumbrise.demo.plans import steps
from plumbrise.demo.session import Motion, happened
from plumbrise.demo.true_axis import Axis
from plumbrise.demo.truth import MENDED

RESULT = Path(__file__).parent / "results" / "pairs.json"
PICTURE = Path(__file__).parents[1] / "docs" / "pictures" / "power.svg"
INK, PALE, BAND = "#33373d", "#8a9099", "#c9ced6"
STEP_MM, STEPS = 1.0, 8
EDGES_MM = (0.005, 0.01, 0.02, 0.03, 0.05, 0.1, 0.2)
CHANCE = 0.95
AXIS_MM = 0.0011, 0.48
NOTHING_AT_MM, LEAST_AT_MM = 0.0016, 0.003
"""Where what is no length on a logarithmic scale is drawn: nothing done, and next to nothing."""


@dataclass(frozen=True, slots=True)
class End:
    """One end of one machine before and after some work: by how much less it truly loses, by how
    much less it was read to lose, and what was said; `doubt` where no verdict was given whatever
    its chance."""

    machine: str
    work: str
    true_mm: float
    read_mm: float
    better: bool
    worse: bool
    doubt: bool


def true_losses_mm(axis: Axis, motion: Motion | None) -> dict[str, float]:
    """How far each end truly stays behind, either way, after a home from above and coarse steps,
    on the mean day and with nobody reading.

    The lead is put right first: what is judged is where the settled line meets nothing, which a
    lead does not move. The chance is the same for every axis, so that two differ by their work.
    """
    kind = axis.machine.arrangement
    runs = tuple(steps("coarse-steps", f"{kind.body}-{end}", STEP_MM, STEPS) for end in kind.ends)
    chance = draw(runs, np.random.default_rng(0))
    chance = replace(chance, drag=0 * chance.drag, home=0 * chance.home)
    done = happened(MENDED["lead-error"](axis), runs, chance, motion=motion)
    return {
        one.run.station.id: abs(STEP_MM * STEPS - float(one.true_mm[-1] - one.true_mm[0]))
        for one in done
    }


def by_true(ends: Sequence[End]) -> list[dict[str, Any]]:
    """The share of ends called better by how much less they truly lose.

    Ends of one machine, and one end after several works, are not independent: the interval counts
    each machine once, with the share of its ends for it, which is on the safe side.
    """
    found = []
    for low, high in pairwise((-np.inf, *EDGES_MM, np.inf)):
        some = [one for one in ends if low <= one.true_mm < high]
        if not some:
            continue
        share = sum(one.better for one in some) / len(some)
        machines = len({one.machine for one in some})
        low_share, high_share = scoring.beta_interval(round(share * machines), machines, CHANCE)
        found.append(
            {
                "from_mm": None if low == -np.inf else low,
                "to_mm": None if high == np.inf else high,
                "mean_true_mm": round(float(np.mean([one.true_mm for one in some])), 4),
                "ends": len(some),
                "machines": machines,
                "called_better": sum(one.better for one in some),
                "called_worse": sum(one.worse for one in some),
                "share_between": [round(low_share, 3), round(high_share, 3)],
            }
        )
    return found


def _marks(found: dict[str, Any]) -> list[tuple[float, int, int, tuple[float, float]]]:
    """(where, called better, of ends, the share's interval), what is false first."""
    same = found["same"]
    marks = [(NOTHING_AT_MM, same["ends_called_better"], same["ends"], same["ends_share_between"])]
    return marks + [
        (
            max(one["mean_true_mm"], LEAST_AT_MM),
            one["called_better"],
            one["ends"],
            one["share_between"],
        )
        for one in found["by_true"]
    ]


def draw_curve(found: dict[str, Any]) -> None:
    """True change along, share called better up, with intervals; what is false at the left."""
    import matplotlib

    matplotlib.use("svg")
    matplotlib.rcParams["svg.hashsalt"] = "plumbrise"
    from matplotlib import pyplot

    figure, place = pyplot.subplots(figsize=(6.2, 3.3))
    place.set_xscale("log")
    place.axhline(0.8, color=BAND, lw=1)
    for x, called, ends, (low, high) in _marks(found):
        share = called / ends
        place.plot([x, x], [low, high], color=PALE, lw=1.5)
        fill = "white" if x == NOTHING_AT_MM else INK
        place.plot(x, share, "o", color=INK, ms=4, mfc=fill)
        beside = share > 0.05
        place.annotate(
            f"{called} of {ends}",
            (x, share if beside else high),
            (6, -9 if share > 0.5 else 4) if beside else (0, 3),
            textcoords="offset points",
            ha="left" if beside else "center",
            fontsize=6.5,
            color=PALE,
        )
    ticks = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4)
    place.set_xticks((NOTHING_AT_MM, *ticks), ("nothing\ndone", *(f"{mm:g}" for mm in ticks)))
    place.set_xticks((), minor=True)
    place.set(xlim=AXIS_MM, ylim=(-0.03, 1.03))
    place.set_xlabel("truly loses less by, mm", fontsize=8)
    place.set_ylabel("share of ends called better", fontsize=8)
    place.tick_params(labelsize=7)
    for edge in ("top", "right"):
        place.spines[edge].set_visible(False)
    figure.tight_layout()
    figure.savefig(PICTURE, metadata={"Date": None})
    pyplot.close(figure)


if __name__ == "__main__":
    draw_curve(json.loads(RESULT.read_text(encoding="utf-8")))
