"""Changes to an axis: what they would do, what they cost, and which are worth it."""

from plumbrise.redesign.catalogue import CATALOGUE
from plumbrise.redesign.changes import Change, Effect, Part, Span, Way
from plumbrise.redesign.figures import FIGURES, LOST_MOTION, Figure, Target, targets_of
from plumbrise.redesign.redesigning import propose, prospects_for, redesign
from plumbrise.redesign.results import (
    Choice,
    Line,
    PartLine,
    Prediction,
    Proposal,
    Worth,
    share_within,
)
from plumbrise.redesign.workshop import Workshop

__all__ = [
    "CATALOGUE",
    "FIGURES",
    "LOST_MOTION",
    "Change",
    "Choice",
    "Effect",
    "Figure",
    "Line",
    "Part",
    "PartLine",
    "Prediction",
    "Proposal",
    "Span",
    "Target",
    "Way",
    "Workshop",
    "Worth",
    "propose",
    "prospects_for",
    "redesign",
    "share_within",
    "targets_of",
]
