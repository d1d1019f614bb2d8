"""The solver: every move of an axis to its exact equilibrium, compiled.

After each told move the heights of the body minimise a convex, piecewise quadratic energy: the
springs of each lift, the racking of the body, its weight, and the slip elements of the guides.
Unknown is y, how far each end is from the told height, so that precision does not depend on the
height. The gradient at an end j that has a lift is

    g_j = w_j + Σ_l K_jl y_l + Σ_k κ_jk clip(s_jk + Δq_j, ±δ_jk) - F(e),     e = u - q_j

A settled axis moves with the screw, so each move starts from the last y; if four evaluations
have not settled it, it starts again from the last place. Newton steps take an exact line search
on the directional derivative, which is piecewise linear and rises, so that every step makes
headway and the iteration ends at the minimum from any start. Moves that did not settle are
counted and returned, never passed over.

All compiled code lives in this one file: a cached caller is not compiled again when what it
calls in another file changes. How many ends, lifts and elements there are is known to the
compiler through the lengths of the tuples `ends`, `lifts` and `elements`, whose contents are
never read. No fast arithmetic here: which side of a kink a move ends on is decided by
comparisons.

Units: mm, N. Heights positive upward.
"""

from __future__ import annotations

from math import exp, inf, isnan

import numpy as np

from plumbrise.axis.compiled import compiled

SETTLED_N = 1e-9
"""A move is settled when no end has more force than this left over."""
FLOAT_N_PER_MM = 0.02
"""Slope while a nut floats between its flanks or a clamp slides: keeps the minimum single."""
HARD_MM_PER_N = 1 / 1500.0
"""What remains of the seat's give once it has bottomed out."""
RESTART_AFTER = 4
MOST_STEPS = 80
MOST_DOUBLINGS = 40
ILLINOIS_STEPS = 8
MOST_HALVINGS = 60
GOOD_ENOUGH = 0.2
"""A line search ends when the slope has fallen to this part of the first."""

# places in a lift's law
(
    SOFT,
    STIFF,
    BOTTOM_MM,
    BOTTOM_N,
    SLACK,
    PLAY,
    HOLD,
    OFFSET,
    LAG,
    SEAT,
    TRAVEL,
    COUPLING,
    BRACKET,
) = range(13)
LAW = 13


@compiled
def drive(e, law, hold_n):
    """Force of a lift elongated by e, and its slope."""
    if e > 0.0:
        if e <= law[BOTTOM_MM]:
            force, slope = law[SOFT] * e, law[SOFT]
        else:
            slope = law[STIFF]
            force = law[BOTTOM_N] + (e - law[BOTTOM_MM]) * slope
        if force > hold_n:
            # the clamp slides: force grows by FLOAT_N_PER_MM for each millimetre it has slid
            slid = (force - hold_n) / (slope + FLOAT_N_PER_MM)
            force = hold_n + slid * FLOAT_N_PER_MM
            slope = slope * FLOAT_N_PER_MM / (slope + FLOAT_N_PER_MM)
        return force, slope
    if e > -law[SLACK]:
        return FLOAT_N_PER_MM * e, FLOAT_N_PER_MM
    return (e + law[SLACK]) * law[STIFF] - FLOAT_N_PER_MM * law[SLACK], law[STIFF]


@compiled
def gradient(
    y, c, s, kappa, limit, weight, stiff, u, laws, hold, lift_end, ends, lifts, elements, g, h
):
    """Force left over at each end (into g), and its slope by that end alone (into h)."""
    n, m, count = len(ends), len(elements), len(lifts)
    for j in range(n):
        total = weight[j]
        for other in range(n):
            total += stiff[j, other] * y[other]
        slope = stiff[j, j]
        step = c[j] + y[j]
        for k in range(m):
            x = s[j, k] + step
            top = limit[j, k]
            held = min(max(x, -top), top)
            total += kappa[j, k] * held
            if held == x and top > 0.0:
                slope += kappa[j, k]
        g[j] = total
        h[j] = slope
    for i in range(count):
        j = lift_end[i]
        force, slope = drive(u[i] - y[j], laws[i], hold[i])
        g[j] -= force
        h[j] += slope


