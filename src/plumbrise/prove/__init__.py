"""Before against after, and against the promise."""

from plumbrise.prove.proving import prove
from plumbrise.prove.results import (
    Compared,
    Fairness,
    LinkMoved,
    Promise,
    Proof,
    Stage,
    Unfair,
    Verdict,
)

__all__ = [
    "Compared",
    "Fairness",
    "LinkMoved",
    "Promise",
    "Proof",
    "Stage",
    "Unfair",
    "Verdict",
    "prove",
]
