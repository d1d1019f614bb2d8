"""What is answered of a harness."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from plumbrise.wiring.findings import Finding


class Verdict(Enum):
    """Go, no-go, or cannot tell."""

    GO = "go"
    NO_GO = "no-go"
    CANNOT_TELL = "cannot-tell"

    def __str__(self) -> str:
        return self.value.replace("-tell", " tell")


@dataclass(frozen=True, slots=True)
class Swap:
    """Two contacts of one plug whose wires change places; a place may be empty."""

    line: str
    end: str
    contacts: tuple[int, int]


@dataclass(frozen=True, slots=True)
class NextReading:
    """The next thing to measure: where, between what, how it is done, which share of what is open
    it settles on average, and said beforehand what each answer would mean.

    `way` is "read" (meter), "bridge" (bridge two contacts and turn the screws by hand), "leads"
    (hold the meter's tips together) or "look-up" (a document).
    """

    line: str
    way: str
    at: str
    between: tuple[int, int] | None
    settles: float | None
    why: str


@dataclass(frozen=True, slots=True)
class LineVerdict:
    """The answer for one line: `possible` of the 52 partings are left, `harmful` of them bad."""

    line: str
    verdict: Verdict
    findings: tuple[Finding, ...]
    swaps: tuple[Swap, ...]
    next_reading: NextReading | None
    reasons: tuple[str, ...]
    possible: int
    harmful: int


@dataclass(frozen=True, slots=True)
class WiringVerdict:
    """The answer for a harness. `on_word` is what was taken on the person's word; `unseen` what no
    meter sees."""

    verdict: Verdict
    lines: tuple[LineVerdict, ...]
    findings: tuple[Finding, ...]
    swaps: tuple[Swap, ...]
    next_reading: NextReading | None
    reasons: tuple[str, ...]
    on_word: tuple[str, ...]
    unseen: tuple[str, ...]
