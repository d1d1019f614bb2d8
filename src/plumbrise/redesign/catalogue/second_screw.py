"""A second screw at the far side: tied to the first by a belt, or with a motor of its own."""

from __future__ import annotations

from dataclasses import replace

from plumbrise.redesign.catalogue.carrying import BEARING_PARTS, CARRIED
from plumbrise.redesign.catalogue.screws import SCREW_PARTS, TOP_FREED
from plumbrise.redesign.catalogue.several_screws import TIE_PARTS
from plumbrise.redesign.catalogue.writing import ONE_SCREW, TIED, TIMES, TO, TWO_SCREW, effect
from plumbrise.redesign.changes import Change, Part, Span

_NEW_NUT = (
    effect("bracket_stiffness_n_per_mm", TO, 500.0, 0.5, "", "new"),
    effect("play_mm", TO, 0.03, 0.5, "", "new"),
)
_NEW_ON_BEARING = (
    effect("seat_stiffness_n_per_mm", TO, 1500.0, 0.35, "", "new"),
    effect("seat_travel_mm", TO, 0.02, 0.4, "", "new"),
    effect("coupling_stiffness_n_per_mm", TO, 3000.0, 0.3, "", "new"),
    *_NEW_NUT,
)
_NEW_ON_MOTOR = (
    effect("seat_stiffness_n_per_mm", TO, 400.0, 0.8, "", "new"),
    effect("seat_travel_mm", TO, 0.07, 0.6, "", "new"),
    effect("coupling_stiffness_n_per_mm", TO, 300.0, 0.8, "", "new"),
    *_NEW_NUT,
)
_AT_FAR_END = effect("droop_mm", TIMES, 0.05, 0.5, "droop")
_FAR_BRACKET = Part(
    name="Nut bracket",
    size="for the nut, at the far end of the beam",
    printed=True,
    lead_days=3,
    measure_first="Holes at the far end of the beam, and the height free below it.",
)

SECOND_SCREW_TIED = Change(
    id="second-screw-tied",
    title="Second screw, tied by a belt",
    words="A second screw at the far side on its own bearing, turned by the first through a "
    "belt at the top, where a bearing holds each screw beside its pulley.",
    effects=(
        *CARRIED,
        *_NEW_ON_BEARING,
        effect("lag_mm", TO, 0.004, 0.6, "", "new"),
        effect("wind_up_mm_per_n", TO, 3e-4, 0.6, "", "new"),
        effect(
            "term:screw-bend", TIMES, 1 / TOP_FREED, 0.4, only_if=(("screw.top_end", ("free",)),)
        ),
        _AT_FAR_END,
    ),
    cost=Span(45.0, 80.0, 150.0),
    hours=Span(4.0, 6.0, 10.0),
    machine=(
        ("arrangement", TIED),
        ("bearing.carries_weight", "thrust-bearing"),
        ("screw.top_end", "held"),
    ),
    only_if=(("arrangement", (ONE_SCREW,)),),
    excludes=(
        "second-screw-motor",
        "thrust-bearing",
        "ball-in-coupling",
        "stiff-carriages",
        "free-top",
    ),
    tools=("hex keys", "square", "feeler leaves", "dial gauge", "drill"),
    parts=(
        *SCREW_PARTS,
        *(replace(part, count=2 * part.count) for part in BEARING_PARTS),
        _FAR_BRACKET,
        Part(
            name="Radial bearing",
            size="bore {screw_diameter_mm} mm, in a block of its own",
            count=2,
            lead_days=7,
            note="One close to each pulley: a thrust bearing holds nothing sideways, and the "
            "belt pulls with both its strands.",
            measure_first="Where the belt runs, and what each screw is held by there.",
        ),
        *TIE_PARTS,
        Part(name="Belt tensioner with idler", size="for the belt", lead_days=10, printed=True),
    ),
    side_effects=(
        "Two screws and two guides fix more than they need: line the screws up with the guides "
        "within 0.1 mm.",
        "The gantry must be level before the pulleys are clamped.",
        "Held at the top, a bent screw pushes the gantry aside once a turn where a free end gave "
        "way: look at the screw that is there before you buy.",
    ),
    hazards=("falling-gantry", "pinch", "stored-tension", "metal-chips"),
    sizing=("belt-loop", "bearing", "motor", "alignment", "stack-up"),
    sizes=(("screw_teeth", 40),),
    holds="the far end in height",
    moves_zero=True,
)
SECOND_SCREW_MOTOR = Change(
    id="second-screw-motor",
    title="Second screw with a motor of its own",
    words="A second motor, coupling and screw at the far side.",
    effects=(*_NEW_ON_MOTOR, _AT_FAR_END),
    cost=Span(35.0, 60.0, 120.0),
    hours=Span(3.0, 4.5, 8.0),
    machine=(("arrangement", TWO_SCREW),),
    only_if=(("arrangement", (ONE_SCREW,)),),
    excludes=("second-screw-tied", "stiff-carriages"),
    tools=("hex keys", "square", "multimeter", "dial gauge", "drill"),
    parts=(
        *SCREW_PARTS,
        _FAR_BRACKET,
        Part(
            name="Step motor",
            size="as the one that is there: frame {motor_frame_mm} mm, same current",
            lead_days=10,
            measure_first="Resistance of each coil and which contacts belong together.",
        ),
        Part(name="Coupling", size="motor shaft to {screw_diameter_mm} mm screw", lead_days=7),
        Part(name="Motor bracket", size="frame {motor_frame_mm} mm", printed=True, lead_days=7),
        Part(
            name="Motor cable",
            size="as long as from board to motor, and 0.3 m more",
            lead_days=7,
            measure_first="Way of the cable with the gantry at both ends; pins at both plugs.",
        ),
    ),
    side_effects=(
        "Two motors on one driver fall out of step by four full steps at a time, on a driver each "
        "by any amount: level them after power-off.",
        "On one driver two motors in parallel get half the current each.",
    ),
    hazards=("falling-gantry", "pinch", "mains", "plugging", "metal-chips"),
    sizing=("motor", "alignment", "stack-up"),
    holds="the far end in height",
    moves_zero=True,
)
