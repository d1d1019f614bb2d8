"""The bands of an axis: its waves with their sizes, marks at one height, what looks alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import pi

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import layout_of
from plumbrise.foresee.axes import Axes
from plumbrise.foresee.bands import (
    LOOK_ALIKES,
    THRESHOLDS,
    Band,
    Bands,
    Bump,
    SamePhase,
    climb_bands,
    most_of_swing,
    noticed,
    ripple_mm,
    seen_as,
    swing_share,
)
from plumbrise.foresee.bead import width_change_per_gap
from plumbrise.foresee.heights import moved_mm, waves_of
from plumbrise.foresee.layers import interval
from plumbrise.foresee.printing import Print, Stop

Vector = NDArray[np.float64]

SIDEWAYS = ("left-right", "front-back")
LEAST_LAYER_MM, MOST_LAYER_MM = 0.06, 0.4
"""Layer heights that people print."""
MOST_LAYERS = 1500
"""So many layers around a tight spot are looked at; thin ones would take long, and show no more."""
SPOT_COUNTS = 0.15
"""From what rise of the drag a tight spot counts."""
WORDS = {
    "turn": "the screw once a turn: a bow or a wandering thread",
    "four": "the motor over four full steps",
    "one": "the motor over one full step",
    "sideways": "a bent screw pushes the moving part sideways once a turn",
}


def bands_of(axes: Axes, job: Print) -> Bands:
    """What bands these axes leave on a wall of this print."""
    found = sorted(_waves(axes, job), key=lambda band: -band.wall_mm.estimate)
    base = axes.base
    untold = []
    if base.lifts[0].thread.turn_mm is None:
        untold.append("bands of screw and motor, since the lead of the screw is not known")
    elif not any(band.cause == "screw-bend" and not band.sideways for band in found):
        untold.append("bands of the screw, since no run over two turns was read")
    if not any(band.sideways for band in found):
        untold.append("how far a bent screw moves the wall itself, since nothing was read sideways")
    return Bands(
        waves=tuple(found),
        bumps=tuple(_bumps(axes, job)),
        alike=LOOK_ALIKES,
        same_phase=_same_phase(axes, job, found),
        cannot_tell=tuple(untold),
    )


def _same_phase(axes: Axes, job: Print, waves: Sequence[Band]) -> SamePhase | None:
    four = axes.base.lifts[0].thread.four_steps_mm
    if four is None:
        return None
    most = min(MOST_LAYER_MM, job.width_mm)
    every = [round(k * four, 6) for k in range(1, int(most / four + 1e-9) + 1)]
    useful = tuple(height for height in every if height >= LEAST_LAYER_MM)
    if not useful:
        return None
    nearest = min(useful, key=lambda height: abs(height - job.layer_mm))
    steps = [wave for wave in waves if wave.cause == "microstep-error"]
    return SamePhase(
        heights_mm=useful,
        nearest_mm=nearest,
        in_use=any(abs(height - job.layer_mm) < 1e-6 for height in useful),
        wall_mm=max((w.wall_mm for w in steps), key=lambda i: i.estimate, default=None),
        risk="Bands of the screw stay; a thinner layer takes longer, a thicker one shows more.",
    )


def _waves(axes: Axes, job: Print) -> Iterator[Band]:
    terms, several = axes.terms, len(axes.base.lifts) > 1
    told: set[str] = set()
    for k, lift in enumerate(axes.base.lifts):
        for name, period in waves_of(axes.base, k):
            if f"{name}:cos" not in terms or name in told:
                continue
            told.add(name)
            part = "turn" if name.startswith("screw-bend") else name.rpartition(":")[2]
            end = lift.end if several and f":{lift.end}" in name else ""
            yield _band(axes, job, name, period, part, end)
    turn = axes.base.lifts[0].thread.turn_mm
    for way in SIDEWAYS:
        if turn and f"screw-bend:{way}:cos" in terms:
            yield _band(axes, job, f"screw-bend:{way}", turn, "sideways", "")


def _band(axes: Axes, job: Print, name: str, period: float, part: str, end: str) -> Band:
    cosine, sine = axes.terms[f"{name}:cos"], axes.terms[f"{name}:sin"]
    amplitude = np.hypot(cosine, sine)
    seen = seen_as(period_mm=period, layer_mm=job.layer_mm)
    sideways = part == "sideways"
    phase = _phase(axes, job, period, np.arctan2(sine, cosine), sideways=sideways)
    share = (
        most_of_swing(seen.repeat_layers) if job.spiral else swing_share(phase, seen.repeat_layers)
    )
    ripple = ripple_mm(amplitude_mm=1.0, period_mm=period, layer_mm=job.layer_mm) * amplitude
    wider = width_change_per_gap(width_mm=job.width_mm, height_mm=job.layer_mm)
    wall = share * (amplitude if sideways else ripple * wider / 2)
    ids = [noticed(float(one), seen.visible_mm).id for one in wall]
    return Band(
        cause=name.split(":", maxsplit=1)[0],
        words=WORDS[part],
        end=end,
        sideways=sideways,
        period_mm=period,
        seen=seen,
        amplitude_mm=interval(amplitude),
        ripple_mm=interval(share * ripple),
        wall_mm=interval(wall),
        climb=climb_bands(period_mm=period, layer_mm=job.layer_mm) if job.spiral else 0,
        noticed={one.id: ids.count(one.id) / len(ids) for one in THRESHOLDS},
    )


def _phase(axes: Axes, job: Print, period: float, lag: Vector, *, sideways: bool) -> Vector:
    """Where the wave stands at one of the layers: at the nozzle for what moves the wall itself,
    half a layer below it for a thickness, which is the difference of two heights."""
    at = job.told_mm(2)
    if axes.base.arrangement.body == "bed":
        at, lag = at - axes.base.height_mm, -lag
    below = 0.0 if sideways else job.layer_mm / 2
    crest = 0.0 if sideways else pi / 2
    return np.asarray(2 * pi * (at - below) / period - lag + crest)


def _bumps(axes: Axes, job: Print) -> Iterator[Bump]:
    """The mark that a tight spot leaves: the layer that is furthest off while passing it."""
    layout = layout_of(axes.base)
    strength = axes.thetas[:, layout.index("spot_strength")]
    there = np.flatnonzero(strength > SPOT_COUNTS)
    share = len(there) / axes.count
    if share < 0.1:
        return
    some = Axes(axes.base, axes.thetas[there], {})
    centre = some.thetas[:, layout.index("spot_centre_mm")]
    width = float(np.median(some.thetas[:, layout.index("spot_width_mm")]))
    middle = float(np.median(centre))
    reach = 3 * width + float(np.ptp(np.quantile(centre, (0.1, 0.9))))
    reach = min(reach, MOST_LAYERS * job.layer_mm / 2)
    top = axes.base.height_mm
    low, high = max(0.0, middle - reach), min(top, middle + reach)
    if axes.base.arrangement.body == "bed":
        low, high = top - high, top - low
    told = np.arange(max(low, job.layer_mm), high, job.layer_mm)
    if len(told) < 3:
        return
    stops = (Stop(0.0), *(Stop(float(z)) for z in told))
    gaps = np.diff(moved_mm(some, stops, job)[:, 1:], axis=1) - job.layer_mm
    off = (gaps - np.median(gaps, axis=1, keepdims=True)).reshape(len(gaps), -1)
    worst = off[np.arange(len(off)), np.abs(off).argmax(axis=1)]
    at = top - centre if axes.base.arrangement.body == "bed" else centre
    yield Bump(
        cause="tight-spot",
        words="a tight spot in the guides",
        at_mm=interval(at),
        off_mm=interval(worst),
        probability=share,
    )
