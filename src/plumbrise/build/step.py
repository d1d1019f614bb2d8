"""What a step of the work is: what comes before it, what is measured, how it is undone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from plumbrise.machine import Machine


class Stage(Enum):
    """Where in the work a step belongs; stages follow one another."""

    BEFORE = "While it still prints"
    HELD = "Held up and switched off"
    WORK = "At the axis"
    WIRING = "Wiring, still switched off"
    POWER = "First power-up"
    SETTLE = "Settings, readings, nozzle"

    @property
    def place(self) -> int:
        """0 for the first."""
        return list(Stage).index(self)


class Each(Enum):
    """How often a step is done: once, or for every one of these."""

    ONCE = "once"
    SCREW = "screw"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class On:
    """What a limit is worked out from: the machine before and after, what is changed, and the
    side, "" for a step that is done once."""

    before: Machine
    after: Machine
    changes: frozenset[str]
    side: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """Between what a value is accepted, and from where that comes. A `high` alone bounds a size,
    whatever its sign. `multiple` accepts whole
    multiples of it within a hundredth. Where the machine says too little to tell a bound, both are
    None and `missing` says what would be needed: any value is then only written down."""

    low: float | None = None
    high: float | None = None
    multiple: float | None = None
    source: str = "common practice"
    missing: str = ""


Limit = Callable[[On], Bounds]
"""How a limit is worked out for one machine."""


@dataclass(frozen=True, slots=True)
class Measure:
    """What is measured to accept a step, with what, and the limit for one machine."""

    what: str
    tool: str
    unit: str
    bounds: Limit


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A measure with the limit of this machine."""

    what: str
    tool: str
    unit: str
    bounds: Bounds

    def takes(self, value: float) -> bool:
        """Whether this value is accepted.

        Example:
            >>> Acceptance("gap", "feeler", "mm", Bounds(high=0.1)).takes(0.12)
            False
            >>> Acceptance("layer", "", "mm", Bounds(multiple=0.16)).takes(0.32)
            True
        """
        bounds = self.bounds
        if bounds.low is not None and value < bounds.low - 1e-9:
            return False
        size = abs(value) if bounds.low is None else value
        if bounds.high is not None and size > bounds.high + 1e-9:
            return False
        if bounds.multiple is not None:
            times = round(value / bounds.multiple)
            return times >= 1 and abs(value - times * bounds.multiple) <= 0.01 * bounds.multiple
        return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to do.

    Attributes:
        id: its word on the command line.
        title: a line.
        words: how it is done.
        stage: when.
        changes: the changes of the catalogue that bring it.
        each: how often it is done.
        only_new, only_old: those of `changes` that bring it only on screws that they add, or only
            on screws that were there.
        unless: changes that bring another step in its place.
        only_if: fields of the machine after the changes and the values they may have.
        after: steps that come before it where they are part of the work.
        tools: what it takes.
        minutes: how long a person with a little practice needs.
        mark: the part of the drawing to mark: motor-shaft, screw, nut, ends, frame, or "".
        hazards: ids of cautions.
        accept: what is measured; None where `unmeasured` says why nothing is.
        fails: what to do when the value is outside or the step does not come out.
        back: how it is undone, "" where there is nothing to undo.
        loosens: it takes something apart that holds the moving part, so blocks come before it.
        closes: what it puts together again: it is needed where one of these was taken apart.
        covers: what was done before it cannot be reached until it is taken back.
        restores: it is needed whenever the machine was open, whatever became of the changes.
        firm: an injury hangs on it, so a value outside cannot be taken on oneself.
        lists: which list of parts is added: bought, printed, measure-first, or "".
    """

    id: str
    title: str
    words: str
    stage: Stage
    changes: tuple[str, ...]
    each: Each = Each.ONCE
    only_new: tuple[str, ...] = ()
    only_old: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    only_if: tuple[tuple[str, tuple[str, ...]], ...] = ()
    after: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    minutes: float
    mark: str = ""
    hazards: tuple[str, ...] = ()
    accept: Measure | None = None
    unmeasured: str = ""
    fails: str
    back: str = ""
    loosens: bool = False
    closes: tuple[str, ...] = ()
    covers: bool = False
    restores: bool = False
    firm: bool = False
    lists: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A step of one work order: on its side, with its limit, after these other tasks. `handles`
    are the changes whose parts are in hand in it: what was done for others does not count."""

    id: str
    step: Step
    side: str
    title: str
    after: tuple[str, ...]
    changes: tuple[str, ...]
    accept: Acceptance | None
    station: str
    lines: tuple[str, ...] = ()
    handles: tuple[str, ...] = ()
