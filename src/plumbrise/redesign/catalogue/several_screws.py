"""Changes of axes that have several screws: their tie belt, their level."""

from __future__ import annotations

from plumbrise.redesign.catalogue.writing import (
    AT_MOST,
    THREE_SCREW,
    TIED,
    TIMES,
    TWO_SCREW,
    effect,
)
from plumbrise.redesign.changes import Change, Part, Span

TIE_PARTS = (
    Part(
        name="Timing pulley",
        size="40 teeth, bore {screw_diameter_mm} mm, two alike",
        count=2,
        lead_days=10,
        note="Small pulleys let the belt wind up; both must have the same number of teeth.",
    ),
    Part(
        name="Closed timing belt",
        size="{belt}",
        lead_days=10,
        measure_first="Distance of the screw axes where the belt runs, to 0.5 mm, with the "
        "bearings in place.",
    ),
)

TENSION_BELT = Change(
    id="tension-belt",
    title="Tension the tie belt",
    words="Bring the tie belt to its working tension by its note, and look at both pulleys' "
    "clamps.",
    effects=(
        effect("lag_mm", AT_MOST, 0.006, 0.5, "tie-slack"),
        effect("wind_up_mm_per_n", TIMES, 0.6, 0.25, "tie-slack"),
    ),
    hours=Span(0.2, 0.4, 0.8),
    only_if=(("arrangement", (TIED,)),),
    tools=("hex keys", "a phone that shows the pitch of a tone"),
    side_effects=("Too tight bends the screw ends.",),
    hazards=("pinch", "stored-tension"),
    sizing=("belt-loop",),
)
LARGER_PULLEYS = Change(
    id="larger-pulleys",
    title="Larger pulleys for the tie belt",
    words="Equal pulleys with about twice the teeth: the belt winds up a quarter as far.",
    effects=(
        effect("lag_mm", TIMES, 0.5, 0.3, "tie-slack"),
        effect("wind_up_mm_per_n", TIMES, 0.28, 0.2, "tie-slack"),
    ),
    cost=Span(10.0, 18.0, 35.0),
    hours=Span(1.0, 1.5, 2.5),
    only_if=(("arrangement", (TIED,)),),
    tools=("hex keys",),
    parts=TIE_PARTS,
    hazards=("pinch", "stored-tension"),
    sizing=("belt-loop",),
    sizes=(("screw_teeth", 40),),
    moves_zero=True,
)
LEVEL_SCREWS = Change(
    id="level-screws",
    title="Level the screws against equal blocks",
    words="Motors off, equal blocks under every end, turn each screw until the moving part rests "
    "on all of them, then lock.",
    effects=(effect("offset_mm", TIMES, 0.05, 0.6, "out-of-step"),),
    hours=Span(0.2, 0.4, 0.8),
    only_if=(("arrangement", (TWO_SCREW, TIED, THREE_SCREW)),),
    tools=("two equal blocks",),
    side_effects=("With two motors it lasts until one of them slips again.",),
    hazards=("falling-gantry", "pinch"),
    moves_zero=True,
)
