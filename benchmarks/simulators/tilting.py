"""Guides that drag the more, the more the gantry tilts.

Drag follows Bouc and Wen (Wen, J. Engineering Mechanics 102 (1976) 249; from memory)

    dz = dh / reach · (1 - |z|^1.6 (0.5 + 0.5 sign(z dh))),    force = drag · z,

and the drag of each guide grows with the moment that racking puts on it and falls by `WARMED` as
the seconds of motion add up. What a guide holds above its sliding drag after a stop is lost over
`BREAK_AWAY_MM`. The motor seat is a washer under preload, and a clamp that slips lets go in jumps.
No masses, no speed.
"""

from __future__ import annotations

from typing import Any

import numba as nb
import numpy as np

from simulators.chain import balance, push_of, seen

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
(GO_FROM, GO_TO, SPEED, ACCELERATION, WAIT_S, RUN) = range(6)
Array = np.ndarray[Any, np.dtype[np.float64]]


class Edges:
    """A law of motion for the demo's sessions: `demo.dynamics.integrate`'s arguments and answer.
    What guides and clamps remember is kept from call to call of one session."""

    def __init__(self, edge: float = EDGE) -> None:
        self.edge = edge
        self._state: Any = None

    def __call__(self, *given: Any) -> Array:
        (inverse, racking, _, lift_end, lifts, guides, bristles, height, of_run, *rest) = given
        moves, nut_from, nut_to, loads, clamps, state, _, *more = rest
        n = inverse.shape[0]
        if state is not self._state:  # another session
            self._state = state
            self.z = np.zeros(n)
            self.clock = np.zeros(1)
            self.bitten = np.full(len(lifts), BITES_FOR_MM)
        drag = np.sum(bristles[:, :, 0] * bristles[:, :, 1], axis=1)
        reach = np.mean(bristles[:, :, 1], axis=1)
        loose = float(more[0]) if more else 0.0
        return motion(
            racking, lift_end, lifts, guides[:, 0], drag, reach, height, of_run, moves, nut_from,
            nut_to, loads, clamps, state[0], state[6], state[8], self.z, self.clock, self.bitten,
            self.edge, loose,
        )  # fmt: skip


@nb.njit(cache=True, error_model="numpy")
def motion(  # type: ignore[no-untyped-def]
    racking,
    lift_end,
    lifts,
    excess,
    drag_n,
    reach_mm,
    drag_over_height,
    drag_of_run,
    moves,
    nut_from,
    nut_to,
    loads,
    clamps,
    heights,
    slip,
    load,
    z,
    clock,
    bitten,
    edge,
    loose_mm,
):
    """Make all moves one after another. `z` is how far each guide's drag has built up, `clock`
    the seconds of motion so far, `bitten` the way for which each clamp has held since it last let
    go; all change, as heights, slips and loads do."""
    n, m = len(heights), lifts.shape[0]
    count = moves.shape[0]
    out = np.empty((count, n + 3 * m + 1))
    start, told, now = heights.copy(), np.zeros(m), load.copy()
    drag, up, down, most = np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n)
    crept = np.zeros(m)
    cells = drag_over_height.shape[1]
    for i in range(count):
        run = int(moves[i, RUN])
        far, heavier = 0.0, 0.0
        for a in range(m):
            far = max(far, abs(nut_to[i, a] - nut_from[i, a]))
        for j in range(n):
            heavier = max(heavier, abs(loads[i, j] - load[j]))
        warm = 1.0 - WARMED * (1.0 - np.exp(-clock[0] / WARM_S))
        gone, weighed, before = 0.0, 0.0, 0.0
        while gone < 1.0 or weighed < 1.0:
            if far > 0.0:
                here = min(gone * far, (1.0 - gone) * far)
                gone = min(1.0, gone + (FINE_MM if here < NEAR_TURN_MM else COARSE_MM) / far)
            else:
                gone = 1.0
            weighed = min(1.0, weighed + 0.25 / heavier) if heavier > 0.0 else 1.0
            for a in range(m):
                told[a] = nut_from[i, a] + (nut_to[i, a] - nut_from[i, a]) * gone - slip[a]
            for j in range(n):
                now[j] = load[j] + (loads[i, j] - load[j]) * weighed
                start[j] = heights[j]
            for j in range(n):
                cell = min(max(int(heights[j]), 0), cells - 2)
                part = min(max(heights[j] - cell, 0.0), 1.0)
                factor = drag_over_height[j, cell] * (1.0 - part)
                factor += drag_over_height[j, cell + 1] * part
                moment = 0.0
                for o in range(n):
                    if o != j:
                        moment += abs(racking[j, o] * (heights[j] - heights[o]))
                whole = drag_n[j] * factor * drag_of_run[run, j] * warm + edge * moment
                whole *= 1.0 + excess[j] * np.exp(-gone * far / BREAK_AWAY_MM)
                built = abs(z[j]) ** POWER
                with_it = max(1.0 - built, 0.0)
                up[j] = whole / reach_mm[j] * (with_it if z[j] >= 0.0 else 1.0)
                down[j] = whole / reach_mm[j] * (with_it if z[j] <= 0.0 else 1.0)
                drag[j] = whole * z[j]
                most[j] = whole
            balance(
                heights, start, told, now, racking, HARDER, lift_end, lifts, SEAT_LAW, crept,
                drag, up, down, most, loose_mm,
            )  # fmt: skip
            for j in range(n):
                moved = heights[j] - start[j]
                rate = (up[j] if moved >= 0.0 else down[j]) / max(most[j], 1e-9)
                z[j] = min(max(z[j] + rate * moved, -1.0), 1.0)
            for a in range(m):
                push, _ = push_of(told[a] - heights[lift_end[a]], lifts[a], SEAT_LAW, crept[a])
                bitten[a] += (gone - before) * far
                if push > clamps[i, a] * 1.1 and bitten[a] >= BITES_FOR_MM:
                    slip[a] += JUMP_MM
                    bitten[a] = 0.0
            before = gone
        took = far / max(moves[i, SPEED], 0.1) + 0.2
        clock[0] += took + 3.0
        for j in range(n):
            load[j] = loads[i, j]
        seen(out, i, heights, told, lift_end, lifts, SEAT_LAW, crept, slip, took)
    return out
