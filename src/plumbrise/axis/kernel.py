"""The solver: every move of an axis to its exact equilibrium, compiled.

After each told move the heights of the body minimise a convex, piecewise quadratic energy: the
springs of each lift, the racking of the body, its weight, and the slip elements of the guides.
Unknown is y, how far each end is above the told height, so that precision does not depend on
the height. The gradient at an end j that has a lift is

    g_j = w_j + Σ_l K_jl y_l + Σ_k κ_jk clip(s_jk + Δq_j, ±δ_jk) - F(e),     e = u - q_j

A settled axis moves with the screw, so each move starts from the last y; if four evaluations
have not settled it, it starts again from the last place. Newton steps take an exact line search
on the directional derivative, which is piecewise linear and rises, so that every step makes
headway and the iteration ends at the minimum from any start. Moves that did not settle are
counted and returned, never passed over.

A guide with static drag above its sliding drag is solved twice. At rest its elements hold up to
the static limit; where a move would push all of them past it, the guide breaks away, its limits
fall to the sliding ones, and the body settles anew from the same last state. Both are convex, so
both are exact: the body comes to rest at once, without carrying on past that place by its own
speed. An axis without static drag is solved once, as if there were none of this.

A body on one screw may tilt freely over a stretch (loose carriages): its tilt spring then has
slack, as the nut has.

Dividing a move changes nothing as long as a rising screw lifts every end; it may on a bed that
is held more than four times as stiffly front to back as across, and where several screws have
clamps that slip: there the path itself counts. With static drag it does, for every move ends at
rest. Where drag varies with height, each move feels
the drag of the height it goes to.

All compiled code lives in this one file: a cached caller is not compiled again when what it
calls in another file changes. How many ends, lifts, elements and knots there are, the compiler
knows from the lengths of the tuples in `Shape`, whose contents are never read. No fast
arithmetic: on which side of a kink a move ends is decided by comparisons.

Units: mm, N. Heights positive upward.
"""

from __future__ import annotations

from math import exp, inf, isnan
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from plumbrise.axis.compiled import compiled, inlined

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

SETTLED_N = 1e-9
"""A move is settled when no end has more force than this left over."""
FLOAT_N_PER_MM = 1e-7
"""Slope while a nut floats between its flanks: keeps the minimum single, moves nothing."""
CLAMP_N_PER_MM = 0.02
"""How much more a clamp holds for each millimetre it has slid (a guess, hardly any)."""
HARD_MM_PER_N = 1 / 1500.0
"""What remains of the seat's give once it has bottomed out: shaft, plates (a guess)."""
RESTART_AFTER = 4
MOST_STEPS = 80
ILLINOIS_STEPS = 8
MOST_TRIES = 100
GOOD_ENOUGH = 0.2
"""A line search ends when the slope has fallen to this part of the first."""


class Shape(NamedTuple):
    """How many there are of each: the lengths of these tuples."""

    ends: tuple[None, ...]
    lifts: tuple[None, ...]
    elements: tuple[None, ...]
    knots: tuple[None, ...]


class Choices(NamedTuple):
    """What an axis is besides its numbers.

    `held_top` per lift: the screw is held at its top. `lift_end`: which end it carries.
    `spot_end`: on which guide a tight spot is strongest. `z`: the elements' places in a normal
    spread. `knots_mm`: of the drag profiles.
    """

    held_top: Flags
    height_mm: float
    lift_end: Whole
    spot_end: int
    z: Floats
    knots_mm: Floats


class Moves(NamedTuple):
    """What the axis is told. `level_at` says which of the rising `levels` each move goes to."""

    told: Floats
    start: Flags
    load_n: Floats
    load_shares: Floats
    thread: Floats
    level_at: Whole
    levels: Floats


BODY, SHAFT, SCREW, NUT, BLOCK, FRAME, STILL = range(7)
"""What a gauge looks at: the body, a link of one lift, a block, an upright or the base under a
push, or nothing that the model moves."""

