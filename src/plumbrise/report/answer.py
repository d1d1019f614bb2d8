"""The explanation as text for a terminal: the answer first, then what it stands on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from plumbrise.analyse.results import Analysis
from plumbrise.cautions import DEFER, MEASURING
from plumbrise.explain.causes import CAUSES
from plumbrise.explain.results import (
    CauseFinding,
    Explanation,
    GroupFinding,
    Interval,
    NextTest,
    Unexplained,
)
from plumbrise.machine import STATIONS, Machine
from plumbrise.machine.arrangements import SIDES
from plumbrise.measure.setups import beyond_the_stroke, candidates
from plumbrise.measure.stroke import needs_blocks
from plumbrise.quantity import percent
from plumbrise.readings import Readings
from plumbrise.report.amounts import (
    loss_cell,
    loss_words,
    micrometres,
    minutes_words,
    range_words,
    settles_words,
)
from plumbrise.report.chain import Row, chain
from plumbrise.report.doubts import assumption_lines, odd_lines, open_groups, what_stays_unsure
from plumbrise.report.headline import headline, sides_sentence, summary_paragraph
from plumbrise.report.layout import columns, folded, plain_line
from plumbrise.report.names import (
    as_sentence,
    cause_phrase,
    cause_title,
    counted,
    listed,
    lowered,
    side_word,
    station_name,
    test_title,
    with_places,
)
from plumbrise.report.withheld import why_withheld

SHOWN_FROM = 0.02
"""Causes under this are counted, not listed."""

PARAMETERS: dict[str, tuple[str, str]] = {
    "reach_mm": ("reach of the drag", "mm"),
    "spot_centre_mm": ("height of the tight spot", "mm"),
    "spot_width_mm": ("width of the tight spot", "mm"),
    "misalignment_n": ("drag at the fixed end", "N"),
    "misalignment_reach_mm": ("reach of that drag", "mm"),
    "plunger_mm": ("stick of the plunger", "mm"),
    "racking_n_per_mm": ("racking stiffness", "N/mm"),
    "tilting_n_per_mm": ("tilting stiffness", "N/mm"),
    "lead-error": ("moved more (+) or less (-) than told", "%"),
    "gauge-tilt": ("read more (+) or less (-) than moved", "%"),
    "screw-bend": ("ripple once a turn", "mm"),
    "microstep-error": ("ripple within four full steps", "mm"),
    "home-scatter": ("spread of home", "mm"),
    "warm-drift": ("drift", "mm"),
}
"""Parameters whose key does not already say it; the others are read from their key."""

_UNIT_ENDINGS = (
    ("_n_per_mm", "N/mm"),
    ("_mm_per_n", "mm/N"),
    ("_mm", "mm"),
    ("_n", "N"),
    ("_s", "s"),
    ("_ratio", ""),
)


SIZE = "Put back to sound alone"
"""How a sentence begins that says what a cause takes, which the table says already."""


def answer_text(
    machine: Machine, readings: Readings, analysis: Analysis | None, explanation: Explanation
) -> str:
    """The whole answer as text: sides, chain, causes, what is left over, the next test, doubts.

    Lines are at most 88 characters wide apart from names that people gave.
    """
    if why_withheld(readings, analysis, explanation) is not None:
        return _withheld_text(machine, readings, analysis, explanation)
    ends = [side.station for side in explanation.sides]
    blocks = [
        _first_lines(machine, readings, analysis, explanation),
        _sides_block(explanation),
        _chain_block(machine, explanation, ends),
        _causes_block(explanation, ends),
        _rival_block(explanation),
        _left_over_block(explanation.unexplained),
        _next_block(machine, explanation),
        _block("What stays unsure", what_stays_unsure(explanation)),
        _block("Odd things found", odd_lines(analysis, explanation)),
        _block("Taken as", assumption_lines(machine)),
        _cautions_block(),
    ]
    return "\n\n".join(block for block in blocks if block)


def _withheld_text(
    machine: Machine, readings: Readings, analysis: Analysis | None, explanation: Explanation
) -> str:
    """What cannot be right and what to do about it; nothing of what such readings would say."""
    name = f"{plain_line(machine.name)}: " if machine.name else ""
    first = folded(f"{name}{headline(machine, readings, analysis, explanation)}.")
    first += folded(summary_paragraph(machine, readings, analysis, explanation))
    blocks = ["\n".join(first), _block("Odd things found", odd_lines(analysis, explanation))]
    return "\n\n".join(block for block in blocks if block)


def rival_sentence(explanation: Explanation) -> str:
    """The strongest other explanation and where the two differ most; empty if there is none."""
    rival = explanation.rival
    if rival is None:
        return ""
    named = listed([cause_phrase(cause) for cause in rival.causes]) if rival.causes else "nothing"
    chance = {found.causes: found.probability for found in explanation.sets}.get(rival.causes)
    likely = f" ({percent(chance)})" if chance is not None else ""
    return (
        f"Strongest rival: {named} at work and no more{likely}. The two differ most in set-up "
        f"{rival.run} at {rival.told_mm:g} mm, by {rival.apart_mm:.3f} mm."
    )


def left_over_sentence(unexplained: Unexplained) -> str:
    """What no cause explains, against what reading scatter gives."""
    left = micrometres(unexplained.rms_mm)
    expected = micrometres(unexplained.expected_rms_mm)
    worst = f", worst at {unexplained.worst}" if unexplained.worst else ""
    if unexplained.verdict == "none":
        return f"Left over: {left}; reading scatter gives {expected}. Nothing else is going on."
    if unexplained.verdict == "some":
        why = f": {unexplained.signs[0].words}" if unexplained.signs else worst
        return (
            f"Left over: {left}; reading scatter gives {expected}. "
            f"Something else is going on{with_places(why)}."
        )
    return (
        f"Left over: {left}; reading scatter gives {expected}. "
        "Cannot tell yet whether something else is going on."
    )


def next_test_title(test: NextTest) -> str:
    """The next test as a heading.

    Example:
        >>> next_test_title(NextTest("reversal", "screw", 0.8, 6, ""))
        'Next: reversal, gauge on the end of the screw, 6 min'
    """
    place = station_name(test.station)
    where = "gauge on a" if test.station == "block" else "gauge on the"
    return f"Next: {lowered(test_title(test.test))}, {where} {place}, {minutes_words(test.minutes)}"


def chance_words(finding: CauseFinding) -> str:
    """How likely a cause is. Of one that nothing read could show only the chance it had before
    anything was read is known, which is no finding."""
    return percent(finding.probability) if finding.could_be_seen else "cannot tell yet"


def cause_lines(finding: CauseFinding) -> tuple[str, ...]:
    """What a cause is, what speaks for and against it, what it can be measured by, the remedy."""
    known = CAUSES.get(finding.cause)
    lines: list[str] = []
    if known is not None:
        lines.append(known.words)
    lines += [f"For it: {with_places(words)}" for words in finding.for_it]
    lines += [f"Against it: {with_places(words)}" for words in finding.against_it]
    for key, interval in finding.parameters.items():
        lines.append(f"{parameter_words(key, interval)}.")
    if not finding.could_be_seen:
        lines.append("Nothing read so far could show it.")
    if known is not None:
        lines.append(f"First remedy: {lowered(known.remedy)}")
    return tuple(lines)


def parameter_words(key: str, interval: Interval) -> str:
    """A parameter with its range.

    Example:
        >>> parameter_words("seat_stiffness_n_per_mm_left", Interval(28, 24.2, 33.1))
        'Seat stiffness, left: 23 to 34 N/mm'
    """
    name, unit = parameter_name(key)
    if unit == "%":
        hundred = Interval(
            100 * interval.estimate, 100 * interval.low, 100 * interval.high, interval.level
        )
        return f"{name[:1].upper()}{name[1:]}: {range_words(hundred, unit)}"
    return f"{name[:1].upper()}{name[1:]}: {range_words(interval, unit)}"


def parameter_name(key: str) -> tuple[str, str]:
    """A parameter's name and unit for people; the last word of a key may be its side."""
    stem, _, place = key.rpartition("_")
    if stem and (place in SIDES or place in STATIONS):
        name, unit = parameter_name(stem)
        return f"{name}, {place if place in SIDES else station_name(place)}", unit
    if key in PARAMETERS:
        return PARAMETERS[key]
    for ending, unit in _UNIT_ENDINGS:
        if key.endswith(ending):
            return key.removesuffix(ending).replace("_", " "), unit
    return key.replace("_", " "), ""


