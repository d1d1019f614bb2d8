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
    "full": Map(
        offset=-2.183,
        odds=0.366,
        gap=0.075,
        over=0.0,
        misfit=0.216,
        doubt=0.0,
        most=0.99,
        of_cause={
            "bracket-flex": 0.045,
            "coupling-slip": -0.219,
            "coupling-stretch": -0.08,
            "droop": 0.153,
            "frame-flex": 0.132,
            "gauge-stick": 0.342,
            "gauge-tilt": 0.069,
            "guide-drag": -0.285,
            "home-scatter": -0.166,
            "idle-drop": -0.152,
            "lead-error": 0.013,
            "lost-steps": 0.144,
            "microstep-error": 0.053,
            "motor-seat": -0.256,
            "nut-play": 0.031,
            "racking": -0.007,
            "screw-bend": -0.036,
            "stick-slip": 0.656,
            "thread-misalignment": -0.185,
            "tight-spot": -0.128,
            "warm-drift": -0.254,
        },
    ),
    "gantry": Map(
        offset=-1.23,
        odds=0.396,
        gap=0.109,
        over=0.099,
        misfit=0.123,
        doubt=0.392,
        most=0.88,
        of_cause={
            "bracket-flex": -0.18,
            "coupling-slip": -0.28,
            "coupling-stretch": 0.239,
            "droop": 0.045,
            "gauge-stick": 0.765,
            "gauge-tilt": -0.318,
            "guide-drag": -0.105,
            "lead-error": 0.072,
            "lost-steps": 0.259,
            "microstep-error": -0.29,
            "motor-seat": 0.079,
            "nut-play": -0.235,
            "racking": -0.669,
            "screw-bend": -0.074,
            "stick-slip": 0.594,
            "thread-misalignment": 0.038,
            "tight-spot": 0.033,
        },
    ),
    "short": Map(
        offset=-0.719,
        odds=0.286,
        gap=0.461,
        over=0.294,
        misfit=0.715,
        doubt=0.518,
        most=0.8,
        of_cause={
            "bracket-flex": 0.281,
            "coupling-slip": 0.962,
            "coupling-stretch": -0.843,
            "gauge-stick": 0.302,
            "guide-drag": 0.038,
            "motor-seat": -0.065,
            "nut-play": 0.316,
            "racking": -0.948,
            "screw-bend": -0.011,
        },
    ),
}
