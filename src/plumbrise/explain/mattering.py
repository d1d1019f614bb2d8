"""On which imagined axes a cause matters: it is there, and takes a size that counts in some test
on offer. A cause is what it takes, before it is read as after."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import predict_all
from plumbrise.explain.ahead import Ahead
from plumbrise.explain.draws import least_that_matters_mm
from plumbrise.explain.space import Space

Matrix = NDArray[np.float64]
Bools = NDArray[np.bool_]


def matters(
    ahead: Ahead, space: Space, there: Mapping[str, Bools], thetas: Matrix, terms: Matrix
) -> dict[str, Bools]:
    """The axes on which each cause matters, of those that have it.

    Args:
        ahead: the tests on offer.
        space: how each cause is put back to sound.
        there: the axes that have each cause.
        thetas, terms: the axes, one a row: parameters, and linear terms beside them.
    """
    seen = ahead.seen
    curved = _read(ahead, thetas)
    off = curved + terms @ seen.columns.T - ahead.told_mm
    limit = np.stack(
        [
            least_that_matters_mm(np.ptp(off[:, bound], axis=1), seen.resolution_mm)
            for bound in seen.bounds
        ],
        axis=1,
    )
    causes = np.array(seen.causes)
    out = {}
    for cause, has in there.items():
        rows = np.flatnonzero(has)
        sound = space.healthy(cause, thetas[rows])
        change = np.zeros((len(rows), curved.shape[1]))
        moved = np.any(sound != thetas[rows], axis=1)
        if moved.any():
            change[moved] += _read(ahead, sound[moved]) - curved[rows[moved]]
        own = np.flatnonzero(causes == cause)
        change += terms[np.ix_(rows, own)] @ seen.columns[:, own].T
        takes = np.stack([np.ptp(change[:, bound], axis=1) for bound in seen.bounds], axis=1)
        out[cause] = has.copy()
        out[cause][rows] = np.any(takes > limit[rows], axis=1)
    return out


def _read(ahead: Ahead, thetas: Matrix) -> Matrix:
    return np.asarray(predict_all(ahead.session, thetas).reading_mm)[:, ahead.seen.rows]
