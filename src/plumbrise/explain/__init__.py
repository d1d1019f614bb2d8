"""Causes, sets of causes, evidence, shares of loss, the next test."""

from plumbrise.explain.believed import Believed
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
    Rival,
    RunFit,
    SetFinding,
    SetFit,
    Side,
    Sign,
    Slip,
    SplitBy,
    Unexplained,
)

__all__ = [
    "CAUSES",
    "LINKS",
    "Believed",
    "Cause",
    "CauseFinding",
    "Explanation",
    "Force",
    "GroupFinding",
    "HowKnown",
    "Interval",
    "LinkLoss",
    "NextTest",
    "Rival",
    "RunFit",
    "SetFinding",
    "SetFit",
    "Side",
    "Sign",
    "Slip",
    "SplitBy",
    "Unexplained",
    "explain",
]
