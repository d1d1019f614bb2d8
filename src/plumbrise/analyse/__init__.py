"""What readings say by themselves, without a machine model."""

from plumbrise.analyse.analysis import analyse, analyse_run
from plumbrise.analyse.results import (
    Analysis,
    BetweenRuns,
    CannotTell,
    CrossCheck,
    Figure,
    Oddity,
    Part,
    RunAnalysis,
    Target,
)

__all__ = [
    "Analysis",
    "BetweenRuns",
    "CannotTell",
    "CrossCheck",
    "Figure",
    "Oddity",
    "Part",
    "RunAnalysis",
    "Target",
    "analyse",
    "analyse_run",
]
