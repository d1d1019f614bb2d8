"""Bands: what errors that repeat along the screw leave on a wall of whole layers.

A wave of period P along the height, met once a layer of height h, shows as a wave of another
period where a layer is not short against it (aliasing), and vanishes where h is a whole multiple
of P. A spiral is no exception: over any point of the wall lies the turn before, one layer lower,
so the gap there is h plus the difference of two heights a layer apart, as in stepped layers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import cos, isclose, pi, sin

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain import Interval

Vector = NDArray[np.float64]

SAME_PHASE = 1e-6
"""Phases a layer this close to a whole turn count as the same."""
MOST_LAYERS = 1000
"""A pattern that repeats later than this counts as never."""


@dataclass(frozen=True, slots=True)
class Seen:
    """How a wave shows on layers: `visible_layers` and `visible_mm` its period on the wall, None
    where every layer meets the same phase; `repeat_layers` after how many layers the pattern is
    exactly the same again, None where it never is."""

    visible_layers: float | None
    visible_mm: float | None
    repeat_layers: int | None
    repeat_mm: float | None


def seen_as(*, period_mm: float, layer_mm: float) -> Seen:
    """How an error of this period shows on layers of this height.

        alias = |h/P - round(h/P)|      visible period = 1 / alias layers

    The exact repeat is q layers, where h/P = p/q in lowest terms.

    Source:
        Sampling of a sine once a layer; arithmetic.

    Example:
        >>> seen = seen_as(period_mm=0.16, layer_mm=0.1)
        >>> round(seen.visible_layers, 3), seen.repeat_layers
        (2.667, 8)
    """
    turns = layer_mm / period_mm
    alias = abs(turns - round(turns))
    part = Fraction(turns).limit_denominator(MOST_LAYERS)
    exact = isclose(float(part), turns, rel_tol=1e-9)
    repeat = part.denominator if exact else None
    length = None if repeat is None else repeat * layer_mm
    if alias < SAME_PHASE:
        return Seen(None, None, repeat, length)
    return Seen(1 / alias, layer_mm / alias, repeat, length)


def ripple_mm(*, amplitude_mm: float, period_mm: float, layer_mm: float) -> float:
    """Amplitude of the layers' thickness where the height errs by a sine, if some layer meets
    its crest (see `swing_share`).

        2 a |sin(π h / P)|

    Source:
        Difference of a sine met once a layer.

    Example:
        >>> round(1000 * ripple_mm(amplitude_mm=0.02, period_mm=8, layer_mm=0.2), 2)
        3.14
    """
    turns = layer_mm / period_mm
    if abs(turns - round(turns)) < 1e-12:
        return 0.0
    return 2 * amplitude_mm * abs(sin(pi * turns))


def swing_share(phases: Vector, layers: int | None) -> Vector:
    """What share of its amplitude a wave that begins with these phases swings by on a wall that
    meets it at so many phases, evenly spread, before all is the same again: half of what lies
    between the highest and the lowest of them. Few layers may all miss the crest.

        δ: how far the phase is from the next of the q that are met      δ ≤ π / q
        q even: cos δ        q odd: (cos δ + cos(π/q - δ)) / 2

    Args:
        phases: where the wave stands at any one layer, rad.
        layers: q, after how many layers the pattern repeats; None where it never does.

    Source:
        Where the samples of a sine lie; arithmetic.

    Example:
        >>> [round(float(swing_share(np.array([0.0]), q)[0]), 3) for q in (1, 2, 3, 4, None)]
        [0.0, 1.0, 0.75, 1.0, 1.0]
        >>> round(float(swing_share(np.array([np.pi / 2]), 2)[0]), 3)
        0.0
    """
    if layers is None:
        return np.ones_like(phases)
    apart = 2 * pi / layers
    top = np.abs(phases - apart * np.round(phases / apart))
    bottom = top if layers % 2 == 0 else apart / 2 - top
    return np.asarray((np.cos(top) + np.cos(bottom)) / 2)


def most_of_swing(layers: int | None) -> float:
    """The largest share that any phase swings by: what a spiral shows at its worst place, since
    its phase goes once through all of them around the wall.

    Example:
        >>> [round(most_of_swing(q), 3) for q in (1, 2, 3, None)]
        [0.0, 1.0, 0.866, 1.0]
    """
    if layers is None or layers % 2 == 0:
        return 1.0
    return 0.0 if layers == 1 else cos(pi / (2 * layers))


def climb_bands(*, period_mm: float, layer_mm: float) -> int:
    """By how many bands the pattern of a spiral climbs going once round the wall: the nozzle
    rises by a layer on the way, through h / P waves; the nearest whole number of them is what
    aliasing does not show from layer to layer. 0 means level bands.

    Example:
        >>> climb_bands(period_mm=8, layer_mm=0.2), climb_bands(period_mm=0.16, layer_mm=0.2)
        (0, 1)
    """
    return round(layer_mm / period_mm)


@dataclass(frozen=True, slots=True)
class Threshold:
    """From which amplitude of each side of the wall something is noticed, mm."""

    id: str
    from_mm: float
    words: str


THRESHOLDS = (
    Threshold("unseen", 0.0, "not to be seen"),
    Threshold("barely", 0.0025, "barely seen on a glossy wall in raking light"),
    Threshold("seen", 0.00625, "seen by most people"),
    Threshold("felt", 0.0125, "felt with a finger"),
    Threshold("obvious", 0.025, "obvious"),
)
"""Common practice, no source. It knows peaks of a line's width, 5, 12.5, 25 and 50 µm; each side
swings by half of that."""
LONG_WAVE_MM, LONG_WAVE_NEEDS = 5.0, 2.5
"""A wave longer than this must be larger by so much to be noticed (common practice)."""


def noticed(amplitude_mm: float, visible_mm: float | None) -> Threshold:
    """What eyes and fingers make of a wall each side of which swings by this much.

    Example:
        >>> noticed(0.01, 2.0).id, noticed(0.01, 8.0).id
        ('seen', 'barely')
    """
    if visible_mm is None:
        return THRESHOLDS[0]
    felt = amplitude_mm / (LONG_WAVE_NEEDS if visible_mm > LONG_WAVE_MM else 1.0)
    return [one for one in THRESHOLDS if felt >= one.from_mm][-1]


@dataclass(frozen=True, slots=True)
class Band:
    """One wave and what it leaves on the wall.

    `cause` is the id of the cause behind it, `end` the screw it belongs to ("" for all),
    `period_mm` along the height, `amplitude_mm` of the height, `ripple_mm` of the layers'
    thickness, `wall_mm` by how much each side of the wall swings (bead width, or the wall itself
    moved sideways), both as the layers meet the wave; `climb` by how many bands the pattern
    climbs on its way round a spiral (0: level), `noticed` by draws: probability of each
    threshold's id.
    """

    cause: str
    words: str
    end: str
    sideways: bool
    period_mm: float
    seen: Seen
    amplitude_mm: Interval
    ripple_mm: Interval
    wall_mm: Interval
    climb: int
    noticed: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Bump:
    """One mark at one height, such as a tight spot leaves: where, how thick that layer is off,
    and how likely it is there."""

    cause: str
    words: str
    at_mm: Interval
    off_mm: Interval
    probability: float


@dataclass(frozen=True, slots=True)
class LookAlike:
    """A thing that also makes bands and is not this axis, and how to tell it."""

    id: str
    title: str
    words: str
    tell: str


@dataclass(frozen=True, slots=True)
class SamePhase:
    """Layer heights at which every layer meets the same motor phase: whole multiples of four full
    steps. `nearest_mm` is next to the one in use, `wall_mm` by how much each side of the wall now
    swings with uneven steps and would no longer, None where that was not read."""

    heights_mm: tuple[float, ...]
    nearest_mm: float
    in_use: bool
    wall_mm: Interval | None
    risk: str


@dataclass(frozen=True, slots=True)
class Bands:
    """All waves, strongest first, marks at one height, what else looks like them, and layer
    heights that meet the same motor phase (None: the lead is not known)."""

    waves: tuple[Band, ...]
    bumps: tuple[Bump, ...]
    alike: tuple[LookAlike, ...]
    same_phase: SamePhase | None
    cannot_tell: tuple[str, ...]


LOOK_ALIKES = (
    LookAlike(
        "heater-cycle",
        "Heater of nozzle or bed",
        "A heater that swings widens and thins beads with its own time.",
        "Print the same wall twice as fast: bands of a heater move apart, those of a screw stay.",
    ),
    LookAlike(
        "extrusion",
        "Uneven feed",
        "A feed gear with a high tooth or a filament of uneven width repeats along the filament.",
        "Print two walls of different girth: such bands climb the wall and change their spacing "
        "with the girth; those of the axis keep it, and lie level unless the print is a spiral.",
    ),
    LookAlike(
        "sideways-axes",
        "Ripple of the axes across",
        "Belts and motors across leave upright ripple, often near 2 mm apart.",
        "Look along the layer: ripple of these axes stands upright, bands of this axis lie flat.",
    ),
    LookAlike(
        "cooling",
        "Layers that take a different time",
        "A layer that is printed faster is warmer and bulges.",
        "Compare with the part's shape: such marks lie where the section changes.",
    ),
)
