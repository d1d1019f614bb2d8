"""What time goes into, and how time and memory grow with readings and causes.

    python benchmarks/speed.py              into results/speed.json

Tables are parts of one full session of the invented machine; beyond its length, its runs again
under other names. Each row is a process of its own, so that its peak memory is its own; seconds are
of the second of two runs, with everything compiled and loaded.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import made
import numpy as np
from watched import watched

from plumbrise.axis import predict_all, prepare
from plumbrise.demo import bramble
from plumbrise.explain import explain
from plumbrise.explain import search as search_room
from plumbrise.readings import Readings

RESULTS = Path(__file__).parent / "results" / "speed.json"
COUNTS = (7, 15, 30, 60, 120, 240, 427, 1000, 2000)
KINDS = {
    "one kind, gantry": ("fine-steps",),
    "two kinds": ("fine-steps", "reversal"),
    "moving kinds": ("fine-steps", "coarse-steps", "reversal", "full-travel", "one-turn"),
    "all kinds": (),
}
WITHIN = ("_wide", "_visit", "_polish")
"""Parts of the search."""


def table(count: int) -> Readings:
    """So many readings: whole runs, the last one cut."""
    # a few readings tell something only if the axis moves in them
    whole = sorted(bramble.readings().runs, key=lambda run: not run.kind.moves)
    kept, left, again = [], count, 0
    while left > 1:
        for run in whole:
            if left <= 1:
                break
            rows = run.readings[: max(left, 2)]
            kept.append(replace(run, name=f"{run.name} {again}".strip(" 0"), readings=rows))
            left -= len(rows)
        again += 1
    return Readings(tuple(kept))


def measured(readings: Readings) -> dict[str, Any]:
    """One table explained: seconds, work, stages, memory."""
    import resource

    machine = bramble.MACHINE
    explain(machine, readings, rng=np.random.default_rng(0))
    first: list[float] = []
    began, cpu = perf_counter(), process_time()
    explain(machine, readings, rng=np.random.default_rng(0))
    seconds, cpu_seconds = perf_counter() - began, process_time() - cpu
    began = perf_counter()

    def at_first(_: object) -> bool:
        first.append(perf_counter() - began)
        return False

    explain(machine, readings, rng=np.random.default_rng(0), progress=at_first)
    with watched(more=tuple((search_room, name) for name in WITHIN)) as stages:
        explain(machine, readings, rng=np.random.default_rng(0))
    found = stages["search"].made
    if found is None:  # a table that says nothing of causes is told so at once
        peak = round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
        nothing = {"fits": 0, "simulated": 0, "microseconds_a_simulated_session": 0.0}
        return nothing | {
            "readings": readings.count,
            "seconds": round(seconds, 2),
            "cpu_seconds": round(cpu_seconds, 2),
            "first_answer_seconds": None,
            "floor_seconds": 0.0,
            "causes_possible": 0,
            "peak_memory_mb": peak,
            "stages": {},
        }
    session = prepare(machine, readings)
    theta = np.tile(found.model.space.base, (400, 1))
    predict_all(session, theta, threads=1)
    began = perf_counter()
    predict_all(session, theta, threads=1)
    each_us = (perf_counter() - began) / 400 * 1e6
    return {
        "readings": readings.count,
        "seconds": round(seconds, 2),
        "cpu_seconds": round(cpu_seconds, 2),
        "first_answer_seconds": round(first[0], 2) if first else None,
        "fits": found.model.count.fits,
        "simulated": found.model.count.simulated,
        "microseconds_a_simulated_session": round(each_us, 1),
        "floor_seconds": round(found.model.count.simulated * each_us * 1e-6, 2),
        "causes_possible": len(found.possible) + len(found.linear_causes),
        "peak_memory_mb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024),
        "stages": {
            name: round(stage.seconds, 3) for name, stage in stages.items() if stage.seconds > 5e-4
        },
    }


def apart(*given: str) -> dict[str, Any]:
    """A measurement in a process of its own."""
    done = subprocess.run(
        [sys.executable, __file__, *given], capture_output=True, text=True, check=True
    )
    found: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return found


def main() -> None:
    """Measure and store; with an argument, one table only."""
    if sys.argv[1:2] == ["--count"]:
        print(json.dumps(measured(table(int(sys.argv[2])))))
        return
    if sys.argv[1:2] == ["--kinds"]:
        kinds = KINDS[sys.argv[2]]
        runs = [r for r in bramble.readings().runs if not kinds or r.kind.id in kinds]
        if sys.argv[2].endswith("gantry"):
            runs = [r for r in runs if r.station.id.startswith("gantry")]
        print(json.dumps(measured(Readings(tuple(runs)))))
        return
    load = os.getloadavg()[0]
    by_readings = [apart("--count", str(count)) for count in COUNTS]
    by_kinds = {name: apart("--kinds", name) for name in KINDS}
    whole = next(row for row in by_readings if row["readings"] == 427)
    longest = by_readings[-1]
    words = [
        f"427 readings: {whole['seconds']:g} s, first answer after "
        f"{whole['first_answer_seconds']:g} s, {whole['peak_memory_mb']} MB, {whole['fits']} fits, "
        f"{whole['simulated']} simulated sessions of {whole['microseconds_a_simulated_session']:g} "
        f"microseconds; these alone take {whole['floor_seconds']:g} s on one core, which is the "
        f"floor of this method. {longest['readings']} readings: {longest['seconds']:g} s, "
        f"{longest['peak_memory_mb']} MB. Load on the two cores at the start: {load:.1f}.",
        "| readings | seconds | first answer | fits | simulated | memory, MB |\n"
        "|---|---|---|---|---|---|\n"
        + "\n".join(
            f"| {r['readings']} | {r['seconds']:g} | {r['first_answer_seconds']} | {r['fits']} "
            f"| {r['simulated']} | {r['peak_memory_mb']} |"
            for r in by_readings
        ),
        "| tests | causes possible | readings | seconds | simulated |\n|---|---|---|---|---|\n"
        + "\n".join(
            f"| {name} | {r['causes_possible']} | {r['readings']} | {r['seconds']:g} "
            f"| {r['simulated']} |"
            for name, r in by_kinds.items()
        ),
    ]
    kept = {"by_readings": by_readings, "by_kinds": by_kinds, "words": words, "load": load}
    kept["how"] = made.how("python benchmarks/speed.py", 0)
    RESULTS.write_text(made.compact(kept), encoding="utf-8")
    for line in words:
        print(line)


if __name__ == "__main__":
    main()
