"""What a measured test part says of the causes: each believed axis counts by how well it would
have printed that part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.errors import InputError
from plumbrise.explain import Believed
from plumbrise.foresee.axes import taken_over
from plumbrise.foresee.part import thicknesses
from plumbrise.foresee.printing import Print

Array = NDArray[np.float64]
Vector = NDArray[np.float64]

CALIPERS_MM = 0.015
"""Spread of one thickness by calipers or micrometer on a printed face (common practice)."""
LEVEL_MM = 0.05
"""How far the bed may lie off at a place, the same under all its steps (a guess)."""
SHRINKS = 0.01
"""By what share thickness may be off all over (squash and shrinkage; a guess)."""
MODEL = 0.05
"""By what share of what is lost the axis model may err."""
FEWEST = 3
"""Fewer measured steps say nothing."""
FEW = 5.0
"""With fewer believed axes left than these an answer is a hint."""
ODD = 3.0
"""Misfit a reading (chi square) above which no believed axis prints like this."""


@dataclass(frozen=True, slots=True)
class Measured:
    """One measured step: place from the left guide, layers, thickness, mm."""

    place_mm: float
    layers: int
    thickness_mm: float


@dataclass(frozen=True, slots=True)
class PartEvidence:
    """Probabilities of causes before and after the part was measured.

    `left` is how many believed axes still count, of `count`; `misfit` the chi square a reading of
    the best of them. `verdict` is "fits", "hint" (too few axes are left for more) or "odd" (none
    prints like this, and probabilities stay as they were).
    """

    before: Mapping[str, float]
    after: Mapping[str, float]
    left: float
    count: int
    misfit: float
    verdict: str


def part_evidence(
    believed: Believed, job: Print, measured: Sequence[Measured], rng: np.random.Generator
) -> PartEvidence:
    """Weigh the believed axes by a measured test part.

        ln L = -½ rᵀ C⁻¹ r - ½ ln|C|,   C = calipers² + (5 % of the loss)² + print to print²
               + level of the bed, common to a place + shrinkage, common to all

    Args:
        believed: the axes before.
        job: how the part was printed.
        measured: its steps; several of one step are taken as repeats.
        rng: what differs from print to print.

    Raises:
        InputError: fewer than three steps.
    """
    if len(measured) < FEWEST:
        raise InputError(
            place="thickness_mm",
            value=len(measured),
            allowed="three measured steps or more",
            remedy="Measure more steps, best at both ends of the beam.",
        )
    axes = taken_over(believed.base, believed.thetas, believed.terms)
    thick = np.zeros((believed.count, len(measured)))
    differs = np.zeros_like(thick)
    told = np.zeros(len(measured))
    for place in sorted({one.place_mm for one in measured}):
        rows = [k for k, one in enumerate(measured) if one.place_mm == place]
        steps = tuple(measured[k].layers for k in rows)
        here = replace(job, place_mm=place, layers=max(steps))
        thick[:, rows], differs[:, rows] = thicknesses(axes, here, steps, rng)
        told[rows] = [here.told_mm(step) - here.offset_mm for step in steps]
    likely, misfit = _likelihood(measured, thick, differs, told)
    before = believed.weight / believed.weight.sum()
    after = before * np.exp(likely - likely.max())
    after /= after.sum()
    left = float(1.0 / np.sum(after**2))
    odd = float(misfit.min()) > ODD
    return PartEvidence(
        before=_of_causes(believed, before),
        after=_of_causes(believed, before if odd else after),
        left=left,
        count=believed.count,
        misfit=float(misfit.min()),
        verdict="odd" if odd else "hint" if left < FEW else "fits",
    )


def _likelihood(
    measured: Sequence[Measured], thick: Array, differs: Array, told: Vector
) -> tuple[Vector, Vector]:
    """Logarithm of the likelihood, and chi square a reading, of each draw."""
    read = np.array([one.thickness_mm for one in measured])
    places = np.array([one.place_mm for one in measured])
    common = LEVEL_MM**2 * (places[:, None] == places) + np.outer(SHRINKS * told, SHRINKS * told)
    likely, misfit = np.zeros(len(thick)), np.zeros(len(thick))
    other = np.sqrt(np.mean(differs**2, axis=0))
    for k, made in enumerate(thick):
        own = CALIPERS_MM**2 + (MODEL * (made - told)) ** 2 + other**2
        spread = common + np.diag(own)
        off = read - made
        chi = float(off @ np.linalg.solve(spread, off))
        likely[k] = -0.5 * (chi + np.linalg.slogdet(spread)[1])
        misfit[k] = chi / len(read)
    return likely, misfit


def _of_causes(believed: Believed, weight: Vector) -> dict[str, float]:
    return {
        cause: float(weight[takes].sum()) * believed.keep.get(cause, 1.0)
        for cause, takes in believed.takes.items()
    }
