"""Which runs are compared where a test was done again: those that go as far both times."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from plumbrise.prove.figures import place
from plumbrise.prove.results import Aside, Stage
from plumbrise.readings import Readings, Run

SAME_MM = 0.02
"""Targets this close are the same."""
Test = tuple[str, str]
Runs = Mapping[Test, Sequence[Run]]
Reach = tuple[float, float]


def compared_runs(before: Stage, after: Stage) -> tuple[Stage, Stage, tuple[Aside, ...]]:
    """Both sessions with the runs that are compared, and those put aside.

    Of several runs of a test at a place those count that go as far as the fullest which both
    sessions hold; where none is in both, the fullest of each. A run that was broken off stands
    in the way of nothing once it was done again.
    """
    was, now = runs_by_test(before), runs_by_test(after)
    found = [one for test in {**was, **now} for one in _of_test(test, was, now)]
    return _without(before, found, "before"), _without(after, found, "after"), tuple(found)


def runs_by_test(stage: Stage) -> dict[Test, list[Run]]:
    """The runs of each test in which something was read, by kind and place."""
    found: dict[Test, list[Run]] = {}
    for run in stage.readings.runs:
        if run.taken:
            test = run.kind.id, place(stage.machine, run.station.id)
            found.setdefault(test, []).append(run)
    return found


def reach_mm(run: Run) -> Reach:
    """The lowest and the highest told height that was read."""
    told = [r.target_mm for r in run.taken]
    return min(told), max(told)


def alike(one: Reach, two: Reach) -> bool:
    """Whether two runs go equally far."""
    return all(abs(a - b) <= SAME_MM for a, b in zip(one, two, strict=True))


def _of_test(test: Test, was: Runs, now: Runs) -> Iterator[Aside]:
    runs = {"before": was.get(test, ()), "after": now.get(test, ())}
    reaches = {when: [reach_mm(run) for run in some] for when, some in runs.items()}
    common = [one for one in reaches["before"] if any(alike(one, two) for two in reaches["after"])]
    for when, some in runs.items():
        if not some:
            continue
        wanted = max(common or reaches[when], key=_long)
        counts = next(run.name for run in some if alike(reach_mm(run), wanted))
        for run in some:
            if not alike(reach_mm(run), wanted):
                yield Aside(when, test, run.name, reach_mm(run), counts, wanted)


def _long(reach: Reach) -> float:
    return reach[1] - reach[0]


def _without(stage: Stage, aside: Sequence[Aside], when: str) -> Stage:
    names = {one.run for one in aside if one.when == when}
    if not names:
        return stage
    readings = Readings(tuple(run for run in stage.readings.runs if run.name not in names))
    analysis = replace(
        stage.analysis,
        runs=tuple(one for one in stage.analysis.runs if one.run.name not in names),
        between=tuple(one for one in stage.analysis.between if not names & set(one.runs)),
    )
    return replace(stage, readings=readings, analysis=analysis)
