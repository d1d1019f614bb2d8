"""Evidence of a set of causes, and what follows for sets and causes.

A set fixes the priors. Parameters are scaled so that each prior is a unit normal, readings so
that the noise is; then the evidence by Laplace's method is

    ln Z = -½ (rᵀr + vᵀv) - ½ ln|C| - ½ ln|I + JᵀJ| - (n/2) ln 2π

with r the scaled rest, v the parameters at the mode, J = dr/dv, C the noise covariance. It is
exact where the readings depend on the parameters linearly (Bishop, Pattern Recognition and
Machine Learning, eq. 2.115 and section 4.4).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log, pi

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

LOG_2PI = log(2 * pi)


def laplace_log_evidence(
    *, rest: Vector, at_mode: Vector, jacobian: Matrix, log_det_noise: float, free_zeros: int = 0
) -> float:
    """Log evidence by Laplace's method, in scaled parameters and readings.

    Args:
        rest: scaled readings less model at the mode.
        at_mode: scaled parameters there (prior: unit normal).
        jacobian: of the scaled model by the scaled parameters, at the mode.
        log_det_noise: ln|C| of the readings' noise.
        free_zeros: degrees of freedom already taken out of `rest` by free zeros.

    Example:
        Readings 1 and 2 of one mean with unit prior and unit noise: -½·5 + ½·3²/3 - ½ ln 3 - ln 2π

        >>> round(laplace_log_evidence(rest=np.array([0.0, 1.0]), at_mode=np.array([1.0]),
        ...                            jacobian=np.ones((2, 1)), log_det_noise=0.0), 10)
        -3.3871832107
    """
    n = len(rest) - free_zeros
    misfit = float(rest @ rest + at_mode @ at_mode)
    return -0.5 * (misfit + log_det_noise + log_det_posterior(jacobian) + n * LOG_2PI)


def log_det_posterior(jacobian: Matrix) -> float:
    """ln|I + JᵀJ|."""
    h = jacobian.T @ jacobian
    h[np.diag_indices_from(h)] += 1.0
    return 2.0 * float(np.log(np.diag(np.linalg.cholesky(h))).sum())


def linear_log_evidence(
    readings: Vector, columns: Matrix, *, mean: Vector, sd: Vector, noise_sd: float
) -> float:
    """Log evidence of readings = columns · b + noise with b ~ N(mean, sd²); exact.

    Example:
        >>> round(linear_log_evidence(np.array([1.0, 2.0]), np.ones((2, 1)), mean=np.zeros(1),
        ...                           sd=np.ones(1), noise_sd=1.0), 10)
        -3.3871832107
    """
    rest = (readings - columns @ mean) / noise_sd
    jacobian = columns * sd / noise_sd
    h = jacobian.T @ jacobian
    h[np.diag_indices_from(h)] += 1.0
    v: Vector = np.linalg.solve(h, jacobian.T @ rest).astype(np.float64)
    return laplace_log_evidence(
        rest=rest - jacobian @ v,
        at_mode=v,
        jacobian=jacobian,
        log_det_noise=2 * len(readings) * log(noise_sd),
    )


@dataclass(frozen=True, slots=True)
class Switches:
    """Linear terms with everything else already taken into account, so that other prior spreads
    cost no new fit: `gram` and `pull` are XᵀMX and XᵀMy for unscaled columns X, `base` is -½ of
    what stays whatever their spread."""

    gram: Matrix
    pull: Vector
    base: float

    def log_evidence(self, sd: Vector) -> float:
        """Log evidence (up to what all choices share) with these prior spreads; 0 leaves out."""
        used = np.flatnonzero(sd > 0)
        if not len(used):
            return self.base
        scale = sd[used]
        h = self.gram[np.ix_(used, used)] * np.outer(scale, scale)
        h[np.diag_indices_from(h)] += 1.0
        lower = np.linalg.cholesky(h)
        half = np.linalg.solve(lower, self.pull[used] * scale)
        return self.base + 0.5 * float(half @ half) - float(np.log(np.diag(lower)).sum())


def switches(rest: Vector, jacobian: Matrix, columns: Matrix) -> Switches:
    """Marginalise the scaled parameters of `jacobian` (unit normal) and keep the linear terms.

    Args:
        rest: scaled readings, linearised: rest at the mode plus jacobian times the mode.
        jacobian: by the scaled parameters that stay as they are.
        columns: scaled readings by the unscaled linear terms.
    """
    h = jacobian.T @ jacobian
    h[np.diag_indices_from(h)] += 1.0
    lower = np.linalg.cholesky(h)
    side = np.column_stack([columns, rest])
    half = np.linalg.solve(lower, jacobian.T @ side)
    inner = side.T @ side - half.T @ half
    base = -0.5 * float(inner[-1, -1]) - float(np.log(np.diag(lower)).sum())
    return Switches(inner[:-1, :-1], inner[:-1, -1], base)


def normalised(log_weights: Sequence[float]) -> Vector:
    """Probabilities from log weights, without overflow.

    Example:
        >>> normalised([-1000.0, -1000.0]).tolist()
        [0.5, 0.5]
    """
    w = np.asarray(log_weights, float)
    p: Vector = np.exp(w - w.max())
    return np.asarray(p / p.sum(), dtype=np.float64)


def of_causes(
    sets: Sequence[frozenset[str]], probabilities: Sequence[float], causes: Sequence[str]
) -> dict[str, float]:
    """Probability of each cause: the sum over the sets that hold it.

    Example:
        >>> of_causes([frozenset(), frozenset({"racking"})], [0.25, 0.75], ["racking"])
        {'racking': 0.75}
    """
    return {
        cause: float(sum(p for s, p in zip(sets, probabilities, strict=True) if cause in s))
        for cause in causes
    }


def log_prior(causes: frozenset[str], chance: Mapping[str, float]) -> float:
    """Log prior of a set: each cause is there or not by its own chance."""
    return sum(log(p) if cause in causes else log(1 - p) for cause, p in chance.items())
