"""What a proposal says, sentence by sentence and row by row: for the text and for the report."""

from __future__ import annotations

from math import sqrt

from plumbrise.drawing.costs import hours_words, money_words, title_of
from plumbrise.drawing.figures import loss_in_a_line, span_of
from plumbrise.drawing.sets_shown import Place, Standing
from plumbrise.elements.worked import Trust
from plumbrise.explain import Interval
from plumbrise.quantity import percent
from plumbrise.redesign import (
    Change,
    Choice,
    Line,
    PartLine,
    Prediction,
    Proposal,
    Worth,
    share_within,
)
from plumbrise.redesign.changes import Part
from plumbrise.redesign.figures import BAND, HOME_RANGE, STAYS_UP
from plumbrise.redesign.predicting import AXIS
from plumbrise.redesign.results import NORMAL_95, WorkedFor
from plumbrise.report.amounts import range_words
from plumbrise.report.names import as_sentence, listed, lowered, station_name, test_title
from plumbrise.report.sizing import said as value_said

MOST_SAID = 0.98
"""Nothing is said to be likelier."""
IN_MICROMETRES = (BAND.id, HOME_RANGE.id)
INTERVALS = (
    "Intervals hold 95 % and count in that guides drag more or less on another day than on that of "
    "the readings."
)
AFTER_FREE = "Begin with it; the same set-ups, read again after it, show what is left to buy."
NOTHING_FIRST = "No test is worth its minutes before buying: nothing needs to be read first."
TYPICAL = (
    "Prices, hours and effects are typical of such axes (common practice, no source), not offers."
)


def asked_words(proposal: Proposal) -> str:
    """What was asked for, and how far the axis is from it."""
    targets = "; ".join(target.words for target in proposal.targets)
    money = (
        f", for at most {proposal.budget:g} {proposal.currency} by the prices to be expected"
        if proposal.budget is not None
        else ""
    )
    together = "all of them" if len(proposal.targets) > 1 else "that"
    return (
        f"Targets: {targets}. Asked: {together} with {percent(proposal.probability)}{money}. "
        f"As it is, the axis meets them with {percent(proposal.met_already)}."
    )


def untold_words(proposal: Proposal) -> list[str]:
    """Targets that these readings say nothing of."""
    titles = {target.figure.id: lowered(target.figure.title) for target in proposal.targets}
    return [
        *(
            f"Cannot tell yet: {titles.get(figure, figure)}, since {why}."
            for figure, why in proposal.untold.items()
        ),
        *proposal.remarks,
    ]


def proposed_words(proposal: Proposal, chosen: Choice) -> str:
    """The chosen set in a sentence: money, hours, and how likely it does."""
    if not chosen.changes and not proposal.taken:
        return "Proposed: change nothing. " + (proposal.limited_by or "The targets are met.")
    head = "Proposed" if proposal.reachable else "Not reachable as asked. The likeliest set"
    if proposal.taken:
        head = "Taken by name" if proposal.reachable else "Taken by name, and not enough"
    told = "all targets that can be told" if proposal.untold else "all targets"
    over = (
        " At the highest prices it costs more than the budget."
        if proposal.budget is not None and chosen.line.cost.high > proposal.budget
        else ""
    )
    costs = f"{money_words(chosen.line.cost, proposal.currency)}, {hours_words(chosen.line.hours)}"
    return f"{head}: {costs}. It meets {told} with {sure_words(proposal, chosen.line)}.{over}"


def taken_words(proposal: Proposal, chosen: Choice) -> str:
    """A set that somebody took, in a sentence of a story."""
    return (
        f"That costs {money_words(chosen.line.cost, proposal.currency)} and "
        f"{hours_words(chosen.line.hours)}, and meets the targets with "
        f"{sure_words(proposal, chosen.line)}."
    )


def sure_words(proposal: Proposal, line: Line) -> str:
    """The probability of a set, and where it lies for the chance of the axes drawn."""
    low, high = share_within(line.probability, proposal.draws)
    if high > MOST_SAID:
        span = f"{100 * low:.0f} % or more"
    elif low < 1 - MOST_SAID:
        span = f"{100 * high:.0f} % or less"
    else:
        span = f"{100 * low:.0f} to {100 * high:.0f} %"
    return f"{percent(line.probability)} ({span})"


def change_words(change: Change, chosen: Choice, currency: str) -> str:
    """One change of the set: what it costs, and what the set would be without it."""
    without = chosen.alone.get(change.id)
    tells = without is not None and percent(without) != percent(chosen.line.probability)
    tail = f"; without it {percent(without)}" if tells and without is not None else ""
    return (
        f"{change.title}: {money_words(change.cost, currency)}, {hours_words(change.hours)}{tail}"
    )


def prediction_rows(chosen: Choice) -> list[tuple[str, str, str, str]]:
    """Figure, now, then, and how likely its target holds then: a row each, an end each. Figures
    without a target that stay as they are are left out."""
    rows = []
    for one in chosen.predictions:
        if stays(one):
            continue
        holds = f"{percent(one.chance)}" if one.chance is not None else ""
        ends = [station for station in one.after if station != AXIS]
        if ends:
            rows.append((one.figure.title, "", "", holds))
        for station, then in one.after.items():
            title = one.figure.title if station == AXIS else f"  {station_name(station)}"
            now = one.before.get(station)
            rows.append((title, span_words(one, now), span_words(one, then), "" if ends else holds))
    return rows


def stays(one: Prediction) -> bool:
    """Whether a figure that has no target is the same afterwards."""
    return one.chance is None and all(
        span_words(one, then) == span_words(one, one.before.get(station))
        for station, then in one.after.items()
    )


