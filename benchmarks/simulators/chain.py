"""What the further simulators share: motor, coupling, screw, nut and bracket as springs in a row,
without masses, and the balance of the body's ends against whatever drags at the guides.

Nothing here knows the axis model of the program. Moves are made in steps of micrometres; after
each the heights are where weight, racking, lifts and guides balance. Compiled laws are kept by
their own file alone: after a change here, empty the `__pycache__` beside it. Units: mm, N, s.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numba as nb
import numpy as np

Array = np.ndarray[Any, np.dtype[np.float64]]
HARD_N_PER_MM = 1500.0
# columns of the demo's lift table
SEAT, TRAVEL, FLOAT, COUPLING, THRUST, THREAD, PLAY = range(7)
# columns of the demo's table of moves
(GO_FROM, GO_TO, SPEED, ACCELERATION, WAIT_S, RUN) = range(6)
MOST_ENDS = 3
BALANCED_N = 1e-5
LEFT_N = 1e-3
"""Newton's steps end at the first. More than the second left over is no balance: on the softest
part it moves an end by less than a tenth of a micrometre."""
MOST_TURNS, WHOLE_TURNS, SHORTEST = 400, 12, 0.01
"""Newton's steps at the most, how many of them whole, and the shortest share of one."""


class Given(NamedTuple):
    """What a law of motion is given: the demo's tables of the axis, the moves, and the state, of
    which heights, slips and loads are changed. `excess` is how much more drag holds after a stop,
    `loose_mm` how far the end without a screw swings free."""

    racking: Array
    lift_end: Array
    lifts: Array
    excess: Array
    drag_n: Array
    reach_mm: Array
    drag_over_height: Array
    drag_of_run: Array
    moves: Array
    nut_from: Array
    nut_to: Array
    loads: Array
    clamps: Array
    heights: Array
    slip: Array
    load: Array
    loose_mm: float


class Law:
    """A law of motion for the demo's sessions: `demo.dynamics.integrate`'s arguments and answer.

    `memory` makes what guides and clamps remember of a session (for so many ends and lifts),
    which is kept from call to call of it; `motion` makes the moves, given `Given` and memory.
    """

    def __init__(
        self, memory: Callable[[int, int], tuple[Any, ...]], motion: Callable[..., Array]
    ) -> None:
        self.memory, self.motion = memory, motion
        self._state: Any = None

    def __call__(self, *given: Any) -> Array:
        (_, racking, _, lift_end, lifts, guides, bristles, height, of_run, *rest) = given
        moves, nut_from, nut_to, loads, clamps, state, _, *more = rest
        if state is not self._state:  # another session
            self._state = state
            self._remembered = self.memory(len(guides), len(lifts))
        drag = np.sum(bristles[:, :, 0] * bristles[:, :, 1], axis=1)
        reach = np.mean(bristles[:, :, 1], axis=1)
        loose = float(more[0]) if more else 0.0
        told = Given(
            racking, lift_end, lifts, guides[:, 0], drag, reach, height, of_run, moves, nut_from,
            nut_to, loads, clamps, state[0], state[6], state[8], loose,
        )  # fmt: skip
        return self.motion(told, *self._remembered)


@nb.njit(cache=True, error_model="numpy")
def spans(given, i):  # type: ignore[no-untyped-def]
    """(how far the nuts travel in a move at the most, by how much the load changes)."""
    far, heavier = 0.0, 0.0
    for a in range(len(given.slip)):
        far = max(far, abs(given.nut_to[i, a] - given.nut_from[i, a]))
    for j in range(len(given.load)):
        heavier = max(heavier, abs(given.loads[i, j] - given.load[j]))
    return far, heavier


