"""The answer as a title with its number, and the same in one paragraph."""

from __future__ import annotations

from typing import TypeGuard

from plumbrise.analyse.proportion import NOT_COUNTED, OUT_OF_PROPORTION
from plumbrise.analyse.results import Analysis, Figure
from plumbrise.explain.causes import CAUSES
from plumbrise.explain.results import CauseFinding, Explanation, GroupFinding, Interval, Side
from plumbrise.machine import Machine
from plumbrise.quantity import percent
from plumbrise.readings import Readings
from plumbrise.report.amounts import (
    FINEST_LOSS_MM,
    NOT_WORTH_NAMING_MM,
    bound_words,
    loss_words,
    minutes_words,
)
from plumbrise.report.names import (
    cause_phrase,
    cause_title,
    counted,
    link_title,
    listed,
    lowered,
    side_word,
    station_name,
    test_title,
)
from plumbrise.report.withheld import why_withheld

NAMED_FROM = 0.5
"""Under this probability no cause stands in a headline."""
ALONE_FROM = 0.9
"""From here a cause of a group that readings do not split is named alone."""

MOST_IN_A_TITLE = 2
"""A group of more causes is counted in the title and told in full below."""
SAID_FLATLY = 0.9
"""Causes less sure than this are said to be likely."""
MOST_NAMED = 4
"""So many causes are named in a paragraph, the others counted."""

NOT_READ = "computed, not read"
"""Beside the figure of an end at which nothing was read."""

CAUSE_SENTENCES: dict[str, str] = {
    "motor-seat": "A soft motor seat takes {}",
    "coupling-stretch": "A coupling that stretches takes {}",
    "coupling-slip": "The coupling slips by {}",
    "bracket-flex": "A nut bracket that bends takes {}",
    "nut-play": "Play in the nut takes {}",
    "guide-drag": "Drag in the guides takes {}",
    "tight-spot": "A tight spot takes {}",
    "racking": "Racking takes {}",
    "screw-bend": "The screw errs by {} once a turn",
    "lead-error": "The screw's lead is off by {} over the heights read",
    "thread-misalignment": "A screw out of line takes {}",
    "lost-steps": "The motor loses steps, {} in all",
    "microstep-error": "Uneven motor steps take {}",
    "home-scatter": "Home differs by {}",
    "warm-drift": "Warmth moves the axis by {}",
    "frame-flex": "The frame gives way by {}",
    "gauge-stick": "The gauge hangs back by {}",
    "gauge-tilt": "The gauge stands tilted and misreads by {}",
    "out-of-step": "The motors stand out of step by {}",
    "tie-slack": "The tie belt gives way by {}",
    "stick-slip": "The guides stick and let go by {}",
    "droop": "The side without a screw droops by {}",
    "idle-drop": "The axis drops by {} when it stands idle",
}
"""Each cause as the subject of a sentence; {} is what it takes."""


def headline(
    machine: Machine, readings: Readings, analysis: Analysis | None, explanation: Explanation
) -> str:
    """The answer in a title of at most two lines, no full stop.

    Under a probability of one half no cause is named. Where nothing loses more than what shows
    in a print, that is the answer.
    """
    if not readings.count:
        return "No readings yet"
    cannot = why_withheld(readings, analysis, explanation)
    first = cannot[0] if cannot is not None else put_right_first(analysis)
    if first is not None:
        return first
    named = named_causes(explanation)
    taking = [each for each in named if _largest(each) >= FINEST_LOSS_MM]
    if taking and _many(taking[0]):
        lost = _lost_clause(machine, analysis, explanation)
        return f"{lost}; cannot tell yet in which of {len(taking[0].causes)} places"
    taking = [each for each in taking if not _many(each)]
    if taking:
        clauses = [_cause_clause(explanation, each) for each in taking[:2]]
        more = len(taking) - len(clauses)
        clauses += [f"{counted(more, 'more cause')} at work"] if more else []
        said = _and_then(clauses)
        sure = all(each.probability >= SAID_FLATLY for each in taking)
        return said if sure else f"Likely: {lowered(said)}"
    quiet = explanation.unexplained.verdict != "some"
    nothing = _nothing_shows(analysis)
    if nothing is not None and (quiet or not named):
        return nothing
    lost = _lost_clause(machine, analysis, explanation)
    if named:
        return f"{lost}; {_either(named[0])} is likely ({percent(named[0].probability)})"
    if _is_sound(explanation):
        return lost
    best = explanation.sets[0] if explanation.sets else None
    if best is not None and not best.causes and best.probability >= NAMED_FROM and quiet:
        return f"{lost}; sound as far as these readings show"
    return f"{lost}; cannot tell yet why"


