"""Remedies that cost nothing: how a print can start and change layers so that less is lost.

Every remedy is a print of another kind on the same axes; so what it gives is foretold as anything
else is, and compared by one figure, the largest miss of any layer at any place. Layers that meet
the same motor phase are no better by that figure: what they take away are bands, so they come last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import ceil

import numpy as np
from numpy.typing import NDArray

from plumbrise.errors import InputError
from plumbrise.foresee.bands import Bands
from plumbrise.foresee.heights import Heights
from plumbrise.foresee.layers import gaps_mm, interval, layers_of
from plumbrise.foresee.motion_lines import SHOWN_LAYERS, motion_lines
from plumbrise.foresee.printing import Lift, Print, Start
from plumbrise.foresee.results import Remedy
from plumbrise.machine import Machine, known

Array = NDArray[np.float64]
Laid = Callable[[Print], Heights]
"""Makes a print on the axes at hand, each time with the same chance."""

OVER_THE_BED_MM = 0.05
"""How close to the bed a dip goes: a sheet of paper is thicker."""
LIFTS_MM = (0.6, 1.0, 2.0, 4.0)
"""Lifts that are tried, lowest first: a lift that is longer than the take-up brings every layer
to the state in which the offset was set."""
ENOUGH_OF_BEST = 1.15
"""The lowest lift is taken that comes within so much of the best."""
LOOKED_AT = 10
"""Layers over which remedies are compared."""
OFFSET_LIMIT_MM = 1.0
NOTICED = 0.05
"""Bands that are seen with less than this probability need no remedy."""
STEPS = "microstep-error"
DIP_RISK = (
    "The nozzle comes close to the bed: make the dip where nothing lies and no clip stands, and "
    "check it once by hand. With the offset but without the dip layer one hangs in the air."
)
"""What every start from below risks."""


@dataclass(frozen=True, slots=True)
class Idea:
    """A way to print, before it is worked out."""

    id: str
    title: str
    words: str
    job: Print
    risk: str
    shown_layers: int = 1


def remedies_for(
    machine: Machine, job: Print, laid: Laid, bands: Bands | None = None
) -> tuple[Remedy, ...]:
    """What can be done for nothing about this print, the best first; none that makes it worse.

    Args:
        machine: for which the motion lines are proved.
        job: the print as it is done now.
        laid: lays a print on the axes at hand.
        bands: of this print, for the layer heights that take some of them away.
    """
    short = replace(job, layers=min(job.layers, LOOKED_AT))
    now = _worst(laid(short))
    found = []
    room = float(known(machine, "travel.height_mm").value)
    for idea in _ideas(short, laid, room):
        made = laid(idea.job)
        worst = _worst(made)
        if np.median(worst) < np.median(now) - 0.002:
            found.append(_remedy(machine, job, idea, made, worst, now))
    found.sort(key=lambda one: one.worst_mm.estimate)
    for idea in _same_phase(short, bands):
        made = laid(idea.job)
        found.append(_remedy(machine, job, idea, made, _worst(made), now))
    return tuple(found)


def _ideas(job: Print, laid: Laid, room_mm: float) -> Iterator[Idea]:
    yield from _offset(job, laid)
    yield from _taken_up(job, laid)
    yield from _lift_every(job, laid, room_mm)
    yield from _no_lift(job, laid)
    yield from _start_height(job, laid)


def _offset(job: Print, laid: Laid) -> Iterator[Idea]:
    """The same print, raised so that layer one comes out right at the part."""
    offset = _offset_for(job, laid)
    by = round(offset - job.offset_mm, 2)
    if abs(by) >= 0.01:
        raised = replace(job, offset_mm=offset)
        yield Idea(
            "offset",
            f"{'Raise' if by > 0 else 'Lower'} the whole print by {abs(by):.2f} mm",
            f"Keep the start as it is, layer one {_told(raised)}.",
            raised,
            "The layers above lack what they lacked. It is right for this start alone: with another"
            " one, or once the loss is mended, set it anew.",
        )


def _taken_up(job: Print, laid: Laid) -> Iterator[Idea]:
    """Come to layer one from below, with the offset that this needs."""
    if job.start is Start.DIP and job.dip_to_mm <= OVER_THE_BED_MM:
        return
    dip = _dipped(job)
    if dip is None:
        return
    raised = replace(dip, offset_mm=_offset_for(dip, laid))
    yield Idea(
        "dip",
        "Dip, then rise to layer one",
        f"Go down to {OVER_THE_BED_MM:g} mm beside the part, then up to layer one, "
        f"{_told(raised)}.",
        raised,
        DIP_RISK,
    )


def _lift_every(job: Print, laid: Laid, room_mm: float) -> Iterator[Idea]:
    """Lift at every layer, high enough that each is reached from above and no higher than the axis
    goes; no spiral can."""
    if job.spiral:
        return
    higher = [lift for lift in LIFTS_MM if job.lift is not Lift.EVERY or lift > job.lift_mm]
    if not higher:
        return
    lifted = replace(job, start=Start.DOWN, lift=Lift.EVERY)
    from_above = "" if job.start is Start.DOWN else ", layer one too"
    offset = _offset_for(lifted, laid)
    if abs(offset - job.offset_mm) >= 0.01:
        lifted = replace(lifted, offset_mm=offset)
        from_above = f", layer one {_told(lifted)}"
    every = (replace(lifted, lift_mm=lift) for lift in higher)
    tried = [one for one in every if one.top_mm <= room_mm]
    if not tried:
        return
    worst = [float(np.median(_worst(laid(one)))) for one in tried]
    best = next(k for k, w in enumerate(worst) if w <= ENOUGH_OF_BEST * min(worst) + 0.001)
    chosen = tried[best]
    yield Idea(
        "lift-every-layer",
        "Lift at every layer",
        f"Lift by {chosen.lift_mm:g} mm at every change of layer and come down to the next"
        f"{from_above}.",
        chosen,
        "Travel with a lift takes longer and may leave threads; lifts within a layer must be as "
        "high, or none.",
    )


def _no_lift(job: Print, laid: Laid) -> Iterator[Idea]:
    """No lift at all, so that all beads of a layer are laid in one state."""
    if job.lift is Lift.NONE:
        return
    plain = _dipped(replace(job, lift=Lift.NONE))
    if plain is None:
        return
    raised = replace(plain, offset_mm=_offset_for(plain, laid))
    yield Idea(
        "no-lift",
        "No lift between moves",
        f"Switch lifts off, so that the axis only rises; dip before layer one, {_told(raised)}.",
        raised,
        f"Without lifts the nozzle may catch on what has curled up. {DIP_RISK}",
    )


def _start_height(job: Print, laid: Laid) -> Iterator[Idea]:
    """A thicker first layer, reached from below: it takes up more of what is lost."""
    thick = min(1.5 * job.layer_mm, 0.7 * job.width_mm)
    if thick < 1.2 * job.first:
        return
    dip = _dipped(replace(job, first_mm=thick))
    if dip is None:
        return
    raised = replace(dip, offset_mm=_offset_for(dip, laid))
    yield Idea(
        "start-height",
        "A thicker first layer",
        f"Print layer one {thick:.2f} mm high and dip before it, {_told(raised)}.",
        raised,
        f"The first layer shows more, and needs more feed than a thin one. {DIP_RISK}",
    )


def _dipped(job: Print) -> Print | None:
    """The same print with a dip before layer one, None where layer one lies below the dip."""
    if job.told_mm(1) < OVER_THE_BED_MM:
        return None
    return replace(job, start=Start.DIP, dip_to_mm=OVER_THE_BED_MM)


def _told(job: Print) -> str:
    if abs(job.offset_mm) < 0.005:
        return f"told {job.told_mm(1):.2f} mm, without an offset"
    told = f"{job.told_mm(1):.2f} mm where it should be {job.first:.2f} mm"
    return f"told {told} (an offset of {job.offset_mm:+.2f} mm)"


def _same_phase(job: Print, bands: Bands | None) -> Iterator[Idea]:
    """Layers that all meet the same motor phase, where uneven steps leave bands to be seen."""
    same = None if bands is None else bands.same_phase
    if bands is None or same is None or same.in_use or same.wall_mm is None:
        return
    steps = [wave for wave in bands.waves if wave.cause == STEPS]
    if min(wave.noticed["unseen"] for wave in steps) > 1 - NOTICED:
        return
    yield Idea(
        "same-phase",
        f"Layers of {same.nearest_mm:g} mm",
        f"Print layers of {same.nearest_mm:g} mm instead of {job.layer_mm:g} mm: each meets the "
        f"same motor phase, so the bands of uneven steps go, by which each side now swings "
        f"± {1000 * same.wall_mm.estimate:.0f} ({1000 * same.wall_mm.low:.0f} to "
        f"{1000 * same.wall_mm.high:.0f}) µm.",
        replace(job, layer_mm=same.nearest_mm, first_mm=job.first),
        same.risk,
        shown_layers=SHOWN_LAYERS,
    )


def _offset_for(job: Print, laid: Laid) -> float:
    """The offset with which layer one is as told at the part, in hundredths."""
    offset, one = job.offset_mm, replace(job, layers=1)
    lowest = ceil(100 * max(-0.5 * job.first, job.dip_to_mm - job.first)) / 100
    for _ in range(4):
        gap = gaps_mm(laid(replace(one, offset_mm=offset)), np.random.default_rng(0), usual=True)
        off = float(np.median(gap[:, 0, -1])) - job.first
        if abs(off) < 0.003:
            break
        offset = float(np.clip(offset - off, lowest, OFFSET_LIMIT_MM))
    return round(offset, 2) + 0.0  # never -0.0


def _worst(made: Heights) -> Array:
    """The largest miss of any layer at any place, a value a draw, lifts within a layer counted."""
    job = made.job
    told = np.array([job.nominal_mm(k + 1) for k in range(job.layers)])
    gaps = gaps_mm(made, np.random.default_rng(0))
    within = np.abs(made.foretold_mm[..., 1] - made.foretold_mm[..., 0])
    off = np.abs(gaps - told[:, None])
    return np.asarray(np.maximum(off, within).max(axis=(1, 2)))


def _remedy(
    machine: Machine, job: Print, idea: Idea, made: Heights, worst: Array, now: Array
) -> Remedy:
    lines: tuple[str, ...] = ()
    why = ""
    try:
        lines = motion_lines(machine, idea.job, layers=idea.shown_layers)
    except InputError as problem:
        why = str(problem)
    gaps = gaps_mm(made, np.random.default_rng(0))
    told = idea.job.told_mm(idea.job.layers) - idea.job.offset_mm
    return Remedy(
        id=idea.id,
        title=idea.title,
        words=idea.words,
        job=replace(idea.job, layers=job.layers),
        first_gap_mm=interval(gaps[:, 0, -1]),
        worst_mm=interval(worst),
        worst_before_mm=interval(now),
        total_mm=interval(made.foretold_mm[:, -1, -1].mean(axis=-1) - told),
        layers=layers_of(made, np.random.default_rng(0)),
        risk=idea.risk,
        lines=lines,
        not_proved=why,
    )