# Columns of a lift's law: stiffness over the first and second half of the seat's travel and once
# it has bottomed out, where each begins; play with end float; holding force of the clamp; offset
# and lag of the drive; play alone, compliances of the links, travel of the seat.
SOFT, FIRM, STIFF, KNEE_MM, KNEE_N, BOTTOM_MM, BOTTOM_N, SLACK, HOLD, OFFSET, LAG = range(11)
PLAY, SEAT, SEAT_FIRM, TRAVEL, COUPLING, BRACKET = range(11, 17)
LAW = 17

# The desk: what the innermost loop works on lies in one array at fixed places, so that the
# compiler can tell the numbers apart and nothing is counted or allocated on the way. Room for
# three ends, three lifts and eight elements a guide.
ENDS, ELEMENTS = 3, 8
Y, TRIED, LAST, C, WEIGHT, GRADIENT, SLOPE, STEP = range(0, 8 * ENDS, ENDS)
"""Of the ends: height above told now, tried, of the last place; less the last place; weight;
force left over, its slope, Newton's step."""
U, HOLDS, SLID, THREAD = range(8 * ENDS, 12 * ENDS, ENDS)
"""Of the lifts: thread above told, holding force, clamp's slide, where it stands. Lift i carries
end i: on the desk the ends that have a lift come first."""
RACKING = 12 * ENDS
STRETCH = RACKING + ENDS * ENDS
LIMIT = STRETCH + ENDS * ELEMENTS
KAPPA = LIMIT + ENDS * ELEMENTS
DELTA = KAPPA + ENDS * ELEMENTS
LAWS = DELTA + ENDS * ELEMENTS
HELD = LAWS + ENDS * LAW
"""Of the ends: how much more than its sliding drag a guide at rest holds now (a factor)."""
LOOSE = HELD + ENDS
ACROSS = LOOSE + 1
"""Free tilt of a body on one screw, and what couples its two ends now."""
DESK = ACROSS + 1


class Laws(NamedTuple):
    """The numbers of one axis, unfolded from its vector: of each lift (a row), each end, each
    element, each level and end; `whole` holds free tilt and excess of static drag."""

    lift: Floats
    weight: Floats
    racking: Floats
    kappa: Floats
    delta: Floats
    factors: Floats
    whole: Floats


class Trail(NamedTuple):
    """What every move left behind: `above` (height less told height) of each end; of each lift
    its force, how far the thread stands above the told height, how far its clamp has slid."""

    above: Floats
    force: Floats
    turned: Floats
    slid: Floats


class Gauges(NamedTuple):
    """What is read: runs of gauge steps, each beside a move.

    `code`: what it looks at. `which`: which lift, or which frame joint.
    `row`: where a step's reading goes, -1 for nowhere.
    """

    first: Whole
    last: Whole
    move: Whole
    code: Whole
    which: Whole
    body: Floats
    row: Whole
    push_n: Floats


@inlined
def drive(desk: Floats, i: int, e: float) -> tuple[float, float]:
    """Force of lift i elongated by e, and its slope."""
    law = LAWS + i * LAW
    if e > 0.0:
        slope = desk[law + SOFT]
        force = slope * e
        if e > desk[law + KNEE_MM]:
            slope = desk[law + FIRM]
            force = desk[law + KNEE_N] + (e - desk[law + KNEE_MM]) * slope
            if e > desk[law + BOTTOM_MM]:
                slope = desk[law + STIFF]
                force = desk[law + BOTTOM_N] + (e - desk[law + BOTTOM_MM]) * slope
        hold = desk[HOLDS + i]
        if force > hold:
            # the clamp slides, and holds a trace more for each millimetre it has slid
            over = force - hold
            if hold <= desk[law + KNEE_N]:
                slope = desk[law + SOFT]
                over = slope * e - hold
            elif hold <= desk[law + BOTTOM_N]:
                slope = desk[law + FIRM]
                over = desk[law + KNEE_N] + (e - desk[law + KNEE_MM]) * slope - hold
            force = hold + over * CLAMP_N_PER_MM / (slope + CLAMP_N_PER_MM)
            slope = slope * CLAMP_N_PER_MM / (slope + CLAMP_N_PER_MM)
    else:
        slope = FLOAT_N_PER_MM
        force = slope * e
        slack = desk[law + SLACK]
        if e <= -slack:
            slope = desk[law + STIFF]
            force = (e + slack) * slope - FLOAT_N_PER_MM * slack
    return force, slope


