"""Changes of the frame and of the guides that the moving part runs on."""

from __future__ import annotations

from plumbrise.redesign.catalogue.writing import AT_MOST, ONE_SCREW, TIMES, effect
from plumbrise.redesign.changes import Change, Part, Span

SQUARE_FRAME = Change(
    id="square-frame",
    title="Square the uprights",
    words="Set the uprights equally far apart at bottom, middle and top, and square to the "
    "base; run to each end and tighten there.",
    effects=(
        effect("spot_strength", TIMES, 0.5, 0.5, "tight-spot"),
        effect("misalignment_n", TIMES, 0.6, 0.35, "thread-misalignment"),
        effect("drag_n", TIMES, 0.88, 0.12, "guide-drag"),
        effect("stiffness_n_per_mm", TIMES, 1.3, 0.25, "frame-flex"),
    ),
    hours=Span(0.6, 1.2, 2.5),
    tools=("square", "inside calipers or a rod of fixed length", "hex keys"),
    side_effects=("Zero and tramming of the bed shift.",),
    hazards=("falling-gantry", "pinch"),
    sizing=("alignment", "frame"),
    moves_zero=True,
)
SET_ROLLERS = Change(
    id="set-rollers",
    title="Set the guides without shake and without squeeze",
    words="Turn the eccentrics (or shim the carriages) at both ends until a roller can just be "
    "slipped with a finger and nothing shakes.",
    effects=(
        effect("drag_n", AT_MOST, 2.2, 0.35, "guide-drag"),
        effect("racking_n_per_mm", TIMES, 1.3, 0.25, "racking"),
        effect("tilting_n_per_mm", TIMES, 1.3, 0.25, "racking"),
        effect("droop_mm", TIMES, 0.4, 0.5, "droop"),
    ),
    hours=Span(0.2, 0.4, 0.8),
    tools=("spanner for the eccentrics", "square"),
    side_effects=(
        "Guides that were tight also held the moving part up: it may now run down by itself.",
        "Look again at squareness and at the height of both ends.",
    ),
    hazards=("falling-gantry", "pinch"),
    moves_zero=True,
)
STIFF_CARRIAGES = Change(
    id="stiff-carriages",
    title="Longer carriages or a stiffer joint to the beam",
    words="Spread the rollers further apart and stiffen the joint of beam and carriage.",
    effects=(
        effect("racking_n_per_mm", TIMES, 2.2, 0.35, "racking"),
        effect("droop_mm", TIMES, 0.6, 0.3, "droop"),
    ),
    cost=Span(8.0, 18.0, 45.0),
    hours=Span(2.0, 3.0, 5.0),
    only_if=(("arrangement", (ONE_SCREW,)), ("guide.kind", ("rollers",))),
    tools=("hex keys", "drill", "square"),
    parts=(
        Part(
            name="Carriage plates",
            size="rollers 1.4 times as far apart as now",
            count=2,
            lead_days=10,
            measure_first="Distance of the rollers now, and the height free above and below.",
        ),
    ),
    side_effects=("May take some height of the travel.",),
    hazards=("falling-gantry", "pinch", "metal-chips"),
    sizing=("frame",),
    moves_zero=True,
)
COUNTERWEIGHT = Change(
    id="counterweight",
    title="Counterweight or constant-force spring at the far side",
    words="A cord with a weight, or a spring of constant force, carries part of the far side.",
    effects=(
        effect("weight_n", TIMES, 0.75, 0.06),
        effect("droop_mm", TIMES, 0.15, 0.5, "droop"),
    ),
    cost=Span(4.0, 10.0, 25.0),
    hours=Span(1.0, 2.0, 3.5),
    only_if=(("arrangement", (ONE_SCREW,)),),
    excludes=("second-screw-tied", "second-screw-motor"),
    tools=("hex keys", "drill"),
    parts=(
        Part(
            name="Constant-force spring",
            size="about a quarter of the gantry's weight",
            lead_days=10,
            measure_first="Weight of the far side with a spring balance, motor off and blocks "
            "under both ends.",
        ),
    ),
    side_effects=(
        "Less weight holds the nut on its flank: play that gravity hid may open.",
        "It takes out a standing tilt, not a lag: that comes from drag.",
    ),
    hazards=("falling-gantry", "pinch", "stored-tension", "hung-mass", "metal-chips"),
    sizing=("nut",),
    moves_zero=True,
)
BRACE_FRAME = Change(
    id="brace-frame",
    title="Gussets or a brace for the uprights",
    words="Gusset plates at the corners or a diagonal brace.",
    effects=(
        effect("stiffness_n_per_mm", TIMES, 3.0, 0.4, "frame-flex"),
        effect("joint_stiffness_n_per_mm", TIMES, 4.0, 0.4, "frame-flex"),
        effect("slip_n", TIMES, 3.0, 0.4, "frame-flex"),
    ),
    cost=Span(5.0, 12.0, 30.0),
    hours=Span(0.6, 1.2, 2.5),
    tools=("hex keys", "square"),
    parts=(
        Part(
            name="Gusset plate or brace",
            size="for uprights of {upright_width_mm} mm",
            count=2,
            lead_days=7,
            measure_first="Slot width and what the moving part needs to pass.",
        ),
    ),
    side_effects=("May hinder access to the bed.",),
    hazards=("pinch",),
    sizing=("frame",),
    moves_zero=True,
)
