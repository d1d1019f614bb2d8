"""Explanations of labelled sessions, kept so that scores and maps need no second explaining.

An answer holds what the map from computed to stated was given, so what is stated can be worked
out again with another map. Kept under benchmarks/.cache by the sources that compute and by what the
session came from: another map is the same answer, another engine, simulator or label is not.
"""

from __future__ import annotations

import inspect
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, is_dataclass, replace
from functools import cache
from pathlib import Path
from time import perf_counter
from typing import Any

import made
import numpy as np
import sessions as bristles
import simulators as others
import true_figures
from watched import watched

from plumbrise.explain import Explanation, calibration, explain
from plumbrise.explain.calibration_maps import MAPS, Map
from plumbrise.machine import ARRANGEMENTS, STATIONS
from plumbrise.readings import KINDS, Readings

CACHE = Path(__file__).parent / ".cache"
Wanted = tuple[str, str, str, int]
"""Simulator, arrangement, depth, how many."""


@dataclass(frozen=True, slots=True)
class Figure:
    """An interval that was stated, and the truth."""

    what: str
    low: float
    estimate: float
    high: float
    true: float


@dataclass(frozen=True, slots=True)
class Answer:
    """One session explained. `given` is what `calibrated` was given, `groups` the groups that
    stand together; `there`, `doubtful` and `over` (times the threshold) are the truth."""

    simulator: str
    arrangement: str
    depth: str
    seed: int
    number: int
    readings: int
    seconds: float
    stages: Mapping[str, float]
    misfit: float
    verdict: str
    made_wrong: tuple[str, ...]
    labelled: tuple[str, ...]
    there: frozenset[str]
    doubtful: frozenset[str]
    over: Mapping[str, float]
    seen: frozenset[str]
    given: Mapping[str, Any]
    groups: tuple[tuple[str, ...], ...]
    figures: tuple[Figure, ...]
    said: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Stated:
    """What is stated of causes and groups."""

    of: Mapping[str, float]
    groups: tuple[tuple[tuple[str, ...], float], ...]


def simulators() -> list[str]:
    """The simulators there are, the demo's first."""
    return list(others.SIMULATORS)


def sessions_of(simulator: str, depth: str, count: int, arrangement: str, seed: int) -> list[Any]:
    """Labelled sessions of any simulator."""
    return others.sessions(simulator, depth, count, arrangement=arrangement, seed=seed)


def whole(session: Any) -> Any:
    """The same session with the registries' own kinds and stations: code compares identities,
    and a pickle brings copies."""
    runs = tuple(
        replace(run, kind=KINDS[run.kind.id], station=STATIONS[run.station.id])
        for run in session.readings.runs
    )
    arrangement = ARRANGEMENTS[session.machine.arrangement.id]
    machine = replace(session.machine, arrangement=arrangement)
    return replace(session, machine=machine, readings=Readings(runs))


def answers(
    wanted: Sequence[Wanted], seed: int, *, processes: int = 1, only_kept: bool = False
) -> list[Answer]:
    """Answers to these sessions, those kept already not explained again."""
    jobs = [
        (simulator, arrangement, depth, seed, number)
        for simulator, arrangement, depth, count in wanted
        for number in range(count)
    ]
    missing = [job for job in jobs if not place(*job).exists()]
    if not only_kept:
        if processes > 1:
            from multiprocessing import get_context

            with get_context("spawn").Pool(processes) as pool:
                for _ in pool.imap_unordered(_answered, missing):
                    pass
        else:
            for job in missing:
                _answered(job)
    return [_read(place(*job)) for job in jobs if place(*job).exists()]


def place(simulator: str, arrangement: str, depth: str, seed: int, number: int) -> Path:
    """Where an answer is kept."""
    folder = CACHE / f"answers-{_engine()}"
    return folder / f"{others.origin(simulator)}-{arrangement}-{depth}-{seed}-{number}.json"


@cache
def _engine() -> str:
    """One name for the sources of this process, even if they change while it runs."""
    return made.sources("explain", "axis", "readings", "machine")


