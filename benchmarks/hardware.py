"""Indicator and controller against stand-ins that misbehave by chance: faults survived, rates.

python benchmarks/hardware.py [seeds]

Writes benchmarks/results/hardware.json. A fault is survived when what is told is true: a value
taken is one that was shown at rest, what could not be taken says the right trouble, the program
ends whole or halts with the right cause, and every stop is told at the height where the axis is.
"""

from __future__ import annotations

import json
import platform
import random
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from statistics import median, quantiles

from plumbrise.hardware import (
    AtStop,
    Cause,
    Controller,
    Finished,
    Halted,
    Indicator,
    NotTaken,
    Taken,
    Timing,
    Trouble,
    open_port,
    take,
)
from plumbrise.machine import blank
from plumbrise.machine.description import Controller as ControllerFacts
from plumbrise.machine.description import Travel
from plumbrise.measure.indicator_line import from_template
from plumbrise.measure.stillness import StillnessRule

HERE = Path(__file__).parent
RESULT = HERE / "results" / "hardware.json"
_spec = spec_from_file_location(
    "plumbrise_stand_ins", HERE.parent / "tests" / "hardware" / "stand_ins.py"
)
assert _spec is not None
assert _spec.loader is not None
stand_ins = module_from_spec(_spec)
sys.modules["plumbrise_stand_ins"] = stand_ins
_spec.loader.exec_module(stand_ins)

PATTERN = from_template("{value:3} mm")
RULE = StillnessRule(within_mm=0.0005, values=5, seconds=0.08, gap_s=0.5)
MACHINE = replace(
    blank("one-screw"),
    travel=Travel(height_mm=250.0),
    controller=ControllerFacts(dwell_unit="milliseconds", stop_waits=True, home="down"),
)
TIMING = Timing(
    margin_s=0.04,
    guard_s=0.015,
    quiet_s=0.05,
    silence_s=0.55,
    home_s=2.0,
    busy_s=5.0,
    home_at_once_s=0.04,
    home_mm_per_s=2000.0,
    greet_s=0.06,
)
PROGRAM = (
    "G21\nG90\nG28\nG1 Z0.3 F300\nM0 ; 1\nG1 Z0.4\nM0 ; 2\nG4 P10\nG1 Z0.45\nG1 Z0.5\nM0 ; 3\n"
    "G1 Z0.2\nM0 ; 4\n"
)
LINES = sum(not line.startswith("M0") for line in PROGRAM.splitlines())

# The indicator. A fault is a way to spoil lines by chance; with the troubles that may be told.

Spoil = Callable[[int, bytes], bytes | None]


def _sometimes(rng: random.Random, share: float, made: Callable[[bytes], bytes | None]) -> Spoil:
    return lambda _, line: made(line) if rng.random() < share else line


def _noise(rng: random.Random, most: int) -> bytes:
    return bytes(rng.randrange(256) for _ in range(rng.randrange(1, most)))


def _wrong_baud(rng: random.Random) -> Spoil:
    ratio = rng.choice([0.125, 0.25, 0.5, 2.0, 4.0, 8.0, 1.5, 3.0])
    return lambda _, line: stand_ins.at_wrong_baud(line, ratio)


INDICATOR_FAULTS: dict[str, tuple[Callable[[random.Random], Spoil], Trouble | None]] = {
    "garbage between lines": (
        lambda rng: _sometimes(rng, 0.2, lambda line: _noise(rng, 40) + b"\r\n" + line),
        None,
    ),
    "a damaged byte": (
        lambda rng: _sometimes(rng, 0.2, lambda line: _with_byte(rng, line)),
        None,
    ),
    "half lines": (
        lambda rng: _sometimes(
            rng, 0.2, lambda line: line[: rng.randrange(len(line) - 2)] + b"\r\n"
        ),
        None,
    ),
    "lines run together": (lambda rng: _sometimes(rng, 0.2, lambda line: line.strip()), None),
    "bursts": (lambda rng: _sometimes(rng, 0.1, lambda line: line * 50), None),
    "nulls": (
        lambda rng: _sometimes(rng, 0.5, lambda line: b"\0" * 3 + line[:4] + b"\0" + line[4:]),
        None,
    ),
    "very long lines": (
        lambda rng: _sometimes(rng, 0.1, lambda line: b"7" * 5000 + b"\r\n" + line),
        None,
    ),
    "lines left out": (lambda rng: _sometimes(rng, 0.3, lambda _: None), None),
    "wrong baud": (_wrong_baud, Trouble.WRONG_BAUD),
    "silence": (lambda _: lambda number, line: line if number < 4 else None, Trouble.SILENT),
    "unplugged in mid-line": (lambda _: lambda _, line: line, Trouble.LOST),
}