@inlined
def gradient(desk: Floats, at: int, shape: Shape) -> float:
    """Force left over at each end, and its slope by that end alone, with the heights at `at`.

    Returns the largest force left over, inf where it is no number.
    """
    ends, lifts, elements = len(shape.ends), len(shape.lifts), len(shape.elements)
    worst = 0.0
    slack, held = 0.0, desk[RACKING]
    if ends == 2 and lifts == 1:  # the far end hangs below the near one, or is lifted past it
        tilt = desk[at + 1] - desk[at]
        if tilt > 0.0 and desk[LOOSE] > 0.0:
            slack = held * min(tilt, desk[LOOSE])
            if tilt < desk[LOOSE]:
                held = FLOAT_N_PER_MM
            slack -= FLOAT_N_PER_MM * min(tilt, desk[LOOSE])
        desk[ACROSS] = -held
    for j in range(ends):
        rest = desk[WEIGHT + j]
        for other in range(ends):
            rest += desk[RACKING + ENDS * j + other] * desk[at + other]
        slope = desk[RACKING + ENDS * j + j]
        if ends == 2 and lifts == 1:
            rest += slack if j == 0 else -slack
            slope = held
        if j < lifts:
            force, more = drive(desk, j, desk[U + j] - desk[at + j])
            rest -= force
            slope += more
        step = desk[C + j] + desk[at + j]
        drag, stick = 0.0, 0.0  # summed apart: the sums need not wait for each other
        for k in range(elements):
            place = ELEMENTS * j + k
            x = desk[STRETCH + place] + step
            top = desk[LIMIT + place]
            kappa = desk[KAPPA + place]
            drag += kappa * min(max(x, -top), top)
            stick += kappa if abs(x) < top else 0.0
        total = rest + drag
        slope += stick
        desk[GRADIENT + j] = total
        desk[SLOPE + j] = slope
        worst = max(worst, inf if isnan(total) else abs(total))
    return worst


@inlined
def newton_step(desk: Floats, shape: Shape) -> None:
    """Minus the gradient over the matrix of slopes."""
    g, h, d, k = GRADIENT, SLOPE, STEP, RACKING
    if len(shape.ends) == 2:
        b = desk[ACROSS] if len(shape.lifts) == 1 else desk[k + 1]
        det = desk[h] * desk[h + 1] - b * b
        desk[d] = (b * desk[g + 1] - desk[h + 1] * desk[g]) / det
        desk[d + 1] = (b * desk[g] - desk[h] * desk[g + 1]) / det
    else:
        b, c, f = desk[k + 1], desk[k + 2], desk[k + ENDS + 2]
        l10, l20 = b / desk[h], c / desk[h]
        d1 = desk[h + 1] - l10 * b
        t = f - l20 * b
        l21 = t / d1
        d2 = desk[h + 2] - l20 * c - l21 * t
        y0 = -desk[g]
        y1 = -desk[g + 1] - l10 * y0
        desk[d + 2] = (-desk[g + 2] - l20 * y0 - l21 * y1) / d2
        desk[d + 1] = y1 / d1 - l21 * desk[d + 2]
        desk[d] = y0 / desk[h] - l10 * desk[d + 1] - l20 * desk[d + 2]


@inlined
def directed(desk: Floats, shape: Shape) -> float:
    """Slope of the energy along Newton's step."""
    slope = 0.0
    for j in range(len(shape.ends)):
        slope += desk[GRADIENT + j] * desk[STEP + j]
    return slope


