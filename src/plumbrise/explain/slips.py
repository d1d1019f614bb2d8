"""Slips of the hand: signs turned, readings misread, gauges bumped; found before and after the
first fit, for in a short table one of them can make every statement wrong."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.fit import Local
from plumbrise.explain.noise import MISREAD_MM, SET_ASIDE_MM
from plumbrise.explain.results import Slip
from plumbrise.explain.witness import JUMP_SPREAD_MM, Jump, Witness
from plumbrise.readings.kinds import DEAD_WEIGHT, GAUGE_CHECK, REPEAT_HOME, REVERSAL, SIDE_PUSH

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

TURNED_MM = 0.6
WILD_MM = 1.5
BACK_IN_LINE_MM = 0.2
LONG_MM = 30.0
MOST_TURNS = 3
SPIKE_MM, SPIKE_TIMES, SPIKE_BACK = 0.06, 9.0, 0.25
"""A reading stands out alone where it is so far off its neighbours, so many times what readings of
its run usually are, and they differ by less than this share of it."""
APART_BY_NATURE = (DEAD_WEIGHT, REPEAT_HOME, SIDE_PUSH)
"""Kinds in which a reading may well stand apart from both its neighbours."""
UNTAKEN_MM = 0.1
"""Loss from which a first reading that was still on the way down is told from one on the way up."""
FALLING = -0.5
"""Slope of reading by told height below which a gauge counts down."""
MISREAD_SPREADS = 4.3
JUMP_GAIN = 11.0
"""Gain in log evidence before a step is believed; its place alone costs log 300."""
MOST_JUMPS = 14
MOST_JUMPS_A_RUN = 2
LEAST_JUMP_MM = 0.02
NO_STEPS = (DEAD_WEIGHT,)
"""Kinds in which a step could be what the test looks for."""


@dataclass(frozen=True, slots=True, eq=False)
class Mended:
    """Readings with signs turned back, the extra spread of each, and what was done."""

    read_mm: Vector
    misread_mm: Vector
    slips: tuple[Slip, ...]


def mended(seen: Witness, turn_mm: float = 1.0) -> Mended:
    """Turn signs that were slipped and runs of a gauge that counts down, take back whole turns of
    the dial (`turn_mm`), and set wild readings aside."""
    read, spread = seen.read_mm.copy(), seen.misread_mm.copy()
    slips: list[Slip] = []

    def say(part: int, row: int, words: str) -> None:
        number = int(seen.session.reading[row])
        slips.append(Slip(seen.run(part).name, number, words))

    for part, bound in enumerate(seen.bounds):
        run = seen.run(part)
        rows = seen.rows[bound]
        height = told = seen.session.told_mm[rows]
        if not (run.follows_command or run.kind is GAUGE_CHECK):
            told = np.zeros(len(rows))
        if run.follows_command and _counts_down(told, read[bound]):
            read[bound] *= -1
            say(part, rows[0], "The readings fall while the axis rises: the whole run is turned.")
        if len(rows) < 4:
            continue
        off = read[bound] - told
        if np.ptp(told) > LONG_MM:  # a tilted gauge or a wrong lead is no slip of the hand
            off = off - np.polyval(np.polyfit(told, off, 1), told)
        middle = float(np.median(off))
        for i in map(int, np.flatnonzero(np.abs(off - middle) > TURNED_MM)):
            value = read[bound.start + i]
            turned = off[i] - 2 * value
            if abs(turned - middle) < BACK_IN_LINE_MM and not _in_line(off, i):
                read[bound.start + i], off[i] = -value, turned
                words = f"Read as {value:+.3f} mm; taken as {-value:+.3f} mm, a slipped sign."
                say(part, rows[i], words)
        for i in range(1, len(off)):
            last = i == len(off) - 1
            before, after = off[i - 1], off[i - 2] if last else off[i + 1]
            beside = before if last else 0.5 * (before + after)
            turns = round(float(off[i] - beside) / turn_mm)
            alike = abs(before - after) < BACK_IN_LINE_MM and abs(turns) <= MOST_TURNS
            if turns and alike and abs(off[i] - beside - turns * turn_mm) < BACK_IN_LINE_MM:
                read[bound.start + i] -= turns * turn_mm
                off[i] -= turns * turn_mm
                words = f"Read {turns * turn_mm:+g} mm off, a turn of the dial; taken back."
                say(part, rows[i], words)
        for i in map(int, np.flatnonzero(np.abs(off - middle) > WILD_MM)):
            if not _in_line(off, i):
                spread[bound.start + i] = SET_ASIDE_MM
                say(part, rows[i], f"{abs(off[i] - middle):.2f} mm off its run; set aside.")
        aside = spread[bound] >= SET_ASIDE_MM
        for i, size in _spikes(height, off):
            if not aside[i] and run.kind not in APART_BY_NATURE:
                spread[bound.start + i] = SET_ASIDE_MM
                say(part, rows[i], f"{abs(size):.2f} mm off both its neighbours; set aside.")
        if run.kind is REVERSAL and not aside[0] and _untaken(height, off):
            spread[bound.start] = SET_ASIDE_MM
            say(part, rows[0], UNTAKEN)
    return Mended(read, spread, tuple(slips))


UNTAKEN = (
    "It stands where the way down stands: the axis had not yet been taken up past its loss. Set "
    "aside."
)


def _counts_down(told: Vector, read: Vector) -> bool:
    """Whether readings fall while the axis rises."""
    if len(told) < 3 or np.ptp(told) <= 0:
        return False
    return bool(np.polyfit(told, read, 1)[0] < FALLING)


def _spikes(told: Vector, off: Vector) -> list[tuple[int, float]]:
    """Readings that stand out alone on the way between two that agree, and by how much. Where
    the axis turns a reading may."""
    if len(off) < 6:
        return []
    size = off[1:-1] - 0.5 * (off[:-2] + off[2:])
    apart = np.abs(off[:-2] - off[2:])
    usual = float(np.quantile(np.abs(size), 0.25))  # steps where it turns are many in a reversal
    out = np.abs(size) > max(SPIKE_MM, SPIKE_TIMES * usual)
    out &= apart < SPIKE_BACK * np.abs(size)
    out &= np.diff(told)[:-1] * np.diff(told)[1:] > 0
    return [(int(i) + 1, float(size[i])) for i in np.flatnonzero(out)]


def _untaken(told: Vector, off: Vector) -> bool:
    """Whether the first reading of a reversal stands on the way down: the axis came from above,
    or had not moved far enough up."""
    way = np.diff(told)
    down = np.flatnonzero(way < 0) + 1
    up = np.flatnonzero(way > 0) + 1
    same = down[np.abs(told[down] - told[0]) < 1e-6]
    if not len(same) or len(up) < 3:
        return False
    below = float(np.median(off[same]))
    gap = abs(float(np.median(off[up])) - below)
    return gap > UNTAKEN_MM and abs(float(off[0]) - below) < SPIKE_BACK * gap


def _in_line(off: Vector, i: int) -> bool:
    """Whether a reading lies where its neighbours put it: then the run slopes, and it is none
    of its readings that slipped."""
    if 0 < i < len(off) - 1:
        put = 0.5 * (off[i - 1] + off[i + 1])
    elif i == 0:
        put = 2 * off[1] - off[2]
    else:
        put = 2 * off[-2] - off[-3]
    return bool(abs(off[i] - put) < TURNED_MM / 2)


def misreads(seen: Witness, rest_mm: Vector) -> Vector:
    """Extra spread of every reading after a fit left `rest_mm`: what stands far off from what
    its neighbours say of it (leave one out)."""
    spread = np.where(seen.misread_mm >= SET_ASIDE_MM, seen.misread_mm, 0.0)
    for noise in seen.noise:
        inverse = noise.whiten.T @ noise.whiten
        size = np.diag(inverse).copy()
        if len(size) < 4:
            continue
        off = inverse @ rest_mm[noise.rows]
        far = np.abs(off) / np.sqrt(np.maximum(size, 1e-12)) > MISREAD_SPREADS
        far[0] = False  # the zero of its run: what is off there is the way from it
        if far.sum() > max(1, len(far) // 6):
            continue  # so many are no slips: the model is wrong there
        here = spread[noise.rows]
        here[far] = np.maximum(here[far], MISREAD_MM)
    return spread


def find_jumps(seen: Witness, local: Local, spread: Vector, rest_mm: Vector) -> tuple[Jump, ...]:
    """Steps that stay to the end of a run, by what freeing them would gain; one after another.

    Only sharp ones: between two neighbours in what the fit left over (`rest_mm`), and few a run.
    What the model gets wrong bends slowly."""
    found = list(seen.jumps)
    design = np.concatenate([local.jacobian, local.columns * spread], axis=1)
    while len(found) < MOST_JUMPS:
        h = design.T @ design
        h[np.diag_indices_from(h)] += 1.0
        inverse = np.linalg.inv(h)
        rest = local.rest - design @ (inverse @ (design.T @ local.rest))
        gain, jump, column = _best_jump(seen, design, inverse, rest, rest_mm, found)
        if jump is None or gain < JUMP_GAIN:
            break
        found.append(jump)
        design = np.column_stack([design, column * JUMP_SPREAD_MM])
    return tuple(found)


def _best_jump(
    seen: Witness,
    design: Matrix,
    inverse: Matrix,
    rest: Vector,
    rest_mm: Vector,
    found: list[Jump],
) -> tuple[float, Jump | None, Vector]:
    best: tuple[float, Jump | None, Vector] = (0.0, None, np.zeros(0))
    for part, noise in enumerate(seen.noise):
        n = noise.rows.stop - noise.rows.start
        if seen.run(part).kind in NO_STEPS or n < 6:
            continue
        white = noise.whiten @ np.tril(np.ones((n, n)))[:, 2 : n - 1]
        shared = design[noise.rows].T @ white
        size = np.sum(white * white, axis=0) - np.sum(shared * (inverse @ shared), axis=0)
        pull = white.T @ rest[noise.rows]
        gain = 0.5 * pull**2 / (np.maximum(size, 1e-9) + 1 / JUMP_SPREAD_MM**2)
        here = [jump for jump in found if jump.run == part]
        if len(here) >= max(MOST_JUMPS_A_RUN, n // 10):
            continue
        off = rest_mm[noise.rows]
        step = np.diff(off)[1 : n - 2]
        size_mm = pull / np.maximum(size, 1e-9)
        gain[np.abs(step) < np.maximum(LEAST_JUMP_MM, 0.5 * np.abs(size_mm))] = 0.0
        stays = (off[3:n] - off[1 : n - 2]) * np.sign(step)
        gain[stays < 0.5 * np.abs(step)] = 0.0  # one reading off and back is a misread
        for jump in here:
            gain[max(jump.reading - 3, 0) : jump.reading] = 0.0
        k = int(np.argmax(gain))
        if gain[k] > best[0]:
            column = np.zeros(seen.count)
            column[noise.rows] = white[:, k]
            best = float(gain[k]), Jump(part, k + 2), column
    return best