def _with_byte(rng: random.Random, line: bytes) -> bytes:
    place = rng.randrange(len(line) - 2)
    return line[:place] + bytes([line[place] ^ 1 << rng.randrange(8)]) + line[place + 1 :]


def indicator_survives(kind: str, seed: int) -> tuple[bool, str]:
    rng = random.Random(f"{kind} {seed}")
    spoil, trouble = INDICATOR_FAULTS[kind]
    rests_s, mm = rng.uniform(0.02, 0.1), round(rng.uniform(-9, 9), 3)
    far = stand_ins.StandInIndicator(
        show=lambda s: mm + max(0.0, rests_s - s) * 5, every_s=0.004, spoil=spoil(rng)
    )
    try:
        with Indicator(open_port(far.name, baud=9600), PATTERN, silence_s=0.25) as indicator:
            if trouble is Trouble.LOST:
                time.sleep(rng.uniform(0.01, 0.06))
                far.send(b"+9.")
                far.unplug()
            found = take(indicator, RULE, timeout_s=0.8 if trouble else 4.0)
            if trouble is None:
                good = isinstance(found, Taken) and abs(found.mm - mm) < 1e-9
            else:
                good = isinstance(found, NotTaken) and found.trouble is trouble
            return good, str(found)
    finally:
        far.close()


# The controller. Each fault strikes one line by chance; what may be told of it.

CONTROLLER_FAULTS: dict[str, tuple[type[Finished] | Cause, ...]] = {
    "double": (Finished,),
    "late": (Finished,),
    "busy": (Finished,),
    "garbage": (Finished,),
    "long": (Finished,),
    "nul": (Finished,),
    "none": (Cause.SILENT,),
    "error": (Cause.REFUSED,),
    "alarm": (Cause.ALARM,),
    "restart": (Cause.RESTARTED,),
    "unplug": (Cause.LOST,),
    "half-unplug": (Cause.LOST,),
}
SAID = {
    "double": "doubled acknowledgements",
    "late": "a late acknowledgement",
    "busy": "busy lines before the acknowledgement",
    "garbage": "garbage before the acknowledgement",
    "long": "a very long line before the acknowledgement",
    "nul": "nulls in the acknowledgement",
    "none": "a missing acknowledgement",
    "error": "a refused line",
    "alarm": "an alarm in mid-move",
    "restart": "a restart in mid-move",
    "unplug": "unplugged in mid-move",
    "half-unplug": "unplugged in mid-line",
}


def controller_survives(kind: str, seed: int) -> tuple[bool, str]:
    rng = random.Random(f"{kind} {seed}")
    struck = rng.randrange(1, LINES + 1)
    faults = {struck: kind}
    if kind == "double":
        faults = {line: kind for line in range(1, LINES + 1) if rng.random() < 0.5}
    far = stand_ins.StandInController(
        faults=faults,
        queue=rng.choice([0, 4]),
        echo=rng.random() < 0.3,
        end=rng.choice([b"\n", b"\r\n"]),
        greets=rng.random() < 0.7,
    )
    try:
        with Controller(open_port(far.name, baud=115200), timing=TIMING) as controller:
            controller.load(MACHINE, PROGRAM)
            true = True
            while isinstance(came := controller.next_stop(), AtStop):
                true &= abs(far.height_mm - (came.height_mm or 0.0)) < 1e-6
            told = came.cause if isinstance(came, Halted) else Finished
            expected = CONTROLLER_FAULTS[kind]
            true &= told in expected and far.most_ahead <= 1
            if isinstance(came, Halted):
                sent = len(far.got)
                time.sleep(0.05)
                true &= came.needs_home and len(far.got) == sent <= struck + 1
            else:
                true &= len(far.got) == LINES
            return true, f"struck {struck}, ahead {far.most_ahead}, {came}"
    finally:
        far.close()


# Rates and the stop.