@compiled
def settle(desk: Floats, worst: float, shape: Shape) -> tuple[bool, int]:
    """Newton from heights whose gradient is known to the minimum. Was it reached; evaluations."""
    ends = len(shape.ends)
    evaluated = 1
    restarted = False
    for _ in range(MOST_STEPS):
        if worst < SETTLED_N:
            return True, evaluated
        if evaluated >= RESTART_AFTER and not restarted:
            restarted = True
            for j in range(ends):
                desk[Y + j] = desk[LAST + j]
            worst = gradient(desk, Y, shape)
            evaluated += 1
            continue
        newton_step(desk, shape)
        first = directed(desk, shape)
        low, low_slope, high, high_slope = 0.0, first, inf, 0.0
        t, tries, side = 1.0, 0, 0
        while True:
            for j in range(ends):
                desk[TRIED + j] = desk[Y + j] + t * desk[STEP + j]
            worst = gradient(desk, TRIED, shape)
            evaluated += 1
            tries += 1
            slope = directed(desk, shape)
            if abs(slope) <= GOOD_ENOUGH * abs(first) or tries > MOST_TRIES:
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
        for j in range(ends):
            desk[Y + j] = desk[TRIED + j]
    return worst < SETTLED_N, evaluated


@compiled
def break_away(desk: Floats, shape: Shape) -> bool:
    """Let go of every guide whose elements all stand at their static limit. Was there one."""
    elements = len(shape.elements)
    gone = False
    for j in range(len(shape.ends)):
        if desk[HELD + j] > 1.0:
            step = desk[C + j] + desk[Y + j]
            sticks = False
            for k in range(elements):
                place = ELEMENTS * j + k
                sticks = sticks or abs(desk[STRETCH + place] + step) < desk[LIMIT + place]
            if not sticks:
                gone = True
                for k in range(elements):
                    desk[LIMIT + ELEMENTS * j + k] /= desk[HELD + j]
                desk[HELD + j] = 1.0
    return gone


@compiled
def desk_order(lift_end: Whole, shape: Shape) -> Whole:
    """Which end stands at each place of the desk: first those that a lift carries, in its order."""
    order = np.zeros(len(shape.ends), dtype=np.int64)
    at = len(shape.lifts)
    for j in range(len(shape.ends)):
        lifted = False
        for i in range(len(shape.lifts)):
            if lift_end[i] == j:
                order[i] = j
                lifted = True
        if not lifted:
            order[at] = j
            at += 1
    return order


