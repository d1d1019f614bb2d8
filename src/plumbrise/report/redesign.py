"""A proposal of changes in words, as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from plumbrise.cautions import DEFER, HAZARDS
from plumbrise.drawing.costs import hours_words, money_words, title_of
from plumbrise.drawing.figures import loss_in_a_line, span_of
from plumbrise.drawing.trade_off import Place, Standing, steps
from plumbrise.explain import Interval
from plumbrise.machine import Machine
from plumbrise.quantity import percent
from plumbrise.redesign import Change, Choice, Line, PartLine, Prediction, Proposal, Worth
from plumbrise.redesign.changes import Part
from plumbrise.redesign.figures import BAND, HOME_RANGE, STAYS_UP
from plumbrise.redesign.predicting import AXIS
from plumbrise.redesign.results import WorkedFor
from plumbrise.report.amounts import range_words
from plumbrise.report.layout import columns, folded, hung, plain_line
from plumbrise.report.names import as_sentence, listed, lowered, station_name, test_title

__all__ = [
    "changes_text",
    "hours_words",
    "money_words",
    "proposal_text",
    "test_words",
    "thinned",
]

MOST_LINES = 8
WIDTH = 78
IN_MICROMETRES = (BAND.id, HOME_RANGE.id)
TYPICAL = (
    "Prices, hours and effects are typical of such axes (common practice, no source), not offers."
)


def proposal_text(machine: Machine, proposal: Proposal) -> str:
    """What to change, what it would give and cost, what else there is, and what to mind."""
    return "\n".join(_lines(machine, proposal)) + "\n"


def _lines(machine: Machine, proposal: Proposal) -> Iterator[str]:
    name = plain_line(machine.name) or machine.arrangement.title
    yield f"What to change on {name}"
    yield ""
    yield from folded(asked_words(proposal), WIDTH)
    for words in untold_words(proposal):
        yield from folded(words, WIDTH)
    chosen = proposal.chosen
    if chosen is None:
        yield from folded(proposal.limited_by, WIDTH)
        return
    yield ""
    yield from _chosen(proposal, chosen)
    yield from _predictions(chosen)
    yield from _front(proposal)
    yield ""
    for words in worth_words(proposal):
        yield from folded(words, WIDTH)
    yield from _notes("What it fixes and frees", chosen.constraints)
    yield from _notes("Mind", minded(chosen))
    yield from _sums(chosen)
    yield from _parts(chosen.parts)
    yield from _cautions(chosen)
    yield ""
    yield from folded(looked_at_words(proposal), WIDTH)


def asked_words(proposal: Proposal) -> str:
    """What was asked for, and how far the axis is from it."""
    targets = "; ".join(target.words for target in proposal.targets)
    money = (
        f", for at most {proposal.budget:g} {proposal.currency}"
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
        f"Cannot tell yet: {titles.get(figure, figure)}, since {why}."
        for figure, why in proposal.untold.items()
    ]


def proposed_words(proposal: Proposal, chosen: Choice) -> str:
    """The chosen set in a sentence: money, hours, and how likely it does."""
    if not chosen.changes:
        return "Proposed: change nothing. " + (proposal.limited_by or "The targets are met.")
    head = "Proposed" if proposal.reachable else "Not reachable as asked. The likeliest set"
    return (
        f"{head}: {money_words(chosen.line.cost, proposal.currency)}, "
        f"{hours_words(chosen.line.hours)}. It meets all targets with "
        f"{percent(chosen.line.probability)}."
    )


def change_words(change: Change, chosen: Choice, currency: str) -> str:
    """One change of the set: what it costs, and what the set would be without it."""
    without = chosen.alone.get(change.id)
    tells = without is not None and percent(without) != percent(chosen.line.probability)
    tail = f"; without it {percent(without)}" if tells and without is not None else ""
    return (
        f"{change.title}: {money_words(change.cost, currency)}, {hours_words(change.hours)}{tail}"
    )


def _chosen(proposal: Proposal, chosen: Choice) -> Iterator[str]:
    yield from folded(proposed_words(proposal, chosen), WIDTH)
    for number, change in enumerate(chosen.changes, start=1):
        yield from hung(f"  {number}. ", change_words(change, chosen, proposal.currency), WIDTH)
    if proposal.limited_by and chosen.changes:
        yield from folded(proposal.limited_by, WIDTH)


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
            rows.append((title, _span(one, now), _span(one, then), "" if ends else holds))
    return rows


def stays(one: Prediction) -> bool:
    """Whether a figure that has no target is the same afterwards."""
    return one.chance is None and all(
        _span(one, then) == _span(one, one.before.get(station))
        for station, then in one.after.items()
    )


def stays_words(chosen: Choice) -> str:
    """The figures that the set leaves as they are; empty where there are none."""
    titles = [lowered(one.figure.title) for one in chosen.predictions if stays(one)]
    return f"Left as it is: {listed(titles)}." if titles else ""


def _span(one: Prediction, interval: Interval | None) -> str:
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


def _predictions(chosen: Choice) -> Iterator[str]:
    yield ""
    head = ("What it would give, mm, 95 %", "now", "then", "meets its target")
    yield from columns([head, *((f"  {a}", *rest) for a, *rest in prediction_rows(chosen))])
    yield from folded(stays_words(chosen), WIDTH)


def _front(proposal: Proposal) -> Iterator[str]:
    yield ""
    yield "Cost against result: what each set adds and drops against the one before"
    found = steps(proposal)
    heads = columns([front_row(proposal, place) for place, _ in found], right={0, 1, 2})
    for head, (place, step) in zip(heads, found, strict=True):
        yield from hung(f"  {head}  ", step_said(place, step), WIDTH)
    words = free_words(proposal)
    if words:
        yield from folded(words, WIDTH)


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
        f"{percent(free.probability)}. Begin with it and measure again before you buy."
    )


def thinned(proposal: Proposal) -> tuple[Line, ...]:
    """The front, with so many lines that a person reads it: the ends, and the largest steps."""
    lines = proposal.front
    if len(lines) <= MOST_LINES:
        return lines
    steps_up = [
        (lines[i].probability - lines[i - 1].probability, i) for i in range(1, len(lines) - 1)
    ]
    kept = {0, len(lines) - 1, *(i for _, i in sorted(steps_up, reverse=True)[: MOST_LINES - 2])}
    return tuple(line for i, line in enumerate(lines) if i in kept)


def worth_words(proposal: Proposal) -> list[str]:
    """Whether another test before buying pays."""
    if proposal.worths:
        return [test_words(worth, proposal.currency) for worth in proposal.worths[:2]]
    return [
        "Another test before buying: knowing everything would save about "
        f"{proposal.perfect_saves:.0f} {proposal.currency}."
    ]


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


def _notes(title: str, notes: Sequence[str]) -> Iterator[str]:
    if notes:
        yield ""
        yield title
    for note in notes:
        yield from hung("  - ", note, WIDTH)


def sum_words(one: WorkedFor) -> list[str]:
    """What a calculator found, or what it would need."""
    if one.sheet is not None:
        return [verdict.words for verdict in one.sheet.worked.verdicts]
    needs = [missing.partition(": ")[2] or f"It needs {missing}" for missing in one.missing]
    return ["Not worked yet. " + " ".join(as_sentence(words) for words in needs)]


def _sums(chosen: Choice) -> Iterator[str]:
    if chosen.sums:
        yield ""
        yield "Sums it rests on (each whole: plumbrise size KIND --machine FILE --sheet)"
    wide = max((len(one.kind) for one in chosen.sums), default=0)
    for one in chosen.sums:
        for i, words in enumerate(sum_words(one)):
            yield from hung(f"  {'' if i else one.kind:<{wide}}  ", words, WIDTH)


def part_words(line: PartLine) -> str:
    """A line of the parts list: how many, what, in which size, how long it takes to come."""
    lead = f", comes in about {line.part.lead_days} days" if line.part.lead_days else ""
    return f"{line.count} x {line.part.name}, {line.size}{lead}"


def part_notes(part: Part) -> list[str]:
    """What to mind of a part, and what to measure before it is ordered."""
    notes = [part.note] if part.note else []
    return notes + (
        [f"Before ordering, measure: {lowered(part.measure_first)}"] if part.measure_first else []
    )


def _parts(parts: Sequence[PartLine]) -> Iterator[str]:
    if parts:
        yield ""
        yield "Parts"
    for number, line in enumerate(parts, start=1):
        head = f"  {number:>2}. "
        yield from hung(head, part_words(line), WIDTH)
        for note in part_notes(line.part):
            yield from hung(" " * len(head), note, WIDTH)


def _cautions(chosen: Choice) -> Iterator[str]:
    ids = hazards_of(chosen)
    if ids:
        yield ""
        yield "Cautions"
        for one in ids:
            yield from hung("  ", f"{HAZARDS[one].title}: {HAZARDS[one].words}", WIDTH)
        yield from hung("  ", DEFER, WIDTH)


def hazards_of(chosen: Choice) -> tuple[str, ...]:
    """The hazards of all changes, each once."""
    return tuple(dict.fromkeys(h for change in chosen.changes for h in change.hazards))


def looked_at_words(proposal: Proposal) -> str:
    """How wide the search was, and what its prices are worth."""
    return f"{proposal.looked_at} sets of changes were looked at. {TYPICAL}"


def changes_text(changes: Iterable[Change], currency: str) -> str:
    """The changes that can be made, one a line with its price and hours."""
    rows = [
        f"{change.id:<20} {change.title}: {money_words(change.cost, currency)}, "
        f"{hours_words(change.hours)}"
        for change in changes
    ]
    return "\n".join(rows)
