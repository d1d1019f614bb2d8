"""What is done about a slip once it is found: turned, taken out or left in, and always said."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from plumbrise.analyse.changes import find_drift
from plumbrise.analyse.lines import Array, fit_line
from plumbrise.analyse.results import Oddity
from plumbrise.quantity import Unit, student_factor, written
from plumbrise.readings import Run, Scale

RISK = 0.01
"""Sound runs that are accused of a misread, and of a bump, each: under one in a hundred."""
FEWEST_TO_TELL = 6
"""With fewer readings one odd reading cannot be told from the rest."""
STEPS_OF_DISPLAY = 3.0
"""Nothing under so many display steps is called a misread or a bump."""
FEWEST_VALUES = 6
COARSER = (100, 50, 20, 10, 5)


@dataclass(slots=True)
class Mended:
    """A run as used: its readings (None where set aside), what was odd, the transient, and the
    display step that the readings really show."""

    values: list[float | None]
    resolution_mm: float
    oddities: list[Oddity] = field(default_factory=list)
    transient: frozenset[int] = frozenset()
    drift_mm: float = 0.0


def use_display_step(run: Run, made: Mended) -> None:
    """Where all readings are whole steps coarser than the gauge shows, take that step."""
    raw = np.array([r.reading_mm for r in run.taken], dtype=float)
    told = np.array([r.target_mm for r in run.taken], dtype=float)
    apart = raw - told if run.follows_command else raw
    if len(np.unique(np.round(apart, 6))) < FEWEST_VALUES or len(raw) < 10:
        return  # told heights lie on whole steps themselves: a few values prove nothing
    for factor in COARSER:
        step = factor * made.resolution_mm
        if np.all(np.abs(raw / step - np.round(raw / step)) * step < 0.05 * made.resolution_mm):
            words = (
                f"All readings are whole steps of {step:g} mm, though the gauge shows "
                f"{made.resolution_mm:g} mm. The figures take {step:g} mm."
            )
            made.oddities.append(Oddity("quantised", words, size_mm=step))
            made.resolution_mm = step
            return


def turn_mirrored(run: Run, made: Mended) -> None:
    """A gauge that falls while the axis rises: turn the whole run."""
    if not run.follows_command:
        return
    pairs = [
        (r.target_mm, v) for r, v in zip(run.readings, made.values, strict=True) if v is not None
    ]
    if len(pairs) < 3 or len({told for told, _ in pairs}) < 2:
        return
    if fit_line([told for told, _ in pairs], [v for _, v in pairs]).slope > -0.5:
        return
    made.values = [None if value is None else -value for value in made.values]
    words = "The readings fall while the axis rises: the sign is turned, and all are used turned."
    made.oddities.append(Oddity("turned-sign", words, tuple(range(len(run.readings)))))


def _name(run: Run, index: int) -> str:
    return f"Reading {index + 1} at {run.readings[index].target_mm:g} mm"


def _turned_fits(run: Run, index: int, off: float, tolerance: float) -> bool:
    raw = run.readings[index].reading_mm or 0.0
    turned_by = -2 * raw
    return abs(raw) > tolerance and abs(off + turned_by) <= tolerance


def set_aside(run: Run, made: Mended, index: int, off: float, tolerance: float) -> None:
    """One reading that stands off by `off`: turned where that mends it, else left out."""
    value = made.values[index]
    if value is None:
        return
    if _turned_fits(run, index, off, tolerance):
        raw = run.readings[index].reading_mm or 0.0
        made.values[index] = value - 2 * raw
        words = f"{_name(run, index)} fits with its sign turned and is used so."
        made.oddities.append(Oddity("turned-sign", words, (index,), off))
        return
    made.values[index] = None
    words = (
        f"{_name(run, index)} stands {abs(off):.{_places(made)}f} mm off its neighbours: "
        "a misread, left out of the figures. Read it again if you can."
    )
    made.oddities.append(Oddity("misread", words, (index,), off, set_aside=True))


def _places(made: Mended) -> int:
    return 3 if made.resolution_mm < 0.0095 else 2


def take_bump_out(run: Run, scale: Scale, made: Mended, first: int, size: float, u: float) -> None:
    """Take a jump of all readings from `first` on out of them, and say how large and how sure."""
    made.values = [
        value - size if value is not None and i >= first else value
        for i, value in enumerate(made.values)
    ]
    amount = written(abs(size), student_factor(max(len(made.values) - 3, 1)) * u, Unit.MM)
    words = (
        f"From reading {first + 1} on, all stand {amount} "
        f"{'higher' if size > 0 else 'lower'}: the gauge was bumped. Taken out of the figures."
    )
    if scale.full_step_mm and run.kind.moves:
        cycle = 4 * scale.full_step_mm
        times = round(abs(size) / cycle)
        if times and abs(abs(size) - times * cycle) <= max(2 * u, 0.1 * cycle):
            words += (
                f" It is also close to {4 * times} full steps ({times * cycle:.2f} mm): if it "
                "comes again, the motor lost steps."
            )
    made.oddities.append(Oddity("bump", words, tuple(range(first, len(made.values))), size))


def say_drift(made: Mended, columns: list[Array], y: Array) -> None:
    """A steady drift over what the columns explain: said, and left in the figures."""
    drift = find_drift(columns, y, risk=RISK)
    if drift is None or abs(drift.size) <= STEPS_OF_DISPLAY * made.resolution_mm:
        return
    amount = written(abs(drift.size), student_factor(drift.dof) * drift.u, Unit.MM)
    way = "rise" if drift.size > 0 else "sink"
    words = f"The readings {way} by {amount} over the run: a drift. It stays in the figures."
    made.oddities.append(Oddity("drift", words, size_mm=drift.size))
    made.drift_mm = drift.size
