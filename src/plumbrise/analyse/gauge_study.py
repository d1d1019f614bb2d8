"""How much of the scatter is the gauge's and the reader's own: a gauge study."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.statistics import Tested
from plumbrise.errors import InputError

POOL_ABOVE_P = 0.25
"""An interaction less sure than this is pooled with repeatability (common practice)."""
CATEGORIES = 1.41


@dataclass(frozen=True, slots=True)
class Squares:
    """Sums of squares of a crossed study."""

    appraiser: float
    part: float
    interaction: float
    equipment: float
    total: float


@dataclass(frozen=True, slots=True)
class GaugeStudy:
    """Variance components and their standard deviations; `share` is of the total deviation."""

    squares: Squares
    interaction: Tested
    pooled: bool
    repeatability: float
    appraiser: float
    part: float
    gauge: float
    total: float
    categories: float

    def share(self, variance: float) -> float:
        """Standard deviation of a component as a share of the total."""
        return sqrt(variance / self.total)


def gauge_study(values: NDArray[np.float64]) -> GaugeStudy:
    """Crossed study by analysis of variance.

    Args:
        values: appraisers by trials by parts.

    Raises:
        InputError: fewer than two appraisers, trials or parts.

    Source:
        AIAG, Measurement Systems Analysis, 4th ed., 2010, chapter III B, ANOVA method.
    """
    from scipy.special import fdtrc

    if min(values.shape) < 2:
        raise InputError(
            place="gauge study",
            value=values.shape,
            allowed="2 or more of appraisers, trials and parts",
            remedy="Read every part at least twice by two people.",
        )
    a, t, p = values.shape
    grand = values.mean()
    cell = values.mean(axis=1)
    of_appraiser = t * p * float(((values.mean(axis=(1, 2)) - grand) ** 2).sum())
    of_part = a * t * float(((values.mean(axis=(0, 1)) - grand) ** 2).sum())
    equipment = float(((values - cell[:, None, :]) ** 2).sum())
    total = float(((values - grand) ** 2).sum())
    interaction = total - of_appraiser - of_part - equipment
    dof_i, dof_e = (a - 1) * (p - 1), a * p * (t - 1)
    ratio = (interaction / dof_i) / (equipment / dof_e)
    test = Tested(ratio, (dof_i, dof_e), float(fdtrc(dof_i, dof_e, ratio)))
    pooled = test.p > POOL_ABOVE_P
    if pooled:
        noise, crossed = (interaction + equipment) / (dof_i + dof_e), 0.0
        against = noise
    else:
        noise = equipment / dof_e
        against = interaction / dof_i
        crossed = max(0.0, (against - noise) / t)
    appraiser = max(0.0, (of_appraiser / (a - 1) - against) / (t * p)) + crossed
    part = max(0.0, (of_part / (p - 1) - against) / (t * a))
    gauge = noise + appraiser
    return GaugeStudy(
        Squares(of_appraiser, of_part, interaction, equipment, total),
        test,
        pooled,
        noise,
        appraiser,
        part,
        gauge,
        gauge + part,
        CATEGORIES * sqrt(part / gauge),
    )


@dataclass(frozen=True, slots=True)
class RangeStudy:
    """A gauge study by ranges: mean range, spread of appraisers and parts, and deviations."""

    mean_range: float
    appraiser_difference: float
    part_range: float
    equipment: float
    appraiser: float
    gauge: float
    part: float
    total: float
    categories: float


def gauge_study_by_ranges(
    values: NDArray[np.float64], *, k_trials: float, k_appraisers: float, k_parts: float
) -> RangeStudy:
    """Crossed study by ranges, as done with pencil and paper.

    Args:
        values: appraisers by trials by parts.
        k_trials: 1/d2* for the number of trials (3: 0.5908).
        k_appraisers: for the number of appraisers (3: 0.5231).
        k_parts: for the number of parts (10: 0.3146).

    Source:
        AIAG, Measurement Systems Analysis, 4th ed., 2010, range method.
    """
    _, t, p = values.shape
    mean_range = float(np.ptp(values, axis=1).mean())
    difference = float(np.ptp(values.mean(axis=(1, 2))))
    part_range = float(np.ptp(values.mean(axis=(0, 1))))
    equipment = k_trials * mean_range
    appraiser = sqrt(max(0.0, (k_appraisers * difference) ** 2 - equipment**2 / (t * p)))
    part = k_parts * part_range
    gauge = sqrt(equipment**2 + appraiser**2)
    return RangeStudy(
        mean_range,
        difference,
        part_range,
        equipment,
        appraiser,
        gauge,
        part,
        sqrt(gauge**2 + part**2),
        CATEGORIES * part / gauge,
    )