def put_right_first(analysis: Analysis | None) -> str | None:
    """What has to be put right before a loss means anything, as a title; None if nothing."""
    for run in analysis.runs if analysis is not None else ():
        for oddity in run.oddities:
            if oddity.kind in (NOT_COUNTED, OUT_OF_PROPORTION):
                return oddity.words.partition(". ")[0]
    return None


def _nothing_shows(analysis: Analysis | None) -> str | None:
    """A title for readings in which no run loses more than its own give or take."""
    runs = analysis.runs if analysis is not None else ()
    lost = [figure for run in runs if (figure := run.figure("lost_motion")) is not None]
    if not lost or any(f.at_least or f.value.value > f.value.expanded for f in lost):
        return None
    bound = max(f.value.value + f.value.expanded for f in lost)
    return f"No loss shows that these readings could tell, {bound_words(bound)} at most"


def _lost_clause(machine: Machine, analysis: Analysis | None, explanation: Explanation) -> str:
    sides = sorted(explanation.sides, key=lambda s: (not s.measured, -s.loss_mm.estimate))
    if sides:
        if _is_sound(explanation):
            return f"Nothing here loses more than {_bound(explanation)}"
        worst = sides[0]
        tail = "" if worst.measured else f", {NOT_READ}"
        return f"{_side_subject(machine, worst)} {loss_words(worst.loss_mm)}{tail}"
    lost = _most_lost(analysis)
    if lost is not None and lost.value.value <= 0:
        return "No loss was read"
    if lost is not None:
        least = "at least " if lost.at_least else ""
        return f"The axis loses {least}{lost.value}"
    return "What this axis loses was not read"


def _many(found: CauseFinding | GroupFinding) -> TypeGuard[GroupFinding]:
    """A group too large to be told in a title."""
    return isinstance(found, GroupFinding) and len(found.causes) > MOST_IN_A_TITLE


def named_causes(explanation: Explanation) -> tuple[CauseFinding | GroupFinding, ...]:
    """What a headline may name: causes and unsplit groups from one half on, by loss times
    probability.

    A cause that stands in a group is replaced by that group unless it is nearly certain itself.
    """
    found: list[CauseFinding | GroupFinding] = []
    covered: set[str] = set()
    for cause in explanation.causes:
        if cause.probability >= ALONE_FROM and cause.cause not in covered:
            found.append(cause)
            covered.add(cause.cause)
    for group in sorted(explanation.groups, key=lambda group: -group.probability):
        if group.probability >= NAMED_FROM and not covered & set(group.causes):
            found.append(group)
            covered |= set(group.causes)
    for cause in explanation.causes:
        if cause.probability >= NAMED_FROM and cause.cause not in covered:
            found.append(cause)
    return tuple(sorted(found, key=lambda each: -each.probability * _largest(each)))


def summary_paragraph(
    machine: Machine, readings: Readings, analysis: Analysis | None, explanation: Explanation
) -> str:
    """The answer in one paragraph: what each side loses, why, how sure, what to read next."""
    sentences = [
        f"{counted(readings.count, 'reading')} in {counted(len(readings.runs), 'set-up')}"
        f"{_set_aside(analysis)}."
    ]
    cannot = why_withheld(readings, analysis, explanation)
    if cannot is not None:
        return " ".join([*sentences, cannot[1]])
    sentences.append(sides_sentence(machine, explanation))
    named = named_causes(explanation)
    single = [each for each in named if isinstance(each, CauseFinding)]
    if single:
        told = [f"{cause_phrase(c.cause)} ({percent(c.probability)})" for c in single[:MOST_NAMED]]
        more = len(single) - len(told)
        told += [f"{more} more"] if more > 0 else []
        sentences.append(f"The readings point to {listed(told)}.")
    sentences += [_group_sentence(each) for each in named if isinstance(each, GroupFinding)]
    if not named and not _is_sound(explanation):
        likely = [c for c in explanation.causes if c.could_be_seen and c.probability >= 0.1][:3]
        if likely:
            words = listed([f"{cause_phrase(c.cause)} ({percent(c.probability)})" for c in likely])
            sentences.append(f"No cause reaches one half; the likeliest are {words}.")
    if not named and _is_sound(explanation):
        sentences.append("No cause takes enough to matter.")
    if explanation.next_tests:
        test = explanation.next_tests[0]
        sentences.append(
            f"Next: {lowered(test_title(test.test))} at the {station_name(test.station)}, "
            f"{minutes_words(test.minutes)}."
        )
    return " ".join(sentence for sentence in sentences if sentence)