@nb.njit(cache=True, error_model="numpy")
def onward(given, i, gone, weighed, step, told, now):  # type: ignore[no-untyped-def]
    """The next shares of way and load after a step, mm; writes where the nuts stand unloaded
    into `told` and what the ends then carry into `now`."""
    far, heavier = spans(given, i)
    gone = min(1.0, gone + step / far) if far > 0.0 else 1.0
    weighed = min(1.0, weighed + 0.25 / heavier) if heavier > 0.0 else 1.0
    for a in range(len(told)):
        told[a] = given.nut_from[i, a] + (given.nut_to[i, a] - given.nut_from[i, a]) * gone
        told[a] -= given.slip[a]
    for j in range(len(now)):
        now[j] = given.load[j] + (given.loads[i, j] - given.load[j]) * weighed
    return gone, weighed


@nb.njit(cache=True, error_model="numpy")
def took_s(given, i):  # type: ignore[no-untyped-def]
    """Seconds in motion."""
    return spans(given, i)[0] / max(given.moves[i, SPEED], 0.1) + 0.2


@nb.njit(cache=True, error_model="numpy")
def drag_at(given, i, j, mean):  # type: ignore[no-untyped-def]
    """Drag of a guide where it stands in this run, where it is `mean` over all."""
    by_mm, height = given.drag_over_height[j], given.heights[j]
    cell = min(max(int(height), 0), len(by_mm) - 2)
    part = min(max(height - cell, 0.0), 1.0)
    factor = by_mm[cell] * (1.0 - part) + by_mm[cell + 1] * part
    return mean * factor * given.drag_of_run[int(given.moves[i, RUN]), j]


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
def balance(given, start, told, load, harder, law, crept, drag, drag_up, drag_down, most):  # type: ignore[no-untyped-def]
    """Move the heights to where everything balances.

    The guides drag by `drag` plus `drag_up` (`drag_down`) a millimetre above (below) `start`,
    never by more than `most` (a force an end). Racking stiffens by `harder` times the square of
    the tilt in millimetres; of two ends the one without a screw swings free.
    Newton steps, kept within bounds.

    Raises:
        ArithmeticError: an end is left with a force of more than `LEFT_N`; its arguments are the
            force, the steps made and the first end's height.
    """
    heights, racking, lift_end, lifts = given.heights, given.racking, given.lift_end, given.lifts
    n, m, loose = len(heights), lifts.shape[0], given.loose_mm
    force = np.zeros(MOST_ENDS)
    slope = np.zeros((n, n))
    left, before, short = 0.0, np.inf, 1.0
    for turn in range(MOST_TURNS):
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
        left = np.max(np.abs(force[:n]))
        if left < BALANCED_N:
            return
        if not np.isfinite(left):
            break
        step = np.linalg.solve(slope, force[:n])
        if turn >= WHOLE_TURNS:  # from side to side of a kink: shorter until it comes nearer
            short = min(1.2 * short, 0.5) if left < before else max(0.5 * short, SHORTEST)
        before = left
        for j in range(n):
            heights[j] += short * min(max(step[j], -0.2), 0.2)
    if not left <= LEFT_N:
        raise ArithmeticError("no balance: newtons left, steps, mm", left, turn + 1, heights[0])


@nb.njit(cache=True, error_model="numpy")
def push_at(given, a, told, law, crept):  # type: ignore[no-untyped-def]
    """Push up of a lift as things stand."""
    stretch = told[a] - given.heights[given.lift_end[a]]
    push, _ = push_of(stretch, given.lifts[a], law, crept[a])
    return push


@nb.njit(cache=True, error_model="numpy")
def ended(out, i, given, told, law, crept):  # type: ignore[no-untyped-def]
    """Write down a move: heights, then rotor, screw and push of each lift, then seconds."""
    lifts, slip = given.lifts, given.slip
    n, m = len(given.heights), lifts.shape[0]
    for j in range(n):
        out[i, j] = given.heights[j]
        given.load[j] = given.loads[i, j]
    for a in range(m):
        push = push_at(given, a, told, law, crept)
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
    out[i, n + 3 * m] = took_s(given, i)
