"""Motion in time: gantry, screws and rotors as masses, springs, contacts and bristles.

The body (a gantry between two guides, a bed on three screws) has one height per end; its mass
couples the ends. Each lift has the axial shift of its rotor and of its screw. Unlike a
quasi-static model this one knows speed: static drag falls to sliding drag (Stribeck), moves ring
and settle, and drag in pre-sliding follows bristles (Dahl 1968; Canudas de Wit, Olsson, Astrom
and Lischinsky, IEEE Trans. Automatic Control 40 (1995) 419), three a guide.

Semi-implicit Euler steps; bristles by an implicit step, so that they never overshoot.
Units: mm, s, N; masses in N s²/mm (tonnes).
"""

from __future__ import annotations

import numba as nb
import numpy as np

STEP_S = 1e-4
HARD_N_PER_MM = 1500.0
"""Stiffness of a shaft on its shoulder and of a bottomed seat."""
ROTOR_T, SCREW_T = 1.2e-4, 1.2e-4
GRAVITY = 9.80665
AT_REST_MM_PER_S = 4e-4
"""A move has settled when nothing was faster than this for 20 ms."""

# columns of the lift table
(SEAT, TRAVEL, FLOAT, COUPLING, THRUST, THREAD, PLAY, ROTOR_DAMP, SCREW_DAMP, NUT_DAMP) = range(10)
# columns of the guide table: static excess, Stribeck speed, viscous drag, bristle damping time
(EXCESS, STRIBECK, VISCOUS, BRISTLE_S) = range(4)
# columns of the move table
(GO_FROM, GO_TO, SPEED, ACCELERATION, WAIT_S, RUN) = range(6)


@nb.njit(cache=True, error_model="numpy")
def profile(elapsed_s, distance, speed, acceleration):  # type: ignore[no-untyped-def]
    """How far a move of `distance` (above 0) has come: speed up, run, slow down."""
    ramp_s = speed / acceleration
    if speed * ramp_s > distance:
        ramp_s = np.sqrt(distance / acceleration)
        speed = acceleration * ramp_s
    run_s = distance / speed - ramp_s
    if elapsed_s < ramp_s:
        return 0.5 * acceleration * elapsed_s * elapsed_s
    if elapsed_s < ramp_s + run_s:
        return speed * (elapsed_s - 0.5 * ramp_s)
    left = 2 * ramp_s + run_s - elapsed_s
    if left <= 0:
        return distance
    return distance - 0.5 * acceleration * left * left


@nb.njit(cache=True, error_model="numpy")
def seat_force(shift, lift):  # type: ignore[no-untyped-def]
    """Force up on a rotor at `shift`: washer below, free float, shoulder above."""
    if shift < 0.0:
        deep = -shift
        ratio = min(1.0, deep / lift[TRAVEL])
        force = lift[SEAT] * deep * (1.0 + ratio * ratio)
        if deep > lift[TRAVEL]:
            force += HARD_N_PER_MM * (deep - lift[TRAVEL])
        return force
    if shift > lift[FLOAT]:
        return -HARD_N_PER_MM * (shift - lift[FLOAT])
    return 0.0


@nb.njit(cache=True, error_model="numpy")
def nut_force(stretch, rate, lift):  # type: ignore[no-untyped-def]
    """Force up on the gantry from thread and bracket; between the flanks there is none."""
    if stretch > 0.0:
        return max(0.0, lift[THREAD] * stretch + lift[NUT_DAMP] * rate)
    if stretch < -lift[PLAY]:
        return min(0.0, lift[THREAD] * (stretch + lift[PLAY]) + lift[NUT_DAMP] * rate)
    return 0.0


