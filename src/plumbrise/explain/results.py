"""What an explanation is: causes, links, sets, groups, what is left over, what to read next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from plumbrise.explain.believed import Believed


@dataclass(frozen=True, slots=True)
class Interval:
    """An estimate with a central interval; `level` is the probability it holds."""

    estimate: float
    low: float
    high: float
    level: float = 0.9


class HowKnown(Enum):
    """How a link's loss is known: its two ends were read, it shares a dimension with its
    neighbours, or it follows from the model alone."""

    MEASURED = "measured"
    SHARED = "shared"
    COMPUTED = "computed"


@dataclass(frozen=True, slots=True)
class CauseFinding:
    """One cause. `probability` is that of its taking, in some run, a size that matters;
    `loss_mm` by station is what returns when this cause alone is put back to sound. `held_at`
    says why no more is stated of it, where the readings alone would state more."""

    cause: str
    probability: float
    loss_mm: Mapping[str, Interval]
    parameters: Mapping[str, Interval]
    could_be_seen: bool
    for_it: tuple[str, ...] = ()
    against_it: tuple[str, ...] = ()
    held_at: str = ""


@dataclass(frozen=True, slots=True)
class LinkLoss:
    """What one link of the chain loses at each end of the beam. Losses of the links of one
    side add up to what that side loses. `shared_with` names the links in one dimension,
    `together_mm` what they lose together: a sum is known far better than its shares."""

    link: str
    side: str
    loss_mm: Mapping[str, Interval]
    known: HowKnown
    shared_with: tuple[str, ...] = ()
    together_mm: Mapping[str, Interval] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SetFinding:
    """A set of causes, together and no others."""

    causes: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class SetFit:
    """What one fitted set of causes says of every reading: `computed_mm` by run and reading, as
    the runs and readings of `Explanation.fits`, and by run what is left over (root mean square)."""

    causes: tuple[str, ...]
    computed_mm: tuple[tuple[float, ...], ...]
    left_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Rival:
    """The strongest set beside the leading one, and where the two differ most."""

    causes: tuple[str, ...]
    run: str
    told_mm: float
    apart_mm: float


@dataclass(frozen=True, slots=True)
class SplitBy:
    """The reading that would split a group."""

    test: str
    station: str


@dataclass(frozen=True, slots=True)
class GroupFinding:
    """Causes that these readings cannot tell apart: the probability that at least one of them
    matters, and what they take together."""

    causes: tuple[str, ...]
    probability: float
    loss_mm: Mapping[str, Interval]
    split_by: SplitBy | None


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign that something goes on which is no cause here: what was seen, where, how large (mm;
    of a scale the ratio less one), by how much it passes its limit, and in words."""

    what: str
    where: str
    size_mm: float
    times_its_limit: float
    words: str
    period_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Unexplained:
    """What no cause explains. `verdict` is "none", "some" or "cannot tell"; `worst` says where,
    `signs` what shape it has."""

    rms_mm: float
    expected_rms_mm: float
    verdict: str
    worst: str = ""
    signs: tuple[Sign, ...] = ()


@dataclass(frozen=True, slots=True)
class NextTest:
    """A test worth doing: bits of doubt about the causes that it is expected to remove, minutes
    with moving the stand, why, and, said beforehand, which reading would mean which cause."""

    test: str
    station: str
    gain_bits: float
    minutes: float
    why: str
    meanings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Side:
    """What one end of the beam loses in all (the end of the chain)."""

    station: str
    loss_mm: Interval
    measured: bool


@dataclass(frozen=True, slots=True)
class RunFit:
    """Told and read beside computed, one entry a reading of the run (mm, zero taken out);
    `weight` 0 marks a reading set aside as a misread. `scatter_mm` is the expected spread."""

    run: str
    station: str
    read_mm: tuple[float, ...]
    computed_mm: tuple[float, ...]
    scatter_mm: tuple[float, ...]
    weight: tuple[float, ...]
    readings: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip of the hand or a bump that was found: which reading of which run, and what was
    done about it."""

    run: str
    reading: int
    words: str


@dataclass(frozen=True, slots=True)
class Force:
    """A force of the model with its interval: drag of a guide (place an end) or weight."""

    what: str
    place: str
    newton: Interval
    absolute: bool
    """False where the readings fix only its ratio to a stiffness."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """What the readings say of the causes.

    `causes` stand in falling probability, `sets` likewise, `next_tests` by gain a minute.
    `set_fits` are the likeliest fitted sets, the leading one first, and `rival` the strongest that
    says something else of some reading. `doubts` are sentences for the person: what was assumed,
    what limits this answer.
    """

    causes: tuple[CauseFinding, ...]
    links: tuple[LinkLoss, ...]
    sides: tuple[Side, ...]
    sets: tuple[SetFinding, ...]
    groups: tuple[GroupFinding, ...]
    unexplained: Unexplained
    next_tests: tuple[NextTest, ...]
    fits: tuple[RunFit, ...] = ()
    set_fits: tuple[SetFit, ...] = ()
    rival: Rival | None = None
    slips: tuple[Slip, ...] = ()
    forces: tuple[Force, ...] = ()
    doubts: tuple[str, ...] = ()
    complete: bool = True
    """False for a first answer, before the search has ended."""
    believed: Believed | None = field(default=None, compare=False, repr=False)
    """The axes drawn from what is believed; None where nothing could be told."""
