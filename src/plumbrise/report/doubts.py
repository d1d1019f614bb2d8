"""What an answer leaves open: doubts, assumptions with their trust, odd things found."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.analyse.beyond_told import BEYOND_TOLD
from plumbrise.analyse.results import Analysis
from plumbrise.explain.results import Explanation, GroupFinding
from plumbrise.machine import DEFAULTS, Machine, Trust, centre_of_mass_mm, known, lead_mm
from plumbrise.quantity import percent
from plumbrise.report.layout import plain_line
from plumbrise.report.names import (
    as_sentence,
    cause_phrase,
    cause_title,
    listed,
    lowered,
    with_places,
)


@dataclass(frozen=True, slots=True)
class Assumption:
    """One value that was taken because nobody gave it."""

    words: str
    value: str
    trust: Trust


_ONLY_WITH_DRIVE = "drive."
_NEVER_USED_FOR_ANSWERS = ("controller.",)


def assumptions(machine: Machine) -> tuple[Assumption, ...]:
    """Every value of the machine that a default stands in for, weakest trust first."""
    found: list[Assumption] = []
    for key, default in DEFAULTS.items():
        if key.startswith(_NEVER_USED_FOR_ANSWERS):
            continue
        if key.startswith(_ONLY_WITH_DRIVE) and machine.drive is None:
            continue
        if key == "screw.side" and len(machine.arrangement.sides) > 1:
            continue
        if key == "guide.depth_mm" and "back" not in machine.arrangement.ends:
            continue
        taken = known(machine, key)
        if taken.assumed:
            unit = f" {default.unit}" if default.unit else ""
            value = f"{taken.value:g}" if isinstance(taken.value, float) else str(taken.value)
            found.append(Assumption(default.words, f"{value}{unit}", taken.trust))
    centre = centre_of_mass_mm(machine)
    if centre.assumed and machine.arrangement.body == "gantry":
        found.append(
            Assumption("centre of mass from the left guide", f"{centre.value:g} mm", Trust.GUESS)
        )
    order = list(Trust)
    return tuple(sorted(found, key=lambda each: -order.index(each.trust)))


def assumption_lines(machine: Machine) -> tuple[str, ...]:
    """What was assumed, in a line for each degree of trust."""
    lines: list[str] = []
    if lead_mm(machine) is None:
        lines.append("The lead is not given: what needs it cannot be told yet.")
    found = assumptions(machine)
    for trust in reversed(Trust):
        values = [f"{each.words} {each.value}" for each in found if each.trust is trust]
        if values:
            lines.append(f"{str(trust).capitalize()}: {', '.join(values)}.")
    return tuple(lines)


GROUP_FROM = 0.05
"""A group less likely than this that one of it is there gets no line."""


def open_groups(explanation: Explanation) -> tuple[GroupFinding, ...]:
    """Groups worth a line: something in them may be there, and the readings do not say what."""
    return tuple(group for group in explanation.groups if group.probability >= GROUP_FROM)


def what_stays_unsure(explanation: Explanation) -> tuple[str, ...]:
    """What this answer does not know: open causes, unsplit groups, causes not looked for."""
    lines: list[str] = []
    for group in open_groups(explanation):
        names = listed([cause_phrase(cause) for cause in group.causes], "or")
        lines.append(f"Whether it is {names}: nothing read so far can split them.")
    grouped = {cause for group in open_groups(explanation) for cause in group.causes}
    still_open = [
        f"{lowered(cause_title(cause.cause))} ({percent(cause.probability)})"
        for cause in explanation.causes
        if cause.could_be_seen and 0.1 <= cause.probability <= 0.9 and cause.cause not in grouped
    ]
    if still_open:
        lines.append(f"Still open: {listed(still_open)}.")
    unseen = [cause_phrase(c.cause) for c in explanation.causes if not c.could_be_seen]
    if unseen:
        lines.append(f"Nothing read so far could show {listed(unseen, 'or')}.")
    told = any("omething else" in doubt for doubt in explanation.doubts)
    if explanation.unexplained.verdict == "some" and not told:
        worst = explanation.unexplained.worst
        where = f", worst at {worst}" if worst else ""
        lines.append(f"Something else is going on{where}.")
    if not explanation.complete:
        lines.append("This is a first answer: the search had not ended.")
    lines += [as_sentence(with_places(doubt)) for doubt in explanation.doubts]
    return tuple(lines)


def odd_lines(analysis: Analysis | None, explanation: Explanation) -> tuple[str, ...]:
    """Odd things that were found unasked, and what was done about them."""
    lines: list[str] = []
    for run in analysis.runs if analysis is not None else ():
        for oddity in run.oddities:
            done = " Set aside." if oddity.set_aside else ""
            lines.append(f"Set-up {run.run.name}: {as_sentence(oddity.words)}{done}")
    if analysis is not None:
        lines += [as_sentence(oddity.words) for oddity in analysis.oddities]
    told = _told_readings(analysis)
    for slip in explanation.slips:
        if not told & {(slip.run, slip.reading + near) for near in (-1, 0, 1)}:
            place = f"Set-up {slip.run}, reading {slip.reading + 1}"
            lines.append(f"{place}: {as_sentence(slip.words)}")
    return tuple(plain_line(line) for line in lines)


def _told_readings(analysis: Analysis | None) -> set[tuple[str, int]]:
    """The readings of which the analysis has said already that they are odd."""
    return {
        (run.run.name, index)
        for run in (analysis.runs if analysis is not None else ())
        for oddity in run.oddities
        if oddity.kind in ("misread", "turned-sign", "bump", BEYOND_TOLD)
        for index in oddity.readings
    }
