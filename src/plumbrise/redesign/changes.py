"""What a change to an axis is: its effects as distributions, its price, what it needs."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from enum import Enum

from plumbrise.machine import Machine, known, lead_mm

OnlyIf = tuple[tuple[str, tuple[str, ...]], ...]
"""Fields of a machine's description, each with the values that it may have."""


class Way(Enum):
    """How an effect works on a number of the axis."""

    TO = "to"
    AT_MOST = "at most"
    AT_LEAST = "at least"
    TIMES = "times"


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What a change makes of one number of the axis.

    `entry` names a number of the axis's vector ("drag_n") or, with "term:" before it, the linear
    terms of a cause ("term:screw-bend"). The value, or the factor, is lognormal: `middle` its
    median, `spread` the spread of its logarithm. `where` is "all" ends, the "driven" ones, the
    "far" ones (with no screw before the change) or "new" ones (that the change gives a screw).
    `cause` is the cause that this works against: where that is not the reason after all, nothing
    comes of it. `only_if` says on which machines, as they are before, it comes about.
    """

    entry: str
    way: Way
    middle: float
    spread: float = 0.0
    where: str = "all"
    cause: str = ""
    only_if: OnlyIf = ()


@dataclass(frozen=True, slots=True)
class Span:
    """What something costs, in money or hours: at least, likely, at most."""

    low: float
    likely: float
    high: float

    @property
    def expected(self) -> float:
        """Mean of the triangular distribution over the span.

        Example:
            >>> Span(0, 3, 9).expected
            4.0
        """
        return (self.low + self.likely + self.high) / 3


FREE = Span(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part that a change needs. `size` may name facts of the machine in braces
    ("bore {screw_diameter_mm} mm"); `measure_first` is what to measure before ordering;
    `printed` parts are printed while the printer still prints."""

    name: str
    size: str
    count: int = 1
    note: str = ""
    lead_days: int = 0
    measure_first: str = ""
    printed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that can be done to an axis.

    `machine` says which fields of the description become what; `only_if` on which machines the
    change can be made (field and the values it may have). `needs` are changes that must come
    with it, `excludes` changes that it cannot be combined with. `sizing` names the calculators
    that check it, `sizes` inputs of theirs that the new parts settle. `frees` and `holds` tell
    how it changes what is fixed, in words. Price, hours and parts of a change that is made
    `per_screw` are those of one screw. `in_slicer` marks one that is made there: it leaves the
    axis as it is, and its effects are what prints no longer see.
    """

    id: str
    title: str
    words: str
    effects: tuple[Effect, ...]
    cost: Span = FREE
    hours: Span
    machine: tuple[tuple[str, str | float], ...] = ()
    only_if: OnlyIf = ()
    needs: tuple[str, ...] = ()
    excludes: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()
    side_effects: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    sizing: tuple[str, ...] = ()
    sizes: tuple[tuple[str, float | str], ...] = ()
    frees: str = ""
    holds: str = ""
    moves_zero: bool = False
    per_screw: bool = False
    at_hand: bool = False
    in_slicer: bool = False

    @property
    def free(self) -> bool:
        """Whether it costs no money."""
        return self.cost.high == 0

    def applies_to(self, machine: Machine) -> bool:
        """Whether this machine has the parts for it.

        Example:
            >>> from plumbrise.machine import blank
            >>> held = Change(id="x", title="", words="", effects=(), hours=Span(0, 1, 2),
            ...               only_if=(("screw.top_end", ("held",)),))
            >>> held.applies_to(blank("one-screw"))
            False
        """
        return _is_so(machine, self.only_if) and not self._has_its_lead(machine)

    def _has_its_lead(self, machine: Machine) -> bool:
        """Whether the lead that it brings, if it brings one, is no shorter than the one there."""
        new, now = dict(self.machine).get("screw.lead_mm"), lead_mm(machine)
        return new is not None and now is not None and now <= float(new)

    def made_on(self, machine: Machine) -> Change:
        """The same change with the effects that it has on this machine."""
        effects = tuple(effect for effect in self.effects if _is_so(machine, effect.only_if))
        return replace(self, effects=effects)

    def entries(self) -> frozenset[str]:
        """The numbers of the axis that it alters."""
        return frozenset(effect.entry for effect in self.effects)


def _is_so(machine: Machine, only_if: OnlyIf) -> bool:
    return all(_value(machine, key) in allowed for key, allowed in only_if)


def _value(machine: Machine, key: str) -> str:
    if key == "arrangement":
        return machine.arrangement.id
    return str(known(machine, key).value)


def allowed_together(changes: Collection[Change]) -> bool:
    """Whether these changes can be made together: what they need is there, nothing excludes."""
    ids = {change.id for change in changes}
    return all(
        set(change.needs) <= ids and not ids & set(change.excludes) - {change.id}
        for change in changes
    )
