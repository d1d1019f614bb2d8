"""What every set of changes costs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbrise.redesign.changes import Change, Span
from plumbrise.redesign.prospects import Prospects
from plumbrise.redesign.sets import summed

Vector = NDArray[np.float64]

LEAST_WORTH = 0.001
"""An hour counts this at least: of sets that cost as much the one with less work is taken."""


@dataclass(frozen=True, slots=True, eq=False)
class Prices:
    """Expected cost of every set: `money` alone, and `total` with the hours at `hour_worth`;
    `amounts` is the total of each change."""

    money: Vector
    total: Vector
    amounts: list[float]
    hour_worth: float


def priced(prospects: Prospects, hour_worth: float) -> Prices:
    """Cost of every set.

    Where an hour counts nothing, hours still settle what money leaves open: work that hardly helps
    is not proposed because it is free.
    """
    money = [change.cost.expected for change in prospects.changes]
    worth = max(hour_worth, LEAST_WORTH)
    amounts = [m + worth * c.hours.expected for m, c in zip(money, prospects.changes, strict=True)]
    return Prices(
        summed(prospects.masks, money), summed(prospects.masks, amounts), amounts, hour_worth
    )


def together(spans: Iterable[Span]) -> Span:
    """Spans added up: at least, likely, at most."""
    low = likely = high = 0.0
    for span in spans:
        low, likely, high = low + span.low, likely + span.likely, high + span.high
    return Span(low, likely, high)


def cost_of(changes: Iterable[Change]) -> Span:
    """Money that changes cost together."""
    return together(change.cost for change in changes)


def hours_of(changes: Iterable[Change]) -> Span:
    """Hours that changes take together."""
    return together(change.hours for change in changes)
