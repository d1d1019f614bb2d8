"""Before against after, and against the promise."""

from plumbrise.prove.prints import PRINT, PrintReading
from plumbrise.prove.proving import prove, prove_all
from plumbrise.prove.results import (
    Also,
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
    "PRINT",
    "Also",
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
    "prove",
    "prove_all",
]
