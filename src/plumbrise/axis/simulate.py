"""Simulating an axis: a session prepared once and predicted many times, or a bare path."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise
from statistics import NormalDist
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from plumbrise.axis import kernel
from plumbrise.axis.parameters import Parameters, sound
from plumbrise.axis.programs import Programs, history_of, programs_of
from plumbrise.axis.stations import sight_of
from plumbrise.axis.vector import Layout, layout_of, vector_of
from plumbrise.errors import InputError
from plumbrise.machine import Machine
from plumbrise.readings import Move, Readings
from plumbrise.readings.history import OVERRUN_MM

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]


class Inputs(NamedTuple):
    """What the kernel takes besides a vector."""

    moves: kernel.Moves
    choices: kernel.Choices
    gauges: kernel.Gauges
    shape: kernel.Shape


@dataclass(frozen=True, slots=True, eq=False)
class Session:
    """One axis and one table of readings, ready to be predicted again and again.

    `base` and `layout` say what a vector means. A row is a reading: `run` and `reading` say
    which (places in `readings.runs` and in that run's `readings`), `read_mm` is what was read
    (nan where nothing was), `told_mm` the told height, `taken` marks rows with a gauge value.
    `programs` are the moves; `path_mm` is, for each row, the distance travelled since its run
    began, and `since_turn_mm` since its last reversal.
    """

    base: Parameters
    layout: Layout
    readings: Readings
    programs: Programs
    run: Whole
    reading: Whole
    read_mm: Floats
    told_mm: Floats
    path_mm: Floats
    since_turn_mm: Floats
    rows_of_run: tuple[slice, ...]
    inputs: Inputs

    @property
    def count(self) -> int:
        """How many rows."""
        return len(self.run)

    @property
    def taken(self) -> npt.NDArray[np.bool_]:
        """True for rows that hold a gauge value."""
        return np.isfinite(self.read_mm)


@dataclass(frozen=True, slots=True, eq=False)
class Prediction:
    """What the gauge shows in each row, zero not applied, and how the solver fared."""

    reading_mm: Floats
    unconverged: int
    evaluations: int


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """What the axis does after each move.

    `height_mm` of each end (columns in the order of `Parameters.ends`), `behind_mm` told height
    less height, `force_n` of each lift, `shaft_mm`, `screw_mm`, `nut_mm` as a gauge would see
    them.
    """

    told_mm: Floats
    height_mm: Floats
    behind_mm: Floats
    force_n: Floats
    slid_mm: Floats
    shaft_mm: Floats
    screw_mm: Floats
    nut_mm: Floats
    unconverged: int
    evaluations: int


def prepare(
    machine: Machine | Parameters, readings: Readings, *, overrun_mm: float = OVERRUN_MM
) -> Session:
    """Lay out a session's moves and stations once, for `predict`.

    Args:
        machine: the axis as described, or its parameters.
        readings: the session. Runs may hold readings without a value (a test not yet done).
        overrun_mm: how far a run goes on where it turns.

    Raises:
        InputError: a station that this axis does not have.
    """
    base = machine if isinstance(machine, Parameters) else sound(machine)
    ends = len(base.ends)
    histories = [history_of(run, overrun_mm=overrun_mm) for run in readings.runs]
    programs, which = programs_of(histories, ends=ends, span_mm=base.span_mm)
    run_first, run_last, run_move, codes, lifts, bodies = [], [], [], [], [], []
    move_row: list[int] = []
    push: list[float] = []
    run_of_row: list[int] = []
    reading_of_row: list[int] = []
    read: list[float] = []
    path: list[float] = []
    since: list[float] = []
    rows_of_run: list[slice] = []
    for index, run in enumerate(readings.runs):
        try:
            sight = sight_of(run, base)
        except InputError as problem:
            raise problem.within(f"run {run.name}") from None
        run_first.append(len(move_row))
        first_row = len(run_of_row)
        travelled, turned, way, before = 0.0, 0.0, 0.0, None
        for move in histories[index]:
            step = 0.0 if before is None else move.target_mm - before
            before = move.target_mm
            travelled += abs(step)
            if step * way < 0:
                turned = 0.0
            if step:
                way = step
            turned += abs(step)
            if move.reading is None:
                move_row.append(-1)
                push.append(0.0)
                continue
            reading = run.readings[move.reading]
            move_row.append(len(run_of_row))
            push.append(reading.force_n or 0.0)
            run_of_row.append(index)
            reading_of_row.append(move.reading)
            read.append(np.nan if reading.reading_mm is None else reading.reading_mm)
            path.append(travelled)
            since.append(turned)
        rows_of_run.append(slice(first_row, len(run_of_row)))
        run_last.append(len(move_row))
        run_move.append(programs.first[which[index]])
        codes.append(sight.code)
        lifts.append(sight.which)
        bodies.append(sight.body)
    gauges = kernel.Gauges(
        first=_whole(run_first),
        last=_whole(run_last),
        move=_whole(run_move),
        code=_whole(codes),
        which=_whole(lifts),
        body=np.array(bodies, dtype=np.float64).reshape(len(bodies), ends),
        row=_whole(move_row),
        push_n=np.array(push, dtype=np.float64),
    )
    told = [
        readings.runs[i].readings[j].target_mm
        for i, j in zip(run_of_row, reading_of_row, strict=True)
    ]
    return Session(
        base=base,
        layout=layout_of(base),
        readings=readings,
        programs=programs,
        run=_whole(run_of_row),
        reading=_whole(reading_of_row),
        read_mm=np.array(read, dtype=np.float64),
        told_mm=np.array(told, dtype=np.float64),
        path_mm=np.array(path, dtype=np.float64),
        since_turn_mm=np.array(since, dtype=np.float64),
        rows_of_run=tuple(rows_of_run),
        inputs=Inputs(
            _moves_in(programs, np.zeros((programs.count, len(base.lifts)))),
            _choices(base),
            gauges,
            _shape(base),
        ),
    )


def predict(session: Session, theta: Floats) -> Floats:
    """What the gauge shows in every row for the axis of this vector; no zero, no linear terms.

    Raises:
        ValueError: a vector of the wrong length.
    """
    reading_mm: Floats = predict_all(session, np.atleast_2d(theta)).reading_mm[0]
    return reading_mm


def predict_all(session: Session, thetas: Floats, *, threads: int = 1) -> Prediction:
    """The same for many vectors (rows) in one compiled call.

    Args:
        session: as prepared.
        thetas: one vector a row.
        threads: split the rows over so many threads; worth it from a millisecond each.

    Returns:
        Readings with a row for each vector; counts over all of them.
    """
    stacked = np.ascontiguousarray(thetas, dtype=np.float64)
    if stacked.ndim != 2 or stacked.shape[1] != len(session.layout.names):
        raise ValueError(f"vectors of {len(session.layout.names)} numbers are needed")
    out = np.empty((len(stacked), session.count))

    def some(part: slice) -> tuple[int, int]:
        return kernel.predict_rows(stacked[part], *session.inputs, out[part])

    if threads <= 1 or len(stacked) < 2 * threads:
        counts = [some(slice(0, len(stacked)))]
    else:
        edges = np.linspace(0, len(stacked), threads + 1).astype(int)
        parts = [slice(int(a), int(b)) for a, b in pairwise(edges)]
        with ThreadPoolExecutor(threads) as pool:
            counts = list(pool.map(some, parts))
    return Prediction(out, sum(c[0] for c in counts), sum(c[1] for c in counts))


def jacobian(
    session: Session, theta: Floats, which: Sequence[int], steps: Floats, *, threads: int = 1
) -> tuple[Floats, Floats]:
    """Readings and their forward differences by the entries `which`, steps in natural units.

    Returns:
        (rows,) and (rows, len(which)).
    """
    base = np.asarray(theta, dtype=np.float64)
    stacked = np.tile(base, (len(which) + 1, 1))
    for row, (entry, step) in enumerate(zip(which, steps, strict=True), start=1):
        stacked[row, entry] += step
    made = predict_all(session, stacked, threads=threads).reading_mm
    return made[0], ((made[1:] - made[0]) / np.asarray(steps)[:, None]).T


def simulate(
    parameters: Parameters, readings: Readings, *, overrun_mm: float = OVERRUN_MM
) -> Prediction:
    """Every reading of a session on this axis, its thread and motor errors included."""
    session = prepare(parameters, readings, overrun_mm=overrun_mm)
    told = session.programs.told_mm
    moves = session.inputs.moves._replace(thread=thread_mm(parameters, told))
    out = np.empty((1, session.count))
    missed, took = kernel.predict_rows(
        vector_of(parameters)[None, :], *session.inputs._replace(moves=moves), out
    )
    return Prediction(out[0], missed, took)


def follow_path(parameters: Parameters, moves: Sequence[Move]) -> Path:
    """What the axis does over a list of moves that starts at rest.

    Example:
        >>> from plumbrise.machine import blank
        >>> axis = sound(blank("one-screw"))
        >>> path = follow_path(axis, [Move(target_mm=z) for z in (0.0, 10.0, 9.0)])
        >>> path.unconverged, path.height_mm.shape
        (0, (3, 2))
    """
    programs, _ = programs_of([tuple(moves)], ends=len(parameters.ends), span_mm=parameters.span_mm)
    trail, links, missed, took = kernel.follow_vector(
        vector_of(parameters),
        _moves_in(programs, thread_mm(parameters, programs.told_mm)),
        _choices(parameters),
        _shape(parameters),
    )
    return Path(
        told_mm=programs.told_mm,
        height_mm=programs.told_mm[:, None] + trail.above,
        behind_mm=-trail.above,
        force_n=trail.force,
        slid_mm=trail.slid,
        shaft_mm=links[:, :, 0],
        screw_mm=links[:, :, 1],
        nut_mm=links[:, :, 2],
        unconverged=missed,
        evaluations=took,
    )


def thread_mm(parameters: Parameters, told_mm: Floats) -> Floats:
    """What each screw's thread and motor add to the told heights (a column for each lift)."""
    columns = []
    for lift in parameters.lifts:
        thread = lift.thread
        added = thread.error_ratio * told_mm
        for period, cosine, sine in (
            (thread.turn_mm, thread.turn_cos_mm, thread.turn_sin_mm),
            (thread.four_steps_mm, thread.four_steps_cos_mm, thread.four_steps_sin_mm),
        ):
            if period is not None and (cosine or sine):
                angle = 2 * np.pi * told_mm / period
                added = added + cosine * np.cos(angle) + sine * np.sin(angle)
        columns.append(added)
    return np.ascontiguousarray(np.stack(columns, axis=1))


def _moves_in(programs: Programs, thread: Floats) -> kernel.Moves:
    levels, level_at = np.unique(programs.told_mm, return_inverse=True)
    return kernel.Moves(
        told=programs.told_mm,
        start=programs.start,
        load_n=programs.load_n,
        load_shares=programs.load_shares,
        thread=thread,
        level_at=_whole(level_at),
        levels=levels,
    )


def _choices(base: Parameters) -> kernel.Choices:
    elements = len(base.guides[0].weights)
    spread = NormalDist()
    return kernel.Choices(
        held_top=np.array([lift.held_end == "top" for lift in base.lifts]),
        height_mm=base.height_mm,
        lift_end=_whole([base.ends.index(lift.end) for lift in base.lifts]),
        spot_end=base.ends.index(base.tight_spot.end),
        z=np.array([spread.inv_cdf((k + 0.5) / elements) for k in range(elements)]),
        knots_mm=np.array(base.knots_mm, dtype=np.float64),
    )


def _shape(base: Parameters) -> kernel.Shape:
    guide = base.guides[0]
    counts = (len(base.ends), len(base.lifts), len(guide.weights), len(guide.profile))
    return kernel.Shape(*((None,) * count for count in counts))


def _whole(values: Any) -> Whole:
    return np.array(values, dtype=np.int64)
