"""Guides that drag the more, the more the gantry tilts.

Drag follows Bouc and Wen (Wen, J. Engineering Mechanics 102 (1976) 249; from memory)

    dz = dh / reach · (1 - |z|^1.6 (0.5 + 0.5 sign(z dh))),    force = drag · z,

and the drag of each guide grows with the moment that racking puts on it and falls by `WARMED` as
the seconds of motion add up. What a guide holds above its sliding drag after a stop is lost over
`BREAK_AWAY_MM`. The motor seat is a washer under preload, and a clamp that slips lets go in jumps.
No masses, no speed.
"""

from __future__ import annotations

import numba as nb
import numpy as np

from simulators.chain import Law, balance, drag_at, ended, onward, push_at, spans, took_s

FINE_MM, COARSE_MM, NEAR_TURN_MM = 0.004, 0.05, 2.5
EDGE = 0.25
"""Newtons of drag more for a newton of racking force at the guide."""
WARMED, WARM_S = 0.12, 1500.0
SEAT_LAW = 1
HARDER = 0.1
POWER = 1.6
BREAK_AWAY_MM = 0.15
"""Way over which the drag of a rest is lost."""
JUMP_MM, BITES_FOR_MM = 0.03, 2.0
"""How far a clamp lets go, and the way for which it bites again."""


def edges(edge: float = EDGE) -> Law:
    """A fresh law of motion for one session after another."""
    return Law(
        lambda n, m: (np.zeros(n), np.zeros(1), np.full(m, BITES_FOR_MM), edge),
        motion,
    )


@nb.njit(cache=True, error_model="numpy")
def motion(given, z, clock, bitten, edge):  # type: ignore[no-untyped-def]
    """Make all moves one after another. `z` is how far each guide's drag has built up, `clock`
    the seconds of motion so far, `bitten` the way for which each clamp has held since it last let
    go; all change."""
    heights, slip = given.heights, given.slip
    n, m, count = len(heights), len(slip), len(given.moves)
    out = np.empty((count, n + 3 * m + 1))
    start, told, now = heights.copy(), np.zeros(m), given.load.copy()
    drag, up, down, most = np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n)
    crept = np.zeros(m)
    for i in range(count):
        far, _ = spans(given, i)
        warm = 1.0 - WARMED * (1.0 - np.exp(-clock[0] / WARM_S))
        gone, weighed, before = 0.0, 0.0, 0.0
        while gone < 1.0 or weighed < 1.0:
            near = min(gone * far, (1.0 - gone) * far) < NEAR_TURN_MM
            step = FINE_MM if near else COARSE_MM
            gone, weighed = onward(given, i, gone, weighed, step, told, now)
            start[:] = heights
            for j in range(n):
                moment = 0.0
                for o in range(n):
                    if o != j:
                        moment += abs(given.racking[j, o] * (heights[j] - heights[o]))
                whole = drag_at(given, i, j, given.drag_n[j]) * warm + edge * moment
                whole *= 1.0 + given.excess[j] * np.exp(-gone * far / BREAK_AWAY_MM)
                built = abs(z[j]) ** POWER
                with_it = max(1.0 - built, 0.0)
                up[j] = whole / given.reach_mm[j] * (with_it if z[j] >= 0.0 else 1.0)
                down[j] = whole / given.reach_mm[j] * (with_it if z[j] <= 0.0 else 1.0)
                drag[j] = whole * z[j]
                most[j] = whole
            balance(given, start, told, now, HARDER, SEAT_LAW, crept, drag, up, down, most)
            for j in range(n):
                moved = heights[j] - start[j]
                rate = (up[j] if moved >= 0.0 else down[j]) / max(most[j], 1e-9)
                z[j] = min(max(z[j] + rate * moved, -1.0), 1.0)
            for a in range(m):
                bitten[a] += (gone - before) * far
                push = push_at(given, a, told, SEAT_LAW, crept)
                if push > given.clamps[i, a] * 1.1 and bitten[a] >= BITES_FOR_MM:
                    slip[a] += JUMP_MM
                    bitten[a] = 0.0
            before = gone
        clock[0] += took_s(given, i) + 3.0
        ended(out, i, given, told, SEAT_LAW, crept)
    return out
