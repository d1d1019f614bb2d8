"""A part to print as a gauge: few layers, where calipers go, and what each cause would leave."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import sound
from plumbrise.explain import Believed, Interval
from plumbrise.foresee.axes import Axes, another_print, one_axis, taken_over
from plumbrise.foresee.heights import PART, heights
from plumbrise.foresee.printing import Lift, Print
from plumbrise.machine import Machine

Array = NDArray[np.float64]
Vector = NDArray[np.float64]

STEPS = (1, 2, 3, 5, 10)
"""Layers of the steps of one patch."""
PLACES = (0.2, 0.5, 0.8)
"""Where patches lie, as a share of the span from the left guide."""
NAMED = ("left", "middle", "right")
COUNTS = 0.02
"""Causes below this are not held against the part."""
STEP_SIDE_MM = 15.0


@dataclass(frozen=True, slots=True)
class Patch:
    """One step of the test part: where it lies, how many layers it has, how thick it is told to
    be, how thick it is expected, and how thick if nothing were wrong or if one cause is there.
    `tells_mm` is how far the causes lie apart here."""

    place: str
    place_mm: float
    layers: int
    told_mm: float
    expected_mm: Interval
    sound_mm: float
    by_cause_mm: Mapping[str, float]
    tells_mm: float


@dataclass(frozen=True, slots=True)
class PartToPrint:
    """What to print and where to measure. `best` are the three patches that tell the most."""

    job: Print
    patches: tuple[Patch, ...]
    best: tuple[Patch, ...]
    words: tuple[str, ...]


def part_to_print(
    machine: Machine, believed: Believed, job: Print, rng: np.random.Generator
) -> PartToPrint:
    """The steps to print with this machine's own start and lifts, and what they would measure."""
    job = replace(job, layers=max(STEPS))
    axes = taken_over(believed.base, believed.thetas, believed.terms)
    good = one_axis(sound(machine))
    patches: list[Patch] = []
    for place, share in zip(NAMED, PLACES, strict=True):
        here = replace(job, place_mm=round(share * axes.base.span_mm, 1))
        thick, _ = thicknesses(axes, here, STEPS, rng)
        right = thicknesses(good, here, STEPS, rng)[0][0]
        for k, layers in enumerate(STEPS):
            patches.append(_patch(believed, here, place, layers, thick[:, k], float(right[k])))
    best = tuple(sorted(patches, key=lambda patch: -patch.tells_mm)[:3])
    return PartToPrint(job, tuple(patches), best, _words(job))


def thicknesses(
    axes: Axes, job: Print, layers: tuple[int, ...], rng: np.random.Generator
) -> tuple[Array, Array]:
    """How thick so many layers are at the part's place, (draws, steps), and by how much that
    differs from print to print."""
    at = [layer - 1 for layer in layers]
    made = heights(axes, job, rng)
    place = made.places.index(PART)
    usual = made.usual_mm[:, at, place].mean(axis=-1)
    other = heights(another_print(axes, rng), job, rng).usual_mm[:, at, place].mean(axis=-1)
    return usual, np.abs(other - usual)


def _patch(
    believed: Believed, job: Print, place: str, layers: int, thick: Vector, right: float
) -> Patch:
    weight = believed.weight / believed.weight.sum()
    by_cause = {
        cause: float(np.average(thick[takes], weights=weight[takes]))
        for cause, takes in believed.takes.items()
        if weight[takes].sum() > COUNTS
    }
    values = list(by_cause.values()) or [right]
    assert job.place_mm is not None
    return Patch(
        place=place,
        place_mm=job.place_mm,
        layers=layers,
        told_mm=job.told_mm(layers) - job.offset_mm,
        expected_mm=_weighed(thick, weight),
        sound_mm=right,
        by_cause_mm=by_cause,
        tells_mm=max(values) - min(values),
    )


def _weighed(values: Vector, weight: Vector) -> Interval:
    order = np.argsort(values)
    upto = np.cumsum(weight[order]) - 0.5 * weight[order]
    low, middle, high = np.interp((0.05, 0.5, 0.95), upto, values[order])
    return Interval(float(middle), float(low), float(high))


def _words(job: Print) -> tuple[str, ...]:
    side = f"{STEP_SIDE_MM:g} mm"
    lift = "with the lifts you print with" if job.lift is not Lift.NONE else "without lifts"
    return (
        f"Print one strip at each place: squares of {side} side by side, of "
        f"{', '.join(str(n) for n in STEPS)} layers, all strips in one print, {lift}.",
        "Start as you always do. Switch ironing, brim and first-layer squash in the slicer off.",
        "Let it cool, take the strips off, and measure each square in its middle, clear of edges, "
        "three times, with a micrometer or the flat of the calipers' jaws.",
        "Write the thickness in the last column of the table and give it back with --measured.",
    )
