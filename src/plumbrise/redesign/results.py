"""What a redesign is: the front of cost against result, the choice, and what it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from plumbrise.elements.worked import Sheet
from plumbrise.explain import Interval
from plumbrise.redesign.changes import Change, Part, Span
from plumbrise.redesign.figures import Figure, Target

NORMAL_95 = 1.959964
"""Within so many standard deviations lie 95 % of a normal law."""


def share_within(share: float, count: int) -> tuple[float, float]:
    """Between which shares the true one lies with 95 %, where `share` of `count` draws was found.

        (p + z²/2n ± z √(p (1 - p) / n + z²/4n²)) / (1 + z²/n)

    Source:
        E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209 (from memory).

    Example:
        >>> [round(one, 2) for one in share_within(0.73, 128)]
        [0.65, 0.8]
    """
    part = NORMAL_95**2 / count
    half = NORMAL_95 * sqrt(share * (1 - share) / count + part / count / 4)
    low, high = (share + part / 2 - half) / (1 + part), (share + part / 2 + half) / (1 + part)
    return max(0.0, low), min(1.0, high)


@dataclass(frozen=True, slots=True)
class Prediction:
    """One figure after a set of changes: by station where it has one, else under "axis";
    `before` is the same without any change; `worst` and `worst_before` are of the worse end of
    each draw. `chance` is the probability that it holds its target, None where it has none."""

    figure: Figure
    before: Mapping[str, Interval]
    after: Mapping[str, Interval]
    chance_before: float | None
    chance: float | None
    worst_before: Interval | None = None
    worst: Interval | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """One set on the front: what it costs and the probability that all targets are met."""

    changes: tuple[str, ...]
    cost: Span
    hours: Span
    probability: float


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part of the chosen set, with the size that fits this machine, which change needs it, and
    whether it is there already."""

    part: Part
    size: str
    count: int
    change: str
    at_hand: bool = False


@dataclass(frozen=True, slots=True)
class WorkedFor:
    """A calculator worked for a change; where the machine says too little, `sheet` is None and
    `missing` says what it would need."""

    change: str
    kind: str
    sheet: Sheet | None
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """The set that is proposed. `alone` says by change what the probability would be without it;
    `constraints` what the set fixes and frees, in words."""

    line: Line
    changes: tuple[Change, ...]
    predictions: tuple[Prediction, ...]
    parts: tuple[PartLine, ...]
    sums: tuple[WorkedFor, ...]
    alone: Mapping[str, float]
    constraints: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Worth:
    """What a test before buying is worth: money it is expected to save on the way to the target
    (`saves`), and what of that is left when its time is paid for (`after_time`)."""

    test: str
    station: str
    minutes: float
    saves: float
    after_time: float


@dataclass(frozen=True, slots=True)
class Proposal:
    """What to change.

    `chosen` is the cheapest set that meets all targets with the asked probability within the
    budget; where there is none `reachable` is False, and it is the likeliest that the budget
    allows. `free` is the best set that costs no money. `limited_by` says what stands in the way.
    Where `taken`, it is the set that a person named, and `reachable` is about that. `untold` are
    targets that these readings say nothing of. Every probability is a share of
    `draws` axes: see `share_within`.
    """

    targets: tuple[Target, ...]
    probability: float
    budget: float | None
    hour_worth: float
    currency: str
    front: tuple[Line, ...]
    chosen: Choice | None
    free: Line | None
    reachable: bool
    met_already: float
    limited_by: str
    worths: tuple[Worth, ...]
    perfect_saves: float
    untold: Mapping[str, str]
    looked_at: int
    draws: int
    remarks: tuple[str, ...] = ()
    taken: bool = False
