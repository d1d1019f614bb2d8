"""Where to start fitting: stiffnesses and play as the losses read at each station suggest them,
for a few sizes of drag. Modes of this model lie apart; a start near the right one finds it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.space import Belief, Space
from plumbrise.explain.witness import Witness
from plumbrise.readings.kinds import COARSE_STEPS, FINE_STEPS, REVERSAL

Vector = NDArray[np.float64]

DRAGS_N = (2.0, 4.5)
REACHES_MM = (0.06, 0.4)
OPEN_TRAVEL_MM = 0.8
LEAST_LOSS_MM = 0.004


def read_losses(seen: Witness) -> dict[str, float]:
    """What each station loses in all, straight from the readings (peak to peak, mm)."""
    found: dict[str, list[float]] = {}
    for part, bound in enumerate(seen.bounds):
        run = seen.run(part)
        if run.kind not in (FINE_STEPS, COARSE_STEPS, REVERSAL) or run.axis != "up":
            continue
        told = seen.session.told_mm[seen.rows[bound]] if run.follows_command else 0.0
        good = seen.misread_mm[bound] == 0
        if good.sum() > 3:
            off = (seen.read_mm[bound] - told)[good]
            found.setdefault(run.station.id, []).append(float(np.ptp(off)))
    return {station: float(np.median(losses)) for station, losses in found.items()}


def starts_from_reading(space: Space, belief: Belief, seen: Witness) -> list[Vector]:
    """Starts for the wide fit."""
    losses = read_losses(seen)
    base = seen.session.base
    made: list[Vector] = []
    for drag in DRAGS_N:
        for reach in REACHES_MM:
            values = {"seat_travel_mm": OPEN_TRAVEL_MM, "drag_n": drag, "reach_mm": reach}
            for lift in base.lifts:
                several = len(base.lifts) > 1
                names = [
                    f"{link}-{lift.end}" if several else link
                    for link in ("motor-shaft", "screw", "nut")
                ]
                body = f"{base.arrangement.body}-{lift.end}"
                pull = 2 * drag if several else 4 * drag
                values |= _stiffnesses(lift.end, [losses.get(n) for n in (*names, body)], pull)
            if len(base.lifts) == 1:
                ends = [f"{base.arrangement.body}-{end}" for end in base.ends]
                both = [losses[end] for end in ends if end in losses]
                if len(both) == 2:
                    lag = max(abs(both[1] - both[0]), LEAST_LOSS_MM)
                    values["racking_n_per_mm"] = 2 * drag / lag
            u = belief.middle.copy()
            for i, entry in enumerate(space.entries):
                value = values.get(entry.name, values.get(entry.quantity))
                if value is not None and entry.told is None:
                    u[i] = np.log(value)
            made.append(u)
    return made


def _stiffnesses(end: str, losses: list[float | None], pull_n: float) -> dict[str, float]:
    """Stiffness of the links between stations read; one dimension is shared alike."""
    links = (
        "seat_stiffness_n_per_mm",
        "coupling_stiffness_n_per_mm",
        "",
        "bracket_stiffness_n_per_mm",
    )
    out: dict[str, float] = {}
    before, group = 0.0, []
    for link, loss in zip(links, losses, strict=True):
        if link:
            group.append(link)
        if loss is None:
            continue
        if group:
            share = max(loss - before, LEAST_LOSS_MM) / len(group)
            out |= {f"{name}:{end}": pull_n / share for name in group}
        before, group = loss, []
    return out