@nb.njit(cache=True, error_model="numpy")
def integrate(  # type: ignore[no-untyped-def]
    body_inverse,
    racking,
    racking_damp,
    lift_end,
    lifts,
    guides,
    bristles,
    drag_over_height,
    drag_of_run,
    moves,
    nut_from,
    nut_to,
    loads,
    clamps,
    state,
    step_s,
    loose_mm=0.0,
):
    """Make all moves one after another, in time, each until it has settled.

    Args:
        body_inverse: inverse mass matrix over the ends. racking: stiffness over the ends,
            `racking_damp` times it damps; of two ends the one without a screw swings free over
            `loose_mm`. lift_end: the end that each lift carries.
        lifts, guides: tables, columns above. bristles: (end, bristle, [stiffness, reach]).
        drag_over_height: (end, mm of height) factor. drag_of_run: (run, end) factor.
        moves: table, columns above. nut_from, nut_to: (move, lift) height of the thread.
        loads: (move, end) weight at the end of the move. clamps: (move, lift) holding force.
        state: heights, speeds, rotor and screw shifts and speeds, slips, bristles, loads; changed.

    Returns:
        (move, ...) heights, then rotor shift, screw shift and nut force of each lift, then the
        seconds that the move took.
    """
    n, m = body_inverse.shape[0], lifts.shape[0]
    count, kinds = moves.shape[0], bristles.shape[1]
    heights, speeds, rotor, rotor_v, screw, screw_v, slip, bristle, load = state
    out = np.empty((count, n + 3 * m + 1))
    force = np.zeros(n)
    nut = np.zeros(m)
    load_from = np.zeros(n)
    cells = drag_over_height.shape[1]
    for i in range(count):
        distance = abs(moves[i, GO_TO] - moves[i, GO_FROM])
        run = int(moves[i, RUN])
        travel_s = 0.0
        if distance > 0.0:
            ramp_s = moves[i, SPEED] / moves[i, ACCELERATION]
            if moves[i, SPEED] * ramp_s > distance:
                travel_s = 2.0 * np.sqrt(distance / moves[i, ACCELERATION])
            else:
                travel_s = distance / moves[i, SPEED] + ramp_s
        change = 0.0
        for j in range(n):
            load_from[j] = load[j]
            change += abs(loads[i, j] - load[j])
        if change > 0.0:
            travel_s = max(travel_s, 0.4)
        elapsed, calm, share_before = 0.0, 0.0, 0.0
        while True:
            elapsed += step_s
            share = 1.0
            if elapsed < travel_s:
                share = elapsed / travel_s
            gone = 1.0
            if distance > 0.0:
                gone = profile(elapsed, distance, moves[i, SPEED], moves[i, ACCELERATION])
                gone /= distance
            # forces on the body's ends: weight, racking, guides
            swung = 0.0
            if loose_mm > 0.0 and n == 2:
                far = 1 - lift_end[0]
                tilt = heights[far] - heights[1 - far]
                swung = min(max(tilt, 0.0), loose_mm)
            for j in range(n):
                load[j] = load_from[j] + (loads[i, j] - load_from[j]) * share
                pull = -load[j]
                for o in range(n):
                    pull -= racking[j, o] * (heights[o] + racking_damp * speeds[o])
                if swung > 0.0:
                    pull += racking[j, j] * swung * (1.0 if j == far else -1.0)
                v = speeds[j]
                place = heights[j]
                cell = min(max(int(place), 0), cells - 2)
                part = min(max(place - cell, 0.0), 1.0)
                factor = drag_over_height[j, cell] * (1.0 - part)
                factor += drag_over_height[j, cell + 1] * part
                factor *= drag_of_run[run, j]
                ratio = v / guides[j, STRIBECK]
                factor *= 1.0 + guides[j, EXCESS] / (1.0 + ratio * ratio)
                for k in range(kinds):
                    stiff = bristles[j, k, 0]
                    reach = bristles[j, k, 1] * factor
                    before = bristle[j, k]
                    after = (before + v * step_s) / (1.0 + abs(v) * step_s / reach)
                    bristle[j, k] = after
                    damp = guides[j, BRISTLE_S] * (after - before) / step_s
                    pull -= stiff * (after + damp)
                force[j] = pull - guides[j, VISCOUS] * v
            # lifts
            fastest = 0.0
            for a in range(m):
                end = lift_end[a]
                told = nut_from[i, a] + (nut_to[i, a] - nut_from[i, a]) * gone
                told_v = 0.0
                if elapsed < travel_s and distance > 0.0:
                    told_v = (nut_to[i, a] - nut_from[i, a]) * (gone - share_before) / step_s
                stretch = told + screw[a] - heights[end]
                push = nut_force(stretch, told_v + screw_v[a] - speeds[end], lifts[a])
                nut[a] = push
                force[end] += push
                through = lifts[a, COUPLING] * (rotor[a] - slip[a] - screw[a])
                if through > clamps[i, a]:
                    slip[a] += (through - clamps[i, a]) * step_s / 60.0
                ring = lifts[a, SCREW_DAMP] * (screw_v[a] - rotor_v[a])
                on_screw = -push + through - ring - lifts[a, THRUST] * screw[a]
                on_screw -= SCREW_T * 1000.0 * GRAVITY
                if lifts[a, THRUST] > 0.0:
                    on_screw -= lifts[a, SCREW_DAMP] * screw_v[a]
                on_rotor = seat_force(rotor[a], lifts[a]) - through + ring
                on_rotor -= ROTOR_T * 1000.0 * GRAVITY + lifts[a, ROTOR_DAMP] * rotor_v[a]
                screw_v[a] += on_screw / SCREW_T * step_s
                rotor_v[a] += on_rotor / ROTOR_T * step_s
                screw[a] += screw_v[a] * step_s
                rotor[a] += rotor_v[a] * step_s
                fastest = max(fastest, abs(screw_v[a]), abs(rotor_v[a]))
            for j in range(n):
                pace = 0.0
                for o in range(n):
                    pace += body_inverse[j, o] * force[o]
                speeds[j] += pace * step_s
            for j in range(n):
                heights[j] += speeds[j] * step_s
                fastest = max(fastest, abs(speeds[j]))
            share_before = gone
            if elapsed >= travel_s:
                calm = calm + step_s if fastest < AT_REST_MM_PER_S else 0.0
                if calm >= 0.02 or elapsed > travel_s + moves[i, WAIT_S]:
                    break
        for j in range(n):
            out[i, j] = heights[j]
        for a in range(m):
            out[i, n + 3 * a] = rotor[a]
            out[i, n + 3 * a + 1] = screw[a]
            out[i, n + 3 * a + 2] = nut[a]
        out[i, n + 3 * m] = elapsed
    return out
