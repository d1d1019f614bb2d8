"""Test kinds: what is done at the machine, and how the axis got to the first reading."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of test. `homes`: it starts by homing from above; `moves`: the axis is commanded to
    move between readings; `fewest`: with fewer readings nothing can be said."""

    id: str
    title: str
    words: str
    fewest: int
    homes: bool = False
    moves: bool = True


FINE_STEPS = Kind(
    "fine-steps",
    "Fine steps",
    "Home from above, then up in steps of 0.1 mm or less.",
    6,
    homes=True,
)
COARSE_STEPS = Kind(
    "coarse-steps", "Coarse steps", "Home from above, then up in steps of 1 mm.", 3, homes=True
)
REVERSAL = Kind("reversal", "Reversal", "Up, down, up over the same heights.", 4)
FULL_TRAVEL = Kind(
    "full-travel",
    "Full travel",
    "Targets over the whole height, from both directions, several times.",
    6,
)
ONE_TURN = Kind("one-turn", "One turn", "Sixteenths of a screw turn over two or more turns.", 8)
REPEAT_HOME = Kind(
    "repeat-home", "Repeat home", "Home again and again, read at one height.", 3, homes=True
)
DEAD_WEIGHT = Kind(
    "dead-weight",
    "Dead weight",
    "Hang known masses on and take them off while the height is held.",
    3,
    moves=False,
)
HOLD = Kind("hold", "Hold", "Nothing moves while time passes.", 3, moves=False)
WARM_UP = Kind("warm-up", "Warm-up", "Nothing moves while the temperature changes.", 3, moves=False)
SIDE_PUSH = Kind(
    "side-push",
    "Side push",
    "Push a pillar or the base sideways with a known force.",
    3,
    moves=False,
)
HAND_TURN = Kind(
    "hand-turn",
    "Hand turn",
    "Turn the screw by hand, motor off, and read the torque over the travel.",
    3,
    moves=False,
)
GAUGE_CHECK = Kind("gauge-check", "Gauge check", "The gauge on a solid block.", 4, moves=False)

KINDS = {
    kind.id: kind
    for kind in (
        FINE_STEPS,
        COARSE_STEPS,
        REVERSAL,
        FULL_TRAVEL,
        ONE_TURN,
        REPEAT_HOME,
        DEAD_WEIGHT,
        HOLD,
        WARM_UP,
        SIDE_PUSH,
        HAND_TURN,
        GAUGE_CHECK,
    )
}

STEP_KINDS = (FINE_STEPS, COARSE_STEPS)
LARGEST_FINE_STEP_MM = 0.3
"""Steps up to this size count as fine, above as coarse."""


def kind_of_steps(step_mm: float) -> Kind:
    """Which kind a staircase with this step is."""
    return FINE_STEPS if step_mm <= LARGEST_FINE_STEP_MM + 1e-9 else COARSE_STEPS
