"""Layers that are foretold against layers that machines of the independent simulators lay.

    python benchmarks/foresee.py [machines of each simulator]   writes results/foresee.json
    python benchmarks/foresee.py 0                              measures speed alone
    python benchmarks/foresee.py 10 --stairs                    from the staircase alone, quickly
    python benchmarks/foresee.py 3 --seed 12                    on other machines

Each machine is read (a full session) and explained; then a print is foretold, and the very same
moves are made on the true machine, a print for each end. The same layers are foretold straight
from the staircase as well. What is scored is the gap of each layer.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from time import perf_counter
from typing import Any

import answers
import made
import numpy as np
import simulators

from plumbrise.demo import scenario
from plumbrise.demo.draws import draw
from plumbrise.demo.session import happened
from plumbrise.errors import InputError
from plumbrise.explain import Interval, explain
from plumbrise.foresee import (
    Forecast,
    Lift,
    Print,
    Start,
    axes_of,
    foresee_from_readings,
    foresee_on,
)
from plumbrise.foresee.heights import heights
from plumbrise.foresee.layers import layers_of
from plumbrise.foresee.printing import way
from plumbrise.machine import STATIONS
from plumbrise.readings import Reading, Run
from plumbrise.readings.history import OVERRUN_MM
from plumbrise.readings.kinds import COARSE_STEPS

RESULT = Path(__file__).parent / "results" / "foresee.json"
SEED = 11
JOBS = {
    "down": Print(layers=10),
    "up": Print(layers=10, start=Start.UP),
    "lift": Print(layers=4, lift=Lift.EVERY, lift_mm=2.0),
}
"""Prints that are laid. A simulator goes 1 mm past each turn from up to down, so what it lifts by
is that much more; layers above 1 mm would dip, hence few of them with lifts."""


def truly_laid(session: Any, simulator: str, job: Print, end: str, seed: int) -> list[float]:
    """The gap of every layer that the true machine lays at one end."""
    stops = way(job)
    told = [stop.told_mm for stop in stops]
    approach = ["down"] + ["up" if b > a else "down" for a, b in pairwise(told)]
    rows = tuple(
        Reading(seq=k, target_mm=z, reading_mm=None, approach=a)
        for k, (z, a) in enumerate(zip(told, approach, strict=True))
    )
    body = session.machine.arrangement.body
    run = Run(name="print", kind=COARSE_STEPS, station=STATIONS[f"{body}-{end}"], readings=rows)
    chance = draw((run,), np.random.default_rng([seed, 5]))
    done = happened(session.axis, (run,), chance, motion=simulators.motion_of(simulator))[0]
    above = done.true_mm - done.true_mm[0]
    at = [k for k, stop in enumerate(stops) if stop.layer]
    return [float(gap) for gap in np.diff(above[at], prepend=0.0)]


@dataclass(frozen=True, slots=True)
class Laid:
    """One layer of one print: what was told, foretold and laid."""

    job: str
    layer: int
    told: float
    foretold: Interval
    laid: float


def laid_on(
    session: Any, simulator: str, number: int, made_by: Callable[..., Forecast]
) -> list[Laid]:
    """Every layer of every print on one machine."""
    found = []
    for k, (name, job) in enumerate(JOBS.items()):
        forecast = made_by(_as_simulated(job))
        for end in session.machine.arrangement.ends:
            if end not in forecast.places:
                continue
            gaps = truly_laid(session, simulator, job, end, 100 * number + 10 * k + len(end))
            for layer, gap in zip(forecast.layers, gaps, strict=True):
                foretold = layer.at[end].gap_mm
                found.append(Laid(name, layer.number, layer.nominal_mm, foretold, gap))
    return found


def _as_simulated(job: Print) -> Print:
    return replace(job, lift_mm=job.lift_mm + OVERRUN_MM, clear_mm=job.clear_mm + OVERRUN_MM)


def explained(simulator: str, session: Any, number: int, seed: int) -> list[Laid]:
    """Layers foretold from the explanation."""
    rng = np.random.default_rng([seed, number])
    told = explain(session.machine, session.readings, rng=rng)
    if told.believed is None:
        return []
    axes = axes_of(told.believed, rng)
    return laid_on(
        session, simulator, number, lambda job: foresee_on(session.machine, axes, job, rng=rng)
    )


def unmodelled(simulator: str, session: Any, number: int, seed: int) -> list[Laid]:
    """Layers foretold straight from the staircase."""
    rng = np.random.default_rng([seed, number, 1])
    try:
        return laid_on(
            session,
            simulator,
            number,
            lambda job: foresee_from_readings(session.machine, session.readings, job, rng=rng),
        )
    except InputError:
        return []


def summary(found: list[Laid]) -> dict[str, Any]:
    """By print and layer: how far off the told and the foretold gap were, and how often the 90 %
    interval held."""
    out: dict[str, Any] = {}
    for name in JOBS:
        some = [one for one in found if one.job == name]
        if not some:
            continue
        layers = sorted({one.layer for one in some})
        by = [[one for one in some if one.layer == layer] for layer in layers]
        out[name] = {
            "layers": len(some),
            "interval_of_90_holds": _share(some),
            "median_error_mm": [
                _middle([abs(o.foretold.estimate - o.laid) for o in b]) for b in by
            ],
            "median_error_of_told_mm": [_middle([abs(o.told - o.laid) for o in b]) for b in by],
            "holds_by_layer": [_share(b) for b in by],
        }
    out["all"] = {
        "layers": len(found),
        "interval_of_90_holds": _share(found),
        "median_error_mm": _middle([abs(o.foretold.estimate - o.laid) for o in found]),
        "ninth_of_ten_error_mm": _middle([abs(o.foretold.estimate - o.laid) for o in found], 0.9),
    }
    return out


def _share(some: list[Laid]) -> float:
    return round(float(np.mean([o.foretold.low <= o.laid <= o.foretold.high for o in some])), 3)


def _middle(values: list[float], part: float = 0.5) -> float:
    return round(float(np.quantile(values, part)), 4)


def speed() -> dict[str, Any]:
    """Layers a second, and the time of a 500-layer part on 200 axes."""
    example = scenario()
    rng = np.random.default_rng(SEED)
    told = explain(example.machine, example.readings, rng=rng)
    assert told.believed is not None
    axes = axes_of(told.believed, rng, 200)
    heights(axes, Print(), rng)
    out: dict[str, Any] = {"draws": axes.count}
    for layers in (10, 500):
        took = []
        for _ in range(3):
            began = perf_counter()
            layers_of(heights(axes, Print(layers=layers), rng), rng)
            took.append(perf_counter() - began)
        out[f"seconds_for_{layers}_layers"] = round(min(took), 4)
        out[f"layers_a_second_of_{layers}"] = round(layers / min(took))
        out[f"layers_times_draws_a_second_of_{layers}"] = round(axes.count * layers / min(took))
    began = perf_counter()
    foresee_on(example.machine, axes, Print(), rng=rng)
    out["seconds_for_a_forecast_with_remedies_and_bands"] = round(perf_counter() - began, 3)
    return out


def by_simulator(found: dict[str, list[Laid]]) -> dict[str, Any]:
    """Of each simulator: how often the interval held, on its worst and best machine too, and the
    layer that was furthest off."""
    out = {}
    for name in simulators.SIMULATORS:
        machines = [some for key, some in found.items() if key.startswith(f"{name} ") and some]
        if not machines:
            continue
        held = sorted(_share(some) for some in machines)
        layers = [one for some in machines for one in some]
        out[name] = {
            "machines": len(machines),
            "interval_of_90_holds": _share(layers),
            "of_the_worst_and_best_machine": [held[0], held[-1]],
            "worst_error_mm": round(max(abs(o.foretold.estimate - o.laid) for o in layers), 4),
        }
    return out


WAYS = {"from_the_explanation": explained, "straight_from_the_staircase": unmodelled}


def scored(way: str, count: int, seed: int) -> dict[str, Any]:
    """One way of foretelling on so many machines of every simulator."""
    found: dict[str, list[Laid]] = {}
    for simulator in simulators.SIMULATORS:
        for number, session in enumerate(simulators.sessions(simulator, "full", count, seed=seed)):
            some = WAYS[way](simulator, answers.whole(session), number, seed)
            found[f"{simulator} {number}"] = some
            print(way, simulator, number, json.dumps(summary(some)["all"] if some else None))
    whole = [one for some in found.values() for one in some]
    return {**summary(whole), "by_simulator": by_simulator(found)}


def main(count: int, *, stairs: bool, seed: int) -> None:
    """Each way in turn, then speed."""
    results = json.loads(RESULT.read_text()) if RESULT.exists() else {}
    of = results if seed == SEED else results.setdefault("other_machines", {})
    ways = list(WAYS)[1:] if stairs else list(WAYS)
    for name in ways if count else ():
        command = f"python benchmarks/foresee.py {count}"
        command += " --stairs" * stairs + f" --seed {seed}" * (seed != SEED)
        of[name] = {"how": made.how(command, seed), **scored(name, count, seed)}
    if seed == SEED and not stairs:
        command = "python benchmarks/foresee.py 0"
        results["speed"] = {"how": made.how(command, SEED), **speed()}
    RESULT.write_text(made.compact(results), encoding="utf-8")


if __name__ == "__main__":
    asked = argparse.ArgumentParser()
    asked.add_argument("count", type=int, nargs="?", default=10)
    asked.add_argument("--stairs", action="store_true")
    asked.add_argument("--seed", type=int, default=SEED)
    given = asked.parse_args()
    main(given.count, stairs=given.stairs, seed=given.seed)