def readings_a_second(lines: int = 60_000) -> float:
    far = stand_ins.FarEnd()
    block = b"+1.250 mm\r\n" * 200
    try:
        with Indicator(open_port(far.name, baud=115200), PATTERN) as indicator:
            far.send(b"cut\r\n")
            start = time.perf_counter()
            for _ in range(lines // 200):
                far.send(block)
            while indicator.number < lines and time.perf_counter() - start < 60:
                time.sleep(0.001)
            assert indicator.number == lines
            return lines / (time.perf_counter() - start)
    finally:
        far.close()


def answers_a_second(seconds: float = 2.0) -> float:
    far = stand_ins.StandInIndicator(ask=b"?\r", every_s=0.0)
    try:
        port = open_port(far.name, baud=115200)
        with Indicator(port, PATTERN, ask=b"?\r", ask_every_s=0.0) as indicator:
            time.sleep(0.2)
            before, start = indicator.number, time.perf_counter()
            time.sleep(seconds)
            return (indicator.number - before) / (time.perf_counter() - start)
    finally:
        far.close()


def stops(count: int) -> dict[str, object]:
    """Stop at random moments of a slow move; what moved after it against the bound told."""
    taken_ms: list[float] = []
    within = after = 0
    for seed in range(count):
        rng = random.Random(f"stop {seed}")
        far = stand_ins.StandInController(queue=rng.choice([0, 4]), greets=False)
        text = "G21\nG90\nG28\n" + "".join(
            f"G1 Z{0.2 + 0.3 * i:.1f}{' F300' if not i else ''}\n" for i in range(8)
        )
        with Controller(open_port(far.name, baud=115200), timing=TIMING) as controller:
            controller.load(MACHINE, text)
            moving = threading.Thread(target=controller.next_stop, daemon=True)
            moving.start()
            time.sleep(rng.uniform(0.05, 0.5))
            sent, stood_mm = len(far.got), far.height_mm
            start = time.perf_counter()
            bound = controller.stop()
            taken_ms.append(1000 * (time.perf_counter() - start))
            moving.join(5)
            time.sleep(min(bound.s, 1.0) + 0.1)
            after += len(far.got) > sent
            within += abs(far.height_mm - stood_mm) <= (bound.mm or 0.0) + 1e-6
        far.close()
    return {
        "stops": count,
        "median_ms": round(median(taken_ms), 3),
        "p99_ms": round(quantiles(taken_ms, n=100, method="inclusive")[98], 3),
        "largest_ms": round(max(taken_ms), 3),
        "moved_no_more_than_told": within,
        "with_a_line_already_on_its_way": after,
    }


def main(seeds: int) -> int:
    faults: dict[str, dict[str, object]] = {}
    for name, kinds, survives in (
        ("indicator", list(INDICATOR_FAULTS), indicator_survives),
        ("controller", list(CONTROLLER_FAULTS), controller_survives),
    ):
        for kind in kinds:
            results = [survives(kind, seed) for seed in range(seeds)]
            said = f"{name}: {SAID.get(kind, kind)}"
            survived = sum(good for good, _ in results)
            faults[said] = {"injected": seeds, "survived": survived}
            print(f"{said:58} {survived:4} of {seeds}", flush=True)
            for seed, (good, what) in enumerate(results):
                if not good:
                    print(f"    seed {seed}: {what}", flush=True)
    stopped = stops(4 * seeds)
    made = {
        "made": (
            "By benchmarks/hardware.py over pseudo-terminals in one process with the stand-ins of "
            "tests/hardware/stand_ins.py, which run in Python threads beside the program and share "
            "its processor; a real port is slower than these rates and its faults are others. "
            "Each fault run draws its fault, moment, line end and manner of acknowledging by its "
            "seed."
        ),
        "on": f"{platform.python_implementation()} {platform.python_version()}, two shared cores",
        "seeds_a_kind": seeds,
        "readings_a_second": {
            "streamed": round(median(readings_a_second() for _ in range(3))),
            "asked_one_by_one": round(median(answers_a_second() for _ in range(3))),
        },
        "stop": stopped,
        "faults": faults,
        "faults_injected": sum(int(str(one["injected"])) for one in faults.values()),
        "faults_survived": sum(int(str(one["survived"])) for one in faults.values()),
    }
    print(json.dumps({k: v for k, v in made.items() if k != "faults"}, indent=2))
    RESULT.write_text(json.dumps(made, indent=2) + "\n", encoding="utf-8")
    return 0 if made["faults_injected"] == made["faults_survived"] else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 25))