@compiled
def newton_step(g, h, stiff, ends, d):
    """d = -H⁻¹ g, H the matrix of racking with h on its diagonal."""
    if len(ends) == 2:
        a, b, c = h[0], stiff[0, 1], h[1]
        det = a * c - b * b
        d[0] = -(c * g[0] - b * g[1]) / det
        d[1] = -(a * g[1] - b * g[0]) / det
    else:
        a, b, c = h[0], stiff[0, 1], stiff[0, 2]
        e, f, i = h[1], stiff[1, 2], h[2]
        l10, l20 = b / a, c / a
        d1 = e - l10 * b
        t = f - l20 * b
        l21 = t / d1
        d2 = i - l20 * c - l21 * t
        y0 = -g[0]
        y1 = -g[1] - l10 * y0
        y2 = -g[2] - l20 * y0 - l21 * y1
        d[2] = y2 / d2
        d[1] = y1 / d1 - l21 * d[2]
        d[0] = y0 / a - l10 * d[1] - l20 * d[2]


@compiled
def follow(
    told,
    start,
    load_n,
    load_shares,
    thread,
    factor_at,
    factors,
    weight,
    stiff,
    laws,
    lift_end,
    kappa,
    delta,
    ends,
    lifts,
    elements,
    behind,
    force,
    slid,
    turned,
):
    """Make all moves. Returns how many did not settle, and how many evaluations it took.

    Args:
        told: told height of each move.
        start: True where an axis at rest, its elements relaxed, begins a new history.
        load_n, load_shares: what hangs on the body during each move, and on which ends.
        thread: what each screw's thread adds to the told height.
        factor_at, factors: which row of the drag factors each move takes.
        weight: at each end; stiff: racking matrix, its rows sum to zero.
        laws, lift_end: each lift's law and the end it carries.
        kappa, delta: stiffness and reach of each slip element.
        behind: out, height less told height of each end.
        force: out, of each lift. slid: out, how far its clamp has slid.
        turned: out, how far the thread stands from the told height (drive wind-up, thread errors).
    """  # fmt: skip
    n, m, count = len(ends), len(elements), len(lifts)
    y, y1, last = np.zeros(n), np.zeros(n), np.zeros(n)
    g, h, d, c, w = np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n)
    s, limit, idle = np.zeros((n, m)), np.zeros((n, m)), np.zeros((n, m))
    u, hold, sunk, at = np.zeros(count), np.zeros(count), np.zeros(count), np.zeros(count)
    unsettled = 0
    evaluations = 0
    h0 = 0.0
    for move in range(told.shape[0]):
        fresh = start[move]
        height = told[move]
        if fresh:
            h0 = height
            for i in range(count):
                sunk[i] = 0.0
                hold[i] = laws[i, HOLD]
                at[i] = height
            for j in range(n):
                y[j] = 0.0
                for k in range(m):
                    s[j, k] = 0.0
        dh = height - h0
        h0 = height
        for i in range(count):
            lag = laws[i, LAG]
            at[i] = min(max(at[i], height - lag), height + lag)
            turned[move, i] = at[i] - height + thread[move, i] + laws[i, OFFSET]
            u[i] = turned[move, i] - sunk[i]
        row = factor_at[move]
        hung = load_n[move]
        for j in range(n):
            last[j] = y[j] - dh
            c[j] = -last[j]
            w[j] = weight[j] + hung * load_shares[move, j]
            factor = factors[row, j]
            for k in range(m):
                limit[j, k] = 0.0 if fresh else delta[j, k] * factor
        gradient(
            y, c, s, kappa, limit, w, stiff, u, laws, hold, lift_end, ends, lifts, elements, g, h
        )
        evaluated = 1
        settled = False
        restarted = fresh
        for _ in range(MOST_STEPS):
            worst = 0.0
            for j in range(n):
                worst = max(worst, abs(g[j]))
            if worst < SETTLED_N:
                settled = True
                break
            if evaluated >= RESTART_AFTER and not restarted:
                restarted = True
                for j in range(n):
                    y[j] = last[j]
                gradient(
                    y,
                    c,
                    s,
                    kappa,
                    limit,
                    w,
                    stiff,
                    u,
                    laws,
                    hold,
                    lift_end,
                    ends,
                    lifts,
                    elements,
                    g,
                    h,
                )
                evaluated += 1
                continue
            newton_step(g, h, stiff, ends, d)
            first = 0.0
            for j in range(n):
                first += g[j] * d[j]
            goal = GOOD_ENOUGH * abs(first)
            low, low_slope, high, high_slope = 0.0, first, inf, 0.0
            t, tries, side = 1.0, 0, 0
            while True:
                for j in range(n):
                    y1[j] = y[j] + t * d[j]
                gradient(
                    y1,
                    c,
                    s,
                    kappa,
                    limit,
                    w,
                    stiff,
                    u,
                    laws,
                    hold,
                    lift_end,
                    ends,
                    lifts,
                    elements,
                    g,
                    h,
                )
                evaluated += 1
                tries += 1
                slope = 0.0
                for j in range(n):
                    slope += g[j] * d[j]
                if abs(slope) <= goal or tries > MOST_DOUBLINGS + MOST_HALVINGS:
                    break
                if slope < 0.0:
                    if side < 0:  # Illinois: an end that stays twice counts half
                        high_slope *= 0.5
                    low, low_slope, side = t, slope, -1
                else:
                    if side > 0:
                        low_slope *= 0.5
                    high, high_slope, side = t, slope, 1
                if high == inf:
                    t *= 2.0
                elif tries <= ILLINOIS_STEPS:
                    t = (low * high_slope - high * low_slope) / (high_slope - low_slope)
                else:
                    t = 0.5 * (low + high)
            for j in range(n):
                y[j] = y1[j]
        if not settled:
            worst = 0.0
            for j in range(n):
                worst = max(worst, abs(g[j]))
            if not worst < SETTLED_N:
                unsettled += 1
        evaluations += evaluated
        for j in range(n):
            behind[move, j] = y[j]
            step = c[j] + y[j]
            for k in range(m):
                top = limit[j, k]
                s[j, k] = min(max(s[j, k] + step, -top), top)
        for i in range(count):
            pull, _ = drive(u[i] - y[lift_end[i]], laws[i], hold[i])
            if pull > hold[i]:
                sunk[i] += (pull - hold[i]) / FLOAT_N_PER_MM
                hold[i] = pull
            force[move, i] = pull
            slid[move, i] = sunk[i]
    return unsettled, evaluations