def sides_sentence(machine: Machine, explanation: Explanation) -> str:
    """What each side loses, as a sentence."""
    sides = explanation.sides
    if not sides:
        return "Cannot tell yet what each side loses: no reading follows the told motion."
    body = machine.arrangement.body
    if all(side.loss_mm.high <= NOT_WORTH_NAMING_MM for side in sides):
        return f"No side of the {body} stays more than {_bound(explanation)} behind."
    parts = [
        f"the {side_word(side.station)} {'side stays' if i == 0 else 'side'} "
        f"{loss_words(side.loss_mm)}{' behind' if i == 0 else ''}"
        f"{'' if side.measured else f' ({NOT_READ})'}"
        for i, side in enumerate(sides)
    ]
    return f"When the {body} turns from down to up, {listed(parts)}."


def _set_aside(analysis: Analysis | None) -> str:
    aside = sum(
        len(oddity.readings)
        for run in (analysis.runs if analysis is not None else ())
        for oddity in run.oddities
        if oddity.set_aside
    )
    return f", {aside} of them set aside" if aside else ""


def _is_sound(explanation: Explanation) -> bool:
    return bool(explanation.sides) and all(
        side.loss_mm.high <= NOT_WORTH_NAMING_MM + FINEST_LOSS_MM for side in explanation.sides
    )


def _bound(explanation: Explanation) -> str:
    highest = max(side.loss_mm.high for side in explanation.sides)
    return bound_words(max(NOT_WORTH_NAMING_MM, highest))


def _side_subject(machine: Machine, side: Side) -> str:
    word = side_word(side.station)
    if machine.arrangement.body == "bed":
        return f"The {word} of the bed loses"
    return f"The {word} loses" if word in ("middle", "back") else f"The {word} side loses"


def _most_lost(analysis: Analysis | None) -> Figure | None:
    if analysis is None:
        return None
    found = [run.figure("lost_motion") for run in analysis.runs]
    lost = [figure for figure in found if figure is not None]
    return max(lost, key=lambda figure: figure.value.value, default=None)


def _largest(found: CauseFinding | GroupFinding) -> float:
    return max((loss.estimate for loss in found.loss_mm.values()), default=0.0)


def _worst_loss(
    explanation: Explanation, found: CauseFinding | GroupFinding
) -> tuple[Interval, str]:
    """The greatest loss at an end of the beam that was read, and the side where it clearly stands
    alone or where another end, not read, is computed to lose more. That of an end not read only
    where none was, and said to be computed."""
    ends = [side.station for side in explanation.sides]
    losses = {s: loss for s, loss in found.loss_mm.items() if s in ends} or dict(found.loss_mm)
    read = [side.station for side in explanation.sides if side.measured and side.station in losses]
    station = max(read or losses, key=lambda s: losses[s].estimate)
    worst = losses[station]
    others = [loss for s, loss in losses.items() if s != station]
    clearly = bool(others) and all(loss.high < worst.low for loss in others)
    passed = any(loss.estimate > worst.estimate for loss in others)
    where = f" on the {side_word(station)}" if (clearly or passed) and station in ends else ""
    return worst, where if read or not ends else f"{where}, {NOT_READ}"


def _cause_clause(explanation: Explanation, found: CauseFinding | GroupFinding) -> str:
    loss, where = _worst_loss(explanation, found)
    if isinstance(found, CauseFinding):
        sentence = CAUSE_SENTENCES.get(found.cause, f"{cause_title(found.cause)} takes {{}}")
        return sentence.format(loss_words(loss)) + where
    return f"{_group_subject(found)} {loss_words(loss)}{where}"


def _group_subject(group: GroupFinding) -> str:
    links = [CAUSES[c].link if c in CAUSES else None for c in group.causes]
    own = ("seat", "coupling", "bracket", "nut", "screw", "racking")
    if all(link in own for link in links) and len(set(links)) == len(links):
        names = [link_title(link) for link in links if link is not None]
        joined = listed([names[0].removeprefix("Motor ").capitalize(), *map(lowered, names[1:])])
        return f"{joined} together lose"
    phrases = listed([cause_phrase(cause) for cause in group.causes], "or")
    return f"{phrases[:1].upper()}{phrases[1:]} takes"


def _either(found: CauseFinding | GroupFinding) -> str:
    ids = [found.cause] if isinstance(found, CauseFinding) else list(found.causes)
    return listed([cause_phrase(cause) for cause in ids], "or")


def _and_then(clauses: list[str]) -> str:
    first, *rest = clauses
    return first + "".join(f"; {lowered(clause)}" for clause in rest)


def _group_sentence(group: GroupFinding) -> str:
    titles = [cause_phrase(cause) for cause in group.causes]
    together = max(group.loss_mm.values(), key=lambda loss: loss.estimate, default=None)
    takes = f", together {loss_words(together)}" if together else ""
    return (
        f"At least one of {listed(titles)} is at work ({percent(group.probability)}{takes}); "
        "nothing read so far can split them."
    )
