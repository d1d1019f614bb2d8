"""What a proof is: whether the comparison is fair, what changed, and what was promised."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from plumbrise.analyse import Analysis
from plumbrise.explain import Explanation, Interval
from plumbrise.machine import Machine
from plumbrise.quantity import Measured
from plumbrise.readings import Readings


@dataclass(frozen=True, slots=True)
class Stage:
    """One session of the story: the machine as it then was, its readings and what they say.
    `explanation` is None where nobody asked for it."""

    name: str
    machine: Machine
    readings: Readings
    analysis: Analysis
    explanation: Explanation | None = None


class Verdict(Enum):
    """What may be said of a figure before and after."""

    BETTER = "better"
    WORSE = "worse"
    NO_DIFFERENCE = "no difference shown"
    CANNOT_TELL = "cannot tell"

    def __str__(self) -> str:
        return self.value


@dataclass(frozen=True, slots=True)
class Unfair:
    """Something that differs between the two sessions. `effect_mm` bounds what it can do to a
    figure (None: it cannot be bounded); `runs` are the tests that it touches."""

    what: str
    before: str
    after: str
    words: str
    effect_mm: float | None
    runs: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Fairness:
    """Whether two sessions may be compared: tests (kind, station) in both, in one only, and what
    differs between those in both."""

    both: tuple[tuple[str, str], ...]
    only_before: tuple[tuple[str, str], ...]
    only_after: tuple[tuple[str, str], ...]
    differs: tuple[Unfair, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """One figure before and after.

    `change` is after less before of how far the figure is from perfect, so that below zero is
    better; its uncertainty holds what differs from day to day and what was not the same. `ratio`
    is after over before with its 95 % interval, None where it has no bound. `p` is the chance of
    so large a change where there is none, minded for all figures judged together; `could_show`
    the smallest change that these sessions would have shown four times out of five.
    """

    kind: str
    station: str
    figure: str
    detail: str
    before: Measured
    after: Measured
    change: Measured
    ratio: Interval | None
    p: float
    could_show: float
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Promise:
    """A figure that was promised and what came: `kept` is None where it was not read."""

    figure: str
    station: str
    promised: Interval
    came: Measured | None
    kept: bool | None


@dataclass(frozen=True, slots=True)
class LinkMoved:
    """What one link of the load path lost before and loses after, at an end."""

    link: str
    side: str
    station: str
    before: Interval
    after: Interval


@dataclass(frozen=True, slots=True)
class Proof:
    """One session against the one before the work."""

    before: str
    after: str
    fairness: Fairness
    figures: tuple[Compared, ...]
    promises: tuple[Promise, ...]
    links: tuple[LinkMoved, ...]
    remains: Mapping[str, Measured]
    headline: str
    advice: str

    def of(self, figure: str, station: str) -> Compared | None:
        """The first comparison of a figure at a station."""
        for one in self.figures:
            if (one.figure, one.station) == (figure, station):
                return one
        return None
