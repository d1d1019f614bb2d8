"""Changes of the nut and of what joins it to the moving part."""

from __future__ import annotations

from plumbrise.redesign.catalogue.screws import SCREW_PARTS
from plumbrise.redesign.catalogue.writing import AT_MOST, ONE_SCREW, TIMES, effect
from plumbrise.redesign.changes import Change, Part, Span

_ONE_NUT = ("new-nut", "split-nut", "floating-nut")

ALIGN_NUT = Change(
    id="align-nut",
    title="Let nut and motor find their line",
    words="Loosen the screws of nut and motor, run to the end where the screw is held, tighten "
    "there.",
    effects=(
        effect("misalignment_n", TIMES, 0.25, 0.5, "thread-misalignment"),
        effect("drag_n", TIMES, 0.95, 0.06, "guide-drag"),
        effect("term:screw-bend", TIMES, 0.75, 0.25, "screw-bend"),
    ),
    hours=Span(0.3, 0.5, 1.0),
    per_screw=True,
    tools=("hex keys",),
    side_effects=("The height of the moving part shifts: home and set the nozzle anew.",),
    hazards=("falling-gantry", "pinch"),
    sizing=("alignment",),
    moves_zero=True,
)
STIFF_BRACKET = Change(
    id="stiff-bracket",
    title="Stiffer nut bracket",
    words="A thicker or ribbed bracket, or a shorter arm between nut and moving part.",
    effects=(effect("bracket_stiffness_n_per_mm", TIMES, 3.0, 0.35, "bracket-flex", "driven"),),
    cost=Span(2.0, 7.0, 20.0),
    hours=Span(1.0, 2.0, 3.5),
    per_screw=True,
    tools=("hex keys", "drill"),
    parts=(
        Part(
            name="Nut bracket",
            size="as the old one, twice as thick or ribbed",
            printed=True,
            lead_days=3,
            measure_first="Hole spacing of the old bracket, height left below the moving part at "
            "the lowest position.",
        ),
    ),
    side_effects=("The nut must find its line again.",),
    hazards=("falling-gantry", "pinch", "metal-chips"),
    sizing=("beam", "alignment"),
    moves_zero=True,
)
NEW_NUT = Change(
    id="new-nut",
    title="New plain nut",
    words="A fresh nut of the same kind.",
    effects=(effect("play_mm", AT_MOST, 0.04, 0.4, "nut-play"),),
    cost=Span(3.0, 6.0, 14.0),
    hours=Span(0.6, 1.0, 1.8),
    per_screw=True,
    machine=(("nut.kind", "plain"),),
    excludes=_ONE_NUT,
    tools=("hex keys",),
    parts=(SCREW_PARTS[1],),
    hazards=("falling-gantry", "pinch"),
    sizing=("nut",),
    moves_zero=True,
)
SPLIT_NUT = Change(
    id="split-nut",
    title="Spring-split nut",
    words="A nut in two halves that a spring drives apart; the solid half carries the weight.",
    effects=(
        effect("play_mm", AT_MOST, 0.006, 0.5, "nut-play"),
        effect("drag_n", TIMES, 1.05, 0.05),
    ),
    cost=Span(5.0, 10.0, 20.0),
    hours=Span(0.6, 1.0, 1.8),
    per_screw=True,
    machine=(("nut.kind", "split"),),
    only_if=(("nut.kind", ("plain", "floating")),),
    excludes=_ONE_NUT,
    tools=("hex keys",),
    parts=(
        Part(
            name="Spring-split nut",
            size="for {screw_diameter_mm} mm, lead {lead_mm} mm",
            lead_days=10,
            measure_first="Flange, body and hole circle of the old nut; height that the second "
            "half needs.",
        ),
    ),
    side_effects=("More torque and wear; upside down the spring carries the weight and opens.",),
    hazards=("falling-gantry", "pinch", "stored-tension"),
    sizing=("nut",),
    moves_zero=True,
)
FLOATING_NUT = Change(
    id="floating-nut",
    title="Nut that floats sideways",
    words="A mount that lets the nut move sideways both ways but holds its height and keeps it "
    "from turning.",
    effects=(
        effect("term:screw-bend", TIMES, 0.35, 0.4, "screw-bend"),
        effect("misalignment_n", TIMES, 0.3, 0.4, "thread-misalignment"),
        effect("spot_strength", TIMES, 0.7, 0.3, "tight-spot"),
    ),
    cost=Span(10.0, 22.0, 45.0),
    hours=Span(1.0, 1.5, 2.5),
    per_screw=True,
    machine=(("nut.kind", "floating"),),
    only_if=(("nut.kind", ("plain", "split")), ("arrangement", (ONE_SCREW,))),
    excludes=(*_ONE_NUT, "second-screw-tied", "second-screw-motor"),
    tools=("hex keys", "dial gauge"),
    parts=(
        Part(
            name="Floating nut mount",
            size="for the nut of the {screw_diameter_mm} mm screw",
            lead_days=10,
            note="Held against lifting off: it must not come apart when the gantry hangs.",
            measure_first="Height that the mount takes between nut and beam.",
        ),
    ),
    side_effects=(
        "Unless it is held against lifting, the gantry can hang and drop later.",
        "It takes some height of the travel.",
    ),
    hazards=("falling-gantry", "pinch"),
    sizing=("nut", "stack-up"),
    frees="the nut sideways",
    moves_zero=True,
)
