"""`explain` with its stages watched: what each took, what it was given and what it gave.

The stages are the functions that `plumbrise.explain.explaining` calls, taken by name, so that
what is measured is always what runs. A stage can be left out where nobody asks for its answer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from time import perf_counter
from typing import Any

from plumbrise.explain import explaining

STAGES = (
    "prepare",
    "witness",
    "space_of",
    "bench_of",
    "search",
    "draw",
    "share_jumps",
    "calibrated",
    "loss_by_cause",
    "next_tests",
)


@dataclass(slots=True)
class Stage:
    """What happened in one stage: calls, seconds in all, and of the last call what went in and
    came out."""

    calls: int = 0
    seconds: float = 0.0
    given: tuple[Any, ...] = ()
    named: dict[str, Any] = field(default_factory=dict)
    made: Any = None


Stages = dict[str, Stage]


@contextmanager
def watched(
    *, without: tuple[str, ...] = (), more: tuple[tuple[Any, str], ...] = ()
) -> Iterator[Stages]:
    """Watch the stages of every `explain` inside.

    Args:
        without: stages that are not run; they give an empty tuple.
        more: (module, name) of further functions to watch.
    """
    places = [(explaining, name) for name in STAGES if hasattr(explaining, name)] + list(more)
    before = [getattr(place, name) for place, name in places]
    stages: Stages = {}
    for (place, name), plain in zip(places, before, strict=True):
        stages[name] = Stage()
        setattr(place, name, _watch(plain, stages[name], name in without))
    try:
        yield stages
    finally:
        for (place, name), plain in zip(places, before, strict=True):
            setattr(place, name, plain)


def _watch(plain: Callable[..., Any], stage: Stage, skipped: bool) -> Callable[..., Any]:
    def run(*given: Any, **named: Any) -> Any:
        began = perf_counter()
        made = () if skipped else plain(*given, **named)
        stage.seconds += perf_counter() - began
        stage.calls += 1
        stage.given, stage.named, stage.made = given, named, made
        return made

    return run