@compiled
def follow(
    moves: Moves, load_shares: Floats, laws: Laws, lift_end: Whole, shape: Shape, trail: Trail
) -> tuple[int, int]:
    """Make all moves, into `trail`. How many did not settle; evaluations in all.

    A history starts at rest: the lifts carry the weight, the slip elements are relaxed.
    """
    ends, lifts, elements = len(shape.ends), len(shape.lifts), len(shape.elements)
    told, start, load_n, thread = moves.told, moves.start, moves.load_n, moves.thread
    level_at = moves.level_at
    weight, factors = laws.weight, laws.factors
    above, force, turned, slid = trail
    desk = np.zeros(DESK)
    order = desk_order(lift_end, shape)
    for j in range(ends):
        for other in range(ends):
            desk[RACKING + ENDS * j + other] = laws.racking[order[j], order[other]]
        for k in range(elements):
            desk[KAPPA + ELEMENTS * j + k] = laws.kappa[order[j], k]
            desk[DELTA + ELEMENTS * j + k] = laws.delta[order[j], k]
    for i in range(lifts):
        for k in range(LAW):
            desk[LAWS + LAW * i + k] = laws.lift[i, k]
    desk[LOOSE] = laws.whole[0]
    static = 1.0 + laws.whole[1]
    unsettled, evaluations = 0, 0
    before = 0.0
    for move in range(told.shape[0]):
        height = told[move]
        fresh = start[move]
        if fresh:
            before = height
            for i in range(lifts):
                desk[SLID + i] = 0.0
                desk[HOLDS + i] = desk[LAWS + LAW * i + HOLD]
                desk[THREAD + i] = height
            for j in range(ends):
                desk[Y + j] = 0.0
                for k in range(elements):
                    desk[STRETCH + ELEMENTS * j + k] = 0.0
        told_step = height - before
        before = height
        for i in range(lifts):
            lag = desk[LAWS + LAW * i + LAG]
            stands = min(max(desk[THREAD + i], height - lag), height + lag)
            desk[THREAD + i] = stands
            stands += thread[move, i] + desk[LAWS + LAW * i + OFFSET] - height
            turned[move, i] = stands
            desk[U + i] = stands - desk[SLID + i]
        level = level_at[move]
        hung = load_n[move]
        for j in range(ends):
            last = desk[Y + j] - told_step
            desk[LAST + j] = last
            desk[C + j] = -last
            desk[WEIGHT + j] = weight[order[j]] + hung * load_shares[move, order[j]]
            factor = 0.0 if fresh else factors[level, order[j]]
            desk[HELD + j] = static
            for k in range(elements):
                place = ELEMENTS * j + k
                desk[LIMIT + place] = desk[DELTA + place] * factor * static
        while True:
            worst = gradient(desk, Y, shape)
            if worst < SETTLED_N:
                evaluations += 1
            else:
                settled, evaluated = settle(desk, worst, shape)
                evaluations += evaluated
                unsettled += not settled
            if fresh or static <= 1.0 or not break_away(desk, shape):
                break
        for j in range(ends):
            above[move, order[j]] = desk[Y + j]
            step = desk[C + j] + desk[Y + j]
            for k in range(elements):
                place = ELEMENTS * j + k
                top = desk[LIMIT + place]
                desk[STRETCH + place] = min(max(desk[STRETCH + place] + step, -top), top)
        for i in range(lifts):
            pull, _ = drive(desk, i, desk[U + i] - desk[Y + i])
            if pull > desk[HOLDS + i]:
                desk[SLID + i] += (pull - desk[HOLDS + i]) / CLAMP_N_PER_MM
                desk[HOLDS + i] = pull
            force[move, i] = pull
            slid[move, i] = desk[SLID + i]
    return unsettled, evaluations