def group_sentence(group: GroupFinding) -> str:
    """A group that readings cannot split: how sure, how much, and what would split it."""
    titles = listed([cause_phrase(cause) for cause in group.causes], "or")
    together = max(group.loss_mm.values(), key=lambda loss: loss.estimate, default=None)
    takes = f"; together they take {loss_words(together)}" if together is not None else ""
    first = (
        f"Cannot tell yet: {titles} ({percent(group.probability)} that it is among these){takes}."
    )
    if group.split_by is None:
        return f"{first} No test known here splits them."
    split = group.split_by
    return (
        f"{first} What splits them: {lowered(test_title(split.test))} at the "
        f"{station_name(split.station)}."
    )


def held_sentences(causes: Sequence[CauseFinding]) -> tuple[str, ...]:
    """Why no more is stated of causes whose probability is held down, reason by reason."""
    by: dict[tuple[str, float], list[str]] = {}
    for cause in causes:
        if cause.held_at:
            by.setdefault((cause.held_at, cause.probability), []).append(cause.cause)
    return tuple(
        f"No more than {percent(most)} is said of {listed([cause_phrase(c) for c in names])}: "
        f"{why}."
        for (why, most), names in by.items()
    )


def quiet_causes_sentence(explanation: Explanation) -> str:
    """The causes too unlikely to list, and those that nothing read could show."""
    seen = [c for c in explanation.causes if c.probability < SHOWN_FROM and c.could_be_seen]
    unseen = [c for c in explanation.causes if not c.could_be_seen]
    parts = []
    if seen:
        each = ", under 2 %" if len(seen) == 1 else ", each under 2 %"
        parts.append(f"{counted(len(seen), 'more cause')}{each}.")
    if unseen:
        names = listed([cause_phrase(cause.cause) for cause in unseen], "or")
        parts.append(f"Nothing read could show {names}.")
    return " ".join(parts)


