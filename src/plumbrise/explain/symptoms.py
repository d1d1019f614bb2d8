"""What a person sees before anything was read, and which causes that makes likelier."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from plumbrise.errors import InputError
from plumbrise.explain.priors import CHANCE

TIMES = 3.0
"""By how much a symptom raises the odds of a cause that shows so (a choice, no source)."""


@dataclass(frozen=True, slots=True)
class Symptom:
    """Something a person can tick. `causes` show so (common practice, no source)."""

    id: str
    title: str
    causes: tuple[str, ...]


SYMPTOMS = {
    symptom.id: symptom
    for symptom in (
        Symptom(
            "first-layer",
            "The first layer differs from print to print, or in its height",
            ("motor-seat", "coupling-stretch", "nut-play", "guide-drag", "home-scatter"),
        ),
        Symptom(
            "bands",
            "The walls show bands",
            ("screw-bend", "microstep-error", "stick-slip", "thread-misalignment"),
        ),
        Symptom(
            "one-side-low",
            "One side stands low or follows late",
            ("racking", "droop", "out-of-step", "tie-slack"),
        ),
        Symptom(
            "binds",
            "It binds at the top or at the bottom",
            ("thread-misalignment", "tight-spot", "guide-drag", "lost-steps"),
        ),
        Symptom(
            "jumps",
            "The height jumps at once and stays so",
            ("lost-steps", "coupling-slip", "stick-slip", "idle-drop"),
        ),
        Symptom(
            "drifts",
            "The height drifts while it prints",
            ("warm-drift", "coupling-slip", "idle-drop"),
        ),
    )
}
"""By id."""


def chances(ticked: Collection[str], causes: Collection[str]) -> Mapping[str, float]:
    """Chance of each cause before anything is read, symptoms taken into account.

    Raises:
        InputError: a symptom that is none.

    Example:
        >>> chance = chances(["bands"], ["screw-bend", "racking"])
        >>> chance["screw-bend"] > chance["racking"]
        True
    """
    for one in ticked:
        if one not in SYMPTOMS:
            raise InputError(
                place="symptom",
                value=one,
                allowed=f"one of {', '.join(SYMPTOMS)}",
                remedy="Choose one of these, as often as you like.",
            )
    odds = CHANCE / (1 - CHANCE)
    out = {}
    for cause in causes:
        raised = odds * TIMES ** any(cause in SYMPTOMS[one].causes for one in ticked)
        out[cause] = raised / (1 + raised)
    return out
