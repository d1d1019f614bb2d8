"""Before against after, and against the promise."""

from plumbrise.prove.prints import PRINT, PrintReading
from plumbrise.prove.proving import prove, prove_all
from plumbrise.prove.results import (
    Also,
    Compared,
    Fairness,
    LinkMoved,
    MachineChange,
    Onward,
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
    "Fairness",
    "LinkMoved",
    "MachineChange",
    "Onward",
    "PrintReading",
    "Promise",
    "Proof",
    "Stage",
    "Unfair",
    "Verdict",
    "prove",
    "prove_all",
]
