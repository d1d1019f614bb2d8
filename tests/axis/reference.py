"""A slow, obvious twin of the axis solver: nested bisection on the forces left over.

For fixed heights of the outer ends, the force left over at the inner end rises with its height,
so bisection finds where it vanishes; the force then left at the next end outwards rises too. It
shares no code with the solver and goes about each law differently: a lift's force comes from the
elongations of its links, drag factors from interpolation by NumPy.
"""

from __future__ import annotations

import numba
import numpy as np
from scipy.special import ndtri

HALVINGS = 48
WIDEST_MM = 30.0


@numba.njit
def _lift_n(elongation, soft, travel, rest, slack, stiffening):
    if elongation > 0:
        half, firm = travel / 2, soft / stiffening
        force = elongation / (soft + rest)
        if force * soft <= half:
            return force
        # past its first half the seat gives half + (force - half / soft) firm
        force = (elongation - half + half / soft * firm) / (firm + rest)
        if (force - half / soft) * firm <= half:
            return force
        return (elongation - travel) / rest
    floating = max(elongation, -slack) * 1e-7
    return floating + min(elongation + slack, 0.0) / rest


@numba.njit
def _left_over(j, q, q0, thread, s, kappa, limit, weight, racking, lift_end, lifts):
    total = weight[j]
    for other in range(len(q)):
        total += racking[j, other] * q[other]
    for k in range(s.shape[1]):
        moved = s[j, k] + (q[j] - q0[j])
        total += kappa[j, k] * min(limit[j, k], max(-limit[j, k], moved))
    for i in range(len(lift_end)):
        if lift_end[i] == j:
            soft, travel, rest, slack, stiffening = lifts[i]
            total -= _lift_n(thread[i] - q[j], soft, travel, rest, slack, stiffening)
    return total


@numba.njit
def _nothing(j, q, q0, centre, thread, s, kappa, limit, weight, racking, lift_end, lifts):
    return


def _balancer(inner):
    """Balances end j by bisection, with `inner` balancing the ends after it each time."""

    @numba.njit
    def balance(j, q, q0, centre, thread, s, kappa, limit, weight, racking, lift_end, lifts):
        low, high = centre - WIDEST_MM, centre + WIDEST_MM
        for _ in range(HALVINGS):
            q[j] = 0.5 * (low + high)
            inner(j + 1, q, q0, centre, thread, s, kappa, limit, weight, racking, lift_end, lifts)
            if _left_over(j, q, q0, thread, s, kappa, limit, weight, racking, lift_end, lifts) > 0:
                high = q[j]
            else:
                low = q[j]

    return balance


_last = _balancer(_nothing)
BALANCE = {2: _balancer(_last), 3: _balancer(_balancer(_last))}


def _walk(
    balance, told, thread, loads, factors, kappa, reach, weight, racking, lift_end, lifts, heights
):
    ends, elements = kappa.shape
    s = np.zeros((ends, elements))
    q = np.full(ends, told[0])
    q0 = q.copy()
    for move in range(len(told)):
        limit = np.empty((ends, elements))
        for j in range(ends):
            for k in range(elements):
                limit[j, k] = reach[j, k] * factors[move, j] if move else 0.0
        w = weight + loads[move]
        balance(0, q, q0, told[move], thread[move], s, kappa, limit, w, racking, lift_end, lifts)
        for j in range(ends):
            for k in range(elements):
                s[j, k] = min(limit[j, k], max(-limit[j, k], s[j, k] + (q[j] - q0[j])))
        q0[:] = q
        heights[move] = q


def heights_mm(axis, told_mm, loads_n=None):
    """Heights of the ends after each told move that starts at rest; loads by move and end."""
    told = np.asarray(told_mm, dtype=float)
    ends = [guide.end for guide in axis.guides]
    racking = np.zeros((len(ends), len(ends)))
    across = np.array([1.0, -1.0, 0.0][: len(ends)])
    racking += axis.racking_n_per_mm * np.outer(across, across)
    if len(ends) == 3:
        along = np.array([-0.5, -0.5, 1.0])
        racking += axis.tilting_n_per_mm * np.outer(along, along)
    lifts, thread = [], []
    for lift in axis.lifts:
        rest = (
            1 / 1500
            + 1 / lift.coupling_stiffness_n_per_mm
            + 1 / lift.bracket_stiffness_n_per_mm
            + lift.wind_up_mm_per_n
        )
        slack = lift.play_mm + lift.end_float_mm
        soft = 1 / lift.seat_stiffness_n_per_mm
        lifts.append((soft, lift.seat_travel_mm, rest, slack, lift.seat_stiffening))
        stands, at = [], told[0]
        for z in told:
            at = np.clip(at, z - lift.lag_mm, z + lift.lag_mm)
            stands.append(at + lift.offset_mm)
        thread.append(stands)
    kappa, reach, factors = [], [], []
    for guide in axis.guides:
        count = len(guide.weights)
        places = ndtri((np.arange(count) + 0.5) / count)
        reaches = guide.reach_mm * np.exp(guide.spread * places)
        parts = np.array(guide.weights) / sum(guide.weights)
        reach.append(reaches)
        kappa.append(guide.drag_n * parts / reaches)
        factors.append(_factors(axis, guide, told))
    heights = np.empty((len(told), len(ends)))
    _walk(
        BALANCE[len(ends)],
        told,
        np.array(thread).T.copy(),
        np.zeros((len(told), len(ends))) if loads_n is None else np.asarray(loads_n, dtype=float),
        np.array(factors).T.copy(),
        np.array(kappa),
        np.array(reach),
        axis.weight_n * np.array(axis.weight_shares),
        racking,
        np.array([ends.index(lift.end) for lift in axis.lifts]),
        np.array(lifts),
        heights,
    )
    return heights


def _factors(axis, guide, told):
    factor = np.exp(np.interp(told, axis.knots_mm, guide.profile))
    spot = axis.tight_spot
    share = 1.0 if guide.end == spot.end else spot.share
    factor += share * spot.strength * np.exp(-(((told - spot.centre_mm) / spot.width_mm) ** 2))
    for lift in axis.lifts:
        if lift.end == guide.end and lift.misalignment_n:
            away = axis.height_mm - told if lift.held_end == "top" else told
            drag = lift.misalignment_n * np.exp(-away / lift.misalignment_reach_mm)
            factor += drag / guide.drag_n
    return factor