def shown_causes(explanation: Explanation) -> tuple[CauseFinding, ...]:
    """The causes worth a line."""
    return tuple(
        cause
        for cause in explanation.causes
        if cause.probability >= SHOWN_FROM and cause.could_be_seen
    )


ACT_FROM, WORTH_MENDING_MM = 0.75, 0.05


def act_now_sentence(explanation: Explanation) -> str:
    """The remedy of the likeliest cause that takes enough, for who would begin without another
    test, with how likely that cause is."""

    def takes(cause: CauseFinding) -> float:
        return max((loss.estimate for loss in cause.loss_mm.values()), default=0.0)

    sure = [c for c in explanation.causes if c.probability >= ACT_FROM and c.cause in CAUSES]
    best = max(sure, key=takes, default=None)
    if best is None or takes(best) < WORTH_MENDING_MM:
        return ""
    remedy = lowered(CAUSES[best.cause].remedy).rstrip(".")
    likely = f"{cause_phrase(best.cause)}, {percent(best.probability)}"
    return f"To begin without another test ({likely}): {remedy}; then read the same set-ups again."


IN_A_PLAN = "A plan holds it where you say that you have them."


def next_test_lines(machine: Machine, explanation: Explanation, test: NextTest) -> tuple[str, ...]:
    """Why this test, how much it settles, which reading would mean what, and what to do where it
    goes beyond the gauge's stroke."""
    settles = settles_words(test.gain_bits, open_bits(explanation))
    why = as_sentence(with_places(test.why))
    first = f"{why} It {settles}." if why else f"It {settles}."
    said = (f"Said beforehand: {with_places(words)}" for words in test.meanings)
    blocks = as_sentence(blocks_words(machine, test))
    if not blocks:
        return (first.strip(), *said)
    beyond = beyond_the_stroke(machine, test.test, test.station)
    return (first.strip(), *said, f"{blocks} {IN_A_PLAN} {beyond}")


def blocks_words(machine: Machine, test: NextTest) -> str:
    """What a test needs beside the gauge where its targets lie further apart than the plunger
    follows; empty where they do not."""
    for setup in candidates(machine):
        if (setup.kind.id, setup.station.id) == (test.test, test.station):
            if not needs_blocks(machine, setup.run):
                return ""
            told = [reading.target_mm for reading in setup.run.readings]
            return f"it needs blocks of known thickness for up to {max(told) - min(told):g} mm"
    return ""


def open_bits(explanation: Explanation) -> float | None:
    """How much is open, in bits: the entropy of the sets of causes that the session could show,
    and of each cause that it could not."""
    from plumbrise.explain.scores import entropy_bits

    shares = [found.probability for found in explanation.sets]
    if not shares:
        return None
    unseen = [c.probability for c in explanation.causes if not c.could_be_seen]
    rest = max(0.0, 1 - sum(shares))
    return entropy_bits([*shares, rest]) + sum(entropy_bits([p, 1 - p]) for p in unseen)


