"""Effects that are in no cause, put on what truly happened before gauge and person come to it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from plumbrise.demo.draws import draw
from plumbrise.demo.plans import plan
from plumbrise.demo.reading_gauge import written_down
from plumbrise.demo.session import Happened, happened
from plumbrise.demo.true_axis import Axis
from plumbrise.readings import Readings
from plumbrise.readings.kinds import GAUGE_CHECK, HAND_TURN, SIDE_PUSH

Rng = np.random.Generator
Effect = Callable[[Sequence[Happened], Rng], list[Happened]]
"""What happened, changed to what the gauge then meets."""


def scaled(by: float) -> Effect:
    """A dial that shows `by` times the way of its plunger."""
    return lambda done, _: [replace(d, path_mm=d.path_mm * by) for d in done]


def _told(done: Happened) -> np.ndarray:
    """Told height of every reading."""
    return np.array([r.target_mm for r in done.run.readings])


def _added(done: Happened, more: np.ndarray) -> Happened:
    """The station's way with so much more at each reading."""
    path = done.path_mm.copy()
    path[list(done.read_at)] += more
    return replace(done, path_mm=path)


def once_a_dial_turn(size_mm: float, turn_mm: float = 1.0) -> Effect:
    """A dial whose pinion is off its middle: the phase depends on where each set-up starts."""

    def put(done: Sequence[Happened], rng: Rng) -> list[Happened]:
        out = []
        for d in done:
            phase = rng.uniform(0, 2 * np.pi)
            here = d.true_mm
            out.append(_added(d, size_mm * np.sin(2 * np.pi * here / turn_mm + phase)))
        return out

    return put


def tooth_bump(size_mm: float, pitch_mm: float) -> Effect:
    """A belt between motor and screw that climbs a little at every tooth: short bumps at equal
    told distances, the same in every run."""

    def put(done: Sequence[Happened], rng: Rng) -> list[Happened]:
        start = rng.uniform(0, 1)
        out = []
        for d in done:
            if d.run.kind in (GAUGE_CHECK, HAND_TURN, SIDE_PUSH) or "shaft" in d.run.station.id:
                out.append(d)
                continue
            turn = (_told(d) / pitch_mm + start) % 1.0
            out.append(_added(d, size_mm * np.exp(-(((turn - 0.5) / 0.15) ** 2))))
        return out

    return put


def cable(up_mm: float, down_mm: float, height_mm: float = 200.0) -> Effect:
    """A cable loop that pulls the gantry down the more it is stretched, more on the way up than
    on the way down."""

    def put(done: Sequence[Happened], _: Rng) -> list[Happened]:
        out = []
        for d in done:
            if d.run.station.id.split("-")[0] not in ("gantry", "bed") or not d.run.kind.moves:
                out.append(d)
                continue
            up = np.array([r.approach == "up" for r in d.run.readings])
            share = (_told(d) / height_mm) ** 2
            out.append(_added(d, -share * np.where(up, up_mm, down_mm)))
        return out

    return put


def swaying(size_mm: float, over_s: float = 60.0) -> Effect:
    """A table that sways slowly, at random."""

    def put(done: Sequence[Happened], rng: Rng) -> list[Happened]:
        out = []
        for d in done:
            value, past, more = size_mm * rng.standard_normal(), d.time_s[0], []
            for t in d.time_s:
                keep = np.exp(-(t - past) / over_s)
                value = keep * value + size_mm * np.sqrt(1 - keep**2) * rng.standard_normal()
                past = t
                more.append(value)
            out.append(_added(d, np.array(more)))
        return out

    return put


def leaning(size_mm: float) -> Effect:
    """Somebody leans on the table for a third of each set-up."""

    def put(done: Sequence[Happened], rng: Rng) -> list[Happened]:
        out = []
        for d in done:
            count = len(d.read_at)
            start = int(rng.integers(1, max(2, 2 * count // 3)))
            there = (np.arange(count) >= start) & (np.arange(count) < start + count // 3)
            out.append(_added(d, size_mm * there))
        return out

    return put


def soft_stand(give: float, creep_mm: float) -> Effect:
    """A stand that gives under the plunger's spring, and goes on creeping."""

    def put(done: Sequence[Happened], _: Rng) -> list[Happened]:
        out = []
        for d in done:
            spent = d.time_s - d.time_s[0]
            crept = creep_mm * (1 - np.exp(-spent / 90.0))
            out.append(_added(replace(d, path_mm=d.path_mm * (1 - give)), -crept))
        return out

    return put


def rough_face(size_mm: float) -> Effect:
    """A tip on a rough face: it never finds the same spot twice."""
    return lambda done, rng: [
        _added(d, size_mm * rng.standard_normal(len(d.read_at))) for d in done
    ]


EFFECTS: dict[str, Effect] = {
    "a dial that shows 2 % too much": scaled(1.02),
    "a dial that shows a tenth too little": scaled(0.9),
    "an inch dial read as millimetres": scaled(1 / 25.4),
    "a dial off by 0.012 mm once a turn": once_a_dial_turn(0.012),
    "a dial off by 0.025 mm once a turn": once_a_dial_turn(0.025),
    "a belt tooth every 0.5 mm, 0.02 mm high": tooth_bump(0.02, 0.5),
    "a belt tooth every 0.8 mm, 0.03 mm high": tooth_bump(0.03, 0.8),
    "a cable that pulls 0.08 mm down at 200 mm": cable(0.08, 0.05),
    "a cable that pulls 0.2 mm down at 200 mm": cable(0.2, 0.1),
    "a table that sways by 0.01 mm": swaying(0.01),
    "a table that sways by 0.03 mm": swaying(0.03),
    "somebody leaning, 0.04 mm": leaning(0.04),
    "a stand that gives 1.5 % and creeps 0.02 mm": soft_stand(0.015, 0.02),
    "a tip on a rough face, 0.01 mm": rough_face(0.01),
    "a tip on a rough face, 0.02 mm": rough_face(0.02),
}

COVERED = {
    "a dial that shows 2 % too much": frozenset({"gauge-tilt", "lead-error"}),
    "a dial that shows a tenth too little": frozenset({"gauge-tilt", "lead-error"}),
    "an inch dial read as millimetres": frozenset({"gauge-tilt", "lead-error"}),
    "a stand that gives 1.5 % and creeps 0.02 mm": frozenset({"gauge-tilt", "lead-error"}),
}
"""Causes that read the same as an effect, and may be stated of it: all in one proportion."""


def readings_of(axis: Axis, depth: str, effect: Effect | None, rng: Rng) -> Readings:
    """A session at this axis, with the effect in it."""
    runs = plan(axis.machine, depth)
    draws = draw(runs, rng)
    done = list(happened(axis, runs, draws))
    if effect is not None:
        done = effect(done, rng)
    return written_down(axis, done, draws)
