"""What the best set of causes leaves of the readings, laid out so that more shapes can be held
against it: how much a shape would gain beyond what every cause could still take of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.explain.noise import first_level
from plumbrise.explain.search import Found, rest_of
from plumbrise.explain.witness import set_aside, with_noise
from plumbrise.readings import Run

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

UNEVEN = 0.12
"""Share of what a clamp sank by which it sinks unevenly."""
DEEP_MM = 0.25
"""A clamp that sank less in every run is held by its smooth waves."""


@dataclass(frozen=True, slots=True, eq=False)
class Remains:
    """What is left over, reading by reading.

    `runs` and `bounds` say where each run lies, `rest_mm` is reading less computed with the zero
    of its run taken out, `sd_mm` the spread expected before anything was fitted, `good` marks
    readings that count in full. `told_mm`, `read_mm` and `time_s` (nan where not written down)
    are the readings' own; `up` is 1 after a move up, -1 after one down. `gauge_mm` is the scatter
    of gauge and hand; `uneven_mm` by how much a clamp
    that creeps may creep unevenly. `terms` are the amplitudes of what adds linearly.
    """

    runs: tuple[Run, ...]
    bounds: tuple[slice, ...]
    computed_mm: Vector
    rest_mm: Vector
    sd_mm: Vector
    good: NDArray[np.bool_]
    told_mm: Vector
    read_mm: Vector
    time_s: Vector
    up: Vector
    since_turn_mm: Vector
    reading: NDArray[np.int64]
    resolution_mm: float
    gauge_mm: float
    whiteners: tuple[Matrix, ...]
    breathing: tuple[tuple[slice, Matrix, Matrix], ...]
    design: Matrix
    inverse: Matrix
    white: Vector
    terms: dict[str, float]
    uneven_mm: Vector

    def whiten(self, columns: Matrix) -> Matrix:
        """Columns scaled to independent unit noise, zeros of runs and breathing drags out."""
        out = np.empty_like(columns)
        for bound, whitener in zip(self.bounds, self.whiteners, strict=True):
            out[bound] = whitener @ columns[bound]
        for bound, part, middle in self.breathing:
            out[bound] += part @ (middle @ (part.T @ out[bound]))
        return out

    def gain(self, columns: Matrix) -> tuple[float, Vector]:
        """Twice the gain in log likelihood that free amplitudes of these columns (a value a
        reading, mm an amplitude) bring beyond every cause, and those amplitudes.

        Without anything left over, the gain spreads as chi-square with as many degrees of
        freedom as there are columns (score test, Rao 1948)."""
        white = self.whiten(columns)
        shared = self.design.T @ white
        size = white.T @ white - shared.T @ self.inverse @ shared
        pull = white.T @ self.white
        scale = np.sqrt(np.maximum(np.diag(white.T @ white), 1e-12))
        unit = size / scale[:, None] / scale[None, :]
        values, vectors = np.linalg.eigh(unit)
        keep = values > 0.05  # what a cause could take nearly whole is no sign of its own
        if not keep.any():
            return 0.0, np.zeros(columns.shape[1])
        turned = vectors[:, keep].T @ (pull / scale)
        amplitudes = vectors[:, keep] @ (turned / values[keep]) / scale
        return float(np.sum(turned**2 / values[keep])), amplitudes


def remains_of(found: Found) -> Remains:
    """Lay out what the likeliest set leaves."""
    seen, mode = found.model.witness, found.nodes[0].mode
    computed, values, rest = rest_of(found.model, mode, mode.linear)
    out_of = set_aside(seen)
    before = with_noise(seen, first_level(seen.resolution_mm), seen.misread_mm)
    sd = np.zeros(seen.count)
    times, up = np.full(seen.count, np.nan), np.zeros(seen.count)
    numbers = seen.session.reading[seen.rows]
    off = rest.copy()
    for part, (bound, noise) in enumerate(zip(seen.bounds, before.noise, strict=True)):
        run = seen.run(part)
        sd[bound] = np.sqrt(np.maximum(noise.sd**2 - seen.misread_mm[bound] ** 2, 0.0))
        weight = np.where(seen.misread_mm[bound] > 0, 0.3, 1.0) * ~out_of[bound]
        off[bound] -= np.average(rest[bound], weights=np.maximum(weight, 1e-9))
        for row, number in enumerate(numbers[bound], start=bound.start):
            reading = run.readings[int(number)]
            up[row] = 1.0 if reading.approach == "up" else -1.0
            times[row] = np.nan if reading.time_s is None else reading.time_s
    uneven = np.zeros(seen.count)
    if "coupling-slip" in mode.linear:
        slipping = np.array([c == "coupling-slip" for c in seen.causes])
        sunk = seen.columns[:, slipping] @ values[slipping]
        deep = [float(np.ptp(sunk[bound])) for bound in seen.bounds]
        for bound, way in zip(seen.bounds, deep, strict=True):
            uneven[bound] = UNEVEN * way if max(deep) > DEEP_MM else 0.0
    spread = np.where(
        np.array([c in ("coupling-slip", "idle-drop", "home-scatter") for c in seen.causes]),
        seen.linear_spread(mode.linear),
        seen.faulty,
    )
    design = np.concatenate([mode.local.jacobian, mode.local.columns * spread], axis=1)
    h = design.T @ design
    h[np.diag_indices_from(h)] += 1.0
    inverse = np.linalg.inv(h)
    pull = design.T @ mode.local.rest
    pull[: len(mode.v)] -= mode.v
    white = mode.local.rest - design @ (inverse @ pull)
    return Remains(
        runs=tuple(seen.run(part) for part in range(len(seen.bounds))),
        bounds=seen.bounds,
        computed_mm=computed,
        rest_mm=off,
        sd_mm=sd,
        good=seen.misread_mm == 0,
        told_mm=seen.session.told_mm[seen.rows],
        read_mm=seen.read_mm,
        time_s=times,
        up=up,
        since_turn_mm=seen.session.since_turn_mm[seen.rows],
        reading=numbers,
        resolution_mm=seen.resolution_mm,
        gauge_mm=first_level(seen.resolution_mm).sigma_mm,
        whiteners=tuple(noise.whiten for noise in seen.noise),
        breathing=mode.local.breathing,
        design=design,
        inverse=inverse,
        white=white,
        terms=dict(zip(seen.names, map(float, values), strict=True)),
        uneven_mm=uneven,
    )
