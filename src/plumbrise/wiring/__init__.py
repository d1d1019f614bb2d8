"""The motor harness check: is it proven, before any power, that no driver comes to harm?"""

from plumbrise.wiring.findings import FINDINGS, Finding, FindingKind
from plumbrise.wiring.harness import (
    FRAME,
    PLACES,
    Board,
    Bridged,
    Cable,
    Drive,
    Harness,
    Line,
    Meter,
    Motor,
    Reading,
)
from plumbrise.wiring.judging import judge
from plumbrise.wiring.verdict import LineVerdict, NextReading, Swap, Verdict, WiringVerdict

__all__ = [
    "FINDINGS",
    "FRAME",
    "PLACES",
    "Board",
    "Bridged",
    "Cable",
    "Drive",
    "Finding",
    "FindingKind",
    "Harness",
    "Line",
    "LineVerdict",
    "Meter",
    "Motor",
    "NextReading",
    "Reading",
    "Swap",
    "Verdict",
    "WiringVerdict",
    "judge",
]
