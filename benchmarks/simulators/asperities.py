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

import numba as nb
import numpy as np

from simulators.chain import COUPLING, Law, balance, drag_at, ended, onward, push_at, spans, took_s

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


def junctions() -> Law:
    """A fresh law of motion for one session after another."""
    return Law(
        lambda n, m: (
            np.zeros((n, JUNCTIONS)),
            np.full((n, JUNCTIONS), FREE),
            np.zeros(m),
        ),
        motion,
    )


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
def motion(given, held, site, crept):  # type: ignore[no-untyped-def]
    """Make all moves one after another. `held` are the contacts' forces over their mean
    strength, `site` where each clings, `crept` by what the seats have softened; all change."""
    heights, slip = given.heights, given.slip
    n, m, count = len(heights), len(slip), len(given.moves)
    out = np.empty((count, n + 3 * m + 1))
    start, told, now = heights.copy(), np.zeros(m), given.load.copy()
    drag, rate, most = np.zeros(n), np.zeros(n), np.full(n, 1e9)
    mean = given.drag_n / JUNCTIONS / HOLDS
    stiff = 1.0 / (2.0 * given.reach_mm)  # of a contact, over its mean strength
    for i in range(count):
        far, _ = spans(given, i)
        gone, weighed = 0.0, 0.0
        while gone < 1.0 or weighed < 1.0:
            near = far == 0.0 or min(gone * far, (1.0 - gone) * far) < NEAR_TURN_MM
            step = FINE_MM if near else COARSE_MM
            gone, weighed = onward(given, i, gone, weighed, step, told, now)
            most_mm = 2.0 * step
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
                balance(given, start, told, now, HARDER, SEAT_LAW, crept, drag, rate, rate, most)
                farthest = np.max(np.abs(heights - start))
                again = farthest > most_mm
                if again:  # it jumps, and clings anew on the way
                    heights[:] = start + (heights - start) * (most_mm / farthest)
                for j in range(n):
                    factor = drag_at(given, i, j, 1.0)
                    if gone * far < AFTER_STOP_MM:
                        factor *= 1.0 + AFTER_STOP + OF_EXCESS * given.excess[j]
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
                over = push_at(given, a, told, SEAT_LAW, crept) - given.clamps[i, a]
                if over > 0.0:
                    slip[a] += 0.3 * over / given.lifts[a, COUPLING]
        for a in range(m):
            crept[a] += (CREEP - crept[a]) * (1.0 - np.exp(-took_s(given, i) / CREEP_S))
        ended(out, i, given, told, SEAT_LAW, crept)
    return out
