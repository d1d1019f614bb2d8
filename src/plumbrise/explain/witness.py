"""A session's readings as witnesses: which rows count, how much they scatter, and the terms that
add to them linearly."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Session, linear_terms
from plumbrise.explain.noise import (
    SET_ASIDE_MM,
    Level,
    RunNoise,
    first_level,
    run_noise,
    take_up_mm,
)
from plumbrise.explain.priors import LINEAR
from plumbrise.machine import LINK_STATIONS
from plumbrise.readings import Run
from plumbrise.readings.kinds import GAUGE_CHECK, HAND_TURN, REPEAT_HOME, SIDE_PUSH

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

BREATH = 0.1
"""Spread (log) of a guide's drag from run to run (guess)."""
JUMP_SPREAD_MM = 0.3
SLIP_MODES = 2
"""Waves by which a creeping clamp departs from creeping evenly over a run."""


@dataclass(frozen=True, slots=True)
class Jump:
    """A step between two readings that stays to the end of the run."""

    run: int
    reading: int


@dataclass(frozen=True, slots=True, eq=False)
class Witness:
    """Readings that count, run by run.

    `rows` are the session's rows that count, `read_mm` what was read there; `bounds` where each
    run lies among them, `runs` which run of the session it is. `columns` are the linear terms
    (names, causes, spreads when sound and when their cause is there). `misread_mm` is the extra
    spread of each row.
    """

    session: Session
    rows: NDArray[np.int64]
    read_mm: Vector
    bounds: tuple[slice, ...]
    runs: tuple[int, ...]
    names: tuple[str, ...]
    causes: tuple[str, ...]
    sound: Vector
    faulty: Vector
    columns: Matrix
    misread_mm: Vector
    level: Level
    noise: tuple[RunNoise, ...]
    breathes: tuple[bool, ...]
    resolution_mm: float
    jumps: tuple[Jump, ...] = ()

    @property
    def count(self) -> int:
        """How many readings count."""
        return len(self.rows)

    @property
    def log_det(self) -> float:
        """ln|C| over all runs."""
        return sum(noise.log_det for noise in self.noise)

    def run(self, part: int) -> Run:
        """The run of a part."""
        return self.session.readings.runs[self.runs[part]]

    def whiten(self, columns: Matrix) -> Matrix:
        """Rows scaled to independent unit noise, each run's zero taken out."""
        out = np.empty_like(columns)
        for noise in self.noise:
            out[noise.rows] = noise.whiten @ columns[noise.rows]
        return out

    def linear_spread(self, causes: frozenset[str]) -> Vector:
        """Spread of every linear term when these causes are there."""
        there = np.array([cause in causes for cause in self.causes], dtype=bool)
        return np.where(there, self.faulty, self.sound)


def witness(session: Session, resolution_mm: float, lead_u: float | None = None) -> Witness:
    """Lay out the readings of a session as witnesses, before anything is known of misreads."""
    rows: list[NDArray[np.int64]] = []
    bounds: list[slice] = []
    runs: list[int] = []
    start = 0
    taken = session.taken
    for number, (run, part) in enumerate(
        zip(session.readings.runs, session.rows_of_run, strict=True)
    ):
        here = np.flatnonzero(taken[part]) + part.start
        if run.kind is HAND_TURN or len(here) < 2:
            continue
        rows.append(here)
        bounds.append(slice(start, start + len(here)))
        runs.append(number)
        start += len(here)
    kept = np.concatenate(rows) if rows else np.zeros(0, dtype=np.int64)
    terms = linear_terms(session)
    names, causes = list(terms.names), list(terms.causes)
    columns = [terms.columns[kept]]
    for name, cause, column in _more_terms(session, kept, bounds, runs):
        names.append(name)
        causes.append(cause)
        columns.append(column[:, None])
    priors = [LINEAR[cause] for cause in causes]
    sound = np.array([p.sound for p in priors])
    faulty = np.array([p.faulty for p in priors])
    if lead_u is not None:
        lead = np.array([cause == "lead-error" for cause in causes], dtype=bool)
        sound[lead] = max(lead_u, 1e-5)
    empty = Witness(
        session=session,
        rows=kept,
        read_mm=session.read_mm[kept],
        bounds=tuple(bounds),
        runs=tuple(runs),
        names=tuple(names),
        causes=tuple(causes),
        sound=sound,
        faulty=faulty,
        columns=np.concatenate(columns, axis=1) if kept.size else np.zeros((0, len(names))),
        misread_mm=np.zeros(len(kept)),
        level=first_level(resolution_mm),
        noise=(),
        breathes=tuple(session.readings.runs[i].kind not in (GAUGE_CHECK, SIDE_PUSH) for i in runs),
        resolution_mm=resolution_mm,
    )
    return with_noise(empty, empty.level, empty.misread_mm)