@compiled
def unfold(
    theta,
    ends,
    lifts,
    elements,
    knots,
    held_top,
    height,
    lift_end,
    spot_end,
    levels,
    z,
    knots_mm,
    weight,
    stiff,
    laws,
    kappa,
    delta,
    factors,
):
    """Fill the arrays that `follow` takes from a vector; the order is that of `Layout`."""  # fmt: skip
    n, m, count, nodes = len(ends), len(elements), len(lifts), len(knots)
    at = 8
    left = 1.0
    for j in range(n - 1):
        weight[j] = theta[0] * theta[at]
        left -= theta[at]
        at += 1
    weight[n - 1] = theta[0] * left
    rack = theta[1]
    stiff[0, 0], stiff[1, 1] = rack, rack
    stiff[0, 1], stiff[1, 0] = -rack, -rack
    if n == 3:
        tilt = theta[at]
        at += 1
        stiff[0, 0] += tilt / 4
        stiff[1, 1] += tilt / 4
        stiff[0, 1] += tilt / 4
        stiff[1, 0] += tilt / 4
        stiff[2, 2] = tilt
        for j in range(2):
            stiff[2, j], stiff[j, 2] = -tilt / 2, -tilt / 2
    extra = np.zeros(n)
    reach = np.ones(n)
    top_held = np.zeros(n, dtype=np.bool_)
    for i in range(count):
        law = laws[i]
        law[SEAT] = 1 / theta[at]
        law[TRAVEL] = theta[at + 1]
        law[COUPLING] = 1 / theta[at + 2]
        law[BRACKET] = 1 / theta[at + 3]
        law[PLAY] = theta[at + 4]
        law[SLACK] = theta[at + 4] + theta[at + 5]
        law[HOLD] = theta[at + 6]
        law[OFFSET] = theta[at + 7]
        law[LAG] = theta[at + 8]
        others = HARD_MM_PER_N + law[COUPLING] + law[BRACKET] + theta[at + 9]
        law[SOFT] = 1 / (law[SEAT] + others)
        law[STIFF] = 1 / others
        law[BOTTOM_N] = law[TRAVEL] / law[SEAT]
        law[BOTTOM_MM] = law[BOTTOM_N] / law[SOFT]
        extra[lift_end[i]] = theta[at + 10]
        reach[lift_end[i]] = theta[at + 11]
        top_held[lift_end[i]] = held_top[i]
        at += 12
    strength, centre, width, share = theta[3], theta[4], theta[5], theta[6]
    nodes_factor = np.empty(nodes)
    for j in range(n):
        drag, middle, spread = theta[at], theta[at + 1], theta[at + 2]
        at += 3
        total = 0.0
        for k in range(m):
            total += theta[at + k]
        for k in range(m):
            delta[j, k] = middle * exp(spread * z[k])
            kappa[j, k] = drag * theta[at + k] / total / delta[j, k]
        at += m
        plain = True
        for k in range(nodes):
            nodes_factor[k] = theta[at + k]
            plain = plain and theta[at + k] == 0.0
        at += nodes
        k = 0
        for row in range(levels.shape[0]):  # levels rise
            level = levels[row]
            factor = 1.0
            if not plain:
                while k < nodes - 2 and level > knots_mm[k + 1]:
                    k += 1
                part = (level - knots_mm[k]) / (knots_mm[k + 1] - knots_mm[k])
                part = min(max(part, 0.0), 1.0)
                factor = exp(nodes_factor[k] + part * (nodes_factor[k + 1] - nodes_factor[k]))
            if strength != 0.0:
                away = (level - centre) / width
                much = strength if j == spot_end else strength * share
                factor += much * exp(-away * away)
            if extra[j] != 0.0 and drag > 0.0:
                away = max(height - level, 0.0) if top_held[j] else max(level, 0.0)
                factor += extra[j] / drag * exp(-away / reach[j])
            factors[row, j] = factor
    return at


