"""Whether two sessions were taken alike: what differs, and how much that can do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import sqrt
from statistics import mean

from plumbrise.prove.gauges import of_gauge, of_rounding
from plumbrise.prove.prints import PRINT, PrintReading
from plumbrise.prove.reaches import SAME_MM, alike, reach_mm, runs_by_test
from plumbrise.prove.results import Fairness, Stage, Unfair
from plumbrise.prove.things import WHOLE_AXIS
from plumbrise.readings import Run
from plumbrise.readings.kinds import GAUGE_CHECK, REPEAT_HOME

STEEL_LESS_ALUMINIUM_PER_K = 11e-6
"""By how much a millimetre of aluminium grows more than one of steel for a kelvin (general
handbooks: 23 and 12 µm per metre and kelvin)."""
SAME_C = 2.0
"""Temperatures that differ by less do not count."""
SAME_S = 1800.0
"""Since the session began: how far apart the same test may lie before warming up can count."""
Test = tuple[str, str]


def fairness(before: Stage, after: Stage) -> Fairness:
    """What is in both sessions, and what differs between the tests that are."""
    was, is_now = runs_by_test(before), runs_by_test(after)
    both = tuple(test for test in was if test in is_now)
    differs = [
        *of_gauge(before, after),
        *of_rounding(before, after),
        *_of_prints(before.prints, after.prints),
    ]
    found = [
        one
        for test in both
        for pair in _side_by_side(was[test], is_now[test])
        for one in _of_runs(test, *pair)
    ]
    differs += _gathered(found)
    return Fairness(
        both,
        tuple(test for test in was if test not in is_now),
        tuple(test for test in is_now if test not in was),
        tuple(differs),
        _same(before, after, {one.what for one in differs}) if both else (),
    )


def extra_u_mm(found: Fairness, test: Test) -> float:
    """Standard uncertainty of what differs at one test: each bound taken as a rectangle (GUM
    4.3.7). What touches the whole axis is touched by what touches any end of it."""
    whole = test[1] == WHOLE_AXIS
    bounds = [
        one.effect_mm
        for one in found.differs
        if one.effect_mm is not None
        and (
            any(t == test or (whole and t[0] == test[0]) for t in one.runs)
            or (not one.runs and test[0] != PRINT)  # what differs of the gauge
        )
    ]
    return sqrt(sum((bound / sqrt(3)) ** 2 for bound in bounds))


def _side_by_side(was: Sequence[Run], now: Sequence[Run]) -> Iterator[tuple[Run, Run]]:
    """Runs of one test in their order; where there are more of them in one session, each of these
    beside the last of the other: their figures go into the mean as well."""
    for i in range(max(len(was), len(now))):
        yield was[min(i, len(was) - 1)], now[min(i, len(now) - 1)]


LOOKED_AT = {
    "gauge": "gauge and its steps",
    "gauge scale": "the gauge on a solid block",
    "direction": "way the gauge looks",
    "stand": "what the stand stood on",
    "approach": "approaches",
    "heights": "heights",
    "readings": "number of readings",
    "temperature": "temperature",
    "warm-up": "time since the session began",
}
"""What is looked at where it was written down, and its words."""


def _same(before: Stage, after: Stage, unlike: set[str]) -> tuple[str, ...]:
    """What was written down in both and does not differ."""
    written = set(LOOKED_AT)
    for stage in (before, after):
        taken = [r for run in stage.readings.runs for r in run.taken]
        if not any(r.temp_c is not None for r in taken):
            written.discard("temperature")
        if not any(r.time_s is not None for r in taken):
            written.discard("warm-up")
        if not all(run.stand_on for run in stage.readings.runs if run.taken):
            written.discard("stand")
        if stage.readings.of_kind(GAUGE_CHECK) == ():
            written.discard("gauge scale")
    return tuple(words for what, words in LOOKED_AT.items() if what in written - unlike)


def _of_runs(test: Test, was: Run, now: Run) -> Iterator[Unfair]:
    if was.axis != now.axis:
        words = "The gauge looks another way."
        yield _unlike(test, "direction", was.axis, now.axis, words, None, stops=True)
    if (was.stand_on or "frame") != (now.stand_on or "frame"):
        words = "The stand stood on something else: what that gives way is in one of them only."
        one, two = was.stand_on or "not written", now.stand_on or "not written"
        yield _unlike(test, "stand", one, two, words, None, stops=True)
    if was.taken[0].approach != now.taken[0].approach:
        words = "The first approach differs: it decides which side of the loop is the zero."
        one, two = was.taken[0].approach, now.taken[0].approach
        yield _unlike(test, "approach", one, two, words, None, stops=True)
    yield from _of_targets(test, was, now)
    yield from _of_warmth(test, was, now)
    yield from _of_time(test, was, now)
    yield from _of_other(test, was, now)


def _of_targets(test: Test, was: Run, now: Run) -> Iterator[Unfair]:
    one, two = reach_mm(was), reach_mm(now)
    if was.kind is not REPEAT_HOME and not alike(one, two):
        words = "The heights differ: drag is not the same everywhere."
        yield _unlike(test, "heights", reach_words(one), reach_words(two), words, None, stops=True)
    elif len(was.taken) != len(now.taken):
        words = "The number of readings differs; it is in the uncertainties."
        yield _unlike(test, "readings", str(len(was.taken)), str(len(now.taken)), words, 0.0)


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


def _of_time(test: Test, was: Run, now: Run) -> Iterator[Unfair]:
    one, two = was.taken[0].time_s, now.taken[0].time_s
    if one is None or two is None or abs(one - two) < SAME_S:
        return
    words = "The motors had another time to warm up: what creeps while they do is not bounded."
    first, second = (f"{seconds / 60:.0f} min in" for seconds in (one, two))
    yield _unlike(test, "warm-up", first, second, words, None)


def _of_other(test: Test, was: Run, now: Run) -> Iterator[Unfair]:
    """Columns of the person's own, such as the feed, that hold one value all through each run."""
    one, two = dict(was.taken[0].other), dict(now.taken[0].other)
    for name in one:
        if name in two and one[name] != two[name] and _all_alike(was, now, name):
            words = "A column of your own differs: what it does is not known here."
            yield _unlike(test, name, one[name], two[name], words, None)


