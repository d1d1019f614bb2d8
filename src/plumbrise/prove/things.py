"""What matters, and which figure tells it: one is judged for each, so that none counts twice."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """Where a thing can be read: test kind, figure, detail."""

    kind: str
    figure: str
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Thing:
    """Something that matters on its own, and what tells it, best first: the first source that
    both sessions give is judged, whatever it says. A `scatter` is compared as one."""

    id: str
    title: str
    sources: tuple[Source, ...]
    scatter: bool = False


WITHOUT_FIRST = "without cycle 1"

LOST_MOTION = Thing(
    "lost-motion",
    "Lost motion",
    (
        Source("coarse-steps", "lost_motion"),
        Source("fine-steps", "lost_motion"),
        Source("coarse-steps", "shortfall", "end"),
        Source("fine-steps", "shortfall", "end"),
        Source("reversal", "lost_motion"),
        Source("full-travel", "lost_motion", WITHOUT_FIRST),
        Source("full-travel", "lost_motion"),
    ),
)
"""Settled losses first; else what was short at the same told rise, which is as fair."""
SIDES = Thing("sides", "Difference of the sides", ())
"""How unlike the ends lose: made from what they lose in one and the same test."""
SIDES_FIGURE = "sides_apart"
WHOLE_AXIS = "axis"
HOME = Thing("home", "Home spread", (Source("repeat-home", "home_sd"),), scatter=True)
REPEATS = Thing(
    "repeats", "Spread of repeats", (Source("full-travel", "repeats_sd"),), scatter=True
)
THINGS = (
    LOST_MOTION,
    HOME,
    REPEATS,
    Thing("turn", "Once a turn", (Source("one-turn", "once_per_turn", "amplitude"),)),
    Thing("steps", "Four full steps", (Source("one-turn", "full_step_pattern", "amplitude"),)),
    Thing(
        "gives-way",
        "Gives way under load",
        (Source("dead-weight", "compliance"), Source("side-push", "compliance")),
    ),
    Thing(
        "scale",
        "Scale error",
        (
            Source("full-travel", "scale_error", WITHOUT_FIRST),
            Source("full-travel", "scale_error"),
        ),
    ),
    Thing("drift", "Drift", (Source("hold", "drift", "an hour"),)),
)
"""What is judged at every station that gives it. Figures that stand in no source are shown, if
they are in both sessions, and get no verdict: they follow from these, or say the same again."""
