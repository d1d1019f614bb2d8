"""Changes of homing, of the controller's values, and of what is chosen in the slicer."""

from __future__ import annotations

from plumbrise.redesign.catalogue.writing import TIMES, effect
from plumbrise.redesign.changes import Change, Part, Span

STEPS_PER_MM = Change(
    id="steps-per-mm",
    title="Set steps per mm from the thread",
    words="Set the value that lead, steps and pulleys give, and check it over 100 mm with "
    "calipers or blocks.",
    effects=(effect("term:lead-error", TIMES, 0.15, 0.5, "lead-error"),),
    hours=Span(0.2, 0.3, 0.5),
    tools=("calipers or blocks of 100 mm",),
    side_effects=("Never set it from a printed cube: squash and shrinkage are in that.",),
    hazards=("pinch",),
    sizing=("motor",),
)
FOUR_STEP_LAYERS = Change(
    id="four-step-layers",
    title="Layer heights of whole groups of four full steps",
    words="Choose layer heights that are whole multiples of four full steps, so that every "
    "layer meets the motor in the same place.",
    effects=(effect("term:microstep-error", TIMES, 0.05, 0.5, "microstep-error"),),
    hours=Span(0.1, 0.1, 0.2),
    only_if=(("screw.starts", ("1", "2", "4")),),
    side_effects=("Few layer heights are left to choose from.",),
    sizing=("motor",),
    in_slicer=True,
)
SLOW_SECOND_TOUCH = Change(
    id="slow-second-touch",
    title="Home a second time, slowly",
    words="Touch the switch fast, lift 2 mm, touch again at a tenth of the speed.",
    effects=(effect("term:home-scatter", TIMES, 0.45, 0.35, "home-scatter"),),
    hours=Span(0.1, 0.2, 0.4),
    side_effects=("The start takes some seconds longer.",),
    hazards=("pinch",),
)
STIFF_SWITCH = Change(
    id="stiff-switch",
    title="Stiffer bracket for the homing switch",
    words="A metal bracket, two screws, and the switch touched in line with its plunger.",
    effects=(effect("term:home-scatter", TIMES, 0.5, 0.35, "home-scatter"),),
    cost=Span(1.0, 4.0, 12.0),
    hours=Span(0.4, 0.8, 1.5),
    parts=(
        Part(
            name="Switch bracket",
            size="metal, or printed solid",
            printed=True,
            lead_days=3,
            measure_first="Hole spacing of the switch and its height above the frame.",
        ),
    ),
    tools=("hex keys",),
    side_effects=("Zero shifts: set the nozzle's height anew before anything moves down.",),
    hazards=("pinch", "mains"),
    moves_zero=True,
)