def stays_words(chosen: Choice) -> str:
    """The figures that the set leaves as they are; empty where there are none."""
    titles = [lowered(one.figure.title) for one in chosen.predictions if stays(one)]
    return f"Left as it is: {listed(titles)}." if titles else ""


def span_words(one: Prediction, interval: Interval | None) -> str:
    """A figure with its 95 % interval; what is in mm without its unit."""
    if interval is None:
        return "-"
    if one.figure.id == STAYS_UP.id:
        return range_words(interval, "N·mm")
    if one.figure.id in IN_MICROMETRES:
        thousand = Interval(
            1000 * interval.estimate, 1000 * interval.low, 1000 * interval.high, interval.level
        )
        return range_words(thousand, "µm")
    return loss_in_a_line(span_of(interval)).removesuffix(" mm")


def front_row(proposal: Proposal, place: Place) -> tuple[str, str, str]:
    """Money, hours and probability of one set."""
    hours = place.line.hours.expected
    return (
        f"{place.money:.0f} {proposal.currency}",
        f"{round(2 * hours) / 2:g} h",
        percent(place.line.probability),
    )


def step_said(place: Place, step: str) -> str:
    """What a set adds and drops, and what it is."""
    if place.standing in (Standing.FRONT, Standing.AS_IT_IS):
        return step
    return f"{step} ({place.standing.value})"


def free_words(proposal: Proposal) -> str:
    """What can be had for no money; empty where nothing can."""
    free = proposal.free
    if free is None or not free.changes:
        return ""
    titles = listed([title_of(change) for change in free.changes])
    return (
        f"For no money: {titles} ({hours_words(free.hours)}). That alone meets all targets with "
        f"{percent(free.probability)}. {AFTER_FREE}"
    )


def worth_words(proposal: Proposal) -> list[str]:
    """Whether another test before buying pays; that nothing needs to be read first where none
    does."""
    if proposal.worths:
        told = [test_words(worth, proposal.currency) for worth in proposal.worths[:2]]
        return [*nothing_first(proposal), *told]
    return [
        "Another test before buying: knowing everything would save about "
        f"{proposal.perfect_saves:.0f} {proposal.currency}."
    ]


def nothing_first(proposal: Proposal) -> tuple[str, ...]:
    """That nothing needs to be read before buying, where tests were weighed and none pays."""
    pays = any(worth.after_time > 0 for worth in proposal.worths)
    return () if pays or not proposal.worths else (NOTHING_FIRST,)


def test_words(worth: Worth, currency: str) -> str:
    """Whether a test before buying pays, in a sentence."""
    where = lowered(station_name(worth.station))
    head = f"{lowered(test_title(worth.test))} at the {where} ({worth.minutes:.0f} min)"
    if worth.after_time <= 0:
        saved = f"{worth.saves:.0f} {currency}"
        return f"Before buying, {head} is not worth its minutes: it would save {saved}."
    return (
        f"Before buying, {head} is worth it: it is expected to save {worth.saves:.0f} {currency} "
        f"on the way to the targets, {worth.after_time:.0f} {currency} once its time is counted."
    )


def minded(chosen: Choice) -> tuple[str, ...]:
    """Warnings of the whole set, then the side effects of each change."""
    sides = [f"{c.title}: {lowered(note)}" for c in chosen.changes for note in c.side_effects]
    return (*chosen.warnings, *sides)


def sum_words(one: WorkedFor) -> list[str]:
    """What a calculator found, or what it would need."""
    if one.sheet is not None:
        return [verdict.words for verdict in one.sheet.worked.verdicts]
    needs = [missing.partition(": ")[2] or f"It needs {missing}" for missing in one.missing]
    return ["Not worked yet. " + " ".join(as_sentence(words) for words in needs)]


def assumed_words(one: WorkedFor) -> str:
    """Which values of a sum nobody gave: guesses by name, usual ones by their number."""
    if one.sheet is None:
        return ""
    guessed = [
        f"{i.asked.words}: {value_said(i.value, i.asked.unit)}"
        for i in one.sheet.used
        if i.trust is Trust.GUESS
    ]
    usual = sum(i.trust in (Trust.COMMON_PRACTICE, Trust.HANDBOOK) for i in one.sheet.used)
    words = [f"Guessed: {'; '.join(guessed)}."] if guessed else []
    if usual:
        words.append(f"As usual, not given: {usual} {'values' if usual > 1 else 'value'}.")
    return " ".join(words)


def part_words(line: PartLine) -> str:
    """A line of the parts list: how many, what, in which size, how long it takes to come."""
    lead = f", comes in about {line.part.lead_days} days" if line.part.lead_days else ""
    if line.at_hand:
        lead = ", at hand"
    return f"{line.count} x {line.part.name}, {line.size}{lead}"


def part_notes(part: Part) -> list[str]:
    """What to mind of a part, and what to measure before it is ordered."""
    notes = [part.note] if part.note else []
    return notes + (
        [f"Before ordering, measure: {lowered(part.measure_first)}"] if part.measure_first else []
    )


def hazards_of(chosen: Choice) -> tuple[str, ...]:
    """The hazards of all changes, each once."""
    return tuple(dict.fromkeys(h for change in chosen.changes for h in change.hazards))


def looked_at_words(proposal: Proposal) -> str:
    """How wide the search was, how sure its probabilities, and what its prices are worth."""
    off = 100 * NORMAL_95 * 0.5 / sqrt(proposal.draws)
    return (
        f"{proposal.looked_at} sets of changes were looked at, each on {proposal.draws} axes "
        f"drawn: that alone leaves a probability off by up to {off:.0f} %, with 95 %. {TYPICAL}"
    )
