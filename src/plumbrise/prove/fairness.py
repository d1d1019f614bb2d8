"""Whether two sessions were taken alike: what differs, and how much that can do."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt
from statistics import mean

from plumbrise.machine import Machine, known
from plumbrise.prove.results import Fairness, Stage, Unfair
from plumbrise.readings import Readings, Run
from plumbrise.readings.kinds import REPEAT_HOME

STEEL_LESS_ALUMINIUM_PER_K = 11e-6
"""By how much a millimetre of aluminium grows more than one of steel for a kelvin (general
handbooks: 23 and 12 µm per metre and kelvin)."""
SAME_C = 2.0
"""Temperatures that differ by less do not count."""
SAME_MM = 0.02
"""Targets this close are the same."""
Test = tuple[str, str]


def fairness(before: Stage, after: Stage) -> Fairness:
    """What is in both sessions, and what differs between the tests that are."""
    was, is_now = _by_test(before.readings), _by_test(after.readings)
    both = tuple(test for test in was if test in is_now)
    differs = [*_of_gauge(before.machine, after.machine)]
    for test in both:
        differs += _of_runs(test, was[test][0], is_now[test][0])
    return Fairness(
        both,
        tuple(test for test in was if test not in is_now),
        tuple(test for test in is_now if test not in was),
        tuple(differs),
    )


def extra_u_mm(found: Fairness, test: Test) -> float:
    """Standard uncertainty of what differs at one test: each bound taken as a rectangle (GUM
    4.3.7)."""
    bounds = [
        one.effect_mm
        for one in found.differs
        if one.effect_mm is not None and (not one.runs or test in one.runs)
    ]
    return sqrt(sum((bound / sqrt(3)) ** 2 for bound in bounds))


def _by_test(readings: Readings) -> dict[Test, list[Run]]:
    found: dict[Test, list[Run]] = {}
    for run in readings.runs:
        if run.taken:
            found.setdefault((run.kind.id, run.station.id), []).append(run)
    return found


def _of_gauge(before: Machine, after: Machine) -> Iterator[Unfair]:
    was, now = (float(known(m, "gauge.resolution_mm").value) for m in (before, after))
    if was != now:
        yield Unfair(
            "gauge",
            f"{was:g} mm steps",
            f"{now:g} mm steps",
            "The gauge is another one: its steps count in both uncertainties, its own errors may "
            "differ by about a step.",
            max(was, now),
        )


def _of_runs(test: Test, was: Run, now: Run) -> Iterator[Unfair]:
    if was.axis != now.axis:
        yield _unlike(test, "direction", was.axis, now.axis, "The gauge looks another way.", None)
    if was.stand_on != now.stand_on:
        words = "The stand stood on something else: what that gives way is in one of them only."
        yield _unlike(test, "stand", was.stand_on, now.stand_on, words, None)
    if was.taken[0].approach != now.taken[0].approach:
        words = "The first approach differs: it decides which side of the loop is the zero."
        yield _unlike(test, "approach", was.taken[0].approach, now.taken[0].approach, words, None)
    yield from _of_targets(test, was, now)
    yield from _of_warmth(test, was, now)


def _of_targets(test: Test, was: Run, now: Run) -> Iterator[Unfair]:
    one, two = [r.target_mm for r in was.taken], [r.target_mm for r in now.taken]
    if was.kind is not REPEAT_HOME and (
        abs(max(one) - max(two)) > SAME_MM or abs(min(one) - min(two)) > SAME_MM
    ):
        words = "The heights differ: drag is not the same everywhere."
        yield _unlike(test, "heights", _span(one), _span(two), words, None)
    elif len(one) != len(two):
        words = "The number of readings differs; it is in the uncertainties."
        yield _unlike(test, "readings", str(len(one)), str(len(two)), words, 0.0)


def _of_warmth(test: Test, was: Run, now: Run) -> Iterator[Unfair]:
    one = [r.temp_c for r in was.taken if r.temp_c is not None]
    two = [r.temp_c for r in now.taken if r.temp_c is not None]
    if not one or not two or abs(mean(one) - mean(two)) < SAME_C:
        return
    height = max(abs(r.target_mm) for r in (*was.taken, *now.taken))
    effect = STEEL_LESS_ALUMINIUM_PER_K * height * abs(mean(one) - mean(two))
    words = (
        "The temperature differs: steel and aluminium grow apart, and grease thins. Only the "
        "growth is bounded here."
    )
    yield _unlike(
        test, "temperature", f"{mean(one):.1f} °C", f"{mean(two):.1f} °C", words, round(effect, 4)
    )


def _span(values: list[float]) -> str:
    return f"{min(values):g} to {max(values):g} mm"


def _unlike(
    test: Test, what: str, before: str, after: str, words: str, effect_mm: float | None
) -> Unfair:
    return Unfair(what, before, after, words, effect_mm, (test,))