def _answered(job: tuple[str, str, str, int, int]) -> None:
    simulator, arrangement, depth, seed, number = job
    session = whole(sessions_of(simulator, depth, number + 1, arrangement, seed)[number])
    file = place(*job)
    file.parent.mkdir(parents=True, exist_ok=True)
    _warm_up()
    with watched() as stages:
        began = perf_counter()
        told = explain(session.machine, session.readings, rng=np.random.default_rng(0))
        seconds = perf_counter() - began
    calibrated = stages["calibrated"]
    given = inspect.signature(calibration.calibrated).bind(*calibrated.given, **calibrated.named)
    misfit = told.unexplained.rms_mm / max(told.unexplained.expected_rms_mm, 1e-6)
    answer = {
        "simulator": simulator,
        "arrangement": arrangement,
        "depth": depth,
        "seed": seed,
        "number": number,
        "readings": session.readings.count,
        "seconds": round(seconds, 3),
        "stages": {name: round(stage.seconds, 4) for name, stage in stages.items()},
        "misfit": round(misfit, 4),
        "verdict": told.unexplained.verdict,
        "made_wrong": list(session.made_wrong),
        "labelled": list(session.labels),
        "there": sorted(session.there),
        "doubtful": sorted(session.doubtful),
        "over": {c: round(label.over, 3) for c, label in session.labels.items()},
        "seen": sorted(c.cause for c in told.causes if c.could_be_seen),
        "given": {name: _plain(value) for name, value in given.arguments.items()},
        "groups": [list(group.causes) for group in told.groups],
        "figures": [asdict(f) for f in figures(session, told)],
        "said": {c.cause: round(c.probability, 4) for c in told.causes},
    }
    file.write_text(json.dumps(answer))


@cache
def _warm_up() -> None:
    """Compile and load everything once, so that no session's time holds it."""
    session = whole(bristles.sessions("five-minutes", 1, seed=1)[0])
    explain(session.machine, session.readings, rng=np.random.default_rng(0))


def figures(session: Any, told: Explanation) -> list[Figure]:
    """Intervals beside the truth, where the simulator has the figure."""
    truth = true_figures.of(session)
    out = []
    for what, key, interval in true_figures.stated(told):
        if key in truth:
            low, estimate, high = (
                float(x) for x in (interval.low, interval.estimate, interval.high)
            )
            out.append(Figure(what, low, estimate, high, float(truth[key])))
    return out


def _plain(value: Any) -> Any:
    """Sets and signs as lists and numbers."""
    if is_dataclass(value) and not isinstance(value, type):
        return {"signs": asdict(value)}
    if isinstance(value, Mapping):
        if any(isinstance(key, frozenset) for key in value):
            return {"sets": [[sorted(key), float(w)] for key, w in value.items()]}
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, (set, frozenset)):
        return sorted(value)
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    return value.item() if isinstance(value, np.generic) else value


def _whole(value: Any) -> Any:
    """Back from lists to sets and signs."""
    if isinstance(value, dict):
        if set(value) == {"signs"} and isinstance(value["signs"], dict):
            return calibration.Signs(**value["signs"])
        if set(value) == {"sets"}:
            return {frozenset(key): w for key, w in value["sets"]}
        return {key: _whole(one) for key, one in value.items()}
    return value


def _read(file: Path) -> Answer:
    kept = json.loads(file.read_text())
    given = {name: _whole(value) for name, value in kept["given"].items()}
    if "alike" in given:
        given["alike"] = [tuple(group) for group in given["alike"]]
    return Answer(
        **kept
        | {
            "made_wrong": tuple(kept["made_wrong"]),
            "labelled": tuple(kept["labelled"]),
            "there": frozenset(kept["there"]),
            "doubtful": frozenset(kept["doubtful"]),
            "seen": frozenset(kept["seen"]),
            "given": given,
            "groups": tuple(tuple(group) for group in kept["groups"]),
            "figures": tuple(Figure(**figure) for figure in kept["figures"]),
        }
    )


def stated(answer: Answer, one: Map | None = None) -> Stated:
    """What is stated with the map of today, or with another."""
    maps = MAPS if one is None else MAPS | {answer.given["depth"]: one}
    joint = calibration.calibrated(**answer.given, maps=maps)
    of = {cause: joint.of(cause) for cause in answer.given["causes"]}
    return Stated(of, tuple((group, joint.of_any(group)) for group in answer.groups))