def _first_lines(
    machine: Machine, readings: Readings, analysis: Analysis | None, explanation: Explanation
) -> str:
    name = f"{plain_line(machine.name)}: " if machine.name else ""
    lines = [f"{name}{headline(machine, readings, analysis, explanation)}."]
    lines += folded(sides_sentence(machine, explanation))
    if not explanation.complete:
        lines.append("First answer; the search goes on.")
    return "\n".join(lines)


def _sides_block(explanation: Explanation) -> str:
    if not explanation.sides:
        return ""
    rows = [
        (side_word(side.station), loss_words(side.loss_mm), _how(side.measured))
        for side in explanation.sides
    ]
    return _titled("What each side loses (± holds 95 %, for the day it was read)", columns(rows))


def _how(measured: bool) -> str:
    return "measured" if measured else "computed"


def _chain_block(machine: Machine, explanation: Explanation, ends: list[str]) -> str:
    found = chain(machine, explanation)
    several = len({row.side for row in found if row.links != ("racking",)}) > 1
    rows = [
        (
            f"{row.title}, {row.side}" if several and row.links != ("racking",) else row.title,
            *(_chain_cell(row, end) for end in ends),
            row.how,
        )
        for row in found
    ]
    if not rows or not ends:
        return ""
    head = ("mm", *(side_word(end) for end in ends), "")
    title = "Along the load path (± holds 95 %)"
    return _titled(title, columns([head, *rows], right=range(1, 1 + len(ends))))


def _causes_block(explanation: Explanation, ends: list[str]) -> str:
    shown = shown_causes(explanation)
    quiet = quiet_causes_sentence(explanation)
    if not explanation.causes:
        return ""
    rows = [
        (
            cause_title(cause.cause),
            percent(cause.probability),
            *(_cell(cause.loss_mm, end) for end in ends),
        )
        for cause in shown
    ]
    head = ("", "how likely", *(f"takes {side_word(end)}, mm" for end in ends))
    lines = columns([head, *rows], right=range(1, 2 + len(ends))) if rows else []
    for group in open_groups(explanation):
        lines += folded(group_sentence(group))
    for words in held_sentences(shown):
        lines += folded(words)
    if quiet:
        lines += folded(quiet)
    for cause in shown:
        if cause.probability >= 0.5 and cause.cause in CAUSES:
            known = CAUSES[cause.cause]
            lines += folded(f"{known.title}: {known.words} First remedy: {lowered(known.remedy)}")
            told = [words for words in cause.for_it if not words.startswith(SIZE)][:1]
            lines += [line for why in told for line in folded(f"For it: {with_places(why)}")]
            lines += [
                line
                for why in cause.against_it[:1]
                for line in folded(f"Against it: {with_places(why)}")
            ]
    return _titled("Causes", lines)


def _cell(losses: Mapping[str, Interval], station: str) -> str:
    return loss_cell(losses[station]) if station in losses else "not told"


def _chain_cell(row: Row, station: str) -> str:
    if station not in row.loss_mm and row.links == ("racking",):
        return "nothing"
    return _cell(row.loss_mm, station)


def _rival_block(explanation: Explanation) -> str:
    sentence = rival_sentence(explanation)
    return "\n".join(folded(with_places(sentence))) if sentence else ""


def _left_over_block(unexplained: Unexplained) -> str:
    return "\n".join(folded(left_over_sentence(unexplained)))


def _next_block(machine: Machine, explanation: Explanation) -> str:
    if not explanation.next_tests:
        return (
            _titled("Next", folded(act_now)) if (act_now := act_now_sentence(explanation)) else ""
        )
    first, *others = explanation.next_tests
    said = next_test_lines(machine, explanation, first)
    lines = [line for words in said for line in folded(words)]
    for test in others[:2]:
        where = f"{lowered(test_title(test.test))} at the {station_name(test.station)}"
        settles = settles_words(test.gain_bits, open_bits(explanation))
        blocks = blocks_words(machine, test)
        also = f"; {blocks}" if blocks else ""
        lines += folded(f"Or {where}, {minutes_words(test.minutes)}: {settles}{also}.")
    lines += folded(act_now_sentence(explanation))
    return _titled(next_test_title(first), lines)


def _block(title: str, sentences: tuple[str, ...]) -> str:
    return _titled(title, [line for words in sentences for line in folded(words)])


def _cautions_block() -> str:
    names = "; ".join(lowered(hazard.title) for hazard in MEASURING)
    lines = folded(f"Mind: {names}. The report says how. {DEFER}")
    return _titled("Before a hand goes near the machine", lines)


def _titled(title: str, lines: list[str]) -> str:
    return "\n".join([title, *(f"  {line}" for line in lines)]) if lines else ""
