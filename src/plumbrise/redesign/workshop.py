"""What a person has and wants: prices of their own, parts and tools at hand, changes ruled out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from plumbrise.machine import Machine
from plumbrise.redesign.catalogue import CATALOGUE
from plumbrise.redesign.changes import FREE, Change, Span

MOST_MONEY = 1_000_000.0
"""In any currency; more is a slip of the hand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Workshop:
    """One person's workshop.

    `prices` and `hours` by change replace the typical ones, and like them are those of one screw
    where a change is made per screw; `at_hand` are changes whose parts are
    there already, `without` changes ruled out, `no_tools` tools that are missing. `hour_worth`
    is what an hour of work counts in money.
    """

    prices: Mapping[str, Span] = field(default_factory=dict)
    hours: Mapping[str, Span] = field(default_factory=dict)
    at_hand: frozenset[str] = frozenset()
    without: frozenset[str] = frozenset()
    no_tools: frozenset[str] = frozenset()
    hour_worth: float = 10.0
    currency: str = "EUR"

    def changes_for(self, machine: Machine) -> tuple[Change, ...]:
        """The catalogue as it stands for this person and machine: prices of all its screws, what
        cannot be made left out.

        Example:
            >>> from plumbrise.machine import blank
            >>> some = Workshop(without=frozenset({"set-rollers"}), at_hand=frozenset({"new-nut"}))
            >>> changes = {c.id: c for c in some.changes_for(blank("two-screw"))}
            >>> "set-rollers" in changes, changes["new-nut"].cost.likely
            (False, 0.0)
        """
        screws = len(machine.screw_sides)
        found = []
        for change in CATALOGUE.values():
            if change.id in self.without or set(change.tools) & self.no_tools:
                continue
            if not change.applies_to(machine):
                continue
            times = screws if change.per_screw else 1
            cost = self.prices.get(change.id, change.cost)
            if change.id in self.at_hand:
                cost = FREE
            hours = self.hours.get(change.id, change.hours)
            found.append(
                replace(
                    change.made_on(machine),
                    cost=_times(cost, times),
                    hours=_times(hours, times),
                    at_hand=change.id in self.at_hand,
                )
            )
        return tuple(found)

    def remarks(self, machine: Machine) -> tuple[str, ...]:
        """What the missing tools keep from being proposed, in words."""
        found = []
        for tool in sorted(self.no_tools):
            titles = [
                change.title.lower()
                for change in CATALOGUE.values()
                if tool in change.tools and change.applies_to(machine)
            ]
            if titles:
                found.append(f"Left out, since “{tool}” is missing: {', '.join(titles)}.")
        return tuple(found)


def _times(span: Span, count: int) -> Span:
    return Span(span.low * count, span.likely * count, span.high * count)
