"""The sets of changes that are shown of a proposal, and what each is: the picture of cost against
result and its text twin show the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from plumbrise.drawing.costs import hours_words, step_words
from plumbrise.quantity import percent
from plumbrise.redesign import Line, Proposal

MOST_NAMED = 7
LEAST_STEP = 0.01
"""A set gets a label only where it is likelier by this than the one before it."""


class Standing(Enum):
    """What a set on the picture is."""

    AS_IT_IS = "as it is"
    FREE = "for no money"
    CHOSEN = "proposed"
    TAKEN = "taken by name"
    LIKELIEST = "likeliest within the budget"
    FRONT = "on the front"


@dataclass(frozen=True, slots=True)
class Place:
    """One set on the picture; `named` ones carry a label."""

    standing: Standing
    line: Line
    named: bool

    @property
    def money(self) -> float:
        """What it is expected to cost."""
        return self.line.cost.expected

    @property
    def main(self) -> bool:
        """Whether it is the set that is proposed, or taken, or comes nearest."""
        return self.standing in (Standing.CHOSEN, Standing.TAKEN, Standing.LIKELIEST)


def places(proposal: Proposal) -> tuple[Place, ...]:
    """Every set of the picture, cheapest first."""
    chosen = proposal.chosen.line if proposal.chosen is not None else None
    free = proposal.free if proposal.free is not None and proposal.free.changes else None
    lines = list(proposal.front)
    for line in (free, chosen):
        if line is not None and all(line.changes != other.changes for other in lines):
            lines.append(line)
    lines.sort(key=lambda one: (one.cost.expected, one.hours.expected, one.probability))
    standings = [_standing(proposal, line, free, chosen) for line in lines]
    named = _named(lines, standings)
    return tuple(
        Place(standing, line, i in named)
        for i, (line, standing) in enumerate(zip(lines, standings, strict=True))
    )


def steps(proposal: Proposal) -> tuple[tuple[Place, str], ...]:
    """The picture's text twin: each set with a label, and what it adds and drops against the one
    before it."""
    shown = [place for place in places(proposal) if place.named]
    lines: list[Line | None] = [None, *(place.line for place in shown)]
    return tuple(
        (place, step_words(before, place.line)) for before, place in zip(lines, shown, strict=False)
    )


def _standing(proposal: Proposal, line: Line, free: Line | None, chosen: Line | None) -> Standing:
    if chosen is not None and line.changes == chosen.changes:
        if proposal.taken:
            return Standing.TAKEN
        return Standing.CHOSEN if proposal.reachable else Standing.LIKELIEST
    if not line.changes:
        return Standing.AS_IT_IS
    return Standing.FREE if free is not None and line.changes == free.changes else Standing.FRONT


def _named(lines: Sequence[Line], standings: Sequence[Standing]) -> frozenset[int]:
    """The sets with a label: those that have a standing, then the likeliest, then the largest
    steps."""
    front = [i for i, standing in enumerate(standings) if standing is Standing.FRONT]
    kept = {i for i in range(len(lines)) if i not in front}
    if front:
        kept.add(max(front, key=lambda i: lines[i].probability))
    step = {i: lines[i].probability - lines[i - 1].probability if i else 0.0 for i in front}
    for i in sorted(front, key=lambda i: -step[i]):
        if len(kept) < MOST_NAMED and step[i] >= LEAST_STEP:
            kept.add(i)
    return frozenset(kept)


def label_words(place: Place, currency: str) -> tuple[str, ...]:
    """The lines of a set's label: what it is, money and probability, then hours."""
    chance = percent(place.line.probability)
    hours = hours_words(place.line.hours)
    if place.standing is Standing.AS_IT_IS:
        return (f"{place.standing.value}: {chance}",)
    money = f"{place.money:.0f} {currency}" if place.money else "free"
    if place.main:
        return place.standing.value.split()[0], f"{money}, {chance}", hours
    return f"{money}, {chance}", hours
