"""What is said before a set-up: which it is, where the gauge goes, what to mind."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import click

from plumbrise.machine import Machine
from plumbrise.measure.mounting import doing_of, mounting, test_of
from plumbrise.measure.stroke import how_set_by_plan
from plumbrise.readings import Run
from plumbrise.report.layout import hung
from plumbrise.report.names import lowered, station_name

WIDTH = 78


def set_up_lines(
    runs: Sequence[Run], *, place: str, machine: Machine, by_hand: bool
) -> Iterator[str]:
    """A set-up in lines; where nobody moves the axis by hand, the gauge's place comes later.

    Args:
        runs: what is read at these moves, with two gauges two.
        place: which of how many.
        machine: the axis, with its gauge.
        by_hand: whether the person moves the axis.
    """
    run = runs[0]
    places = " and ".join(station_name(one.station.id) for one in runs)
    yield f"\n{place}: {lowered(test_of(run)[0])}, {places}, {len(run.readings)} readings"
    doing = doing_of(run)
    if by_hand:
        for one in runs:
            yield f"  {mounting(one.station)}"
        if set_in := how_set_by_plan(machine, run):
            yield f"  {set_in}"
    yield f"  {doing.moves}"
    yield f"  Watch: {lowered(doing.watch)}"
    for hazard in doing.hazards:
        yield f"  {hazard.title}: {hazard.words}"


def say(words: str, *, err: bool = False) -> None:
    """Words to the person, folded to the width of a terminal."""
    for line in _lines(words):
        click.echo(line, err=err)


def ask(words: str, prompt: Callable[[str], str], *, err: bool = False) -> str:
    """A question, its last line before the answer."""
    *above, last = _lines(words)
    for line in above:
        click.echo(line, err=err)
    return prompt(f"{last} ")


def _lines(words: str) -> list[str]:
    lines: list[str] = []
    for line in words.split("\n"):
        indent = " " * (len(line) - len(line.lstrip(" ")))
        whole = len(line) <= WIDTH or max(map(len, line.split())) > WIDTH // 2  # a long path
        lines += [line.rstrip()] if whole else hung(indent, line.strip(), WIDTH)
    return lines
