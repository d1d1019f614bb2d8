"""Where the nozzle really stands above the bed on the way of a print."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import Parameters, layout_of, predict_all, prepare
from plumbrise.axis.parameters import shares
from plumbrise.errors import InputError
from plumbrise.foresee.axes import Axes, another_print
from plumbrise.foresee.model_error import model_error
from plumbrise.foresee.printing import Print, Stop, fits_under, way
from plumbrise.machine import STATIONS
from plumbrise.readings import Reading, Readings, Run
from plumbrise.readings.kinds import COARSE_STEPS, FULL_TRAVEL

Vector = NDArray[np.float64]
Array = NDArray[np.float64]

WORTH_A_THREAD = 20_000
"""Stops times axes from which a second thread saves more than it takes to start."""
PART = "part"
"""The place where the part stands, beside the ends of the moving part."""


@dataclass(frozen=True, slots=True, eq=False)
class Heights:
    """Nozzle over bed (mm) on a print: (draws, layers, places, 2), the last for the first bead of
    a layer and for one laid after a lift (the same where nothing is lifted within a layer).

    `foretold_mm` counts in what the axis model may err by, `print_mm` does not, and `usual_mm`
    leaves out what differs from print to print as well. `places` are the ends and the part.
    """

    job: Print
    places: tuple[str, ...]
    foretold_mm: Array
    print_mm: Array
    usual_mm: Array


def heights(axes: Axes, job: Print, rng: np.random.Generator) -> Heights:
    """Heights of the nozzle in every layer, a print on each axis.

    The bed counts as level with the beam as that stands when homing ends, and the offset as set
    there: so a height is what the axis moved since homing.

    Args:
        axes: the axes.
        job: what is printed, and how it starts.
        rng: what differs from print to print (drag, home) is drawn from it.

    Raises:
        InputError: the print is higher than the axis goes.
    """
    usual, taken_up = _one_print(axes, job)
    real, _ = _one_print(another_print(axes, rng), job)
    if axes.home_sd_mm is not None:
        real = real + (axes.home_sd_mm * rng.standard_normal(axes.count))[:, None, None, None]
    foretold = real + model_error(told_of(job), taken_up, rng)[..., None]
    return Heights(job, (*axes.base.ends, PART), foretold, real, usual)


def told_of(job: Print) -> Vector:
    """Where the nozzle is told to be in each layer."""
    return np.array([job.told_mm(layer) for layer in range(1, job.layers + 1)])


def _one_print(axes: Axes, job: Print) -> tuple[Array, Array]:
    """Heights of the beads (draws, layers, places, 2), and what each place takes up on the way
    (draws, places)."""
    base, stops = axes.base, way(job)
    fits_under(job, base.height_mm)
    weights = part_weights(len(base.ends), base.span_mm, job)
    ends = moved_mm(axes, stops, job)
    home = ends[:, :1]
    above = ends - home
    if job.probe_n:  # zero is where the nozzle stood while it pressed
        above = above - ((ends[:, 1] - ends[:, 0]) @ weights)[:, None, None]
    at = [k for k, stop in enumerate(stops) if stop.layer and not stop.lifted]
    after = [k for k, stop in enumerate(stops) if stop.lifted]
    beads = np.stack([above[:, at], above[:, after or at]], axis=-1)
    behind = np.array([stop.told_mm for stop in stops])[:, None] - ends
    taken_up = np.ptp(behind, axis=1)
    return (
        with_part(beads, weights),
        np.concatenate([taken_up, (taken_up @ weights)[:, None]], axis=1),
    )


def with_part(ends: Array, weights: Vector) -> Array:
    """The same with the part's place after the ends: (draws, layers, places, 2)."""
    part = np.einsum("dleb,e->dlb", ends, weights)
    return np.concatenate([ends, part[:, :, None]], axis=2)