@compiled
def unfold(theta: Floats, levels: Floats, choices: Choices, shape: Shape, laws: Laws) -> int:
    """Fill `laws` from a vector in the order of its layout; where the frame's numbers begin."""
    ends, lifts, elements, knots = (
        len(shape.ends),
        len(shape.lifts),
        len(shape.elements),
        len(shape.knots),
    )
    laws.whole[0], laws.whole[1] = theta[9], theta[8]
    at = 10
    left = 1.0
    for j in range(ends - 1):
        laws.weight[j] = theta[0] * theta[at]
        left -= theta[at]
        at += 1
    laws.weight[ends - 1] = theta[0] * left
    rack = theta[1]
    laws.racking[0, 0], laws.racking[1, 1] = rack, rack
    laws.racking[0, 1], laws.racking[1, 0] = -rack, -rack
    if ends == 3:  # the back end against the middle of the other two
        tilt = theta[at]
        at += 1
        for j in range(2):
            laws.racking[2, j], laws.racking[j, 2] = -tilt / 2, -tilt / 2
            for other in range(2):
                laws.racking[j, other] += tilt / 4
        laws.racking[2, 2] = tilt
    extra, fade, top = np.zeros(ends), np.ones(ends), np.zeros(ends)
    for i in range(lifts):
        laws.lift[i, SEAT] = 1 / theta[at]
        laws.lift[i, TRAVEL] = theta[at + 1]
        laws.lift[i, COUPLING] = 1 / theta[at + 2]
        laws.lift[i, BRACKET] = 1 / theta[at + 3]
        laws.lift[i, PLAY] = theta[at + 4]
        laws.lift[i, SLACK] = theta[at + 4] + theta[at + 5]
        laws.lift[i, HOLD] = theta[at + 6]
        laws.lift[i, OFFSET] = theta[at + 7]
        laws.lift[i, LAG] = theta[at + 8]
        laws.lift[i, SEAT_FIRM] = laws.lift[i, SEAT] / theta[at + 12]
        others = HARD_MM_PER_N + laws.lift[i, COUPLING] + laws.lift[i, BRACKET] + theta[at + 9]
        half = laws.lift[i, TRAVEL] / 2
        laws.lift[i, SOFT] = 1 / (laws.lift[i, SEAT] + others)
        laws.lift[i, FIRM] = 1 / (laws.lift[i, SEAT_FIRM] + others)
        laws.lift[i, STIFF] = 1 / others
        laws.lift[i, KNEE_N] = half / laws.lift[i, SEAT]
        laws.lift[i, KNEE_MM] = laws.lift[i, KNEE_N] / laws.lift[i, SOFT]
        second_n = half / laws.lift[i, SEAT_FIRM]
        laws.lift[i, BOTTOM_N] = laws.lift[i, KNEE_N] + second_n
        laws.lift[i, BOTTOM_MM] = laws.lift[i, KNEE_MM] + second_n / laws.lift[i, FIRM]
        end = choices.lift_end[i]
        extra[end] = theta[at + 10]
        fade[end] = theta[at + 11]
        top[end] = choices.height_mm if choices.held_top[i] else 0.0
        at += 13
    strength, centre, width = theta[3], theta[4], theta[5]
    for j in range(ends):
        drag, middle, spread = theta[at], theta[at + 1], theta[at + 2]
        at += 3
        total = 0.0
        for k in range(elements):
            total += theta[at + k]
        for k in range(elements):
            laws.delta[j, k] = middle * exp(spread * choices.z[k])
            laws.kappa[j, k] = drag * theta[at + k] / total / laws.delta[j, k]
        at += elements
        profile = theta[at : at + knots]
        at += knots
        much = strength if j == choices.spot_end else strength * theta[6]
        even = True
        for k in range(knots):
            even = even and profile[k] == 0.0
        k = 0
        for row in range(levels.shape[0]):  # levels rise
            level = levels[row]
            factor = 1.0
            if not even:
                while k < knots - 2 and level > choices.knots_mm[k + 1]:
                    k += 1
                part = level - choices.knots_mm[k]
                part /= choices.knots_mm[k + 1] - choices.knots_mm[k]
                part = min(max(part, 0.0), 1.0)
                factor = exp(profile[k] + part * (profile[k + 1] - profile[k]))
            if much != 0.0:
                away = (level - centre) / width
                factor += much * exp(-away * away)
            if extra[j] != 0.0:
                factor += extra[j] / drag * exp(-abs(level - top[j]) / fade[j])
            laws.factors[row, j] = factor
    return at


@compiled
def link_shifts(pull: float, e: float, i: int, laws: Laws) -> tuple[float, float]:
    """Axial shift of shaft and screw (slid clamp left out) under a lift's force."""
    shaft = -pull * HARD_MM_PER_N
    if pull > 0.0:
        half = laws.lift[i, TRAVEL] / 2
        shaft -= min(pull * laws.lift[i, SEAT], half)
        shaft -= min(max(pull - laws.lift[i, KNEE_N], 0.0) * laws.lift[i, SEAT_FIRM], half)
    else:  # play first, then the shaft rises through its end float
        shaft += min(max(-e - laws.lift[i, PLAY], 0.0), laws.lift[i, SLACK] - laws.lift[i, PLAY])
    return shaft, shaft - pull * laws.lift[i, COUPLING]


@compiled
def read(
    theta: Floats,
    frame_at: int,
    told: Floats,
    laws: Laws,
    lift_end: Whole,
    trail: Trail,
    gauges: Gauges,
    out: Floats,
) -> None:
    """What the gauge shows at each run's station, its plunger's sticking included, no zero."""
    plunger = theta[7]
    for run in range(gauges.first.shape[0]):
        code, i = gauges.code[run], gauges.which[run]
        shown, joint = 0.0, 0.0
        for step in range(gauges.first[run], gauges.last[run]):
            move = gauges.move[run] + step - gauges.first[run]
            x = 0.0
            if code == BODY:
                x = told[move]
                for j in range(trail.above.shape[1]):
                    x += gauges.body[run, j] * trail.above[move, j]
            elif code == NUT:
                x = told[move] + trail.above[move, lift_end[i]]
                x += trail.force[move, i] * laws.lift[i, BRACKET]
            elif code == BLOCK:
                x = told[move]
            elif code == FRAME:
                push, at = gauges.push_n[step], frame_at + 3 * i
                joint = min(max(joint, push - theta[at + 2]), push + theta[at + 2])
                x = push / theta[at] + joint / theta[at + 1]
            elif code != STILL:
                e = trail.turned[move, i] - trail.slid[move, i] - trail.above[move, lift_end[i]]
                shaft, screw = link_shifts(trail.force[move, i], e, i, laws)
                x = shaft if code == SHAFT else screw - trail.slid[move, i]
            if step == gauges.first[run]:
                shown = x
            shown = min(max(shown, x - plunger), x + plunger)
            if gauges.row[step] >= 0:
                out[gauges.row[step]] = shown


