"""Two values of a figure against each other."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, isfinite, sqrt

from plumbrise.explain import Interval
from plumbrise.prove.results import Verdict
from plumbrise.quantity import Measured, Unit, combined, student_factor

RISK = 0.05
POWER = 0.8
HALF = 0.5
LARGEST_RATIO = 1e6
MATTERS_MM = 0.02
"""Where neither a change by half of what was there would have shown nor one of this size (for a
scatter, which cannot fall by more than itself: a rise of this size), nothing can be told."""


def difference(before: Measured, after: Measured, extra_u: float = 0.0) -> Measured:
    """After less before.

        u² = u_a² + u_b² + u_e²,  degrees of freedom by Welch and Satterthwaite

    Args:
        before: the figure before.
        after: the same after.
        extra_u: standard uncertainty of what was not the same.

    Source:
        Welch, Biometrika 34 (1947) 28; GUM (JCGM 100:2008) G.4.1.

    Example:
        >>> from plumbrise.quantity import Unit
        >>> found = difference(Measured(0.30, 0.02, Unit.MM, 9), Measured(0.10, 0.02, Unit.MM, 9))
        >>> round(found.value, 3), round(found.u, 4), round(found.dof)
        (-0.2, 0.0283, 18)
    """
    u, dof = combined([(before.u, before.dof), (after.u, after.dof), (extra_u, inf)])
    return Measured(after.value - before.value, u, before.unit, dof)


def chance(change: Measured) -> float:
    """Two-sided chance of so large a change where there is none (Student)."""
    from scipy.special import ndtr, stdtr

    if change.u <= 0:
        return 0.0 if change.value else 1.0
    t = abs(change.value) / change.u
    if not isfinite(change.dof):
        return float(2 * ndtr(-t))
    return float(2 * stdtr(max(change.dof, 1.0), -t))


def minded(chances: Sequence[float]) -> list[float]:
    """Chances where so many figures are judged together, so that the risk of one wrong "better"
    or "worse" among them all stays what it is for one.

    Source:
        Holm, Scandinavian Journal of Statistics 6 (1979) 65.

    Example:
        >>> [round(p, 3) for p in minded([0.01, 0.04, 0.03])]
        [0.03, 0.06, 0.06]
    """
    order = sorted(range(len(chances)), key=lambda i: chances[i])
    out = [0.0] * len(chances)
    highest = 0.0
    for rank, i in enumerate(order):
        highest = max(highest, min(1.0, (len(chances) - rank) * chances[i]))
        out[i] = highest
    return out


def could_show(change: Measured, judged: int = 1) -> float:
    """The smallest change that would have shown with `POWER` among so many figures judged.

        (t(1 - risk / 2 m) + t(power)) · u

    An approximation: Student's factor in place of the noncentral one. Every figure is taken to
    face the strictest step of Holm's ladder, so that less would often do.
    """
    strictest = student_factor(change.dof, 1 - RISK / max(judged, 1))
    return (strictest + student_factor(change.dof, 2 * POWER - 1)) * change.u


def ratio(before: Measured, after: Measured) -> Interval | None:
    """After over before with a 95 % interval, None where that has no bound.

        ends: (r ± t √(u_a² + r² u_b² - g u_a²) / b) / (1 - g),  g = (t u_b / b)²

    Degrees of freedom are those of a - r b, of which the interval is made (Welch, Satterthwaite).

    Source:
        Fieller, Journal of the Royal Statistical Society B 16 (1954) 175, independent values.

    Example:
        >>> from plumbrise.quantity import Unit
        >>> found = ratio(Measured(0.4, 0.01, Unit.MM), Measured(0.1, 0.01, Unit.MM))
        >>> round(found.estimate, 2), round(found.low, 2), round(found.high, 2)
        (0.25, 0.2, 0.3)
    """
    if before.value <= before.expanded or after.value > LARGEST_RATIO * before.value:
        return None
    r = after.value / before.value
    _, dof = combined([(r * before.u, before.dof), (after.u, after.dof)])
    t = student_factor(dof)
    g = (t * before.u / before.value) ** 2
    if g >= 1:
        return None
    half = t / before.value * sqrt(after.u**2 * (1 - g) + r**2 * before.u**2)
    return Interval(r, (r - half) / (1 - g), (r + half) / (1 - g), 0.95)


def verdict(
    before: Measured, change: Measured, p: float, least: float, rise: float | None = None
) -> Verdict:
    """What may be said.

    Args:
        before: the figure before.
        change: after less before.
        p: the chance of it where there is none, minded for all figures judged together.
        least: the smallest change for the better that would have shown.
        rise: the smallest for the worse, where that is another (a scatter).
    """
    if p < RISK and change.value:
        return Verdict.BETTER if change.value < 0 else Verdict.WORSE
    enough = MATTERS_MM if change.unit is Unit.MM else 0.0
    if least <= HALF * before.value or (least if rise is None else rise) <= enough:
        return Verdict.NO_DIFFERENCE
    return Verdict.CANNOT_TELL
