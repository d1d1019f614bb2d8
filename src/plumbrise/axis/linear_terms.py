"""Errors that add to readings linearly: thread, motor steps, warmth, tilt of the gauge.

A fitter solves for their amplitudes in closed form, so they are columns and not entries of the
vector. Each column is what one unit of its amplitude adds to every row of a session.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbrise.axis.kernel import BLOCK, BODY, NUT
from plumbrise.axis.simulate import Session
from plumbrise.axis.stations import sight_of

Floats = npt.NDArray[np.float64]

WARMING_S = 900.0
"""Time in which a machine warms by most of what it will (a guess)."""
IDLE_S = (8.0, 20.0, 40.0, 70.0, 130.0, 250.0)
"""Times after which the holding current may be cut (s)."""
STANDING = ("hold", "warm-up", "dead-weight")
"""Kinds of test during which nothing is commanded."""
LONG_SETUP_MM = 4.0
"""A set-up over more than this may stand tilted by itself, beside the tilt common to all."""
OWN_TILT = 0.2
"""How much a set-up's own tilt counts against the common one."""


@dataclass(frozen=True, slots=True, eq=False)
class LinearTerms:
    """Columns that add to the readings of a session.

    `names` are the cause's id and what tells its columns apart ("screw-bend:left:cos"),
    `causes` the ids alone. A `unit` is "ratio" for slopes over the told height, "mm" for the
    rest. `columns` has a row for each row of the session.
    """

    names: tuple[str, ...]
    causes: tuple[str, ...]
    units: tuple[str, ...]
    columns: Floats


def linear_terms(session: Session) -> LinearTerms:
    """All linear terms that some reading of this session can show.

    lead-error        told height, one column for each screw
    screw-bend        cos, sin of 2π told / lead; sideways readings have their own pair
    microstep-error   cos, sin over four full steps and over one
    warm-drift        t / 3600 s, exp(-t / 900 s), (T - mean T) / 2 °C
    idle-drop         1 once nothing has moved for so long, one column for each waiting time
    gauge-tilt        told height, common to all; 0.2 told height for each long set-up

    Terms whose period is unknown, because the lead is, are left out.

    Example:
        >>> from plumbrise.axis import prepare
        >>> from plumbrise.machine import STATIONS, blank
        >>> from plumbrise.readings import KINDS, Reading, Readings, Run
        >>> up = tuple(Reading(seq=i, target_mm=i, reading_mm=i, approach="up") for i in range(9))
        >>> run = Run(name="a", kind=KINDS["full-travel"], station=STATIONS["nut"], readings=up)
        >>> linear_terms(prepare(blank("one-screw"), Readings((run,)))).names
        ('lead-error:left', 'gauge-tilt', 'gauge-tilt:a')
    """
    base, told = session.base, session.told_mm
    found: dict[str, tuple[str, Floats]] = {}
    parts, height = _parts(session)
    for i, lift in enumerate(base.lifts):
        seen = parts[:, i]
        _put(found, f"lead-error:{lift.end}", "ratio", seen * told)
        if lift.thread.turn_mm is not None:
            _wave(found, f"screw-bend:{lift.end}", seen, told, lift.thread.turn_mm)
    turn = base.lifts[0].thread.turn_mm
    if turn is not None:
        for axis in ("left-right", "front-back"):
            here = _rows(session, [run.axis == axis for run in session.readings.runs])
            _wave(found, f"screw-bend:{axis}", here, told, turn)
    motors = [("", parts.sum(axis=1))]
    if base.arrangement.motors > 1:
        motors = [(f":{lift.end}", parts[:, i]) for i, lift in enumerate(base.lifts)]
    four_steps = base.lifts[0].thread.four_steps_mm
    if four_steps is not None:
        for name, seen in motors:
            _wave(found, f"microstep-error{name}:four", seen, told, four_steps)
            _wave(found, f"microstep-error{name}:one", seen, told, four_steps / 4)
    _drift(found, session)
    _idle(found, session, height)
    moving = np.maximum(height, _rows(session, _codes(session, BLOCK)))
    _put(found, "gauge-tilt", "ratio", moving * told)
    for run, rows in zip(session.readings.runs, session.rows_of_run, strict=True):
        if rows.stop > rows.start and np.ptp(told[rows]) > LONG_SETUP_MM:
            own = np.zeros(session.count)
            own[rows] = OWN_TILT * moving[rows] * told[rows]
            _put(found, f"gauge-tilt:{run.name}", "ratio", own)
    return LinearTerms(
        names=tuple(found),
        causes=tuple(name.split(":", maxsplit=1)[0] for name in found),
        units=tuple(unit for unit, _ in found.values()),
        columns=np.stack([column for _, column in found.values()], axis=1)
        if found
        else np.zeros((session.count, 0)),
    )


