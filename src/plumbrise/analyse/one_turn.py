"""Errors that come back: once a turn of the screw, and once in four full steps of the motor."""

from __future__ import annotations

from math import degrees, hypot, inf, sqrt

import numpy as np
from numpy.typing import NDArray

from plumbrise.analyse.budget import GaugeDoubt, cannot, figure, scatter_part
from plumbrise.analyse.periodic import Wave, can_be_seen, fit_waves
from plumbrise.analyse.results import CannotTell, Figure, Part
from plumbrise.quantity import Unit, student_factor
from plumbrise.readings import Scale

Array = NDArray[np.float64]
Found = list[Figure | CannotTell]
FULL_STEPS_OF_PATTERN = 4
FEWEST_READINGS = 8


def returning_errors(
    told: Array, deviation: Array, scale: Scale, gauge: GaugeDoubt, *, ask: bool
) -> Found:
    """Amplitude and phase of the error once a turn and once in four full steps.

    Args:
        told: targets, mm, of readings approached alike and past the take-up.
        deviation: reading less target, or a sideways reading, any zero.
        scale: lead and full step.
        gauge: what the gauge adds.
        ask: say what is missing where a figure cannot be told (else leave it out).
    """
    names = ("once_per_turn", "full_step_pattern")
    lead = scale.lead_mm
    pattern = None if scale.full_step_mm is None else FULL_STEPS_OF_PATTERN * scale.full_step_mm
    if lead is None:
        return _asked(ask, names, "the lead of the screw is not known.", "Give the lead.")
    if len(told) < FEWEST_READINGS:
        why = f"{FEWEST_READINGS} readings are wanted, {len(told)} are there."
        return _asked(ask, names, why, "Read sixteenths of a turn over two turns.")
    found: Found = []
    turns = float(np.ptp(told)) / lead
    seen = [lead] if turns >= 0.9 and can_be_seen(told, lead) else []
    if pattern is not None and len(told) >= FEWEST_READINGS + 2 and can_be_seen(told, pattern):
        seen.append(pattern)
    if seen:
        fitted = fit_waves(told, deviation, seen)
        for wave in fitted.waves:
            name = names[0] if wave.period == lead else names[1]
            found += _figures(name, wave, fitted.curve.dof, len(told), gauge)
    if lead not in seen:
        why = f"the readings cover {turns:.2g} of a turn and do not meet all its parts."
        found += _asked(ask, names[:1], why, "Read sixteenths of a turn over two turns.")
    if pattern is None:
        found += _asked(ask, names[1:], "the full step is not known.", "Give lead and motor.")
    elif pattern not in seen:
        why = f"readings at these targets do not tell a wave of {pattern:g} mm from a level."
        need = f"Take steps that are no multiple of {pattern / 2:g} mm."
        found += _asked(ask, names[1:], why, need)
    return found


def _asked(ask: bool, names: tuple[str, ...], why: str, need: str) -> Found:
    return [cannot(name, why, need, "amplitude") for name in names] if ask else []


def _figures(
    name: str, wave: Wave, dof: int, n: int, gauge: GaugeDoubt
) -> list[Figure | CannotTell]:
    least = sqrt(2 / n) * gauge.resolution_mm / sqrt(12)
    parts = [
        scatter_part("scatter about the wave", max(wave.u_amplitude, least), max(dof, 1)),
        Part(
            "gauge, over a part of a turn of the dial",
            gauge.limits.tenth_turn_mm / sqrt(3) * sqrt(2 / n),
            inf,
            "B",
        ),
    ]
    amplitude = figure(name, wave.amplitude, parts, detail="amplitude")
    if not wave.amplitude > student_factor(max(dof, 1)) * hypot(*(p.u for p in parts)):
        return [
            amplitude,
            cannot(
                name,
                "the wave is within its own uncertainty.",
                "A finer gauge, or more turns, would tell.",
                "phase",
            ),
        ]
    u_phase = degrees(max(wave.u_phase_rad, parts[1].u / wave.amplitude))
    phase = figure(
        name,
        degrees(wave.phase_rad) % 360,
        [scatter_part("scatter about the wave", u_phase, max(dof, 1))],
        unit=Unit.DEGREE,
        detail="phase",
    )
    return [amplitude, phase]
