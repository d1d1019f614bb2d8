"""When no answer may be given: most readings cannot be right, and what they would say misleads."""

from __future__ import annotations

from dataclasses import replace

from plumbrise.analyse.beyond_told import BEYOND_TOLD, spans
from plumbrise.analyse.results import Analysis
from plumbrise.explain.results import Explanation, Unexplained
from plumbrise.readings import Readings
from plumbrise.report.names import listed

SET_ASIDE = "set aside."


def why_withheld(
    readings: Readings, analysis: Analysis | None, explanation: Explanation
) -> tuple[str, str] | None:
    """A title that says what cannot be right and where, and what to do; None if an answer may
    stand."""
    for run in analysis.runs if analysis is not None else ():
        for oddity in run.oddities:
            if oddity.kind == BEYOND_TOLD:
                title, _, rest = oddity.words.partition(". ")
                return title, rest
    return _mostly_set_aside(readings, explanation)


def _mostly_set_aside(readings: Readings, explanation: Explanation) -> tuple[str, str] | None:
    aside: dict[str, set[int]] = {}
    for slip in explanation.slips:
        if slip.words.lower().endswith(SET_ASIDE):
            aside.setdefault(slip.run, set()).add(slip.reading + 1)
    count = sum(map(len, aside.values()))
    taken = sum(len(run.taken) for run in readings.runs)
    if 2 * count <= taken:
        return None
    title = f"Cannot tell yet: {count} of {taken} readings stand apart and had to be set aside"
    where = listed([f"{spans(numbers)} of set-up {run}" for run, numbers in aside.items()])
    rest = (
        f"They are readings {where}. What is left is too little to answer from: look for figures "
        "written down without the turns of the dial, or in another unit, and read again."
    )
    return title, rest


def withheld(explanation: Explanation) -> Explanation:
    """The explanation without anything that would be stated from readings that are not right."""
    return replace(
        explanation,
        causes=(),
        links=(),
        sides=(),
        sets=(),
        groups=(),
        unexplained=Unexplained(0.0, 0.0, "cannot tell"),
        next_tests=(),
        fits=(),
        set_fits=(),
        rival=None,
        forces=(),
        doubts=(),
    )
