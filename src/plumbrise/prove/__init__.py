"""Before against after, and against the promise."""

from plumbrise.prove.prints import PRINT, PrintReading
from plumbrise.prove.proving import prove, prove_all
from plumbrise.prove.reaches import compared_runs
from plumbrise.prove.results import (
    GOOD_MM,
    Also,
    Aside,
    Compared,
    Doubt,
    Fairness,
    LinkMoved,
    MachineChange,
    Onward,
    Other,
    Promise,
    Proof,
    Stage,
    Unfair,
    Verdict,
)

__all__ = [
    "GOOD_MM",
    "PRINT",
    "Also",
    "Aside",
    "Compared",
    "Doubt",
    "Fairness",
    "LinkMoved",
    "MachineChange",
    "Onward",
    "Other",
    "PrintReading",
    "Promise",
    "Proof",
    "Stage",
    "Unfair",
    "Verdict",
    "compared_runs",
    "prove",
    "prove_all",
]
