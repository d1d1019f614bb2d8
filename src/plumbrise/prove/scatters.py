"""Two scatters against each other: is it the repeating that changed?"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import inf, sqrt

from plumbrise.analyse.statistics import levene
from plumbrise.explain import Interval
from plumbrise.prove.comparing import RISK
from plumbrise.prove.scatter_power import share_left, share_left_by_law
from plumbrise.quantity import Measured


def limits(dof_before: float, dof_after: float, risk: float = RISK) -> tuple[float, float]:
    """Between which the ratio of two variances, after over before, lies by chance alone.

    Source:
        Snedecor's F; NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.9.

    Example:
        >>> low, high = limits(4, 4)
        >>> round(low, 4), round(high, 3)
        (0.1041, 9.605)
    """
    from scipy.special import fdtri

    return (
        float(fdtri(dof_after, dof_before, risk / 2)),
        float(fdtri(dof_after, dof_before, 1 - risk / 2)),
    )


def scatter_chance(
    before: Measured, after: Measured, samples: tuple[Sequence[float], Sequence[float]] = ((), ())
) -> float:
    """Two-sided chance of so large a ratio of variances where there is no difference. With the
    samples at hand, their distances from the medians and from reading to reading must say it too:
    the largest chance counts."""
    chances = [_variances_chance(before.value, before.dof, after.value, after.dof)]
    if all(len(some) > 1 for some in samples):
        (one, dof), (two, dof_after) = (from_reading_to_reading(some) for some in samples)
        # readings all alike: what the gauge can see stands for their scatter
        chances.append(_variances_chance(one or before.value, dof, two or after.value, dof_after))
        if one or two:
            chances.append(levene(samples).p)
    return max(chances)


def _variances_chance(sd_before: float, dof_before: float, sd_after: float, dof: float) -> float:
    from scipy.special import fdtr, fdtrc

    if sd_before <= 0 or sd_after <= 0:
        return 1.0  # a scatter of nothing is one that the gauge cannot see
    f = (sd_after / sd_before) ** 2
    return min(1.0, 2 * min(float(fdtr(dof, dof_before, f)), float(fdtrc(dof, dof_before, f))))


def from_reading_to_reading(sample: Sequence[float]) -> tuple[float, float]:
    """Standard deviation from successive differences, with about two thirds of the degrees of
    freedom: one knock on the stand shifts all later readings, but only one of these.

        s² = Σ (x_(i+1) - x_i)² / (2 (n - 1))

    Source:
        von Neumann, Annals of Mathematical Statistics 12 (1941) 367.

    Example:
        >>> sd, dof = from_reading_to_reading((0.0, 0.0, 0.0, 1.0, 1.0, 1.0))
        >>> round(sd, 2), round(dof, 1)
        (0.32, 3.3)
    """
    count = len(sample) - 1
    squares = sum((b - a) ** 2 for a, b in pairwise(sample))
    return sqrt(squares / (2 * count)), 2 * count / 3


def scatter_ratio(before: Measured, after: Measured) -> Interval | None:
    """After over before with its 95 % interval, None where there was no scatter to see."""
    if before.value <= 0:
        return None
    r = after.value / before.value
    low, high = limits(before.dof, after.dof)
    return Interval(r, r / sqrt(high), r / sqrt(low), 0.95)


def scatter_could_show(
    before: Measured,
    after: Measured,
    samples: tuple[Sequence[float], Sequence[float]] = ((), ()),
    judged: int = 1,
) -> tuple[float, float]:
    """The smallest fall and the smallest rise of a scatter that would have shown with `POWER` among
    so many judged; a fall of all of it where not even that would, an unbounded rise likewise."""
    risk = RISK / max(judged, 1)
    one, two = (len(some) for some in samples)
    if min(one, two) > 1:
        fallen, risen = share_left(one, two, risk), share_left(two, one, risk)
    else:
        fallen = share_left_by_law(before.dof, after.dof, risk)
        risen = share_left_by_law(after.dof, before.dof, risk)
    return before.value * (1 - fallen), before.value * (1 / risen - 1) if risen else inf


def interval_of(sd: float, dof: float) -> Interval:
    """The 95 % interval of a standard deviation from normal readings.

        s √(ν / χ²(0.975)) to s √(ν / χ²(0.025))

    Source:
        Chi-square; NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.8.

    Example:
        >>> found = interval_of(1.0, 4)
        >>> round(found.low, 3), round(found.high, 3)
        (0.599, 2.874)
    """
    from scipy.special import chdtri

    return Interval(
        sd, sd * sqrt(dof / chdtri(dof, 0.025)), sd * sqrt(dof / chdtri(dof, 0.975)), 0.95
    )
