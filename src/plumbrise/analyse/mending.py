"""What is odd in a run, found unasked: misreads, sign slips, bumps, transients, drift.

What is taken out of the figures is said; what only deserves a word is said and left in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.budget import noise_sd
from plumbrise.analyse.changes import (
    Jump,
    find_drift,
    find_jump,
    find_local_jump,
    places_between,
)
from plumbrise.analyse.full_travel import cycles
from plumbrise.analyse.lines import Array, fit, odd_one
from plumbrise.analyse.results import Oddity
from plumbrise.analyse.reversals import differences, is_level
from plumbrise.analyse.slips import (
    FEWEST_TO_TELL,
    RISK,
    STEPS_OF_DISPLAY,
    Mended,
    say_drift,
    set_aside,
    take_bump_out,
    turn_mirrored,
    use_display_step,
)
from plumbrise.analyse.statistics import grubbs, grubbs_limit, pooled_sd
from plumbrise.analyse.used import Used, legs, load_n, used
from plumbrise.quantity import Unit, student_factor, written
from plumbrise.readings import Run, Scale
from plumbrise.readings.kinds import (
    COARSE_STEPS,
    DEAD_WEIGHT,
    FINE_STEPS,
    FULL_TRAVEL,
    GAUGE_CHECK,
    HOLD,
    ONE_TURN,
    REPEAT_HOME,
    REVERSAL,
    SIDE_PUSH,
    WARM_UP,
)

MOST_SET_ASIDE = 2
"""More odd readings than this in a run are its nature, not slips."""
SPIKE_SDS = 7.0
"""A staircase's scatter is known poorly (from second differences), so the bar is high: tried on
made-up runs, under one sound run in a hundred is accused."""
JUMP_US = 6.0
"""Likewise for a jump between two level stretches."""
NEAR_A_TURN = 2
LEVEL = 0.08
"""Loss per told millimetre up to which a stretch of a staircase counts as level."""
FEWEST_IN_CELL = 3
"""With two runs at a target either may be the odd one."""


def mend(run: Run, scale: Scale) -> Mended:
    """Look a run through before any figure is made of it."""
    taken = [r.reading_mm for r in run.readings]
    zero = next((value for value in taken if value is not None), 0.0)
    made = Mended([None if value is None else value - zero for value in taken], scale.resolution_mm)
    use_display_step(run, made)
    turn_mirrored(run, made)
    look = _LOOKS.get(run.kind.id)
    if look is not None and sum(value is not None for value in made.values) >= FEWEST_TO_TELL:
        look(run, scale, made)
    return made


# -- staircases -------------------------------------------------------------------------------


def _look_at_steps(run: Run, scale: Scale, made: Mended) -> None:
    for _ in range(MOST_SET_ASIDE):
        data = used(run, made.values)
        sd = noise_sd(data.lag, made.resolution_mm / sqrt(12))
        tolerance = max(SPIKE_SDS * sd, STEPS_OF_DISPLAY * made.resolution_mm)
        spike = _spike(data, tolerance)
        if spike is None:
            break
        place, off = spike
        set_aside(run, made, int(data.index[place]), off, tolerance)
    for _ in range(MOST_SET_ASIDE):
        data = used(run, made.values)
        sd = noise_sd(data.lag, made.resolution_mm / sqrt(12))
        floor = STEPS_OF_DISPLAY * made.resolution_mm
        jump = find_local_jump(data.told, -data.lag, sd, steepest=LEVEL, limit=JUMP_US, floor=floor)
        if jump is None:
            break
        take_bump_out(run, scale, made, int(data.index[jump.first]), jump.size, jump.u)


def _spike(data: Used, tolerance: float) -> tuple[int, float] | None:
    """The reading furthest outside all that its neighbours on both sides foretell.

    A bend or the end of a take-up lies between what the left and the right foretell; one misread
    does not. The first reading is the zero and cannot be judged.
    """
    x, y = data.told, -data.lag
    worst: tuple[int, float] | None = None
    for i in range(1, data.n):
        foretold = [y[i - 1]] + ([y[i + 1]] if i + 1 < data.n else [])
        for a, b in ((i - 2, i - 1), (i + 2, i + 1)):
            if 0 <= a < data.n and 0 <= b < data.n and x[a] != x[b]:
                foretold.append(y[b] + (y[b] - y[a]) / (x[b] - x[a]) * (x[i] - x[b]))
        low, high = min(foretold), max(foretold)
        off = float(min(y[i] - low, 0.0) if y[i] < low else max(y[i] - high, 0.0))
        if abs(off) > tolerance and (worst is None or abs(off) > abs(worst[1])):
            worst = (i, off)
    if worst is None:
        return None
    i = worst[0]
    around = [y[i - 1]] + ([y[i + 1]] if i + 1 < data.n else [])
    return i, float(y[i] - sum(around) / len(around))


# -- runs that come back to the same heights ----------------------------------------------------


def _columns_of_passes(data: Used) -> list[Array]:
    """What is expected of a run up and down: level, scale, the loss by direction, and its growth
    after each turn."""
    n = data.n
    leg = legs(data.up)
    since = np.array([abs(data.told[i] - data.told[leg == leg[i]][0]) for i in range(n)])
    sign = np.where(data.up, -1.0, 1.0)
    later = leg > 0
    columns = [np.ones(n), data.told - data.told.mean(), sign]
    if n >= 14:
        for reach in (0.15, 0.4, 1.0):
            columns.append(np.where(later, sign * np.exp(-since / reach), 0.0))
    return [c for c in columns if float(np.ptp(c)) > 0 or c is columns[0]]


def _look_at_passes(run: Run, scale: Scale, made: Mended) -> None:
    _look_by_model(run, scale, made, _columns_of_passes)


def _look_by_model(
    run: Run, scale: Scale, made: Mended, model: Callable[[Used], list[Array]]
) -> None:
    floor = STEPS_OF_DISPLAY * made.resolution_mm
    for _ in range(MOST_SET_ASIDE):
        data = used(run, made.values)
        columns = model(data)
        found = fit(columns, -data.lag)
        odd = odd_one(found, risk=RISK, floor=floor)
        jump = find_jump(columns, -data.lag, candidates=list(places_between(data.n)), risk=RISK)
        if odd is not None and jump is not None:
            # whichever leaves less unexplained
            keep = np.arange(data.n) != odd
            without = fit([c[keep] for c in columns], -data.lag[keep])
            after = (np.arange(data.n) >= jump.first).astype(float)
            jumped = fit([*columns, after], -data.lag)
            if jumped.sd < without.sd:
                odd = None
        if odd is None:
            break
        off = float(found.residuals[odd]) / max(1e-9, 1 - float(found.leverage[odd]))
        if not _stands_out(data, odd, off):
            break
        set_aside(run, made, int(data.index[odd]), off, max(floor, 4 * found.sd))
    data = used(run, made.values)
    columns = model(data)
    jump = find_jump(columns, -data.lag, candidates=list(places_between(data.n)), risk=RISK)
    jump = None if jump is None else _as_seen_nearby(data, jump)
    if jump is not None and abs(jump.size) > floor and _at_a_turn(data, jump.first):
        words = (
            f"The gauge was bumped by {abs(jump.size):.3f} mm while the axis turned. At which of "
            "the turns cannot be told, so the loss may be wrong by as much: repeat this run."
        )
        made.oddities.append(Oddity("bump", words, (int(data.index[jump.first]),), jump.size))
        return
    if jump is not None and abs(jump.size) > floor:
        take_bump_out(run, scale, made, int(data.index[jump.first]), jump.size, jump.u)
        return
    if run.kind is not REVERSAL or _drifts_at_the_ends(data, floor):
        say_drift(made, columns, -data.lag)


def _drifts_at_the_ends(data: Used, floor: float) -> bool:
    """Whether passes of one direction still differ where their take-up is over: at their ends."""
    leg = legs(data.up)
    _, gaps = differences(data)
    if not is_level(gaps, floor):
        return False  # take-up that goes on through the passes looks alike
    apart = []
    for later in range(2, int(leg[-1]) + 1):
        new, old = data.only(leg == later), data.only(leg == later - 2)
        for i in range(new.n - max(2, new.n // 4), new.n):
            same = np.nonzero(np.abs(old.told - new.told[i]) < 1e-6)[0]
            if i >= 0 and len(same):
                apart.append(float(new.lag[i] - old.lag[same[0]]))
    return bool(apart) and abs(float(np.mean(apart))) > floor


def _as_seen_nearby(data: Used, jump: Jump) -> Jump | None:
    """A jump that the readings themselves show; None where only the model sees one.

    A take-up that the model does not bend to looks like a jump from afar. Well within a pass the
    two readings after must differ from the two before by most of the jump. Near a turn only an
    earlier pass the same way tells a bump from a loss: its difference is then the size.
    """
    leg, j = legs(data.up), jump.first
    if j - int(np.nonzero(leg == leg[j])[0][0]) <= NEAR_A_TURN:
        size = _between_passes(data, leg, j)
        seen = size is not None and abs(size - jump.size) <= 0.6 * abs(jump.size)
        return replace(jump, size=size) if size is not None and seen else None
    after = data.lag[j : j + 2][leg[j : j + 2] == leg[j]]
    local = float(data.lag[j - 2 : j].mean() - after.mean())
    return jump if abs(local - jump.size) <= 0.4 * abs(jump.size) else None


def _at_a_turn(data: Used, first: int) -> bool:
    return bool(data.up[first] != data.up[first - 1])


def _between_passes(data: Used, leg: NDArray[np.intp], j: int) -> float | None:
    """How much higher readings from `j` on stand than those before it, in the later halves of two
    passes the same way; None without such passes."""
    apart = []
    for i in range(j, data.n):
        before = np.nonzero((leg == leg[i] - 2) & (np.abs(data.told - data.told[i]) < 1e-6))[0]
        late = i - int(np.nonzero(leg == leg[i])[0][0]) >= int((leg == leg[i]).sum()) // 2
        if late and len(before) and before[0] < j:
            apart.append(float(data.lag[before[0]] - data.lag[i]))
    return float(np.mean(apart)) if apart else None


def _stands_out(data: Used, place: int, off: float) -> bool:
    """Whether a reading stands off its neighbours of the same pass by most of `off`."""
    leg = legs(data.up)
    beside = [i for i in (place - 1, place + 1) if 0 <= i < data.n and leg[i] == leg[place]]
    if not beside:
        return False
    local = float(data.lag[beside].mean() - data.lag[place])
    return abs(local - off) <= 0.4 * abs(off)


# -- full travel --------------------------------------------------------------------------------


def _cells(data: Used) -> NDArray[np.intp]:
    _, cell = np.unique(
        np.round(data.told, 6) * 2 + np.where(data.up, 1e9, 0.0), return_inverse=True
    )
    return np.asarray(cell, dtype=int)


def _look_at_full_travel(run: Run, scale: Scale, made: Mended) -> None:
    data = used(run, made.values)
    cell = _cells(data)
    if np.bincount(cell).min() < FEWEST_IN_CELL:
        return
    _look_at_start(made, data, cell)
    kept = np.array([int(i) not in made.transient for i in data.index])
    rest = data.only(kept)
    for _ in range(MOST_SET_ASIDE):
        odd = _odd_in_cells(rest)
        floor = STEPS_OF_DISPLAY * made.resolution_mm
        if odd is None or abs(odd[1]) <= floor:
            break
        set_aside(run, made, int(rest.index[odd[0]]), odd[1], max(floor, odd[2]))
        rest = used(run, made.values)
        rest = rest.only(np.array([int(i) not in made.transient for i in rest.index]))
    columns = _cell_columns(rest)
    # the rest of the pass that began with a transient is its tail, no bump
    start = int((legs(rest.up) == 0).sum()) + 1 if made.transient else 0
    candidates = [int(i) for i in places_between(rest.n) if i >= start]
    jump = find_jump(columns, -rest.lag, candidates=candidates, risk=RISK)
    if jump is not None and abs(jump.size) > STEPS_OF_DISPLAY * made.resolution_mm:
        take_bump_out(run, scale, made, int(rest.index[jump.first]), jump.size, jump.u)
        return
    say_drift(made, columns, -rest.lag)


def _cell_columns(data: Used) -> list[Array]:
    cell = _cells(data)
    return [(cell == c).astype(float) for c in np.unique(cell)]


def _odd_in_cells(data: Used) -> tuple[int, float, float] | None:
    found = fit(_cell_columns(data), -data.lag)
    odd = odd_one(found, risk=RISK)
    if odd is None:
        return None
    off = float(found.residuals[odd]) / max(1e-9, 1 - float(found.leverage[odd]))
    return odd, off, 4 * found.sd


def _look_at_start(made: Mended, data: Used, cell: NDArray[np.intp]) -> None:
    """A start-up transient: the first readings of the first pass stand off their repeats."""
    first_pass = legs(data.up) == 0
    later = cycles(data) > 1
    sd, dof = pooled_sd([list(data.lag[later & (cell == c)]) for c in np.unique(cell)])
    sd = max(sd, made.resolution_mm / sqrt(12))
    if dof < 4:
        return
    level = 1 - RISK / int(first_pass.sum())
    off: list[float] = []
    for i in np.nonzero(first_pass)[0]:
        repeats = -data.lag[later & (cell == cell[i])]
        if len(repeats) < 2:
            break
        away = float(-data.lag[i] - repeats.mean())
        limit = student_factor(dof, level) * sd * sqrt(1 + 1 / len(repeats))
        if abs(away) <= max(limit, STEPS_OF_DISPLAY * made.resolution_mm):
            break
        off.append(away)
    if not off or len(off) == int(first_pass.sum()):
        return  # none, or the whole pass: that is a bump or a drift
    indices = tuple(int(i) for i in data.index[: len(off)])
    count = int((later & (cell == cell[0])).sum())
    made.transient = frozenset(indices)
    made.oddities.append(
        Oddity("transient", _transient_words(off, bool(data.up[0]), count), indices, off[0])
    )


def _transient_words(off: list[float], up: bool, repeats: int) -> str:
    direction = "upward" if up else "downward"
    numbers = [str(i + 1) for i in range(len(off))]
    sizes = [f"{abs(value):.3f} mm" for value in off]
    if len(off) == 1:
        places, far = f"target {numbers[0]}", sizes[0]
    else:
        places = f"targets {', '.join(numbers[:-1])} and {numbers[-1]}"
        far = f"{', '.join(sizes[:-1])} and {sizes[-1]}"
    count = {2: "two", 3: "three", 4: "four", 5: "five"}.get(repeats, str(repeats))
    return (
        f"Cycle 1 {direction} at {places} stands {far} from the mean of its {count} repeats: a "
        "start-up transient. The standard's figures keep it; they also stand without cycle 1."
    )


# -- others -------------------------------------------------------------------------------------


def _look_at_turns(run: Run, scale: Scale, made: Mended) -> None:
    lead = scale.lead_mm

    def model(data: Used) -> list[Array]:
        columns = [np.ones(data.n), data.told - data.told.mean()]
        if lead is not None and float(np.ptp(data.told)) >= 0.9 * lead and data.n >= 12:
            angle = 2 * np.pi * data.told / lead
            columns += [np.cos(angle), np.sin(angle)]
        if float(np.ptp(columns[1])) == 0:
            columns = columns[:1]
        if 0 < data.up.sum() < data.n:
            columns.append(np.where(data.up, 1.0, 0.0))
        return columns

    _look_by_model(run, scale, made, model)


def _look_at_homes(run: Run, _scale: Scale, made: Mended) -> None:
    data = used(run, made.values)
    read = -data.lag
    floor = STEPS_OF_DISPLAY * made.resolution_mm
    drift = find_drift([np.ones(data.n)], read, risk=RISK)
    if drift is None:
        worst, far = grubbs(list(read))
        off = float(read[worst] - np.delete(read, worst).mean())
        if far > grubbs_limit(data.n, RISK) and abs(off) > floor:
            set_aside(run, made, int(data.index[worst]), off, floor)
    else:
        amount = written(abs(drift.size), student_factor(drift.dof) * drift.u, Unit.MM)
        words = (
            f"Home {'rises' if drift.size > 0 else 'sinks'} by {amount} from first to last: "
            "a drift, not scatter. It stays in range and standard deviation."
        )
        made.oddities.append(Oddity("drift", words, size_mm=drift.size))
        made.drift_mm = drift.size


def _look_at_time(run: Run, scale: Scale, made: Mended) -> None:
    for _ in range(MOST_SET_ASIDE):
        data = used(run, made.values)
        x = np.array([run.readings[i].time_s or 0.0 for i in data.index])
        if not np.all(np.diff(x) > 0):
            x = np.arange(data.n, dtype=float)
        moved = replace(data, told=x)
        sd = noise_sd(data.lag, made.resolution_mm / sqrt(12))
        tolerance = max(SPIKE_SDS * sd, STEPS_OF_DISPLAY * made.resolution_mm)
        spike = _spike(moved, tolerance)
        if spike is None:
            break
        set_aside(run, made, int(data.index[spike[0]]), spike[1], tolerance)
    data = used(run, made.values)
    x = np.arange(data.n, dtype=float)
    sd = noise_sd(data.lag, made.resolution_mm / sqrt(12))
    floor = STEPS_OF_DISPLAY * made.resolution_mm
    jump = find_local_jump(x, -data.lag, sd, steepest=2 * sd, limit=JUMP_US, floor=floor)
    if jump is not None:
        take_bump_out(run, scale, made, int(data.index[jump.first]), jump.size, jump.u)


def _look_at_loads(run: Run, _scale: Scale, made: Mended) -> None:
    def model(data: Used) -> list[Array]:
        side = run.kind is SIDE_PUSH
        load = np.array(
            [
                (run.readings[i].force_n or 0.0) if side else load_n(run.readings[i])
                for i in data.index
            ]
        )
        size = np.abs(load)
        back = np.concatenate([[0.0], np.cumsum(np.diff(size) < 0)]) > 0
        columns = [np.ones(data.n), load, np.where(back, 1.0, 0.0)]
        return [c for c in columns if float(np.ptp(c)) > 0 or c is columns[0]]

    data = used(run, made.values)
    columns = model(data)
    found = fit(columns, -data.lag)
    floor = STEPS_OF_DISPLAY * made.resolution_mm
    odd = odd_one(found, risk=RISK, floor=floor) if data.n >= len(columns) + 4 else None
    if odd is not None:
        off = float(found.residuals[odd]) / max(1e-9, 1 - float(found.leverage[odd]))
        set_aside(run, made, int(data.index[odd]), off, hypot(floor, 4 * found.sd))


_LOOKS: dict[str, Callable[[Run, Scale, Mended], None]] = {
    FINE_STEPS.id: _look_at_steps,
    COARSE_STEPS.id: _look_at_steps,
    REVERSAL.id: _look_at_passes,
    FULL_TRAVEL.id: _look_at_full_travel,
    ONE_TURN.id: _look_at_turns,
    REPEAT_HOME.id: _look_at_homes,
    HOLD.id: _look_at_time,
    WARM_UP.id: _look_at_time,
    DEAD_WEIGHT.id: _look_at_loads,
    SIDE_PUSH.id: _look_at_loads,
    GAUGE_CHECK.id: _look_at_passes,
}
