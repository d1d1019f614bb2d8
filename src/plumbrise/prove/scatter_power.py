"""How much a scatter must change to be shown: tried on chance readings where no formula says it."""

from __future__ import annotations

from functools import lru_cache
from math import sqrt
from typing import TYPE_CHECKING, Any

from plumbrise.prove.comparing import POWER

if TYPE_CHECKING:
    import numpy as np

    Samples = np.ndarray[Any, np.dtype[np.float64]]

TRIES = 1000
STEPS = 10
"""Halvings of what is looked for: to a thousandth."""


@lru_cache(maxsize=256)
def share_left(count_before: int, count_after: int, risk: float) -> float:
    """The largest share of itself that a scatter may be left with so that its fall is still shown
    with `POWER` by all three chances of `scatter_chance`; 0 where not even all of it gone is.

    Tried on normal readings, the same ones every time.

    Args:
        count_before: readings that the scatter before is known from.
        count_after: the same after.
        risk: of calling it a change where there is none, two-sided.
    """
    import numpy as np

    rng = np.random.default_rng(0)
    before = rng.standard_normal((TRIES, count_before))
    after = rng.standard_normal((TRIES, count_after))

    def shown(share: float) -> bool:
        return bool(np.mean(chances(before, share * after) < risk) >= POWER)

    low, high = 0.0, 1.0
    for _ in range(STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if shown(middle) else (low, middle)
    return low


def chances(before: Samples, after: Samples) -> Samples:
    """What `scatter_chance` says of each row of readings against the same row after."""
    import numpy as np

    n, m = before.shape[1], after.shape[1]
    found: Samples = np.maximum(
        _of_ratio(_variance(before), n - 1.0, _variance(after), m - 1.0),
        _of_ratio(_successive(before), 2 * (n - 1) / 3, _successive(after), 2 * (m - 1) / 3),
    )
    return np.maximum(found, _of_distances(before, after))


def _of_ratio(before: Samples, dof_before: float, after: Samples, dof_after: float) -> Samples:
    import numpy as np
    from scipy.special import fdtr, fdtrc

    f = after / before
    both = np.minimum(fdtr(dof_after, dof_before, f), fdtrc(dof_after, dof_before, f))
    found: Samples = np.minimum(1.0, 2 * both)
    return found


def _variance(rows: Samples) -> Samples:
    found: Samples = rows.var(axis=1, ddof=1)
    return found


def _successive(rows: Samples) -> Samples:
    import numpy as np

    found: Samples = (np.diff(rows, axis=1) ** 2).mean(axis=1) / 2
    return found


def _of_distances(before: Samples, after: Samples) -> Samples:
    import numpy as np
    from scipy.special import fdtrc

    one, two = (np.abs(x - np.median(x, axis=1, keepdims=True)) for x in (before, after))
    n, m = one.shape[1], two.shape[1]
    within = one.var(axis=1) * n + two.var(axis=1) * m
    apart = (one.mean(axis=1) - two.mean(axis=1)) ** 2 * n * m / (n + m)
    found: Samples = fdtrc(1, n + m - 2, apart / (within / (n + m - 2)))
    return found


def share_left_by_law(dof_before: float, dof_after: float, risk: float) -> float:
    """The same where the ratio of variances alone is judged: from the law F itself.

    Source:
        NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.9.

    Example:
        >>> round(share_left_by_law(4, 4, 0.05), 2)
        0.2
    """
    from scipy.special import fdtri

    low = float(fdtri(dof_after, dof_before, risk / 2))
    reached = float(fdtri(dof_after, dof_before, POWER))
    return sqrt(low / reached)
