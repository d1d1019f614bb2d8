"""Guides that drag by many small junctions.

Each guide carries `JUNCTIONS` contacts, and each meets sites on its rail, strewn at random, every
one with a strength of its own. A contact clings to a site that it passes, stretches like a spring,
tears off when its force reaches the site's strength, and is free until it passes the next one. So
drag is jagged, forgets its past within a few sites, and is the same again at the same place: what
is put right elsewhere on the axis does not deal other chance. After every stop the sites hold a
little more over the first fifth of a millimetre, however long the stop was. There is no sliding
force as such: it is the mean of what the contacts happen to hold. The motor seat is a power law
that grows softer by `CREEP` over the first minute or two of motion in a session, whatever it
carries, and racking stiffens. No masses, no speed.
"""

from __future__ import annotations

from typing import Any

import numba as nb
import numpy as np

from simulators.chain import balance, push_of, seen

JUNCTIONS = 40
FINE_MM, COARSE_MM, NEAR_TURN_MM = 0.004, 0.04, 1.5
SPACING = 0.25
"""Of the sites, over twice the reach."""
HOLDS = 0.507
"""What a contact holds on the mean while it slides, over the mean strength."""
FREE = -(2**62)
MOST_JUMPS = 100
AFTER_STOP, OF_EXCESS, AFTER_STOP_MM = 0.036, 0.72, 0.2
"""A site's strength rises after a stop by the first, and by this share of the guide's own excess of
static drag, for so far."""
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
            self.site = np.full((n, JUNCTIONS), FREE)
            self.crept = np.zeros(len(lifts))
        drag = np.sum(bristles[:, :, 0] * bristles[:, :, 1], axis=1)
        reach = np.mean(bristles[:, :, 1], axis=1)
        loose = float(more[0]) if more else 0.0
        return motion(
            racking, lift_end, lifts, guides[:, 0], drag, reach, height, of_run, moves, nut_from,
            nut_to, loads, clamps, state[0], state[6], state[8], self.held, self.site, self.crept,
            loose,
        )  # fmt: skip


@nb.njit(cache=True, error_model="numpy")
def dealt(guide, junction, site, what):  # type: ignore[no-untyped-def]
    """Even between 0 and 1, the same for the same site whatever else differs."""
    x = np.uint64(guide * 7919 + junction * 104729 + (site + 100000) * 15485863 + what * 32452843)
    x ^= x >> np.uint64(33)
    x *= np.uint64(0xFF51AFD7ED558CCD)
    x ^= x >> np.uint64(33)
    x *= np.uint64(0xC4CEB9FE1A85EC53)
    x ^= x >> np.uint64(33)
    return np.float64(x >> np.uint64(11)) / 9007199254740992.0


@nb.njit(cache=True, error_model="numpy")
def strength(guide, junction, site):  # type: ignore[no-untyped-def]
    """Of a site, over the mean strength."""
    return 0.3 + 1.4 * dealt(guide, junction, site, 0)


@nb.njit(cache=True, error_model="numpy")
def passed(guide, junction, start, end, spacing):  # type: ignore[no-untyped-def]
    """(the last site passed on the way, how far back it lies); one site in every `spacing`."""
    here = int(np.floor(end / spacing))
    way = 1 if end >= start else -1
    for back in range(2):
        site = here - way * back
        place = (site + dealt(guide, junction, site, 1)) * spacing
        if way * (end - place) >= 0.0 and way * (place - start) > 0.0:
            return site, end - place
    return FREE, 0.0


@nb.njit(cache=True, error_model="numpy")
def at_height(by_mm, height):  # type: ignore[no-untyped-def]
    """A factor given for every millimetre of height, between two of them."""
    cell = min(max(int(height), 0), len(by_mm) - 2)
    part = min(max(height - cell, 0.0), 1.0)
    return by_mm[cell] * (1.0 - part) + by_mm[cell + 1] * part


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
    site,
    crept,
    loose_mm,
):
    """Make all moves one after another. `held` are the contacts' forces over their mean
    strength, `site` where each clings; both change, as heights, slips and loads do. `excess`
    is how much more drag holds after a stop."""
    n, m = len(heights), lifts.shape[0]
    count = moves.shape[0]
    out = np.empty((count, n + 3 * m + 1))
    start, told, now = heights.copy(), np.zeros(m), load.copy()
    drag, rate, most = np.zeros(n), np.zeros(n), np.full(n, 1e9)
    mean = drag_n / JUNCTIONS / HOLDS
    stiff = 1.0 / (2.0 * reach_mm)  # of a contact, over its mean strength
    for i in range(count):
        run = int(moves[i, RUN])
        far, heavier = 0.0, 0.0
        for a in range(m):
            far = max(far, abs(nut_to[i, a] - nut_from[i, a]))
        for j in range(n):
            heavier = max(heavier, abs(loads[i, j] - load[j]))
        gone, weighed, fine = 0.0, 0.0, True
        while gone < 1.0 or weighed < 1.0:
            if far > 0.0:
                fine = min(gone * far, (1.0 - gone) * far) < NEAR_TURN_MM
                gone = min(1.0, gone + (FINE_MM if fine else COARSE_MM) / far)
            else:
                gone = 1.0
            weighed = min(1.0, weighed + 0.25 / heavier) if heavier > 0.0 else 1.0
            for a in range(m):
                told[a] = nut_from[i, a] + (nut_to[i, a] - nut_from[i, a]) * gone - slip[a]
            for j in range(n):
                now[j] = load[j] + (loads[i, j] - load[j]) * weighed
            most_mm = 2.0 * (FINE_MM if fine else COARSE_MM)
            for _ in range(MOST_JUMPS):  # what tears off hands its load on, and more may tear
                for j in range(n):
                    total, cling = 0.0, 0.05
                    for k in range(JUNCTIONS):
                        if site[j, k] != FREE:
                            total += held[j, k]
                            cling += 1.0
                    drag[j] = total * mean[j]
                    rate[j] = stiff[j] * mean[j] * cling
                    start[j] = heights[j]
                balance(
                    heights, start, told, now, racking, HARDER, lift_end, lifts, SEAT_LAW, crept,
                    drag, rate, rate, most, loose_mm,
                )  # fmt: skip
                farthest = np.max(np.abs(heights - start))
                again = farthest > most_mm
                if again:  # it jumps, and clings anew on the way
                    heights[:] = start + (heights - start) * (most_mm / farthest)
                for j in range(n):
                    factor = at_height(drag_over_height[j], heights[j]) * drag_of_run[run, j]
                    if gone * far < AFTER_STOP_MM:
                        factor *= 1.0 + AFTER_STOP + OF_EXCESS * excess[j]
                    moved = heights[j] - start[j]
                    for k in range(JUNCTIONS):
                        if site[j, k] != FREE:
                            held[j, k] += stiff[j] * moved
                            if abs(held[j, k]) > factor * strength(j, k, site[j, k]):
                                site[j, k] = FREE
                                again = True
                        else:
                            site[j, k], since = passed(
                                j, k, start[j], heights[j], SPACING / stiff[j]
                            )
                            held[j, k] = stiff[j] * since
                if not again:
                    break
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