def part_weights(ends: int, span_mm: float, job: Print) -> Vector:
    """What share each end has in the height at the part's place.

    Raises:
        InputError: a place outside the guides.
    """
    place = span_mm / 2 if job.place_mm is None else job.place_mm
    if not 0 <= place <= span_mm:
        raise InputError(
            place="place_mm",
            value=place,
            allowed=f"0 to {span_mm:g} mm from the left guide",
            remedy="Measure from the left guide to the middle of the part.",
        )
    return np.array(shares(ends, place / span_mm))


def moved_mm(axes: Axes, stops: Sequence[Stop], job: Print) -> Array:
    """Heights of the nozzle over the bed at these stops: (draws, stops, ends), from a zero of
    each end that is free."""
    base = axes.base
    carries_bed = base.arrangement.body == "bed"
    told = np.array([stop.told_mm for stop in stops])
    axis_told = base.height_mm - told if carries_bed else told
    thetas = axes.thetas.copy()
    thetas[:, layout_of(base).index("plunger_mm")] = 0.0
    place = base.span_mm / 2 if job.place_mm is None else job.place_mm
    session = prepare(base, _readings(base, stops, axis_told, place), overrun_mm=0.0)
    threads = 2 if thetas.shape[0] * len(stops) > WORTH_A_THREAD else 1
    made = predict_all(session, thetas, threads=threads).reading_mm
    ends = np.stack([made[:, rows] for rows in session.rows_of_run], axis=-1)
    ends = ends + thread_mm(base, axes.terms, axis_told)
    return -ends if carries_bed else ends


def _readings(base: Parameters, stops: Sequence[Stop], told: Vector, place_mm: float) -> Readings:
    """The way as runs, one for each end of the moving part."""
    carries_bed = base.arrangement.body == "bed"
    towards_bed = "up" if carries_bed else "down"
    rows, approach = [], towards_bed
    for k, stop in enumerate(stops):
        if k and told[k] != told[k - 1]:
            approach = "up" if told[k] > told[k - 1] else "down"
        push = stop.push_n if not carries_bed else -stop.push_n
        rows.append(
            Reading(
                seq=k,
                target_mm=float(told[k]),
                reading_mm=None,
                approach=approach,
                force_n=push or None,
                mass_at_mm=place_mm if push else None,
            )
        )
    kind = FULL_TRAVEL if carries_bed else COARSE_STEPS
    names = [f"{base.arrangement.body}-{end}" for end in base.ends]
    runs = [Run(name=n, kind=kind, station=STATIONS[n], readings=tuple(rows)) for n in names]
    return Readings(tuple(runs))


def thread_mm(base: Parameters, terms: Mapping[str, Vector], told_mm: Vector) -> Array:
    """What thread and motor errors add at each end: (draws, stops, ends)."""
    count = len(next(iter(terms.values()))) if terms else 1
    lifts = np.zeros((count, len(told_mm), len(base.lifts)))
    for k, lift in enumerate(base.lifts):
        ratio = terms.get(f"lead-error:{lift.end}")
        if ratio is not None:
            lifts[:, :, k] += ratio[:, None] * told_mm
        for name, period in waves_of(base, k):
            cosine, sine = terms.get(f"{name}:cos"), terms.get(f"{name}:sin")
            if cosine is not None and sine is not None:
                angle = 2 * np.pi * told_mm / period
                lifts[:, :, k] += cosine[:, None] * np.cos(angle) + sine[:, None] * np.sin(angle)
    if len(base.lifts) == 1:
        return np.repeat(lifts, len(base.ends), axis=2)
    return lifts


def waves_of(base: Parameters, lift: int) -> list[tuple[str, float]]:
    """Names and periods (mm) of the waves that a lift's thread and motor may make; none where
    the lead is not known."""
    end, thread = base.lifts[lift].end, base.lifts[lift].thread
    found: list[tuple[str, float]] = []
    if thread.turn_mm:
        found.append((f"screw-bend:{end}", thread.turn_mm))
    if thread.four_steps_mm:
        for motor in ("", f":{end}"):
            found.append((f"microstep-error{motor}:four", thread.four_steps_mm))
            found.append((f"microstep-error{motor}:one", thread.four_steps_mm / 4))
    return found
