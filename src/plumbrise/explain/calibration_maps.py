"""The maps from computed to stated probabilities, one for each depth of session.

Fitted by `python benchmarks/calibrate.py`; do not edit by hand.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Map:
    """Weights of the signs in the stated log odds: a common offset and one of each cause, the
    computed log odds, the root of the gap in log evidence, the log of what the cause takes over
    the threshold, the log misfit, and how far misfit flattens the computed log odds. `most` is
    the most that is ever stated.
    """

    offset: float
    odds: float
    gap: float
    over: float
    misfit: float
    doubt: float
    most: float = 0.99
    of_cause: Mapping[str, float] = field(default_factory=dict)


MAPS = {
    "full": Map(offset=-1.7, odds=0.65, gap=0.0, over=0.0, misfit=0.0, doubt=0.0),
    "gantry": Map(offset=-1.65, odds=0.60, gap=0.0, over=0.0, misfit=0.0, doubt=0.0),
    "short": Map(offset=-1.3, odds=0.70, gap=0.0, over=0.0, misfit=0.0, doubt=0.0, most=0.8),
}