def _parts(session: Session) -> tuple[Floats, Floats]:
    """What part of each screw's error every row shows, and whether the row shows a height."""
    base = session.base
    parts = np.zeros((session.count, len(base.lifts)))
    height = np.zeros(session.count)
    for run, rows in zip(session.readings.runs, session.rows_of_run, strict=True):
        sight = sight_of(run, base)
        if sight.code == NUT:
            parts[rows, sight.which] = 1.0
        elif sight.code == BODY and len(base.lifts) == 1:
            parts[rows, 0] = 1.0
        elif sight.code == BODY:
            parts[rows] = [sight.body[base.ends.index(lift.end)] for lift in base.lifts]
        else:
            continue
        height[rows] = 1.0
    return parts, height


def _codes(session: Session, code: int) -> list[bool]:
    return [sight_of(run, session.base).code == code for run in session.readings.runs]


def _rows(session: Session, runs: list[bool]) -> Floats:
    return np.array(runs, dtype=np.float64)[session.run] if runs else np.zeros(0)


def _drift(found: dict[str, tuple[str, Floats]], session: Session) -> None:
    runs = session.readings.runs
    rows = [runs[i].readings[j] for i, j in zip(session.run, session.reading, strict=True)]
    time_s = np.array([np.nan if r.time_s is None else r.time_s for r in rows])
    temp_c = np.array([np.nan if r.temp_c is None else r.temp_c for r in rows])
    timed = np.isfinite(time_s)
    for part in session.rows_of_run:  # a run timed in part would show a step that is none
        timed[part] = timed[part].all()
    if timed.any() and np.ptp(time_s[timed]) > 0:
        since = np.where(timed, time_s - time_s[timed].min(), 0.0)
        _put(found, "warm-drift:hour", "mm", np.where(timed, since / 3600, 0.0))
        _put(found, "warm-drift:warming", "mm", np.where(timed, np.exp(-since / WARMING_S), 0.0))
    felt = np.isfinite(temp_c)
    for part in session.rows_of_run:
        felt[part] = felt[part].all()
    if felt.any() and np.ptp(temp_c[felt]) > 0:
        mean = temp_c[felt].mean()
        _put(found, "warm-drift:temperature", "mm", np.where(felt, (temp_c - mean) / 2, 0.0))


def _idle(found: dict[str, tuple[str, Floats]], session: Session, height: Floats) -> None:
    """Steps after so many seconds without a move, wherever a run with times stands still."""
    waited = np.full(session.count, -1.0)
    for run, part in zip(session.readings.runs, session.rows_of_run, strict=True):
        if run.kind.id in STANDING:
            times = [run.readings[i].time_s for i in session.reading[part]]
            known = [time for time in times if time is not None]
            if len(known) == len(times) > 1:
                waited[part] = np.array(known) - known[0]
    before = np.zeros(session.count)
    for least in IDLE_S:
        column = height * (waited >= least)
        if not np.array_equal(column, before):
            _put(found, f"idle-drop:{least:g}", "mm", column)
        before = column


def _wave(
    found: dict[str, tuple[str, Floats]], name: str, seen: Floats, told: Floats, period: float
) -> None:
    angle = 2 * np.pi * told / period
    _put(found, f"{name}:cos", "mm", seen * np.cos(angle))
    _put(found, f"{name}:sin", "mm", seen * np.sin(angle))


def _put(found: dict[str, tuple[str, Floats]], name: str, unit: str, column: Floats) -> None:
    if np.any(column):
        found[name] = (unit, column)