def _all_alike(was: Run, now: Run, name: str) -> bool:
    return all(len({dict(r.other).get(name) for r in run.taken}) == 1 for run in (was, now))


def _of_prints(was: tuple[PrintReading, ...], now: tuple[PrintReading, ...]) -> Iterator[Unfair]:
    told = [{(r.what, r.place): r.told_mm for r in some} for some in (was, now)]
    for key in told[0]:
        if key in told[1] and abs(told[0][key] - told[1][key]) > SAME_MM / 2:
            one, two = (f"{some[key]:g} mm" for some in told)
            words = f"The print was told another {key[0]}."
            yield _unlike((PRINT, key[1]), "print", one, two, words, None, stops=True)


def _gathered(found: list[Unfair]) -> list[Unfair]:
    """What differs in the same way at several tests, once."""
    together: dict[tuple[object, ...], Unfair] = {}
    for one in found:
        key: tuple[object, ...] = (one.what, one.before, one.after, one.effect_mm, one.stops)
        if one.what in ("warm-up", "temperature"):
            key = (one.what,)
        earlier = together.get(key)
        if earlier is None:
            together[key] = one
            continue
        effects = [e for e in (earlier.effect_mm, one.effect_mm) if e is not None]
        together[key] = Unfair(
            one.what,
            earlier.before,
            earlier.after,
            one.words,
            max(effects) if effects else None,
            tuple(dict.fromkeys((*earlier.runs, *one.runs))),
            one.stops,
        )
    return list(together.values())


def reach_words(reach: tuple[float, float]) -> str:
    """How far a run goes, in words."""
    return f"{reach[0]:g} to {reach[1]:g} mm"


def _unlike(
    test: Test,
    what: str,
    before: str,
    after: str,
    words: str,
    effect_mm: float | None,
    *,
    stops: bool = False,
) -> Unfair:
    return Unfair(what, before, after, words, effect_mm, (test,), stops)
