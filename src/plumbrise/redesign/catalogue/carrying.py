"""Changes of what turns the screw and carries its weight: clamps, coupling, thrust bearing."""

from __future__ import annotations

from plumbrise.redesign.catalogue.writing import (
    AT_LEAST,
    AT_MOST,
    ONE_SCREW,
    THREE_SCREW,
    TIMES,
    TWO_SCREW,
    effect,
)
from plumbrise.redesign.changes import Change, Part, Span

CARRIED = (
    effect("seat_stiffness_n_per_mm", AT_LEAST, 1500.0, 0.35, "motor-seat", "driven"),
    effect("seat_travel_mm", AT_MOST, 0.02, 0.4, "motor-seat", "driven"),
    effect("coupling_stiffness_n_per_mm", AT_LEAST, 3000.0, 0.3, "coupling-stretch", "driven"),
    effect("end_float_mm", AT_MOST, 0.01, 0.4, "", "driven"),
    effect("term:coupling-slip", TIMES, 0.1, 0.5, "coupling-slip"),
)
"""What a bearing under the screw that carries the weight to the frame does."""
BEARING_PARTS = (
    Part(
        name="Thrust bearing",
        size="bore {screw_diameter_mm} mm",
        note="Three pieces: the washer that fits the screw turns with it, the one with the larger "
        "bore rests on the block.",
        lead_days=7,
        measure_first="Diameter of the screw where the bearing sits, at two places a quarter turn "
        "apart; height left between coupling and nut at the lowest position.",
    ),
    Part(
        name="Clamp collar",
        size="bore {screw_diameter_mm} mm",
        note="Its face square to the bore within 0.1 mm over the washer: it is the shoulder that "
        "brings the weight onto the bearing.",
        lead_days=7,
    ),
    Part(
        name="Bearing block",
        size="bore for the bearing's housing washer, faces square within 0.1 mm",
        note="Metal, or printed with solid walls; no pulley or collar may rub on it.",
        printed=True,
        measure_first="Where on the frame it can be screwed down in line with the screw.",
    ),
    Part(name="Shims", size="0.05 to 0.2 mm", count=4, note="To set the block square."),
)

TIGHTEN_CLAMPS = Change(
    id="tighten-clamps",
    title="Clean and tighten the clamps",
    words="Degrease shaft and screw ends, tighten the clamps of coupling and pulleys, draw a "
    "line across each joint, and look at it after fifty strokes.",
    effects=(
        effect("term:coupling-slip", TIMES, 0.05, 0.6, "coupling-slip"),
        effect("hold_n", TIMES, 3.0, 0.3, "coupling-slip"),
    ),
    hours=Span(0.2, 0.4, 0.8),
    tools=("hex keys", "solvent", "paint pen"),
    side_effects=("The zero shifts.",),
    hazards=("falling-gantry", "pinch"),
    moves_zero=True,
)
BALL_IN_COUPLING = Change(
    id="ball-in-coupling",
    title="Ball between motor shaft and screw",
    words="A steel ball inside the coupling lets the screw stand on the motor shaft, so that "
    "the coupling only turns.",
    effects=(
        effect("coupling_stiffness_n_per_mm", TIMES, 5.0, 0.4, "coupling-stretch", "driven"),
        effect("term:coupling-slip", TIMES, 0.3, 0.6, "coupling-slip"),
    ),
    cost=Span(0.0, 2.0, 5.0),
    hours=Span(0.4, 0.6, 1.2),
    per_screw=True,
    only_if=(
        ("coupling.kind", ("helical", "jaw", "slotted-disc")),
        ("bearing.carries_weight", ("motor",)),
        ("arrangement", (ONE_SCREW, TWO_SCREW, THREE_SCREW)),
    ),
    excludes=("thrust-bearing", "rigid-coupling"),
    tools=("hex keys",),
    parts=(
        Part(
            name="Steel ball",
            size="4 to 6 mm, smaller than the bore of the coupling",
            lead_days=5,
            measure_first="Bore of the coupling, and whether both ends have a centre.",
        ),
    ),
    side_effects=(
        "The weight now stands on the motor's own bearings: its soft seat stays.",
        "It holds in compression only; pulled upward the coupling still stretches.",
    ),
    hazards=("falling-gantry", "pinch"),
    sizing=("coupling", "bearing"),
    sizes=(("carries", "ball"),),
    moves_zero=True,
)
RIGID_COUPLING = Change(
    id="rigid-coupling",
    title="Coupling that is stiff along its axis",
    words="A coupling stiff along its axis in place of one that stretches.",
    effects=(
        effect("coupling_stiffness_n_per_mm", AT_LEAST, 2000.0, 0.4, "coupling-stretch"),
        effect("term:coupling-slip", TIMES, 0.2, 0.6, "coupling-slip"),
        effect("term:screw-bend", TIMES, 1.25, 0.25),
    ),
    cost=Span(4.0, 8.0, 18.0),
    hours=Span(0.5, 1.0, 2.0),
    per_screw=True,
    machine=(("coupling.kind", "rigid"),),
    only_if=(("coupling.kind", ("helical", "jaw", "slotted-disc")),),
    excludes=("ball-in-coupling",),
    tools=("hex keys", "dial gauge"),
    parts=(
        Part(
            name="Rigid clamp coupling",
            size="motor shaft to {screw_diameter_mm} mm screw",
            lead_days=7,
            measure_first="Diameters of motor shaft and screw end; run-out of the screw at the "
            "coupling, which must stay under 0.05 mm.",
        ),
    ),
    side_effects=("It passes every error of line between motor and screw on as a side force.",),
    hazards=("falling-gantry", "pinch"),
    sizing=("coupling", "alignment"),
    holds="the screw end in line with the motor shaft",
    moves_zero=True,
)
THRUST_BEARING = Change(
    id="thrust-bearing",
    title="Thrust bearing that carries the weight",
    words="A collar on the screw rests on a thrust bearing on the frame; motor and coupling "
    "then only turn.",
    effects=CARRIED,
    cost=Span(8.0, 16.0, 35.0),
    hours=Span(1.5, 2.5, 4.0),
    per_screw=True,
    machine=(("bearing.carries_weight", "thrust-bearing"),),
    only_if=(("bearing.carries_weight", ("motor",)),),
    excludes=("ball-in-coupling",),
    tools=("hex keys", "square", "feeler leaves", "dial gauge"),
    parts=BEARING_PARTS,
    side_effects=(
        "Fix the screw along its axis at this end only: a second fixed end jams with warmth.",
        "Adds a little friction torque.",
    ),
    hazards=("falling-gantry", "pinch", "metal-chips"),
    sizing=("bearing", "alignment", "stack-up"),
    holds="the screw along its axis",
    moves_zero=True,
)
