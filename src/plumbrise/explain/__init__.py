"""Causes, sets of causes, evidence, shares of loss, the next test."""

from plumbrise.explain.causes import CAUSES, LINKS, Cause
from plumbrise.explain.explaining import explain
from plumbrise.explain.results import (
    CauseFinding,
    Explanation,
    Force,
    GroupFinding,
    HowKnown,
    Interval,
    LinkLoss,
    NextTest,
    RunFit,
    SetFinding,
    Side,
    Slip,
    SplitBy,
    Unexplained,
)

__all__ = [
    "CAUSES",
    "LINKS",
    "Cause",
    "CauseFinding",
    "Explanation",
    "Force",
    "GroupFinding",
    "HowKnown",
    "Interval",
    "LinkLoss",
    "NextTest",
    "RunFit",
    "SetFinding",
    "Side",
    "Slip",
    "SplitBy",
    "Unexplained",
    "explain",
]