@compiled
def place_loads(place: float, given: Floats, shares: Floats) -> None:
    """Fill in where loads hang of which the readings do not say it."""
    for move in range(given.shape[0]):
        if isnan(given[move, 0]):
            if given.shape[1] == 2:
                shares[move, 0], shares[move, 1] = 1 - place, place
            else:
                shares[move, 0], shares[move, 1] = 5 / 6 - place, place - 1 / 6
                shares[move, 2] = 1 / 3


@compiled
def room_for(moves: Moves, shape: Shape) -> tuple[Laws, Trail]:
    """Empty arrays for one axis and its moves."""
    ends, lifts, elements = len(shape.ends), len(shape.lifts), len(shape.elements)
    laws = Laws(
        np.zeros((lifts, LAW)),
        np.zeros(ends),
        np.zeros((ends, ends)),
        np.zeros((ends, elements)),
        np.zeros((ends, elements)),
        np.zeros((moves.levels.shape[0], ends)),
        np.zeros(2),
    )
    count = moves.told.shape[0]
    trail = Trail(
        np.zeros((count, ends)),
        np.zeros((count, lifts)),
        np.zeros((count, lifts)),
        np.zeros((count, lifts)),
    )
    return laws, trail


@compiled
def predict_rows(
    thetas: Floats, moves: Moves, choices: Choices, gauges: Gauges, shape: Shape, out: Floats
) -> tuple[int, int]:
    """Readings for each vector (a row of `thetas`) into the rows of `out`."""
    laws, trail = room_for(moves, shape)
    shares = moves.load_shares.copy()
    unsettled, evaluations = 0, 0
    for row in range(thetas.shape[0]):
        theta = thetas[row]
        place_loads(theta[2], moves.load_shares, shares)
        frame_at = unfold(theta, moves.levels, choices, shape, laws)
        missed, took = follow(moves, shares, laws, choices.lift_end, shape, trail)
        unsettled += missed
        evaluations += took
        read(theta, frame_at, moves.told, laws, choices.lift_end, trail, gauges, out[row])
    return unsettled, evaluations


@compiled
def follow_vector(
    theta: Floats, moves: Moves, choices: Choices, shape: Shape
) -> tuple[Trail, Floats, int, int]:
    """One path with all that a gauge could see: shaft, screw and nut of each lift (last axis)."""
    laws, trail = room_for(moves, shape)
    shares = moves.load_shares.copy()
    place_loads(theta[2], moves.load_shares, shares)
    unfold(theta, moves.levels, choices, shape, laws)
    unsettled, evaluations = follow(moves, shares, laws, choices.lift_end, shape, trail)
    links = np.zeros((moves.told.shape[0], len(shape.lifts), 3))
    for move in range(moves.told.shape[0]):
        for i in range(len(shape.lifts)):
            pull = trail.force[move, i]
            slid = trail.slid[move, i]
            y = trail.above[move, choices.lift_end[i]]
            shaft, screw = link_shifts(pull, trail.turned[move, i] - slid - y, i, laws)
            links[move, i, 0] = shaft
            links[move, i, 1] = screw - slid
            links[move, i, 2] = moves.told[move] + y + pull * laws.lift[i, BRACKET]
    return trail, links, unsettled, evaluations
