"""Tables as people bring them: parts of a session, things left out, slips, any machine."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plumbrise.demo.plans import plan
from plumbrise.explain import explain
from plumbrise.machine import ARRANGEMENTS, blank
from plumbrise.machine import description as part
from plumbrise.readings import Readings

KINDS_OF_MACHINE = tuple(ARRANGEMENTS)
SLIPS = ("none", "misread", "sign", "turn", "bump", "skipped", "no times", "half the times")


def slipped(run, what, rng):
    """One slip of the hand in a run, or something not written down."""
    rows = list(run.readings)
    i = int(rng.integers(1, max(2, len(rows))))
    if i >= len(rows) or rows[i].reading_mm is None:
        return run
    value = rows[i].reading_mm
    if what in ("misread", "sign", "turn", "skipped"):
        put = {"misread": value + 0.1, "sign": -value, "turn": value + 1.0, "skipped": None}[what]
        rows[i] = replace(rows[i], reading_mm=put)
    if what == "bump":
        rows[i:] = [replace(r, reading_mm=r.reading_mm and r.reading_mm + 0.06) for r in rows[i:]]
    if what in ("no times", "half the times"):
        left = 0 if what == "no times" else len(rows) // 2
        rows = [
            replace(r, time_s=None, temp_c=None) if k >= left else r for k, r in enumerate(rows)
        ]
    return replace(run, readings=tuple(rows))


def hard_table(made, seed):
    """A random part of a session at some sound machine, with one kind of slip in it."""
    rng = np.random.default_rng(seed)
    resolution = float(rng.choice([0.01, 0.001]))
    machine = replace(
        blank(KINDS_OF_MACHINE[seed % len(KINDS_OF_MACHINE)]),
        gauge=part.Gauge(resolution_mm=resolution),
    )
    runs = [run for run in plan(machine, "full") if run.kind.id != "hand-turn"]
    count = int(rng.integers(1, 5))
    chosen = sorted(rng.choice(len(runs), size=count, replace=False))
    readings = made.read_off(made.sound(machine), tuple(runs[i] for i in chosen), seed)
    what = SLIPS[int(rng.integers(len(SLIPS)))]
    rows = []
    for run in readings.runs:
        here = tuple(
            replace(
                r,
                reading_mm=round(round(r.reading_mm / resolution) * resolution, 6),
                time_s=5.0 * r.seq,
                temp_c=22.0,
            )
            for r in run.readings
        )
        rows.append(slipped(replace(run, readings=here), what, rng))
    return machine, Readings(tuple(rows))


@pytest.mark.parametrize("seed", [0, 2, 5, 7])
def test_any_part_of_a_session_is_answered_with_probabilities_that_agree(made, seed):
    machine, readings = hard_table(made, seed)
    found = explain(machine, readings, rng=np.random.default_rng(0))
    assert all(0 <= c.probability <= 1 for c in found.causes)
    assert sum(s.probability for s in found.sets) <= 1 + 1e-9
    of = {c.cause: c.probability for c in found.causes}
    for cause, probability in of.items():
        in_sets = sum(s.probability for s in found.sets if cause in s.causes)
        assert in_sets <= probability + 1e-6
    for group in found.groups:
        assert group.probability >= max(of[c] for c in group.causes) - 1e-9
    assert np.isfinite([side.loss_mm.estimate for side in found.sides]).all()


@pytest.mark.parametrize("seed", [13, 14, 16])
def test_a_part_of_a_sound_session_names_no_culprit_for_sure(made, seed):
    machine, readings = hard_table(made, seed)
    found = explain(machine, readings, rng=np.random.default_rng(0))
    assert [c.cause for c in found.causes if c.could_be_seen and c.probability >= 0.9] == []
