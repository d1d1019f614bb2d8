"""A proposal of changes in words, as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from plumbrise.cautions import DEFER, HAZARDS
from plumbrise.explain import Interval
from plumbrise.machine import Machine
from plumbrise.redesign import CATALOGUE, Change, Choice, Line, Prediction, Proposal, Span, Worth
from plumbrise.redesign.figures import STAYS_UP
from plumbrise.redesign.predicting import AXIS
from plumbrise.report.names import station_name, test_title

MOST_LINES = 8


def proposal_text(machine: Machine, proposal: Proposal) -> str:
    """What to change, what it would give and cost, what else there is, and what to mind."""
    return "\n".join(_lines(machine, proposal)) + "\n"


def _lines(machine: Machine, proposal: Proposal) -> Iterator[str]:
    name = machine.name or machine.arrangement.title
    yield f"What to change on {name}"
    yield f"Targets: {'; '.join(target.words for target in proposal.targets)}."
    yield (
        f"Asked: together with a probability of {proposal.probability:.2f}"
        + (f", for at most {proposal.budget:g} {proposal.currency}" if proposal.budget else "")
        + f". As it is they are met with {proposal.met_already:.2f}."
    )
    for figure, why in proposal.untold.items():
        yield f"Cannot tell yet: {figure}, since {why}."
    chosen = proposal.chosen
    if chosen is None:
        yield proposal.limited_by
        return
    yield ""
    yield from _chosen(proposal, chosen)
    yield from _predictions(chosen)
    yield from _front(proposal)
    yield from _tests(proposal)
    yield from _notes("What it fixes and frees", chosen.constraints)
    sides = [f"{c.title}: {note}" for c in chosen.changes for note in c.side_effects]
    yield from _notes("Mind", (*chosen.warnings, *sides))
    yield from _sums(chosen)
    yield from _parts(chosen)
    yield from _cautions(chosen)
    yield ""
    yield (
        f"{proposal.looked_at} sets of changes were looked at. Prices, hours and effects are "
        "typical of such axes (common practice, no source), not offers."
    )


def _chosen(proposal: Proposal, chosen: Choice) -> Iterator[str]:
    if not chosen.changes:
        yield "Proposed: change nothing. " + (proposal.limited_by or "The targets are met.")
        return
    head = "Proposed" if proposal.reachable else "Not reachable as asked. The likeliest set"
    yield (
        f"{head}: {money_words(chosen.line.cost, proposal.currency)}, "
        f"{hours_words(chosen.line.hours)}; all targets with {chosen.line.probability:.2f}"
    )
    for number, change in enumerate(chosen.changes, start=1):
        without = chosen.alone.get(change.id)
        tail = f"; without it {without:.2f}" if without is not None else ""
        yield (
            f"  {number}. {change.title}: {money_words(change.cost, proposal.currency)}, "
            f"{hours_words(change.hours)}{tail}"
        )
    if proposal.limited_by:
        yield proposal.limited_by


def _predictions(chosen: Choice) -> Iterator[str]:
    yield ""
    yield "What it would give                              now                    then"
    for one in chosen.predictions:
        for station, then in one.after.items():
            title = one.figure.title if station == AXIS else station_name(station)
            if station != AXIS:
                title = f"{one.figure.title}, {title.lower()}"
            now = one.before.get(station)
            yield f"  {title:<42} {_span(one, now):<22} {_span(one, then)}"
        if one.chance is not None:
            yield f"      holds with {one.chance:.2f}, as it is with {one.chance_before or 0.0:.2f}"


def _span(one: Prediction, interval: Interval | None) -> str:
    if interval is None:
        return "-"
    if one.figure is STAYS_UP:
        return f"{interval.estimate:.0f} N·mm to spare"
    return f"{interval.estimate:.3f} ({interval.low:.3f} to {interval.high:.3f})"


def _front(proposal: Proposal) -> Iterator[str]:
    yield ""
    yield f"Cost against result ({proposal.currency}, hours, probability that all targets are met)"
    for line in thinned(proposal):
        yield (
            f"  {line.cost.expected:5.0f} {line.hours.expected:5.1f} h  {line.probability:.2f}  "
            + (", ".join(CATALOGUE[c].title for c in line.changes) or "nothing changed")
        )
    if proposal.free is not None and proposal.free.changes:
        free = proposal.free
        yield (
            f"For no money: {', '.join(CATALOGUE[c].title.lower() for c in free.changes)} "
            f"({hours_words(free.hours)}) reach {free.probability:.2f}. Begin with these and "
            "measure again before you buy."
        )


def thinned(proposal: Proposal) -> tuple[Line, ...]:
    """The front, with so many lines that a person reads it: the ends, and the largest steps."""
    lines = proposal.front
    if len(lines) <= MOST_LINES:
        return lines
    steps = [(lines[i].probability - lines[i - 1].probability, i) for i in range(1, len(lines) - 1)]
    kept = {0, len(lines) - 1, *(i for _, i in sorted(steps, reverse=True)[: MOST_LINES - 2])}
    return tuple(line for i, line in enumerate(lines) if i in kept)


def _tests(proposal: Proposal) -> Iterator[str]:
    yield ""
    for worth in proposal.worths[:2]:
        yield test_words(worth, proposal.currency)
    if not proposal.worths:
        yield (
            "Another test before buying: knowing everything would save about "
            f"{proposal.perfect_saves:.0f} {proposal.currency}."
        )


def test_words(worth: Worth, currency: str) -> str:
    """Whether a test before buying pays, in a sentence."""
    where = station_name(worth.station).lower()
    head = f"{test_title(worth.test).lower()} at the {where} ({worth.minutes:.0f} min)"
    if worth.after_time <= 0:
        saved = f"{worth.saves:.0f} {currency}"
        return f"Before buying, {head} is not worth its minutes: it would save {saved}."
    return (
        f"Before buying, {head} is worth it: it is expected to save {worth.saves:.0f} {currency} "
        f"on the way to the targets, {worth.after_time:.0f} {currency} once its time is counted."
    )


def _notes(title: str, notes: tuple[str, ...]) -> Iterator[str]:
    if notes:
        yield ""
        yield f"{title}:"
        yield from (f"  - {note}" for note in notes)


def _sums(chosen: Choice) -> Iterator[str]:
    if chosen.sums:
        yield ""
        yield "Sums it rests on (each whole: plumbrise size KIND --machine FILE --sheet):"
    for one in chosen.sums:
        if one.sheet is None:
            yield f"  {one.kind}: needs {'; '.join(one.missing)}"
            continue
        for verdict in one.sheet.worked.verdicts:
            yield f"  {one.kind}: {verdict.words}"


def _parts(chosen: Choice) -> Iterator[str]:
    if not chosen.parts:
        return
    yield ""
    yield "Parts:"
    for line in chosen.parts:
        lead = f", comes in about {line.part.lead_days} days" if line.part.lead_days else ""
        yield f"  {line.count} x {line.part.name}, {line.size}{lead}"
        if line.part.note:
            yield f"      {line.part.note}"
        if line.part.measure_first:
            yield f"      Before ordering, measure: {line.part.measure_first}"


def _cautions(chosen: Choice) -> Iterator[str]:
    ids = dict.fromkeys(h for change in chosen.changes for h in change.hazards)
    if ids:
        yield ""
        yield "Cautions:"
        yield from (f"  {HAZARDS[i].title}: {HAZARDS[i].words}" for i in ids)
        yield f"  {DEFER}"


def money_words(span: Span, currency: str) -> str:
    """What something costs.

    Example:
        >>> money_words(Span(8, 16, 36), "EUR"), money_words(Span(0, 0, 0), "EUR")
        ('about 20 EUR (8 to 36)', 'free')
    """
    if span.high == 0:
        return "free"
    if span.low == span.high:
        return f"{span.likely:g} {currency}"
    return f"about {span.expected:.0f} {currency} ({span.low:g} to {span.high:g})"


def hours_words(span: Span) -> str:
    """How long something takes.

    Example:
        >>> hours_words(Span(0.2, 0.4, 0.8)), hours_words(Span(2, 3, 5.5))
        ('about 30 min', 'about 3.5 h')
    """
    hours = span.expected
    if hours < 1:
        return f"about {max(5, round(60 * hours / 5) * 5)} min"
    return f"about {round(2 * hours) / 2:g} h"


def changes_text(changes: Iterable[Change], currency: str) -> str:
    """The changes that can be made, one a line with its price and hours."""
    rows = [
        f"{change.id:<20} {change.title}: {money_words(change.cost, currency)}, "
        f"{hours_words(change.hours)}"
        for change in changes
    ]
    return "\n".join(rows)
