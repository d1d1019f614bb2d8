"""What a proof is: whether the comparison is fair, what changed, and what was promised."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from plumbrise.analyse import Analysis
from plumbrise.explain import Explanation, Interval
from plumbrise.machine import Machine
from plumbrise.prove.prints import PrintReading
from plumbrise.quantity import Measured
from plumbrise.readings import Readings
from plumbrise.redesign import Proposal

GOOD_MM = 0.05
"""Below this lost motion no longer shows in layers of 0.2 mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One session of the story: the machine as it then was, its readings and what they say.

    `explanation` is None where nobody asked for it, `proposal` likewise: what redesign would do
    next. `prints` are measurements of a part printed at that stage.
    """

    name: str
    machine: Machine
    readings: Readings
    analysis: Analysis
    explanation: Explanation | None = None
    proposal: Proposal | None = None
    prints: tuple[PrintReading, ...] = ()


class Verdict(Enum):
    """What may be said of a figure before and after."""

    BETTER = "better"
    WORSE = "worse"
    NO_DIFFERENCE = "no difference shown"
    CANNOT_TELL = "cannot tell"

    def __str__(self) -> str:
        return self.value


class Doubt(Enum):
    """Why no verdict is given on a figure whatever its chance."""

    UNLIKE = "not read alike"
    TESTS_DISAGREE = "tests disagree"
    WHOLE_TURN = "whole turn of the dial"


@dataclass(frozen=True, slots=True)
class Unfair:
    """Something that differs between the two sessions. `effect_mm` bounds what it can do to a
    figure (None: it cannot be bounded); `runs` are the tests that it touches. Where `stops` is
    True the figures of these tests get no verdict."""

    what: str
    before: str
    after: str
    words: str
    effect_mm: float | None
    runs: tuple[tuple[str, str], ...] = ()
    stops: bool = False


@dataclass(frozen=True, slots=True)
class Aside:
    """A run that is not compared, since another of the same test goes as far as the other session
    or further: in which session (`when`), its name and how far it goes, mm, and the one that
    `counts` with how far that goes."""

    when: str
    test: tuple[str, str]
    run: str
    reach_mm: tuple[float, float]
    counts: str
    counts_reach_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Fairness:
    """Whether two sessions may be compared: tests (kind, station) in both, in one only, what
    differs between those in both, what was looked at and is alike, and runs put aside."""

    both: tuple[tuple[str, str], ...]
    only_before: tuple[tuple[str, str], ...]
    only_after: tuple[tuple[str, str], ...]
    differs: tuple[Unfair, ...]
    same: tuple[str, ...] = ()
    aside: tuple[Aside, ...] = ()


@dataclass(frozen=True, slots=True)
class Other:
    """Another kind of test that tells of the same thing at the same place: by how much it changed
    there (below zero is better), whether that `agrees` with the change that is judged, and
    whether it `shows` one the same way by itself."""

    kind: str
    change: Measured
    agrees: bool = True
    shows: bool = False


@dataclass(frozen=True, slots=True)
class Compared:
    """One figure before and after.

    `change` is after less before of how far the figure is from perfect, so that below zero is
    better; its uncertainty holds what differs from day to day and what was not the same. `ratio`
    is after over before with its 95 % interval, None where it has no bound. `p` is the chance of
    so large a change where there is none, minded for all figures judged together; `could_show`
    the smallest change for the better that would have been shown four times out of five, minded
    likewise: all of a scatter where not even that would. `thing` is what matters that the figure
    tells, `others` what other tests say of it there, `runs` how many gave it before and after,
    `doubt` what forbids a verdict.
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
    thing: str = ""
    others: tuple[Other, ...] = ()
    runs: tuple[int, int] = (1, 1)
    doubt: Doubt | None = None


@dataclass(frozen=True, slots=True)
class Also:
    """A figure of both sessions that follows from a judged one or says the same once more."""

    kind: str
    station: str
    figure: str
    detail: str
    before: Measured
    after: Measured
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class Promise:
    """A figure that was promised and what came. `kept` is True where what came is no more than
    the most that was promised, False where it is surely more, None where it was not read or the
    readings do not tell."""

    figure: str
    station: str
    promised: Interval
    came: Measured | None
    kept: bool | None


@dataclass(frozen=True, slots=True)
class LinkMoved:
    """What one link of the load path lost before and loses after, at an end: None where the
    machine of that stage has no such link. `change` is after less before. Links that either
    session cannot tell apart are told as one, `shared_with` naming those beside the first."""

    link: str
    side: str
    station: str
    before: Interval | None
    after: Interval | None
    change: Interval | None = None
    shared_with: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MachineChange:
    """A field of the machine's description that is not what it was."""

    field: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Onward:
    """What redesign would do next: the set, what it costs, how likely it meets the targets, and
    how likely they are met as it stands."""

    changes: tuple[str, ...]
    cost: float
    currency: str
    hours: float
    probability: float
    already: float


@dataclass(frozen=True, slots=True)
class Proof:
    """One session against the one before the work. What an end loses has one value in all of it:
    that of the figure judged there, else of the best source. `unread` are the ends of which no
    reading after the work tells, `target_mm` the most that an end may lose."""

    before: str
    after: str
    fairness: Fairness
    figures: tuple[Compared, ...]
    promises: tuple[Promise, ...]
    links: tuple[LinkMoved, ...]
    remains: Mapping[str, Measured]
    headline: str
    advice: str
    also: tuple[Also, ...] = ()
    machine: tuple[MachineChange, ...] = ()
    onward: Onward | None = None
    unread: tuple[str, ...] = ()
    target_mm: float = GOOD_MM

    def of(self, figure: str, station: str) -> Compared | None:
        """The first comparison of a figure at a station."""
        for one in self.figures:
            if (one.figure, one.station) == (figure, station):
                return one
        return None