@compiled
def link_shifts(pull, e, law):
    """Axial shift of shaft and screw (clamp left out) under a lift's force."""
    shaft = -pull * HARD_MM_PER_N
    if pull > 0.0:
        shaft -= min(pull * law[SEAT], law[TRAVEL])
    else:  # play first, then the shaft rises through its end float
        shaft += min(max(-e - law[PLAY], 0.0), law[SLACK] - law[PLAY])
    return shaft, shaft - pull * law[COUPLING]


@compiled
def read(
    theta,
    frame_at,
    told,
    behind,
    force,
    slid,
    turned,
    laws,
    lift_end,
    ends,
    run_first,
    run_last,
    run_move,
    run_code,
    run_lift,
    run_body,
    move_row,
    push_n,
    out,
):
    """What the gauge shows at each run's station, its plunger's sticking included, no zero.

    Codes: 0 body, 1 shaft, 2 screw, 3 nut, 4 block, 5 frame (lift: which joint), 6 still.
    """  # fmt: skip
    n = len(ends)
    plunger = theta[7]
    for run in range(run_first.shape[0]):
        code, i = run_code[run], run_lift[run]
        shown = 0.0
        bent = 0.0
        for step in range(run_first[run], run_last[run]):
            move = run_move[run] + step - run_first[run]
            x = 0.0
            if code == 0:
                x = told[move]
                for j in range(n):
                    x += run_body[run, j] * behind[move, j]
            elif code == 3:
                x = told[move] + behind[move, lift_end[i]] + force[move, i] * laws[i, BRACKET]
            elif code == 4:
                x = told[move]
            elif code == 5:
                push = push_n[step]
                slip = theta[frame_at + 3 * i + 2]
                bent = min(max(bent, push - slip), push + slip)
                x = push / theta[frame_at + 3 * i] + bent / theta[frame_at + 3 * i + 1]
            elif code != 6:
                e = turned[move, i] - slid[move, i] - behind[move, lift_end[i]]
                shaft, screw = link_shifts(force[move, i], e, laws[i])
                x = shaft if code == 1 else screw - slid[move, i]
            if step == run_first[run]:
                shown = x
            shown = min(max(shown, x - plunger), x + plunger)
            if move_row[step] >= 0:
                out[move_row[step]] = shown


