"""Sets of changes as bits: which may be made together, on a machine."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from plumbrise.redesign.changes import Change

Masks = NDArray[np.int64]
Vector = NDArray[np.float64]


def allowed_sets(changes: Sequence[Change]) -> Masks:
    """Every set of these changes that can be made together, in rising order of their bits.

    Sets grow change by change, and one that holds what excludes each other is never carried on.

    Example:
        >>> from plumbrise.redesign.changes import Span
        >>> one = Change(id="one", title="", words="", effects=(), hours=Span(0, 0, 0))
        >>> two = Change(id="two", title="", words="", effects=(), hours=Span(0, 0, 0),
        ...              excludes=("one",))
        >>> allowed_sets([one, two]).tolist()
        [0, 1, 2]
    """
    place = {change.id: bit for bit, change in enumerate(changes)}
    masks = np.zeros(1, dtype=np.int64)
    for bit, change in enumerate(changes):
        against = sum(1 << place[i] for i in _excluded(change, changes) if place[i] < bit)
        grown = masks[(masks & against) == 0] | (1 << bit)
        masks = np.concatenate([masks, grown])  # stays sorted: the new bit is the highest
    for bit, change in enumerate(changes):
        for needed in change.needs:
            has = masks >> bit & 1
            met = masks >> place[needed] & 1 if needed in place else np.zeros_like(masks)
            masks = masks[(has == 0) | (met == 1)]
    return masks


def _excluded(change: Change, changes: Sequence[Change]) -> set[str]:
    ids = {other.id for other in changes}
    against = {i for i in change.excludes if i in ids}
    against |= {other.id for other in changes if change.id in other.excludes}
    return against - {change.id}


def summed(masks: Masks, amounts: Sequence[float]) -> Vector:
    """The sum of each set's amounts (one a change, in the order of the bits).

    Example:
        >>> summed(np.array([0, 1, 3]), [2.0, 5.0]).tolist()
        [0.0, 2.0, 7.0]
    """
    out = np.zeros(len(masks))
    for bit, amount in enumerate(amounts):
        out += amount * (masks >> bit & 1)
    return out


def members(mask: int, changes: Sequence[Change]) -> tuple[Change, ...]:
    """The changes of a set."""
    return tuple(change for bit, change in enumerate(changes) if mask >> bit & 1)
