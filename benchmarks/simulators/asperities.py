"""Guides that drag by many small junctions.

Each guide carries `JUNCTIONS` contacts. A junction stretches like a spring while the guide moves,
breaks when its force reaches its strength, and forms again elsewhere without force and with
another strength; so drag is jagged and forgets its past by and by, and rests make it grow a little
with the logarithm of time (after Dieterich, J. Geophysical Research 84 (1979) 2161; from memory).
There is no sliding force as such: it is the mean of what the junctions happen to hold. The motor
seat is a power law that creeps, and racking stiffens. No masses, no speed.
"""

from __future__ import annotations

from typing import Any

import numba as nb
import numpy as np

from simulators.chain import balance, push_of, seen

JUNCTIONS = 40
FINE_MM, COARSE_MM, NEAR_TURN_MM = 0.004, 0.04, 1.5
HOLDS = (1.0 + 1.4**2 / 12.0) / 2.0
RESTS_GROW = 0.02
CREEP, CREEP_S = 0.06, 40.0
SEAT_LAW = 0
HARDER = 0.4
"""Racking stiffens by this much at a millimetre of tilt."""
(GO_FROM, GO_TO, SPEED, ACCELERATION, WAIT_S, RUN) = range(6)
Array = np.ndarray[Any, np.dtype[np.float64]]


class Junctions:
    """A law of motion for the demo's sessions: `demo.dynamics.integrate`'s arguments and answer.
    What the junctions hold is kept from call to call of one session."""

    def __init__(self) -> None:
        self._state: Any = None

    def __call__(self, *given: Any) -> Array:
        (inverse, racking, _, lift_end, lifts, guides, bristles, height, of_run, *rest) = given
        moves, nut_from, nut_to, loads, clamps, state, _, *more = rest
        n = inverse.shape[0]
        if state is not self._state:  # another session
            self._state = state
            self.held = np.zeros((n, JUNCTIONS))
            self.broken = np.zeros((n, JUNCTIONS), dtype=np.int64)
            self.crept = np.zeros(len(lifts))
        drag = np.sum(bristles[:, :, 0] * bristles[:, :, 1], axis=1)
        reach = np.mean(bristles[:, :, 1], axis=1)
        loose = float(more[0]) if more else 0.0
        return motion(
            racking, lift_end, lifts, guides[:, 0], drag, reach, height, of_run, moves, nut_from,
            nut_to, loads, clamps, state[0], state[6], state[8], self.held, self.broken, self.crept,
            loose,
        )  # fmt: skip


@nb.njit(cache=True, error_model="numpy")
def dealt(guide, junction, broken):  # type: ignore[no-untyped-def]
    """A strength, even between 0.3 and 1.7 of the mean: the same for the same junction and the
    same number of breaks, whatever else differs."""
    x = np.uint64(guide * 7919 + junction * 104729 + broken * 15485863 + 12345)
    x ^= x >> np.uint64(33)
    x *= np.uint64(0xFF51AFD7ED558CCD)
    x ^= x >> np.uint64(33)
    x *= np.uint64(0xC4CEB9FE1A85EC53)
    x ^= x >> np.uint64(33)
    return 0.3 + 1.4 * (np.float64(x >> np.uint64(11)) / 9007199254740992.0)


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
    held,
    broken,
    crept,
    loose_mm,
):
    """Make all moves one after another. `held` are the junctions' forces over their mean
    strength, `broken` how often each broke; both change, as heights, slips and loads do. `excess`
    is how much more drag holds after a rest."""
    n, m = len(heights), lifts.shape[0]
    count = moves.shape[0]
    out = np.empty((count, n + 3 * m + 1))
    start, told, now = heights.copy(), np.zeros(m), load.copy()
    drag, rate, most = np.zeros(n), np.zeros(n), np.full(n, 1e9)
    # in steady sliding a junction of even strengths holds E[s²] / 2 E[s] of the mean strength
    mean = drag_n / JUNCTIONS / HOLDS
    stiff = 1.0 / (2.0 * reach_mm)  # of a junction, over its mean strength
    cells = drag_over_height.shape[1]
    for i in range(count):
        run = int(moves[i, RUN])
        far, heavier = 0.0, 0.0
        for a in range(m):
            far = max(far, abs(nut_to[i, a] - nut_from[i, a]))
        for j in range(n):
            heavier = max(heavier, abs(loads[i, j] - load[j]))
        rested = np.log(1.0 + 5.0 * moves[i, WAIT_S])
        gone, weighed = 0.0, 0.0
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
            for _ in range(6):  # what breaks hands its load on, and more may break
                for j in range(n):
                    total = 0.0
                    for k in range(JUNCTIONS):
                        total += held[j, k]
                    drag[j] = total * mean[j]
                    rate[j] = stiff[j] * mean[j] * JUNCTIONS
                balance(
                    heights, start, told, now, racking, HARDER, lift_end, lifts, SEAT_LAW, crept,
                    drag, rate, rate, most, loose_mm,
                )  # fmt: skip
                fell = False
                for j in range(n):
                    moved = heights[j] - start[j]
                    cell = min(max(int(heights[j]), 0), cells - 2)
                    part = min(max(heights[j] - cell, 0.0), 1.0)
                    factor = drag_over_height[j, cell] * (1.0 - part)
                    factor += drag_over_height[j, cell + 1] * part
                    factor *= drag_of_run[run, j]
                    if gone * far < 0.2:
                        factor *= 1.0 + (RESTS_GROW + 0.4 * excess[j]) * rested
                    for k in range(JUNCTIONS):
                        stretched = held[j, k] + stiff[j] * moved
                        if abs(stretched) > factor * dealt(j, k, broken[j, k]):
                            broken[j, k] += 1
                            held[j, k] = -stiff[j] * moved
                            fell = True
                if not fell:
                    break
            for j in range(n):
                for k in range(JUNCTIONS):
                    held[j, k] += stiff[j] * (heights[j] - start[j])
            for a in range(m):
                push, _ = push_of(told[a] - heights[lift_end[a]], lifts[a], SEAT_LAW, crept[a])
                if push > clamps[i, a]:
                    slip[a] += 0.3 * (push - clamps[i, a]) / lifts[a, 3]
        took = far / max(moves[i, SPEED], 0.1) + 0.2
        for a in range(m):
            crept[a] += (CREEP - crept[a]) * (1.0 - np.exp(-took / CREEP_S))
        for j in range(n):
            load[j] = loads[i, j]
        seen(out, i, heights, told, lift_end, lifts, SEAT_LAW, crept, slip, took)
    return out
