"""Made-up sessions: read off the axis model, with noise."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from types import ModuleType

import numpy as np
import pytest

from plumbrise.axis import Parameters, simulate, sound, with_lift
from plumbrise.explain import Explanation, explain
from plumbrise.machine import ONE_SCREW, STATIONS, Machine, PerSide
from plumbrise.machine import description as part
from plumbrise.readings import KINDS, Reading, Readings, Run

MACHINE = Machine(
    arrangement=ONE_SCREW,
    screw=PerSide(part.Screw(lead_mm=8.0)),
    gauge=part.Gauge(resolution_mm=0.001),
)
NOISE_MM = 0.0015


def stairs(kind: str, station: str, step_mm: float, count: int) -> Run:
    rows = [(i * step_mm, "up" if i else "down") for i in range(count)]
    return told(kind, station, rows)


def reversal(station: str, low_mm: float = 40.0) -> Run:
    up = [(low_mm + 0.2 * i, "up") for i in range(7)]
    down = [(target, "down") for target, _ in reversed(up)]
    return told("reversal", station, up + down + up)


def told(kind: str, station: str, rows: list[tuple[float, str]], masses=()) -> Run:
    hung = masses or [0.0] * len(rows)
    readings = tuple(
        Reading(seq=i, target_mm=round(t, 4), reading_mm=None, approach=way, mass_kg=kg)
        for i, ((t, way), kg) in enumerate(zip(rows, hung, strict=True))
    )
    return Run(
        name=f"{kind} {station}", kind=KINDS[kind], station=STATIONS[station], readings=readings
    )


def weights(station: str) -> Run:
    masses = [0.0, 0.5, 1.0, 1.5, 1.0, 0.5, 0.0]
    return told("dead-weight", station, [(50.0, "up")] * 7, masses)


GANTRY = (
    stairs("fine-steps", "gantry-left", 0.1, 16),
    stairs("fine-steps", "gantry-right", 0.1, 16),
    reversal("gantry-left"),
    reversal("gantry-right"),
)
EVENING = (
    *GANTRY,
    stairs("fine-steps", "motor-shaft", 0.1, 12),
    stairs("fine-steps", "screw", 0.1, 12),
    stairs("fine-steps", "nut", 0.1, 12),
    reversal("screw"),
    reversal("nut"),
    weights("gantry-left"),
    weights("screw"),
    told("gauge-check", "block", [(t, "up") for t in (0, 0.2, 1, 2)] + [(1, "down"), (0, "down")]),
)
FIVE_MINUTES = (
    stairs("coarse-steps", "gantry-left", 1.0, 9),
    stairs("coarse-steps", "gantry-right", 1.0, 9),
)


def read_off(axis: Parameters, plan: tuple[Run, ...], seed: int = 1) -> Readings:
    """The plan's readings on this axis: free zero, noise, the gauge's resolution."""
    rng = np.random.default_rng(seed)
    values = iter(simulate(axis, Readings(plan)).reading_mm)
    runs = []
    for run in plan:
        zero = rng.normal()
        rows = tuple(
            replace(r, reading_mm=round(next(values) + zero + rng.normal(0, NOISE_MM), 3))
            for r in run.readings
        )
        runs.append(replace(run, readings=rows))
    return Readings(tuple(runs))


SOUND = sound(MACHINE)
SOFT_COUPLING = with_lift(SOUND, lambda lift: replace(lift, coupling_stiffness_n_per_mm=22.0))
RACKING = replace(SOUND, racking_n_per_mm=14.0)


def explained(readings: Readings, machine: Machine = MACHINE) -> Explanation:
    return explain(machine, readings, rng=np.random.default_rng(0))


@pytest.fixture(scope="session")
def made() -> ModuleType:
    """This file's machines, plans and readings."""
    return sys.modules[__name__]


@pytest.fixture(scope="session")
def answer() -> Callable[[str], Explanation]:
    """Explanations of a few sessions by name, each made once."""
    sessions = {
        "sound": (SOUND, EVENING),
        "soft coupling": (SOFT_COUPLING, EVENING),
        "soft coupling, gantry only": (SOFT_COUPLING, GANTRY),
        "soft coupling, five minutes": (SOFT_COUPLING, FIVE_MINUTES),
        "racking": (RACKING, EVENING),
        "racking, gantry only": (RACKING, GANTRY),
    }
    made: dict[str, Explanation] = {}

    def of(name: str) -> Explanation:
        if name not in made:
            made[name] = explained(read_off(*sessions[name]))
        return made[name]

    return of
