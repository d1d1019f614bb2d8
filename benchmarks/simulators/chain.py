"""What the further simulators share: motor, coupling, screw, nut and bracket as springs in a row,
without masses, and the balance of the body's ends against whatever drags at the guides.

Nothing here knows the axis model of the program. Moves are made in steps of micrometres; after
each the heights are where weight, racking, lifts and guides balance.
Units: mm, N, s.
"""

from __future__ import annotations

import numba as nb
import numpy as np

HARD_N_PER_MM = 1500.0
# columns of the demo's lift table
SEAT, TRAVEL, FLOAT, COUPLING, THRUST, THREAD, PLAY = range(7)
MOST_ENDS = 3
BALANCED_N = 1e-5
LEFT_N = 1e-3
"""Newton's steps end at the first; in 60 sessions of three faults each, 5 million balances all got
there. More than the second left over is no balance: on the softest part it moves an end by less
than a tenth of a micrometre."""


@nb.njit(cache=True, error_model="numpy")
def seat_give(push, lift, law, crept):  # type: ignore[no-untyped-def]
    """(how far the rotor sinks under a push, and by a newton more).

    Law 0: a power law, stiffer the deeper, with what has crept besides. Law 1: a washer that is
    clamped until its preload of 3 N is passed, then soft. Both bottom out, and a rotor pulled up
    rises through its float.
    """
    soft, travel = lift[SEAT], lift[TRAVEL]
    if push < 0.0:
        # the rotor rises through its float against a little friction of its bearing
        rise = -push / 4.0
        if rise < lift[FLOAT]:
            return -rise, 0.25
        deep = lift[FLOAT] + (-push - 4.0 * lift[FLOAT]) / HARD_N_PER_MM
        return -deep, 1.0 / HARD_N_PER_MM
    if law == 0:
        # push = soft * travel * (d / travel)^1.4, so that the mean slope over the travel is soft
        full = soft * travel
        deep = travel * (push / full) ** (1.0 / 1.4)
        if deep < travel:
            slope = deep / (1.4 * max(push, 1e-6))
            return deep * (1.0 + crept), min(slope * (1.0 + crept), 1.0)
        return travel * (1.0 + crept) + (push - full) / HARD_N_PER_MM, 1.0 / HARD_N_PER_MM
    preload = min(3.0, 0.3 * soft * travel)
    if push < preload:
        return push / HARD_N_PER_MM, 1.0 / HARD_N_PER_MM
    deep = preload / HARD_N_PER_MM + (push - preload) / soft
    if deep < travel:
        return deep, 1.0 / soft
    full = preload + soft * (travel - preload / HARD_N_PER_MM)
    return travel + (push - full) / HARD_N_PER_MM, 1.0 / HARD_N_PER_MM


@nb.njit(cache=True, error_model="numpy")
def push_of(stretch, lift, law, crept):  # type: ignore[no-untyped-def]
    """(push up on the body, its slope) for how far the unloaded nut would stand over it."""
    side = 1.0
    reach = stretch
    if stretch <= 0.0:
        if stretch >= -lift[PLAY]:
            return 0.0, 0.01
        side, reach = -1.0, stretch + lift[PLAY]
    if lift[THRUST] > 0.0:
        give = 1.0 / lift[THREAD] + 1.0 / lift[THRUST]
        return reach / give, 1.0 / give
    straight = 1.0 / lift[THREAD] + 1.0 / lift[COUPLING]
    low, high = 0.0, abs(reach) / straight + 1e-9
    push = 0.5 * high
    slope = straight
    for _ in range(60):
        sunk, more = seat_give(side * push, lift, law, crept)
        off = push * straight + side * sunk - abs(reach)
        slope = straight + more
        if off > 0.0:
            high = push
        else:
            low = push
        if abs(off) < 1e-9:
            break
        push -= off / slope
        if push <= low or push >= high:
            push = 0.5 * (low + high)
    return side * push, 1.0 / slope


@nb.njit(cache=True, error_model="numpy")
def balance(  # type: ignore[no-untyped-def]
    heights,
    start,
    told,
    load,
    racking,
    harder,
    lift_end,
    lifts,
    law,
    crept,
    drag,
    drag_up,
    drag_down,
    most,
    loose,
):
    """Move `heights` to where everything balances.

    The guides drag by `drag` plus `drag_up` (`drag_down`) a millimetre above (below) `start`,
    never by more than `most` (a force an end). Racking stiffens by `harder` times the square of
    the tilt in millimetres; of two ends the one without a screw swings free over `loose`.
    Newton steps, kept within bounds.

    Raises:
        ArithmeticError: an end is left with a force of more than `LEFT_N`; its arguments are the
            force, the steps made and the first end's height.
    """
    n, m = len(heights), lifts.shape[0]
    force = np.zeros(MOST_ENDS)
    slope = np.zeros((n, n))
    left = 0.0
    for turn in range(60):
        slope[:] = 0.0
        for j in range(n):
            gone = heights[j] - start[j]
            rate = drag_up[j] if gone >= 0.0 else drag_down[j]
            pull = drag[j] + rate * gone
            if pull > most[j]:
                pull, rate = most[j], 1e-3
            elif pull < -most[j]:
                pull, rate = -most[j], 1e-3
            force[j] = -load[j] - pull
            slope[j, j] += rate
        for j in range(n):
            for o in range(n):
                if o == j:
                    continue
                tilt = heights[j] - heights[o]
                stiff = -racking[j, o]
                if loose > 0.0 and n == 2:
                    way = 1.0 if lift_end[0] != j else -1.0
                    free = min(max(way * tilt, 0.0), loose)
                    tilt -= way * free
                    if 0.0 < free < loose:
                        stiff *= 1e-3
                force[j] -= stiff * tilt * (1.0 + harder * tilt * tilt)
                more = stiff * (1.0 + 3.0 * harder * tilt * tilt)
                slope[j, j] += more
                slope[j, o] -= more
        for a in range(m):
            end = lift_end[a]
            push, more = push_of(told[a] - heights[end], lifts[a], law, crept[a])
            force[end] += push
            slope[end, end] += more
        left = 0.0
        for j in range(n):
            left = max(left, abs(force[j]))
        if left < BALANCED_N:
            return
        step = np.linalg.solve(slope, force[:n])
        short = 1.0 if turn < 12 else 0.5
        for j in range(n):
            heights[j] += short * min(max(step[j], -0.2), 0.2)
    if not left <= LEFT_N:  # not a number is no balance either
        raise ArithmeticError("no balance: newtons left, steps, mm", left, turn + 1, heights[0])


@nb.njit(cache=True, error_model="numpy")
def seen(out, i, heights, told, lift_end, lifts, law, crept, slip, elapsed):  # type: ignore[no-untyped-def]
    """Write down a move: heights, then rotor, screw and push of each lift, then seconds."""
    n, m = len(heights), lifts.shape[0]
    for j in range(n):
        out[i, j] = heights[j]
    for a in range(m):
        push, _ = push_of(told[a] - heights[lift_end[a]], lifts[a], law, crept[a])
        sunk = 0.0
        screw = 0.0
        if lifts[a, THRUST] > 0.0:
            screw = -push / lifts[a, THRUST]
        else:
            sunk, _ = seat_give(push, lifts[a], law, crept[a])
            screw = -sunk - push / lifts[a, COUPLING] - slip[a]
        out[i, n + 3 * a] = -sunk
        out[i, n + 3 * a + 1] = screw
        out[i, n + 3 * a + 2] = push
    out[i, n + 3 * m] = elapsed
