"""True figures of a machine under its simulator's own physics: what stands in its description, and
what returns at each end when a cause that is there is put right."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import true_figures

from plumbrise.demo.draws import draw
from plumbrise.demo.plans import steps
from plumbrise.demo.reading_gauge import dial_path
from plumbrise.demo.session import happened
from plumbrise.demo.true_axis import Axis, Gauge
from plumbrise.demo.truth import MENDED

Motion = Callable[..., Any]


def figures(axis: Axis, there: frozenset[str], motion: Motion | None) -> dict[str, float]:
    """True figures by the keys of `true_figures`."""
    found = true_figures.of(SimpleNamespace(axis=axis, there=frozenset()))
    causes = [cause for cause in true_figures.LOSSES_OF if cause in there]
    before = rises(axis, motion) if causes else {}
    for cause in causes:
        for end, rise in rises(MENDED[cause](axis), motion).items():
            found[f"loss:{cause}:{end}"] = rise - before[end]
    return found


def rises(axis: Axis, motion: Motion | None) -> dict[str, float]:
    """How far each end rises from home to settled, read by a gauge without fault."""
    kind = axis.machine.arrangement
    ends = [f"{kind.body}-{end}" for end in kind.ends]
    plan = tuple(steps("coarse-steps", end, true_figures.SETTLED_MM / 2, 2) for end in ends)
    chance = draw(plan, np.random.default_rng(0))
    chance = replace(chance, drag=0 * chance.drag, home=0 * chance.home)
    clean = replace(axis, gauge=replace(Gauge(), stick_mm=0.0, dial_error_mm=0.0))
    out = {}
    for number, done in enumerate(happened(clean, plan, chance, motion=motion)):
        dial = dial_path(clean, done, number, chance)[list(done.read_at)]
        out[ends[number]] = float(dial[-1] - dial[0])
    return out