def with_noise(seen: Witness, level: Level, misread_mm: Vector) -> Witness:
    """The same readings with another level of noise and other misreads."""
    session = seen.session
    amplitude: dict[str, float] = {}
    for part, bound in enumerate(seen.bounds):
        run = seen.run(part)
        if run.kind is SIDE_PUSH:
            continue
        told = session.told_mm[seen.rows[bound]]
        off = seen.read_mm[bound] - (told if run.follows_command or run.kind is GAUGE_CHECK else 0)
        here = take_up_mm(off[misread_mm[bound] < SET_ASIDE_MM])
        amplitude[run.station.id] = max(amplitude.get(run.station.id, 0.0), here)
    noise = []
    for part, bound in enumerate(seen.bounds):
        run = seen.run(part)
        rows = seen.rows[bound]
        noise.append(
            run_noise(
                run,
                bound,
                travelled_mm=session.path_mm[rows],
                since_turn_mm=session.since_turn_mm[rows],
                level=level,
                misread_mm=misread_mm[bound],
                amplitude_mm=amplitude.get(run.station.id, 0.0),
            )
        )
    return replace(seen, level=level, misread_mm=misread_mm, noise=tuple(noise))


def with_jumps(seen: Witness, jumps: tuple[Jump, ...]) -> Witness:
    """The same readings with free steps at these places."""
    old = np.array([not name.startswith("jump:") for name in seen.names], dtype=bool)
    columns = [seen.columns[:, old]]
    names = [name for name in seen.names if not name.startswith("jump:")]
    for jump in jumps:
        column = np.zeros((seen.count, 1))
        bound = seen.bounds[jump.run]
        column[bound.start + jump.reading : bound.stop] = 1.0
        columns.append(column)
        names.append(f"jump:{jump.run}:{jump.reading}")
    more = np.full(len(jumps), JUMP_SPREAD_MM)
    return replace(
        seen,
        jumps=jumps,
        names=tuple(names),
        causes=tuple(c for c, keep in zip(seen.causes, old, strict=True) if keep)
        + ("",) * len(jumps),
        sound=np.concatenate([seen.sound[old], more]),
        faulty=np.concatenate([seen.faulty[old], more]),
        columns=np.concatenate(columns, axis=1),
    )


def set_aside(seen: Witness) -> NDArray[np.bool_]:
    """Readings that carry no weight."""
    return np.asarray(seen.misread_mm >= SET_ASIDE_MM)


def behind_clamp(run: Run) -> bool:
    """Whether a slipping clamp shows at this station."""
    return (
        run.axis == "up"
        and run.station.link_station not in ("motor-shaft", "block")
        and not (run.station.id.startswith("frame"))
    )


def _more_terms(
    session: Session, kept: NDArray[np.int64], bounds: list[slice], runs: list[int]
) -> list[tuple[str, str, Vector]]:
    """Homes that differ, and a clamp that creeps with the way travelled upward."""
    found: list[tuple[str, str, Vector]] = []
    for number, bound in zip(runs, bounds, strict=True):
        run = session.readings.runs[number]
        if run.kind is REPEAT_HOME:
            for i in range(bound.start, bound.stop):
                column = np.zeros(len(kept))
                column[i] = 1.0
                found.append((f"home-scatter:{i}", "home-scatter", column))
            continue
        if not (run.kind.moves and behind_clamp(run)):
            continue
        if run.kind.homes and run.follows_command and session.told_mm[kept[bound.start]] == 0:
            # where the switch stopped is the zero of all that comes after, not of the reading
            # taken before the axis moved on
            column = np.zeros(len(kept))
            column[bound.start + 1 : bound.stop] = 1.0
            found.append((f"home-scatter:{run.name}", "home-scatter", column))
        way = _way_up(session, kept[bound])
        if way[-1] <= 1.0:
            continue
        part = way / way[-1]
        shapes = [-part] + [
            np.sin(np.pi * k * part) / (np.pi * k) * np.sqrt(2) for k in range(1, SLIP_MODES + 1)
        ]
        for k, shape in enumerate(shapes):
            column = np.zeros(len(kept))
            column[bound] = shape
            found.append((f"coupling-slip:{number}:{k}", "coupling-slip", column))
    return found


def _way_up(session: Session, rows: NDArray[np.int64]) -> Vector:
    told = session.told_mm[rows]
    steps = np.maximum(np.diff(told), 0.0)
    return np.concatenate([[0.0], np.cumsum(steps)])


def station_link(run: Run) -> str:
    """The link boundary of a run's station, or "body"."""
    return run.station.link_station if run.station.link_station in LINK_STATIONS else "body"