@compiled
def place_loads(place, load_shares, filled):
    """Where loads hang of which the readings do not say it."""
    ends = load_shares.shape[1]
    for move in range(load_shares.shape[0]):
        if isnan(load_shares[move, 0]):
            if ends == 2:
                filled[move, 0], filled[move, 1] = 1 - place, place
            else:
                filled[move, 0], filled[move, 1] = 5 / 6 - place, place - 1 / 6
                filled[move, 2] = 1 / 3


@compiled
def predict_rows(
    thetas,
    held_top,
    height,
    lift_end,
    spot_end,
    levels,
    z,
    knots_mm,
    told,
    start,
    load_n,
    load_shares,
    thread,
    factor_at,
    run_first,
    run_last,
    run_move,
    run_code,
    run_lift,
    run_body,
    move_row,
    push_n,
    ends,
    lifts,
    elements,
    knots,
    out,
):
    """Readings for each vector (a row of `thetas`) into the rows of `out`."""  # fmt: skip
    n, m, count = len(ends), len(elements), len(lifts)
    moves = told.shape[0]
    weight, stiff, laws = np.zeros(n), np.zeros((n, n)), np.zeros((count, LAW))
    kappa, delta = np.zeros((n, m)), np.zeros((n, m))
    factors = np.ones((levels.shape[0], n))
    behind = np.zeros((moves, n))
    force, slid, turned = (
        np.zeros((moves, count)),
        np.zeros((moves, count)),
        np.zeros((moves, count)),
    )
    filled = load_shares.copy()
    unsettled = 0
    evaluations = 0
    for row in range(thetas.shape[0]):
        theta = thetas[row]
        place_loads(theta[2], load_shares, filled)
        frame_at = unfold(
            theta, ends, lifts, elements, knots, held_top, height, lift_end, spot_end, levels, z,
            knots_mm, weight, stiff, laws, kappa, delta, factors,
        )  # fmt: skip
        missed, took = follow(
            told, start, load_n, filled, thread, factor_at, factors,
            weight, stiff, laws, lift_end, kappa, delta, ends, lifts, elements,
            behind, force, slid, turned,
        )  # fmt: skip
        unsettled += missed
        evaluations += took
        read(
            theta, frame_at, told, behind, force, slid, turned, laws, lift_end, ends,
            run_first, run_last, run_move, run_code, run_lift, run_body, move_row, push_n,
            out[row],
        )  # fmt: skip
    return unsettled, evaluations


@compiled
def follow_vector(
    theta,
    held_top,
    height,
    lift_end,
    spot_end,
    levels,
    z,
    knots_mm,
    told,
    start,
    load_n,
    load_shares,
    thread,
    factor_at,
    ends,
    lifts,
    elements,
    knots,
    behind,
    force,
    slid,
    turned,
    links,
):
    """One path with all that a gauge could see: shaft, screw and nut of each lift (links)."""  # fmt: skip
    n, m, count = len(ends), len(elements), len(lifts)
    weight, stiff, laws = np.zeros(n), np.zeros((n, n)), np.zeros((count, LAW))
    kappa, delta = np.zeros((n, m)), np.zeros((n, m))
    factors = np.ones((levels.shape[0], n))
    filled = load_shares.copy()
    place_loads(theta[2], load_shares, filled)
    unfold(
        theta, ends, lifts, elements, knots, held_top, height, lift_end, spot_end, levels, z,
        knots_mm, weight, stiff, laws, kappa, delta, factors,
    )  # fmt: skip
    counts = follow(
        told, start, load_n, filled, thread, factor_at, factors,
        weight, stiff, laws, lift_end, kappa, delta, ends, lifts, elements,
        behind, force, slid, turned,
    )  # fmt: skip
    for move in range(told.shape[0]):
        for i in range(count):
            pull = force[move, i]
            y = behind[move, lift_end[i]]
            e = turned[move, i] - slid[move, i] - y
            shaft, screw = link_shifts(pull, e, laws[i])
            links[move, i, 0] = shaft
            links[move, i, 1] = screw - slid[move, i]
            links[move, i, 2] = told[move] + y + pull * laws[i, BRACKET]
    return counts
